"""Verdicts and smallest noticeable errors on published networks.

Sources
-------
Baarda
    W. Baarda 1968, *A testing procedure for use in geodetic networks*.
Teunissen
    P. J. G. Teunissen 2024, *Network Quality Control*, TU Delft OPEN, CC BY 4.0.  Read
    as quoted in the tests of a public library that cites it; the book was not seen.
The networks are those of the files named for Ghilani, Siki, Niemeier, Strang & Borre
and Benning; what their tests should say was recomputed, not printed, except where
marked cited.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from cited import printed
from splinewise.core.leastsquares import Prior, fit_linear
from splinewise.core.network import adjust
from splinewise.core.network_ties import distance, level
from splinewise.core.noticeable import moving_together, smallest_noticeable
from splinewise.core.snooping import Finding, judge


@pytest.mark.cited
def test_teunissen_two_readings_of_one_quantity():
    """Half the redundancy each, and 5.84 standard uncertainties to be noticed."""
    f = fit_linear([[1.0], [1.0]], [0.0, 0.0], [2.0, 2.0])

    assert_allclose(f.redundancy, 0.5)
    noticed = smallest_noticeable(f)[0]
    assert noticed / 2.0 == printed("5.84")
    # Bias to noise: the error over the standard uncertainty of its own estimate.
    assert noticed * np.sqrt(0.5) / 2.0 == printed("4.13")


def test_teunissen_levelling_connection():
    """Four shared points in two frames: closed forms for r and for the error.

    r_h = σ_h² (1 − 1/n) / (σ_h² + σ_H²), and one and the same smallest error for all,
    √[λ₀ (σ_h² + σ_H²) / (1 − 1/n)]: 17.20348 for σ 2 and 3 (formula quoted, figures
    recomputed).
    """
    n, sh, sH = 4, 2.0, 3.0
    # Unknowns: four heights and the offset; readings: both frames' heights.
    A = np.block([[np.eye(n), np.zeros((n, 1))], [np.eye(n), np.ones((n, 1))]])
    f = fit_linear(A, np.zeros(2 * n), [sh] * n + [sH] * n)

    assert_allclose(f.redundancy[:n], sh**2 * 0.75 / 13, rtol=1e-9)
    assert f.redundancy[0] == printed("0.230769")
    assert f.redundancy[-1] == printed("0.519231")
    # The closed form was taken at λ₀ = 17.0746, four digits short of the exact one.
    closed = np.sqrt(17.0746 * (sh**2 + sH**2) / 0.75)
    assert closed == printed("17.20348")
    assert_allclose(smallest_noticeable(f), closed, rtol=3e-6)


def test_benning_8_8_weak_control():
    """593 mm in the one distance along y, about 96 mm in the four along x."""
    given = [[3000, 2000], [1000, 2000], [3000, 2100], [1000, 2100], [2000, 1000]]
    ties = [
        distance(i, 5, v, 0.02) for i, v in enumerate((1000, 1000, 1005, 1005, 1000))
    ]
    net = adjust(
        ties, 6, dimensions=2, held=[*given, [np.nan] * 2], near=[*given, [2000, 2000]]
    )

    noticed = smallest_noticeable(net.fit)
    assert noticed[4] == printed("593", 1e-3)
    assert_allclose(noticed[:4], 0.096, atol=1e-3)


def test_ghilani_14_5_says_something_but_names_nobody():
    """A digit slip of 0.338 m: all five distances are suspects for ever."""
    held = [[2410000.0, 390000.0], [2411820.0, 386881.222]]
    near = [[2415776.819, 391043.461], [2416892.67, 387603.45]]
    lines = [(0, 2, 5870.302), (0, 3, 7297.588), (2, 3, 3616.434), (2, 1, 5742.878),
             (3, 1, 5123.760)]  # fmt: skip
    net = adjust(
        [distance(*line, 0.01) for line in lines], 4, dimensions=2,
        held=[*held, *[[np.nan] * 2] * 2], near=held + near,
    )  # fmt: skip

    verdict = judge(net.fit)

    assert verdict.finding is Finding.SOMETHING_WRONG
    assert sorted(verdict.suspects) == [0, 1, 2, 3, 4]
    assert moving_together(net.fit) == ((0, 1, 2, 3, 4),)


def test_siki_agrees_at_the_border():
    """|w| of 2.6 is past 1.96 and short of 3.29; the chance is 0.042: borderline."""
    lines = [(0, 1, -0.749, 1.1), (0, 2, -1.274, 1.8), (0, 3, -2.890, 1.4),
             (1, 2, -0.530, 1.5), (1, 3, -2.141, 1.9), (2, 3, -1.614, 0.9)]  # fmt: skip
    ties = [level(i, j, dh, 0.7e-3 * km) for i, j, dh, km in lines]
    net = adjust(ties, 4, dimensions=1, held=[[np.nan]] * 3 + [[101.345]])

    verdict = judge(net.fit)

    assert verdict.finding is Finding.AGREES
    assert verdict.whole.borderline
    assert verdict.suspects == ()


def test_niemeier_fails_and_two_in_series_share_a_fate():
    """Something is wrong; lines 1-2 and 1-3 can never be told apart."""
    lines = [(0, 1, -8.206, 621.118), (0, 2, -5.734, 1204.819), (1, 2, 2.481, 450.450),
             (1, 3, -4.433, 800), (2, 3, -6.909, 1000), (2, 4, -18.872, 1098.901),
             (2, 5, 4.035, 440.529), (3, 4, -11.962, 719.424), (4, 5, 22.904, 833.333),
             ]  # fmt: skip
    ties = [level(i, j, dh, 1e-3 * np.sqrt(s / 1e3)) for i, j, dh, s in lines]
    net = adjust(ties, 6, dimensions=1, held=[[np.nan]] * 5 + [[67.228]])

    verdict = judge(net.fit)

    assert verdict.whole.fails
    assert verdict.finding is not Finding.AGREES
    assert verdict.suspects[0] == 2
    assert (0, 1) in moving_together(net.fit)


def test_strang_borre_alarms_with_three_suspects():
    """One redundant distance: |w| 3.303 is past 3.29, and nothing can be located."""
    points = [[170.71, 270.71], [100, 100], [241.42, 100], [170.71, 170.71]]
    ties = [distance(i, 3, v, 0.01) for i, v in enumerate((100.01, 100.02, 100.03))]
    net = adjust(ties, 4, dimensions=2, held=[*points[:3], [np.nan] * 2], near=points)

    verdict = judge(net.fit)

    assert np.abs(net.fit.standardized).max() == printed("3.303")
    assert verdict.finding is Finding.SOMETHING_WRONG
    assert sorted(verdict.suspects) == [0, 1, 2]


def test_correlated_priors_are_tested_as_one_would_by_hand():
    """Own derivation: w of a correlated prior from (P v)ᵢ / √(P Q_vv P)ᵢᵢ."""
    C = np.array([[4.0, 3.0], [3.0, 9.0]])
    f = fit_linear(
        np.eye(2), [1.0, 2.0], [1.0, 1.0], prior=Prior(np.arange(2), np.zeros(2), C)
    )
    P = np.linalg.inv(C)
    Q = np.linalg.inv(np.eye(2) + P)
    x = Q @ [1.0, 2.0]
    expected = P @ x / np.sqrt(np.diag(P - P @ Q @ P))
    assert_allclose(f.standardized[2:], expected, rtol=1e-10)
