"""A planar double wishbone at nineteen positions, both ways of assembling it.

Source
------
MathGroup archive, message mg64453 of 17 February 2006 and its thread (a problem of a
front suspension, answered with a table found by another system's root finder); read
at forums.wolfram.com/mathgroup/archive/2006/Feb/msg00373.html.

A lower arm of 13 turns about (0, 0), an upper arm of 8 about (5, 7), an upright of 7
joins their ends; the table gives the upper arm's angle to six digits for the lower
arm's from 0° to 90° by 5°, two roots to each.  Its two columns hold the smaller and
the larger root: from 60° on they change places, and whoever follows one assembly has
to follow it across.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from cited import DEGREE
from splinewise.core.geometry import Circle, circle_meets_sphere, vec
from splinewise.core.jet import value
from splinewise.core.linkages import DoubleWishbone, WishbonePoints, solve

LOWER, UPPER, UPRIGHT = 13.0, 8.0, 7.0
PIVOT = np.array([5.0, 7.0])
TABLE = [
    (0, "0", "277.628"),
    (5, "8.14157", "279.009"),
    (10, "16.3816", "281.034"),
    (15, "24.8218", "283.798"),
    (20, "33.5778", "287.445"),
    (25, "42.7897", "292.171"),
    (30, "52.6316", "298.233"),
    (35, "63.3125", "305.928"),
    (40, "75.0545", "315.54"),
    (45, "88.0132", "327.201"),
    (50, "102.111", "340.683"),
    (55, "116.839", "355.264"),
    (60, "9.92425", "131.266"),
    (65, "23.8027", "144.4"),
    (70, "36.4951", "155.625"),
    (75, "47.9915", "164.805"),
    (80, "58.473", "172.123"),
    (85, "68.1628", "177.873"),
    (90, "77.2632", "182.348"),
]
# The column that holds each assembly: they change places in the row of 60°.
FIRST = [row[1] if row[0] < 60 else row[2] for row in TABLE]
SECOND = [row[2] if row[0] < 60 else row[1] for row in TABLE]
ANGLES = np.array([row[0] for row in TABLE]) * DEGREE


def six_digits(text):
    """Return half a unit in the sixth digit, which is what the table printed.

    Zeros at its end are not printed there: 315.54 is 315.540.
    """
    whole = len(text.split(".")[0].lstrip("0"))
    return 0.5 * 10.0 ** (whole - 6) if float(text) else 5e-6


def assert_printed(got, texts):
    """Compare angles to the table, whatever whole turns apart."""
    for angle, text in zip(got, texts, strict=True):
        off = (np.degrees(angle) - float(text) + 180.0) % 360.0 - 180.0
        assert abs(off) < six_digits(text), (np.degrees(angle), text)


@pytest.mark.cited
@pytest.mark.parametrize(("branch", "column"), [(-1.0, FIRST), (1.0, SECOND)])
def test_circle_meets_circle(branch, column):
    """Both roots, from the geometry alone; the plane is y–z of the vehicle."""
    circle = Circle.about(
        vec([0.0, *PIVOT]), vec([1.0, 0.0, 0.0]), vec([0.0, PIVOT[0] + UPPER, PIVOT[1]])
    )
    end = LOWER * np.stack([0 * ANGLES, np.cos(ANGLES), np.sin(ANGLES)], axis=-1)

    got = circle_meets_sphere(circle, vec(end), UPRIGHT, branch)

    assert_printed(np.arctan2(value(got.sine), value(got.cosine)), column)


def corner(lower_angle, upper_angle):
    """Return a double wishbone that moves in its front plane, drawn at these angles."""
    low = LOWER * np.array([np.cos(lower_angle), np.sin(lower_angle)])
    high = PIVOT + UPPER * np.array([np.cos(upper_angle), np.sin(upper_angle)])

    def at(x, point):
        return np.array([x, *point])

    return WishbonePoints(
        lower_front=at(2.0, [0.0, 0.0]),
        lower_rear=at(-2.0, [0.0, 0.0]),
        lower_ball=at(0.0, low),
        upper_front=at(2.0, PIVOT),
        upper_rear=at(-2.0, PIVOT),
        upper_ball=at(0.0, high),
        # Beside the lower arm and as long: it keeps the upright in its plane.
        rod_inner=at(-1.5, [0.0, 0.0]),
        rod_outer=at(-1.5, low),
        wheel_centre=at(0.0, low + np.array([2.0, 1.0])),
        spindle=np.array([0.0, 1.0, 0.0]),
        tyre_radius=3.0,
    )


@pytest.mark.cited
@pytest.mark.parametrize("column", [FIRST, SECOND])
@pytest.mark.parametrize("row", [2, 6, 9])
def test_a_double_wishbone_keeps_its_assembly(row, column):
    """Drawn at any row, it passes through all others without changing over."""
    drawn = ANGLES[row], refined(ANGLES[row], float(column[row]) * DEGREE)
    linkage = DoubleWishbone.build(corner(*drawn), outboard=1.0)

    pose = solve(linkage, ANGLES - drawn[0])

    low, high = (point.array for point in pose.steering)
    assert_allclose(np.arctan2(low[:, 2], low[:, 1]), ANGLES, atol=1e-12)
    assert_printed(np.arctan2(high[:, 2] - 7.0, high[:, 1] - 5.0), column)
    # Nothing leaves the plane, so the wheel leans and does not steer.
    assert_allclose(pose.spindle.array[:, 0], 0.0, atol=1e-9)


def refined(lower_angle, upper_angle):
    """Return the drawn upper angle to the last digit, by Newton's method.

    Six printed digits would draw an upright of another length.
    """
    for _ in range(5):
        gap = (
            PIVOT
            + UPPER * np.array([np.cos(upper_angle), np.sin(upper_angle)])
            - LOWER * np.array([np.cos(lower_angle), np.sin(lower_angle)])
        )
        way = UPPER * np.array([-np.sin(upper_angle), np.cos(upper_angle)])
        upper_angle -= (gap @ gap - UPRIGHT**2) / (2.0 * gap @ way)
    return upper_angle
