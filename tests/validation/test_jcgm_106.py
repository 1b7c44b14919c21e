"""Conformity after JCGM 106.

Source
------
JCGM 106:2012, *The role of measurement uncertainty in conformity assessment*.  The
inputs of the resistor example were read in a public file; all printed results, and
the other inputs, are from memory.
"""

import pytest

from cited import printed
from splinewise.core.conformity import (
    Outcome,
    assess,
    guard_band,
    inside_probability,
    largest_shown,
)
from splinewise.core.risks import global_risks

INFINITE = float("inf")


@pytest.mark.cited
def test_breakdown_voltage():
    """Y = -5.47 V, u = 0.05 V, upper limit -5.40 V: probability 0.92 (from memory)."""
    assert inside_probability(-5.47, 0.05, -INFINITE, -5.40) == printed("0.92")


@pytest.mark.cited
def test_oil_viscosity():
    """13.6 ± 1.8 in 12.5 to 16.3: probability 0.66 (from memory), so cannot tell."""
    verdict = assess(13.6, 1.8, 12.5, 16.3)

    assert verdict.inside == printed("0.66")
    assert verdict.outcome is Outcome.CANNOT_TELL


@pytest.mark.cited
def test_speed_check():
    """100 km/h is surely passed (99.9 %) by a reading of 107 with u = 2 % of it."""
    assert largest_shown(100.0, 0.02, 0.999) == printed("107")


@pytest.mark.cited
def test_guard_band_of_two_u():
    """A risk of 2.3 % is a guard band of 2 u (from memory: the 106's r = 1 rule)."""
    assert guard_band(1.0, 0.023) == printed("2.0")


@pytest.mark.cited
def test_resistors():
    """Consumer's risk 1 %, producer's 7 % (from memory; inputs read)."""
    risks = global_risks(1500.0, 0.12, 0.04, (1499.8, 1500.2), (1499.82, 1500.18))

    assert risks.consumer == printed("0.01")
    assert risks.producer == printed("0.07")


def test_resistors_to_more_digits():
    """Own recomputation by another route: 0.00988, 0.06903; with A = T 0.01894, 0.03721."""
    tolerance = (1499.8, 1500.2)
    guarded = global_risks(1500.0, 0.12, 0.04, tolerance, (1499.82, 1500.18))
    simple = global_risks(1500.0, 0.12, 0.04, tolerance, tolerance)

    assert guarded.consumer == printed("0.00988")
    assert guarded.producer == printed("0.06903")
    assert simple.consumer == printed("0.01894")
    assert simple.producer == printed("0.03721")
