"""Diameters of tyres from their sizes, against tables in print.

Sources
-------
Worked values
    205/65R15, 245/70R16 and 245/55R18 in guides to tyre sizes, read as quoted there.
Maker
    A maker's table of radial and cross-ply sizes, inches, quoted at forwardlook.net
    (msg08480), read.
R 30
    UNECE Regulation 30, annexes, from memory; they were not seen.
"""

import pytest

from cited import INCH, printed
from splinewise.core.tyre_size import designation


@pytest.mark.cited
@pytest.mark.parametrize(
    ("size", "figure", "unit"),
    [("245/70R16", "749", 1e-3), ("245/55R18", "726.7", 1e-3)],
)
def test_worked_values(size, figure, unit):
    """Rim and twice the section height."""
    assert designation(size).diameter == printed(figure, unit)


@pytest.mark.cited
def test_a_worked_value_cut_short():
    """205/65R15 is 647.5 mm; the source prints 647, its half millimetre cut off."""
    d = designation("205/65R15").diameter

    assert d == pytest.approx(0.6475, abs=1e-12)
    assert int(d * 1e3) == 647


@pytest.mark.cited
@pytest.mark.parametrize(
    ("size", "inches"),
    [
        ("P215/70R15", "26.90"),
        ("P225/70R15", "27.40"),
        ("P235/70R15", "28.00"),
        ("P215/75R15", "27.62"),
        ("P225/75R15", "28.29"),
        ("P235/75R15", "28.91"),
    ],
)
def test_a_makers_radials_lie_within_the_half_range(size, inches):
    """Six sizes as made, each within what `half_range` allows."""
    made = float(inches) * INCH

    assert abs(designation(size).diameter - made) <= designation(size).half_range


@pytest.mark.cited
def test_a_makers_radials_need_the_half_range():
    """One of the six is 1.96 mm off: the 2 mm is no idle margin."""
    off = abs(designation("P215/75R15").diameter - 27.62 * INCH)

    assert off > 0.95 * designation("P215/75R15").half_range


@pytest.mark.cited
def test_no_aspect_printed():
    """165R15 is given as 645 mm, with 80 for the aspect; 82 would be 651.6 mm."""
    size = designation("165R15")

    assert size.rim + 2 * size.width * 0.80 == printed("645", 1e-3)
    assert abs(size.diameter - 0.645) <= size.half_range
    assert abs(size.diameter - (0.381 + 2 * 0.165 * 0.82)) <= size.half_range


@pytest.mark.cited
def test_a_makers_cross_ply():
    """7.60-15 as made: 28.66 in over all."""
    size = designation("7.60-15")

    assert abs(size.diameter - 28.66 * INCH) <= size.half_range


@pytest.mark.parametrize(
    ("size", "diameter_mm"),
    [
        ("5.20-10", 508), ("5.20-12", 560), ("5.60-13", 600), ("5.90-13", 616),
        ("6.40-13", 642), ("5.60-15", 650), ("5.90-15", 668), ("6.40-15", 692),
        ("6.70-15", 710), ("7.10-15", 724), ("7.60-15", 742), ("8.20-15", 760),
        ("5.50-12", 552), ("6.00-13", 600), ("6.50-13", 620), ("7.00-14", 668),
        ("6.00-16", 728), ("7.50-16", 805),
    ],
)  # fmt: skip
def test_cross_ply_sizes_as_remembered(size, diameter_mm):
    """R 30 (the last two: a truck tyre table), from memory, not verified."""
    read = designation(size)

    assert abs(read.diameter - diameter_mm / 1e3) <= read.half_range


@pytest.mark.parametrize(
    ("size", "diameter_mm"), [("185/70R15", 641), ("155R13", 578), ("185R14", 650)]
)
def test_radial_sizes_as_remembered(size, diameter_mm):
    """R 30, from memory: heights are rounded to whole millimetres there."""
    read = designation(size)

    assert abs(read.diameter - diameter_mm / 1e3) <= read.half_range
