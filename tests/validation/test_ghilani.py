"""Levelling and trilateration after Ghilani.

Sources
-------
Ghilani
    C. D. Ghilani, *Adjustment Computations*, 5th ed., Wiley 2010, Examples 12.6
    (pp. 218-220), 14.5 (p. 251) and 19.3 (p. 404).
Krumm
    F. Krumm, *Geodetic Network Adjustment Examples*, Rev. 3.5, Stuttgart 2020,
    Example 2.1, pp. 6-9.
Both were read in the transcription that GNU Gama 2.24 carries, and in a public code
example that quotes Krumm's pages; book and PDF were not seen.  v is adjusted minus
observed; the sources print standard deviations scaled by s0.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from cited import printed
from splinewise.core.network import adjust
from splinewise.core.network_ties import distance, level

A, B, C, D = range(4)


@pytest.fixture(scope="module")
def levelling():
    """Example 12.6: six lines among four points, A = 437.596 m."""
    lines = [
        (A, B, 10.509, 0.006), (B, C, 5.360, 0.004), (C, D, -8.523, 0.005),
        (D, A, -7.348, 0.003), (B, D, -3.167, 0.004), (A, C, 15.881, 0.012),
    ]  # fmt: skip
    held = [[437.596], [np.nan], [np.nan], [np.nan]]
    return adjust([level(*line) for line in lines], 4, dimensions=1, held=held)


@pytest.mark.cited
def test_12_6_heights(levelling):
    """B, C and D, and their posterior standard deviations."""
    heights = levelling.coordinates[:, 0]
    doubts = levelling.doubts_scaled[:, 0]

    assert heights[B] == printed("448.10871")
    assert heights[C] == printed("453.46847")
    assert heights[D] == printed("444.94361")
    assert doubts[B] == printed("2.30", 1e-3)
    assert doubts[C] == printed("2.64", 1e-3)
    assert doubts[D] == printed("1.76", 1e-3)


@pytest.mark.cited
def test_12_6_residuals_and_tests(levelling):
    """Residuals, vPv, s0, |τ| and v/r as printed (the last two by GNU Gama)."""
    f = levelling.fit

    v = ["3.71", "-0.24", "-1.86", "0.39", "1.89", "-8.53"]
    tau = ["1.174", "0.163", "0.802", "0.466", "1.105", "1.160"]
    blunder = ["5.668", "-0.740", "-3.658", "2.103", "4.377", "-9.628"]
    for i in range(6):
        assert f.residuals[i] == printed(v[i], 1e-3)
        assert abs(f.tau[i]) == printed(tau[i])
        assert f.residuals[i] / f.redundancy[i] == printed(blunder[i], 1e-3)
    assert f.square_sum == printed("1.27212")
    assert f.s0 == printed("0.6512")
    assert f.bounds()[0] == printed("0.268")
    assert f.bounds()[1] == printed("1.765")
    assert f.dof == 3


def test_12_6_redundancy_numbers(levelling):
    """Own recomputation: the largest residual is not the most suspicious reading."""
    f = levelling.fit

    expected = [0.6549, 0.3294, 0.5092, 0.1877, 0.4326, 0.8862]
    assert_allclose(f.redundancy, expected, atol=5e-5)
    assert np.argmax(np.abs(f.residuals)) == 5
    assert np.argmax(np.abs(f.tau)) == 0


GIVEN = [[2410000.0, 390000.0], [2411820.0, 386881.222]]
START = [[2415776.819, 391043.461], [2416892.67, 387603.45]]
BADGER, BUCKY, WISCONSIN, CAMPUS = range(4)


def quadrilateral(first, near=START):
    lines = [
        (BADGER, WISCONSIN, first), (BADGER, CAMPUS, 7297.588),
        (WISCONSIN, CAMPUS, 3616.434), (WISCONSIN, BUCKY, 5742.878),
        (CAMPUS, BUCKY, 5123.760),
    ]  # fmt: skip
    nothing = [[np.nan, np.nan]] * 2
    return adjust(
        [distance(*line, 0.01) for line in lines], 4, dimensions=2,
        held=GIVEN + nothing, near=GIVEN + (near or nothing),
    )  # fmt: skip


@pytest.mark.cited
def test_14_5_with_the_digit_slip():
    """Coordinates and posterior deviations with 5870.302 m for the first side."""
    net = quadrilateral(5870.302)
    x, u = net.coordinates, net.doubts_scaled

    assert x[WISCONSIN, 0] == printed("2415776.9044")
    assert x[WISCONSIN, 1] == printed("391043.2945")
    assert x[CAMPUS, 0] == printed("2416892.6955")
    assert x[CAMPUS, 1] == printed("387603.2551")
    assert u[WISCONSIN, 0] == printed("14.879", 1e-2)
    assert u[WISCONSIN, 1] == printed("22.061", 1e-2)
    assert u[CAMPUS, 0] == printed("10.378", 1e-2)
    assert u[CAMPUS, 1] == printed("27.054", 1e-2)


def test_14_5_slip_and_no_slip():
    """Own recomputation: vPv 184.70 against 0.000085, and all five |w| are 13.59."""
    bad, good = quadrilateral(5870.302).fit, quadrilateral(5870.640).fit

    assert bad.square_sum == printed("184.70")
    assert good.square_sum == pytest.approx(8.5e-5, abs=5e-7)
    assert_allclose(np.abs(bad.standardized), 13.59, atol=0.005)
    assert bad.dof == 1


def test_14_5_found_without_a_start():
    """With no start of ours the printed shape is found, or told as the other one."""
    net = quadrilateral(5870.640, near=None)
    shapes = (net.coordinates, *net.others)

    known = quadrilateral(5870.640).coordinates
    assert len(shapes) == 2
    assert min(np.abs(shape - known).max() for shape in shapes) < 1e-4
