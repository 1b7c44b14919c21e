"""Clearance holes and fits against copies of the tables.

Sources
-------
ISO 273
    engineeringhardware.com, ?p=50 (to M16), and the tables of BOSL2 (`screws.scad`,
    which cites ISO 273 and ASME B18.2.8), which agree at M5 to M16, M20 and M24; M18
    and M22 in a draughtsman's table, humechan.blogspot.in.  Read.
Larger table
    The same draughtsman's table, and `clearance_hole_sizes.csv` of the PyPI package
    bd_warehouse 0.4.0.  Read.  They disagree with ISO 273 at M12, M14 and M16.
ASME B18.2.8
    BOSL2, and the same file of bd_warehouse 0.4.0.  Read.
ISO 286
    Tables of the PyPI package pressfit 0.1.0.  Read.

No standard's own page was seen.
"""

import math
from fractions import Fraction

import pytest

from cited import INCH, printed
from splinewise.core.holes import (
    ASME_B18_2_8,
    ISO_273,
    ISO_273_LARGER,
    it_grade,
    reamed_hole,
    reamed_pin,
)
from splinewise.errors import QuantityError

MM = 1e-3

METRIC = {
    5: "5.3 5.5 5.8",
    6: "6.4 6.6 7",
    8: "8.4 9 10",
    10: "10.5 11 12",
    12: "13 13.5 14.5",
    14: "15 15.5 16.5",
    16: "17 17.5 18.5",
    18: "19 20 21",
    20: "21 22 24",
    22: "23 24 26",
    24: "25 26 28",
}
LARGER = {12: "13 14 15", 14: "15 16 17", 16: "17 18 19"}
INCHES = {
    "1/4": "17/64 9/32 19/64",
    "5/16": "21/64 11/32 23/64",
    "3/8": "25/64 13/32 27/64",
    "7/16": "29/64 15/32 31/64",
    "1/2": "17/32 9/16 39/64",
    "5/8": "21/32 11/16 47/64",
    "3/4": "25/32 13/16 29/32",
    "7/8": "29/32 15/16",
    "1": "33/32 35/32 37/32",
}


@pytest.mark.cited
@pytest.mark.parametrize("size", METRIC)
def test_iso_273(size):
    """Fine, medium and coarse, in millimetres."""
    for fit, text in zip(
        ("fine", "medium", "coarse"), METRIC[size].split(), strict=True
    ):
        assert ISO_273.hole(size * MM, fit) == pytest.approx(
            float(text) * MM, rel=1e-12
        )
        assert ISO_273.hole(size * MM, fit) == printed(text, MM)


@pytest.mark.cited
@pytest.mark.parametrize("size", LARGER)
def test_the_larger_table_that_is_also_about(size):
    """A millimetre more at medium and coarse; the same at fine."""
    for fit, text in zip(
        ("fine", "medium", "coarse"), LARGER[size].split(), strict=True
    ):
        assert ISO_273_LARGER.hole(size * MM, fit) == pytest.approx(float(text) * MM)
    assert ISO_273_LARGER.hole(size * MM, "fine") == ISO_273.hole(size * MM, "fine")
    assert ISO_273_LARGER.hole(size * MM, "medium") > ISO_273.hole(size * MM, "medium")


@pytest.mark.cited
@pytest.mark.parametrize("size", INCHES)
def test_asme_b18_2_8(size):
    """Close, normal and loose, in inch fractions."""
    bolt = float(Fraction(size)) * INCH
    for fit, text in zip(
        ("close", "normal", "loose"), INCHES[size].split(), strict=False
    ):
        hole = float(Fraction(text)) * INCH
        assert ASME_B18_2_8.hole(bolt, fit) == pytest.approx(hole, rel=1e-12)


def test_a_figure_that_cannot_be_trusted_is_not_given():
    """One copy prints 15/16 in for 7/8 loose, which is what it prints for normal."""
    with pytest.raises(QuantityError, match=r"bolt must be one that ASME .* at loose"):
        ASME_B18_2_8.hole(7 / 8 * INCH, "loose")
    assert "7/8 in" not in ASME_B18_2_8.at("loose")
    assert "7/8 in" in ASME_B18_2_8.at("normal")


@pytest.mark.parametrize("table", [ISO_273, ISO_273_LARGER, ASME_B18_2_8])
def test_every_hole_takes_its_bolt_and_looser_is_larger(table):
    for bolt, holes in table.rows.items():
        known = [hole for hole in holes if hole is not None]
        assert [bolt, *known] == sorted({bolt, *known})
    assert set(table.names) == set(table.rows)
    assert "not seen" in table.standing or "Read" in table.standing


def test_bolts_are_told_by_name():
    """What a face lists; a 3/8 in bolt is not an M10."""
    assert list(ISO_273.at("fine"))[:3] == ["M5", "M6", "M8"]
    assert list(ASME_B18_2_8.at("close"))[-1] == "1 in"
    with pytest.raises(QuantityError, match=r"ISO 273 lists at medium: M5, M6, .*M24"):
        ISO_273.hole(3 / 8 * INCH, "medium")
    with pytest.raises(KeyError, match="ISO 273 has no fit 'close'; it has fine, med"):
        ISO_273.hole(0.012, "close")


def test_tables_cannot_be_changed():
    with pytest.raises(TypeError):
        ISO_273.rows[0.012] = (0.02, 0.02, 0.02)


@pytest.mark.cited
@pytest.mark.parametrize(
    ("sizes", "micrometres"),
    [
        ((8, 10), {6: 9, 7: 15, 8: 22, 9: 36, 11: 90}),
        ((12, 16), {6: 11, 7: 18, 8: 27, 9: 43, 11: 110}),
        ((20, 25), {6: 13, 7: 21, 8: 33, 9: 52, 11: 130}),
        ((40,), {6: 16, 7: 25, 8: 39, 9: 62, 11: 160}),
    ],
)
def test_iso_286_grades(sizes, micrometres):
    for size in sizes:
        for grade, width in micrometres.items():
            assert it_grade(size * MM, grade) == pytest.approx(width * 1e-6, rel=1e-12)


@pytest.mark.cited
def test_h7_and_h6():
    """25 H7 0/+21, 12 H7 0/+18, 8 H7 0/+15, 12 h6 −11/0, in micrometres."""
    for size, upper in ((25, 21), (12, 18), (8, 15)):
        limits = reamed_hole(size * MM)
        assert limits.least == size * MM
        assert limits.greatest - size * MM == pytest.approx(upper * 1e-6)
    pin = reamed_pin(12 * MM)
    assert pin.greatest == 12 * MM
    assert pin.least - 12 * MM == pytest.approx(-11e-6)


def test_a_size_belongs_to_the_band_that_ends_with_it():
    """Over one limit, up to and including the next; read in the same tables."""
    assert it_grade(18 * MM, 7) == it_grade(10.001 * MM, 7) == 18e-6
    assert it_grade(18.001 * MM, 7) == it_grade(30 * MM, 7) == 21e-6
    assert it_grade(0.0180000000000001, 7) == 18e-6  # rounding is not a size


@pytest.mark.parametrize(
    ("size", "grade", "message"),
    [
        (3 * MM, 7, r"size must be over 0.003 up to 0.05; got 0.003 m"),
        (51 * MM, 7, r"size must be .*; got 0.051 m"),
        (math.nan, 7, r"size must be .*; got nan m"),
        (12 * MM, 5, r"grade must be a whole number from 6 to 11; got 5"),
        (12 * MM, 6.5, r"grade must be a whole number from 6 to 11; got 6.5"),
    ],
)
def test_what_the_table_does_not_hold_is_refused(size, grade, message):
    with pytest.raises(QuantityError, match=message):
        it_grade(size, grade)
