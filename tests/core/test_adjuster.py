"""Adjusters against the same geometry drawn with complex numbers, and their laws.

Nothing in print stands behind these figures: all is plain geometry, done twice.
"""

import cmath
import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from cited import DEGREE
from splinewise.core.adjuster import HoleRow, Screw, Slot, after, spare
from splinewise.core.splines import Splines, moves
from splinewise.errors import QuantityError, ReachError

senses = st.sampled_from([1, -1])
shares = st.floats(-1.0, 1.0)
jointed = st.floats(0.03, 2.0)  # m, from joint to joint of the screw
unjointed = st.just(math.inf)


@st.composite
def screws(draw, *, lengths=jointed):
    """A lever of 30 to 200 mm, well away from dead centre."""
    radius = draw(st.floats(0.03, 0.2))
    length = draw(lengths)
    try:
        return Screw(
            radius,
            draw(st.floats(0.0005, 0.003)),
            draw(st.floats(1.0, 40.0)),
            draw(st.floats(40.0, 140.0)) * DEGREE,
            length,
            draw(senses),
        )
    except QuantityError:
        assume(False)


@st.composite
def slots(draw):
    radius = draw(st.floats(0.02, 0.2))
    return Slot(radius, draw(st.floats(0.01, 1.5)) * radius, draw(senses))


@st.composite
def rows(draw):
    radius = draw(st.floats(0.02, 0.2))
    count = draw(st.integers(2, 12))
    return HoleRow(radius, draw(st.floats(0.05, 0.4)) * radius, count, draw(senses))


def of_any_length():
    return screws() | screws(lengths=unjointed)


@pytest.mark.independent
@given(screws(), shares)
def test_a_jointed_screw_closes_its_triangle(screw, share):
    """Turn the lever by the angle found: the joints are as far apart as the screw."""
    lever = complex(screw.radius, 0.0)
    # The way back to the bar's axis, turned by β, is the way to the body's joint.
    body = lever - screw.length * cmath.rect(1.0, -screw.angle)
    position = share * screw.half

    turn = screw.sense * float(screw.angle_at(position))

    # A longer screw drives the lever away from the body's joint.
    away = -1.0 if cmath.phase(body) > 0 else 1.0
    found = abs(body - lever * cmath.rect(1.0, away * turn))
    assert found == pytest.approx(screw.length + position * screw.pitch, rel=1e-9)


@pytest.mark.independent
@given(screws(lengths=unjointed), shares)
def test_a_screw_that_keeps_its_direction_pushes_the_joint_along_it(screw, share):
    """What the joint moves along the screw is what the screw grew."""
    lever = complex(screw.radius, 0.0)
    to_body = -cmath.rect(1.0, -screw.angle)  # as above, infinitely far
    position = share * screw.half

    turn = screw.sense * float(screw.angle_at(position))

    away = -1.0 if to_body.imag > 0 else 1.0
    moved = lever * cmath.rect(1.0, away * turn) - lever
    along = -(moved * to_body.conjugate()).real
    assert along == pytest.approx(position * screw.pitch, abs=1e-12)


@given(screws(lengths=unjointed), shares)
def test_a_very_long_screw_keeps_its_direction(screw, share):
    long = Screw(screw.radius, screw.pitch, screw.turns, screw.angle, 1e5, screw.sense)
    assert_allclose(
        long.angle_at(share * screw.half), screw.angle_at(share * screw.half), atol=1e-5
    )


def test_a_square_screw_by_hand():
    """100 mm lever, 1.5 mm thread, square in the middle: asin(7.5/100) for 5 turns.

    Own arithmetic: 4.3012°, where small angles would say 4.2972°.
    """
    screw = Screw(0.100, 0.0015, 12.0, math.pi / 2, math.inf, 1)

    assert screw.angle_at(5.0) == pytest.approx(math.asin(0.075), rel=1e-14)
    assert screw.angle_at(5.0) / DEGREE == pytest.approx(4.3012, abs=5e-5)
    assert screw.angle_at(0.0) == 0.0
    assert screw.rate_at(0.0) == pytest.approx(0.0015 / 0.100)
    assert screw.half == 6.0


def test_a_slot_by_hand():
    """A slot of 60 mm straight at a radius of 60 mm spans 60°: an equilateral."""
    slot = Slot(0.060, 0.060, 1)

    assert slot.angle_at(slot.half) == pytest.approx(30 * DEGREE)
    assert slot.half == pytest.approx(2 * 0.060 * math.sin(15 * DEGREE))


def test_a_row_of_holes_by_hand():
    """Six holes round, one at each corner of a hexagon, are as far apart as from O."""
    row = HoleRow(0.05, 0.05, 5, -1)

    assert row.step == pytest.approx(60 * DEGREE)
    assert_allclose(row.angle_at([-2, 0, 1]), np.array([120, 0, -60]) * DEGREE)


@given(of_any_length() | slots(), shares)
def test_position_to_angle_and_back(adjuster, share):
    position = share * adjuster.half
    angle = adjuster.angle_at(position)
    assert_allclose(adjuster.position_at(angle), position, atol=1e-9 * adjuster.half)


@given(of_any_length() | slots() | rows())
def test_more_is_always_further_the_same_way(adjuster):
    """The turn grows with the position, by the sense, all through the range."""
    n = adjuster.count if isinstance(adjuster, HoleRow) else 21
    positions = np.linspace(-adjuster.half, adjuster.half, n)

    turns = adjuster.sense * adjuster.angle_at(positions)

    assert np.all(np.diff(turns) > 0.0)
    assert np.all(adjuster.sense * adjuster.rate_at(positions) > 0.0)


@pytest.mark.independent
@given(of_any_length() | slots(), st.floats(-0.9, 0.9))
def test_the_rate_is_the_slope(adjuster, share):
    """Against a central difference."""
    x, h = share * adjuster.half, 1e-5 * adjuster.half
    low, high = adjuster.angle_at([x - h, x + h])
    assert_allclose(adjuster.rate_at(x), (high - low) / (2 * h), rtol=1e-5)


@given(of_any_length() | slots(), shares, shares)
def test_what_is_spare_can_be_given_and_no_more(adjuster, share, part):
    position = share * adjuster.half
    low, high = spare(adjuster, position)

    assert low <= 1e-12
    assert high >= -1e-12
    wanted = low + (high - low) * (part + 1) / 2
    setting = after(adjuster, position, wanted)
    assert setting.share <= 1.0
    assert_allclose(setting.position, position + setting.change, rtol=1e-9, atol=1e-12)
    got = adjuster.angle_at(setting.position) - adjuster.angle_at(position)
    assert_allclose(got, wanted, atol=1e-9)
    for past in (low - 1e-3, high + 1e-3):
        with pytest.raises(ReachError, match="it cannot turn it by"):
            after(adjuster, position, past)


@given(rows(), st.floats(-0.5, 0.5))
def test_a_row_of_holes_gives_the_nearest_hole(row, off):
    """What it cannot give is left over, never over half a hole."""
    start = -row.half
    wanted = row.sense * (row.count // 2 + off) * row.step * 0.999

    setting = after(row, start, wanted)

    assert abs(setting.left_over) <= row.step * 0.5 * (1 + 1e-9)
    given_ = row.angle_at(setting.position) - row.angle_at(start)
    assert_allclose(given_ + setting.left_over, wanted, atol=1e-12)


@pytest.mark.parametrize("count", [3, 4])
def test_half_a_hole_past_the_end_is_still_the_end_hole(count):
    row = HoleRow(0.05, 0.01, count, 1)
    for way in (1, -1):
        edge = way * (row.half + 0.5) * row.step
        assert row.position_at(edge) == way * row.half
        with pytest.raises(ReachError, match="it cannot turn it by"):
            row.position_at(edge * 1.01)


def test_a_lever_past_its_dead_centre_is_out_of_reach():
    """150° asks as much of the screw as 30°, but the lever cannot get there."""
    screw = Screw(0.03, 0.003, 16.0, math.pi / 2, math.inf, 1)

    assert screw.position_at(30 * DEGREE) == pytest.approx(5.0)
    with pytest.raises(ReachError, match=r"it cannot turn it by 2\.61799 rad"):
        screw.position_at(150 * DEGREE)


def test_nearly_once_round_is_not_a_short_way_along_the_slot():
    """350° and −10° are as far apart in a straight line."""
    slot = Slot(0.06, 0.06, 1)

    assert slot.position_at(-10 * DEGREE) < 0.0
    with pytest.raises(ReachError, match="it cannot turn it by"):
        slot.position_at(350 * DEGREE)


def test_no_adjuster_has_nothing_to_spare():
    assert spare(None) == (0.0, 0.0)


def test_splines_and_a_screw_together():
    """24 teeth at one end, 10° wanted, the screw two turns from its middle."""
    screw = Screw(0.1, 0.0015, 16.0, math.pi / 2, math.inf, 1)
    now = 2.0

    best = moves(Splines(24, 1), 10 * DEGREE, adjuster=spare(screw, now))[0]
    setting = after(screw, now, best.adjuster)

    assert best.remains == pytest.approx(0.0, abs=1e-12)
    assert setting.share < 1.0
    reached = best.turn + screw.angle_at(setting.position) - screw.angle_at(now)
    assert reached == pytest.approx(10 * DEGREE)


def test_arguments_broadcast():
    screw = Screw(0.1, 0.0015, 12.0, 1.4, 0.2, -1)
    table = after(screw, [[0.0], [1.0]], [0.0, 0.01, 0.02])

    assert table.position.shape == (2, 3)
    assert table.position[1, 2] == after(screw, 1.0, 0.02).position


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Screw(0, 1e-3, 9, 1.5, 0.2, 1), r"radius must be positive; got 0 m"),
        (lambda: Screw(0.1, -1e-3, 9, 1.5, 0.2, 1), r"pitch must be positive"),
        (lambda: Screw(0.1, 1e-3, 0, 1.5, 0.2, 1), r"turns must be positive"),
        (lambda: Screw(0.1, 1e-3, 9, 3.2, 0.2, 1), r"angle must be between 0 and half"),
        (lambda: Screw(0.1, 1e-3, 9, math.nan, 0.2, 1), r"angle .*; got nan rad"),
        (lambda: Screw(0.1, 1e-3, 9, 1.5, math.nan, 1), r"length must be positive"),
        (lambda: Screw(0.1, 1e-3, 9, 1.5, 0.2, 0), r"sense must be 1 or −1; got 0"),
        (
            lambda: Screw(0.01, 1.5e-3, 16, 1.5, math.inf, 1),
            r"turns must be so few that the lever never comes in line with the screw",
        ),
        (
            lambda: Screw(0.1, 1.5e-3, 300, 1.5, 0.2, 1),
            r"turns must be so few that .* in line with the screw; got 300 turns",
        ),
        (lambda: Slot(0.06, 0.13, 1), r"length must be no longer than twice the rad"),
        (lambda: Slot(0.06, math.inf, 1), r"length must be finite"),
        (lambda: HoleRow(0.06, 0.13, 3, 1), r"pitch must be no longer than twice"),
        (lambda: HoleRow(0.06, 0.01, 1, 1), r"count must be a whole number, 2 or more"),
        (lambda: HoleRow(0.05, 0.05, 7, 1), r"count must be no more than fit once"),
        (lambda: HoleRow(0.05, 0.02, 4, 1).angle_at(1.0), r"position must be a hole"),
        (lambda: Slot(0.06, 0.03, 1).angle_at(0.02), r"position must be from -0.015"),
        (lambda: Slot(0.06, 0.03, 1).angle_at(math.nan), r"position must be finite"),
    ],
)
def test_impossible_adjusters_and_positions_are_refused(make, message):
    with pytest.raises(QuantityError, match=message):
        make()
