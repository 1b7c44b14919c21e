"""Permitted errors of tapes, rules, callipers and scales against their sources.

Sources
-------
MI-008
    Directive 2014/32/EU Annex X, as in UK SI 2016/1153 Schedule 1I chapter 1
    paragraph 2 (read).  Check values of 3, 5, 8 and 10 m tapes are printed in the
    tape guides of RS Components and Hultafors (read).
JIS B 7516
    Class 1 steel rules, read in the guide of a rule maker; the standard not seen.
DIN 862
    Callipers, a one-page extract was read whose columns had partly run together.
OIML R 76-1
    Table 6, read.
"""

import numpy as np
import pytest

from cited import DEGREE, printed
from splinewise.core.instrument_limits import (
    box_limit,
    calliper_limit,
    constant_limit,
    person_scale_limit,
    rule_limit,
    scale_limit,
    tape_limit,
)
from splinewise.errors import QuantityError


@pytest.mark.cited
@pytest.mark.parametrize(
    ("metres", "one", "two", "three"),
    [(3, "0.4", "0.9", "1.8"), (5, "0.6", "1.3", "2.6"), (8, "0.9", "1.9", "3.8"),
     (10, "1.1", "2.3", "4.6")],
)  # fmt: skip
def test_tapes(metres, one, two, three):
    """Printed limits of classes I, II, III in millimetres, mark to mark."""
    for grade, text in enumerate((one, two, three), start=1):
        assert tape_limit(metres, grade=grade) == printed(text, 1e-3)


@pytest.mark.cited
def test_a_tape_counts_whole_metres():
    """0.640 m on class II is held to 0.5 mm, not 0.428; from the hook to 0.7 mm."""
    assert tape_limit(0.640, grade=2) == printed("0.5", 1e-3)
    assert tape_limit(0.640, grade=2) != printed("0.428", 1e-3)
    assert tape_limit(0.640, grade=2, end_surface=True) == printed("0.7", 1e-3)


def test_rounding_up_forgives_the_last_bit():
    """3 m that arrives as a sum of tenths is still 3 m."""
    assert tape_limit(sum([0.1] * 30), grade=1) == tape_limit(3.0, grade=1)


@pytest.mark.cited
def test_rules():
    """Class 1 rules of 0.5, 1, 1.5 and 2 m: 0.15, 0.20, 0.25 and 0.30 mm."""
    limits = rule_limit([0.5, 1.0, 1.5, 2.0])
    assert [limit == printed(text, 1e-3) for limit, text in
            zip(limits, ("0.15", "0.20", "0.25", "0.30"), strict=True)] == [True] * 4  # fmt: skip


@pytest.mark.cited
def test_callipers():
    """Vernier 50, 60, 70 µm at 300, 400, 500 mm and 120 at 1000; digital 20, 30, 40."""
    vernier = calliper_limit([0.3, 0.4, 0.5, 1.0], step=50e-6)
    digital = calliper_limit([0.1, 0.7, 1.0], step=10e-6)

    assert np.round(vernier * 1e6).tolist() == [50, 60, 70, 120]
    assert np.round(digital * 1e6).tolist() == [20, 30, 40]
    assert calliper_limit(0.1, step=10e-6, inside=True) == printed("0.040", 1e-3)


@pytest.mark.cited
def test_scales():
    """Class III: half an interval to 500, one to 2000, one and a half to 10 000."""
    limits = scale_limit([100.0, 100.2, 400.0, 400.2, 2000.0], interval=0.2)
    assert np.round(limits / 0.2, 6).tolist() == [0.5, 1.0, 1.0, 1.5, 1.5]


def test_angle_gauges_are_surest_near_level_and_plumb():
    """0.1° near 0° and 90°, 0.2° elsewhere, either sign (from memory)."""
    angles = np.array([0.0, 0.9, 2.0, 45.0, 88.0, 89.5, 90.0, -0.5, -45.0, 180.0])
    limits = box_limit(angles * DEGREE) / DEGREE
    assert np.round(limits, 6).tolist() == [
        0.1, 0.1, 0.2, 0.2, 0.2, 0.1, 0.1, 0.1, 0.2, 0.1,
    ]  # fmt: skip


def test_bathroom_scales():
    """One kilogram up to 100 kg, one per cent beyond (from memory)."""
    assert person_scale_limit([40.0, 300.0]).tolist() == [1.0, 3.0]


def test_a_constant_limit():
    """The same for every reading."""
    assert constant_limit(0.5)(np.array([1.0, 2.0])).tolist() == [0.5, 0.5]


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: tape_limit(1.0, grade=4), "grade must be 1, 2 or 3; got 4"),
        (lambda: tape_limit(-1.0, grade=1), "length must be 0 or more; got -1 m"),
        (lambda: calliper_limit(1.2, step=1e-5), "length must be at most 1 m"),
        (lambda: calliper_limit(0.1, step=0.0), "step must be positive"),
        (lambda: scale_limit(2001.0, interval=0.2), "at most 10 000 intervals"),
    ],
)
def test_beyond_the_tables(call, message):
    """Outside its table a limit is refused, not guessed."""
    with pytest.raises(QuantityError, match=message):
        call()
