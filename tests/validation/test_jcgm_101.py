"""Propagation by drawing, after JCGM 101.

Sources
-------
JCGM 101:2008
    9.2.2 and 9.2.3, figures read in the tests of suncal (commit d44c2cc); 9.5 from
    memory.  The standard was not opened.
NPL
    NPL Report DEM-ES-011, 9.2, figures read in the same tests.
Drawn figures carry their own sampling error: tolerances are four times it, or the
last printed digit where that is wider.
"""

import numpy as np
import pytest

from cited import printed
from splinewise.core.draws import Input, Shape, independent_sampler
from splinewise.core.monte_carlo import compare, monte_carlo
from splinewise.core.propagate import first_order


def total(x):
    """Sum of the inputs."""
    return x.sum(axis=-1, keepdims=True)


def logarithm(x):
    """Natural logarithm."""
    return np.log(x)


@pytest.mark.cited
def test_9_2_2_four_normals():
    """U = 2.00 and ±3.92; the first order holds to one digit, as it must exactly."""
    sampler = independent_sampler([Input(Shape.NORMAL, 0.0, 1.0)] * 4)
    drawn = monte_carlo(total, sampler, digits=2, most=300_000)

    assert drawn.standard[0] == pytest.approx(2.0, abs=0.011)
    assert drawn.symmetric_low[0] == pytest.approx(-3.92, abs=0.04)
    assert drawn.symmetric_high[0] == pytest.approx(3.92, abs=0.04)
    exact = first_order(total, np.zeros(4), np.eye(4))
    assert exact.standard[0] == printed("2.00")
    assert 1.959964 * exact.standard[0] == printed("3.92")
    assert compare(exact, drawn, digits=1).first_order_holds[0]


@pytest.mark.cited
def test_9_2_3_four_rectangulars():
    """U = 2.00 and ±3.88; the exact quantile 3.87941 is an own recomputation."""
    sampler = independent_sampler([Input(Shape.RECTANGULAR, 0.0, np.sqrt(3.0))] * 4)
    drawn = monte_carlo(total, sampler, digits=3, most=400_000)

    assert drawn.standard[0] == pytest.approx(2.00, abs=0.009)
    assert drawn.symmetric_high[0] == pytest.approx(3.88, abs=0.03)
    assert drawn.symmetric_low[0] == pytest.approx(-3.88, abs=0.03)


@pytest.mark.cited
def test_npl_logarithm_where_first_order_fails():
    """First order -0.511 and 0.481; drawn -0.665, 0.606, shortest -1.895 to 0.095."""
    first = first_order(logarithm, [0.6], [[1.0 / 12.0]])
    sampler = independent_sampler([Input(Shape.RECTANGULAR, 0.6, 0.5)])
    drawn = monte_carlo(logarithm, sampler, digits=2, most=1_000_000, least=500_000)

    assert first.value[0] == printed("-0.511")
    assert first.standard[0] == printed("0.481")
    assert drawn.value[0] == pytest.approx(-0.665, abs=0.0035)
    assert drawn.standard[0] == pytest.approx(0.606, abs=0.0035)
    assert drawn.low[0] == pytest.approx(-1.895, abs=0.012)
    assert drawn.high[0] == pytest.approx(0.095, abs=0.001)
    assert not compare(first, drawn).first_order_holds[0]


@pytest.mark.cited
def test_9_5_gauge_block():
    """838 nm with u = 36 nm (from memory).

    Inputs as in the GUM's H.1 with the distributions of JCGM 101: Student for the
    calibration and the comparator, rectangular expansion, arcsine swing, and limits
    known only roughly for the two differences.  The interval that goes with it was
    remembered differently and is not compared.
    """
    rng_inputs = independent_sampler(
        [
            Input(Shape.STUDENT, 623.0, 25.0, 18), Input(Shape.STUDENT, 215.0, 6.0, 24),
            Input(Shape.STUDENT, 0.0, 4.0, 5), Input(Shape.STUDENT, 0.0, 7.0, 8),
            Input(Shape.RECTANGULAR, 11.5e-6, 2e-6), Input(Shape.NORMAL, -0.1, 0.2),
            Input(Shape.ARCSINE, 0.0, 0.5), Input(Shape.RECTANGULAR, 0.0, 1.0),
            Input(Shape.RECTANGULAR, 0.0, 1.0), Input(Shape.RECTANGULAR, 1e-6, 0.1e-6),
            Input(Shape.RECTANGULAR, 0.050, 0.025),
        ]
    )  # fmt: skip

    def length(x):
        ls, d, d1, d2, alpha, t0, swing, a, b, da, dt = np.moveaxis(x, -1, 0)
        nominal = 50_000_000.0 + ls
        strain = a * da * (t0 + swing) + alpha * b * dt
        return (ls + d + d1 + d2 - nominal * strain)[..., None]

    drawn = monte_carlo(length, rng_inputs, digits=2, most=400_000, least=400_000)

    assert drawn.value[0] == pytest.approx(838.0, abs=0.5)
    assert drawn.standard[0] == pytest.approx(36.0, abs=0.5)
