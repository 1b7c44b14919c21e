"""The lever-rate formulas of workshop pages, k = C (D⁴ − d⁴) / (L l²), in inches.

C = 1,120,000 for a solid bar (elcovaforums.com, showpost 153375; ehow.co.uk,
how_7976165) and 1,129,000 for a hollow one (the latter page).  Both read.  There is one
physical constant, π G / 32; the two pages differ by 0.8 % only because each assumes
another modulus, which neither names.  Those used here are the ones that fit, so this
tests the shape of the formula and its unit, not the modulus.
"""

import pytest
from numpy.testing import assert_allclose

from cited import INCH, LBF, PSI, printed
from splinewise.core.bar import torsional_rate


def lever_rate(length, diameter, arm, megapsi, bore=0.0):
    """Return the rate at the end of a lever, lbf/in, all lengths in inches."""
    rate = torsional_rate(
        length * INCH, diameter * INCH, megapsi * 1e6 * PSI, bore=bore * INCH
    )
    return rate / (arm * INCH) ** 2 / (LBF / INCH)


@pytest.mark.cited
@pytest.mark.parametrize(("megapsi", "figure"), [(11.4, "1.12e6"), (11.5, "1.129e6")])
def test_the_constants(megapsi, figure):
    """1 in bar, 1 in long, on a 1 in lever.

    The solid bar's constant was written 1,120,000 for 1,119,192: three figures.
    """
    assert lever_rate(1.0, 1.0, 1.0, megapsi) == printed(figure)


@pytest.mark.cited
@pytest.mark.parametrize("bore", [0.0, 0.4, 0.7])
def test_the_formula_for_a_real_bar(bore):
    """1 in bar, 40 in long, 12 in lever, with and without a bore."""
    constant = lever_rate(1.0, 1.0, 1.0, 11.5)

    assert_allclose(
        lever_rate(40.0, 1.0, 12.0, 11.5, bore),
        constant * (1.0 - bore**4) / (40.0 * 12.0**2),
        rtol=1e-12,
    )
