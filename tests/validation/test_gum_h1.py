"""Calibration of an end gauge, the GUM's example H.1.

Source
------
JCGM 100:2008, H.1.  Inputs and published results were read in the documentation of
GTC (commit 1c165fc, docs/API/GUM_H1.rst, and its test of real degrees of freedom) and
in the tests of suncal (commit d44c2cc); the standard itself was not opened for this.
Lengths in nanometres.
"""

import numpy as np
import pytest

from cited import printed
from splinewise.core.derivatives import complex_step
from splinewise.core.doubt import arcsine, rectangular
from splinewise.core.propagate import bend, effective_dof, first_order

LS = 50_000_623.0
U_LS, DOF_LS = 25.0, 18
D_PARTS, D_DOF = np.array([5.8, 3.9, 6.7]), [24, 5, 8]
# ls, d, difference of expansion, difference of temperature, expansion, temperature.
POINT = np.array([LS, 215.0, 0.0, 0.0, 11.5e-6, -0.1])
DOUBT = np.array(
    [
        U_LS,
        np.sqrt(np.sum(D_PARTS**2)),
        rectangular(1e-6),
        rectangular(0.05),
        rectangular(2e-6),
        np.hypot(0.2, arcsine(0.5)),
    ]
)


def gauge_length(x):
    """Length of the gauge at 20 °C: l = ls + d − ls (δα θ + αs δθ)."""
    ls, d, da, dt, alpha, theta = np.moveaxis(x, -1, 0)
    return (ls + d - ls * (da * theta + alpha * dt))[..., None]


@pytest.fixture(scope="module")
def found():
    return first_order(gauge_length, POINT, np.diag(DOUBT**2))


@pytest.mark.cited
def test_value_and_doubt(found):
    """50.000838 mm with u = 32 nm; 31.664 in GTC's own test."""
    assert found.value[0] == printed("50000838")
    assert found.standard[0] == printed("32")
    assert found.standard[0] == printed("31.664")


@pytest.mark.cited
def test_parts(found):
    """25, 9.7, 2.9 and 16.6 nm; nothing from the expansion and the temperature."""
    parts = found.contributions[0]
    for part, text in zip(parts[:4], ("25", "9.7", "2.9", "16.6"), strict=True):
        assert part == printed(text)
    # Differences leave a rounding of 5e7 nm behind; exact derivatives leave nothing.
    exact = first_order(
        gauge_length, POINT, np.diag(DOUBT**2),
        jacobian=lambda x: complex_step(gauge_length, x),
    )  # fmt: skip
    assert exact.contributions[0, 4:].tolist() == [0.0, 0.0]
    assert np.all(parts[4:] < 1e-3)


@pytest.mark.cited
def test_degrees_of_freedom(found):
    """16.75, given as 16, by Welch and Satterthwaite."""
    c = found.contributions[0]
    parts = np.array([c[0], *D_PARTS, c[2], c[3]])
    nu = effective_dof(parts, [DOF_LS, *D_DOF, 50, 2])
    assert nu == printed("16.75")
    assert np.floor(nu) == 16


@pytest.mark.cited
def test_second_order():
    """The products of small quantities bring u to 34 nm."""
    assert bend(gauge_length, POINT, np.diag(DOUBT**2)).standard[0] == printed("34")
