"""Teeth: the moves ranked, told from a stated place, and the adjuster's part."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import cars
from cars import demo, figure, inches, reading, with_corner
from cited import DEGREE
from splinewise.core.adjuster import HoleRow, Screw, Slot, after
from splinewise.core.splines import Splines
from splinewise.errors import TaskError
from splinewise.tasks.plan import plan
from splinewise.tasks.slack import slack_from
from splinewise.tasks.teeth import SeenFrom, place_words, teeth_for, turn_of_gap
from splinewise.tasks.teeth_of_car import adjuster_words, teeth
from splinewise.tasks.values import Value

FRONT_LEFT = SeenFrom((1.0, 0.0, 0.0), "front")
FRONT_RIGHT = SeenFrom((-1.0, 0.0, 0.0), "front")


def turn(degrees, doubt=None):
    return Value(degrees * DEGREE, "rad", None if doubt is None else doubt * DEGREE)


# --- two counts and a turn


@pytest.mark.parametrize(
    ("arm", "anchor", "step"), [(24, 25, 0.6), (42, 48, 360 / 336)]
)
def test_the_index_step_is_a_turn_over_the_least_common_multiple(arm, anchor, step):
    """24 and 25 teeth give 0.6°: common practice, no source.  42 and 48 share a factor."""
    found = teeth_for(Splines(arm, anchor), turn(2.0))

    assert found.index_step.value == pytest.approx(step * DEGREE)
    assert found.arm_step.value == pytest.approx(360 / arm * DEGREE)
    assert found.anchor_step.value == pytest.approx(360 / anchor * DEGREE)


@pytest.mark.independent
@given(st.tuples(st.integers(2, 40), st.integers(2, 40)), st.floats(-175.0, 175.0))
def test_every_move_turns_what_it_says(counts, wanted):
    """Teeth times their steps, and whole turns left aside; the best leaves least."""
    arm, anchor = counts
    found = teeth_for(Splines(arm, anchor), turn(wanted))

    lattice = 360.0 / math.lcm(arm, anchor)
    for move in (*found.moves, found.arm_alone, found.anchor_alone):
        got = move.arm * 360.0 / arm + move.anchor * 360.0 / anchor
        told = math.degrees(move.turn.value)
        assert (got - told) / 360.0 == pytest.approx(
            round((got - told) / 360.0), abs=1e-9
        )
        assert told + math.degrees(move.left_over.value) == pytest.approx(wanted)
        assert move.teeth == abs(move.arm) + abs(move.anchor)
        assert move.ends == (move.arm != 0) + (move.anchor != 0)
    nearest = round(wanted / lattice) * lattice
    best = math.degrees(found.moves[0].left_over.value)
    assert abs(best) == pytest.approx(abs(wanted - nearest), abs=1e-5)
    assert found.reachable


def test_labour_decides_within_the_turns_own_doubt():
    sure = teeth_for(Splines(27, 28), turn(1.3))
    unsure = teeth_for(Splines(27, 28), turn(1.3, doubt=1.5))

    assert sure.moves[0].teeth == 6
    assert unsure.moves[0].teeth == 0
    assert "not known well enough to tell one index step" in unsure.warnings[0]
    # What is left over is more than half a step, but less than its doubt.
    assert sure.reachable
    assert unsure.reachable


def test_both_ends_to_go_one_way_only():
    stuck = teeth_for(Splines(1, 1), turn(2.0))
    lucky = teeth_for(Splines(1, 1), turn(0.0))
    near = teeth_for(Splines(1, 1), turn(0.3, doubt=0.2))

    assert not stuck.reachable
    assert "only an adjuster can change" in stuck.warnings[0]
    assert "No move brings the bar to where it should be." in stuck.warnings
    assert lucky.reachable
    assert near.reachable
    assert not any("Count the teeth" in w for w in stuck.warnings)


def test_an_adjuster_takes_up_what_it_can():
    found = teeth_for(Splines(1, 1), turn(2.0), adjuster=(-1.5 * DEGREE, 1.5 * DEGREE))

    (best,) = found.moves
    assert best.adjuster.value == pytest.approx(1.5 * DEGREE)
    assert best.remains.value == pytest.approx(0.5 * DEGREE)
    assert not found.reachable


@pytest.mark.parametrize(
    ("seen", "arm", "anchor"),
    [
        (None, "toward bump", "toward droop"),
        (FRONT_LEFT, "anticlockwise", "clockwise"),
        (FRONT_RIGHT, "clockwise", "anticlockwise"),
    ],
)
def test_each_side_is_told_its_own_way(seen, arm, anchor):
    """In front of the car, looking rearward, the left arm rises anticlockwise: it points
    to the viewer's right (tests/core/test_direction.py draws it).
    """
    found = teeth_for(Splines(27, 28), turn(1.43), seen_from=seen)

    assert found.moves[0].steps == (
        (
            "Arm end: draw the bar out of the arm, leave the bar where it is in the "
            f"anchor, turn the arm 3 teeth {arm}, and push it home."
        ),
        (
            "Anchor end: draw the bar out of the anchor with the arm still on it, turn "
            f"bar and arm together 3 teeth {anchor}, and push it home."
        ),
    )
    assert found.bump_way == ("" if seen is None else arm)
    assert found.seen_from == ("" if seen is None else place_words("front"))


def test_one_tooth_is_one_tooth():
    found = teeth_for(Splines(24, 25), turn(0.6), seen_from=FRONT_LEFT)

    assert "turn the arm 1 tooth anticlockwise" in found.moves[0].steps[0]


def test_a_bar_to_stay_as_it_is():
    found = teeth_for(Splines(24, 25), turn(0.0))

    assert found.moves[0].steps == ("Leave both ends as they are.",)
    assert found.moves[0].within_doubt


def test_counting_is_asked_for_until_it_is_done():
    asked = teeth_for(Splines(24, 25), turn(1.0)).warnings
    done = teeth_for(Splines(24, 25), turn(1.0), counted=True).warnings

    assert asked[0].startswith("Count the teeth at each end yourself")
    assert asked[1:] == done
    assert any("slack in the splines" in w for w in done)


# --- a gap


@pytest.mark.independent
@pytest.mark.parametrize("degrees", [0.0, 0.5, 3.0, 90.0, 170.0])
def test_a_gap_at_a_radius(degrees):
    """Two points at a radius, apart by that angle: their distance is the gap."""
    r = 0.18415
    a, b = (
        r * np.array([math.cos(x), math.sin(x)]) for x in (0.2, 0.2 + degrees * DEGREE)
    )

    found = turn_of_gap(float(np.linalg.norm(a - b)), r)

    assert found.value == pytest.approx(degrees * DEGREE, abs=1e-8)
    assert found.doubt is None


@pytest.mark.independent
def test_its_doubt_against_drawn_numbers():
    rng = np.random.default_rng(2)
    gaps = 0.02 + 4e-4 * rng.standard_normal(4000)
    radii = 0.18 + 3e-3 * rng.standard_normal(4000)

    found = turn_of_gap(0.02, 0.18, gap_doubt=4e-4, radius_doubt=3e-3)

    many = 2.0 * np.arcsin(gaps / (2.0 * radii))
    assert found.doubt == pytest.approx(np.std(many), rel=0.04)
    assert turn_of_gap(0.02, 0.18, gap_doubt=4e-4).doubt < found.doubt


@pytest.mark.parametrize(
    ("gap", "radius", "words"),
    [
        (
            0.5,
            0.2,
            r"500\.0 mm is wider than any turn can open at a radius of 200\.0 mm",
        ),
        (-0.01, 0.2, "a gap has no sign"),
        (0.01, 0.0, "the radius must be above 0"),
        (math.nan, 0.2, "a gap has no sign"),
    ],
)
def test_gaps_that_cannot_be(gap, radius, words):
    with pytest.raises(ValueError, match=words):
        turn_of_gap(gap, radius)


# --- a car


@pytest.mark.parametrize("side", ["left", "right"])
def test_moving_as_told_and_planning_again_leaves_what_was_said(side):
    """The turn of each move put into the slack angle, the length read again: what is
    then wanting is what was said to be left over.
    """
    car = demo("tourer")
    height = car.corners["front-left"].ride_height.wanted
    planned = plan(car, side, ride_height=height)
    name = planned.corner
    corner = car.corners[name]

    for move in teeth(car, planned).moves:
        now = teeth(car, planned).present.value + move.turn.value
        span = cars.length(corner, "setting length", now)
        moved = with_corner(
            car,
            name,
            readings=(reading("setting length", span, 1e-9),),
        )
        again = teeth(moved, plan(moved, side, ride_height=height))
        assert again.turn.value == pytest.approx(move.left_over.value, abs=1e-9)


def test_what_is_left_over_is_told_as_ride_height():
    """The slack angle of each move, and the tourer let stand: so much too high."""
    car = demo("tourer")
    planned = plan(
        car, "left", ride_height=car.corners["front-left"].ride_height.wanted
    )
    found = teeth(car, planned)
    tourer = cars.tourer_left()
    wanted = tourer.rise(tourer.stands(planned.slack_angle.value))

    for move in found.moves[:3]:
        slack = found.present.value + move.turn.value
        high = wanted - tourer.rise(tourer.stands(slack))
        assert move.height_left_over.value == pytest.approx(high, abs=1e-7)


def test_the_story_of_the_tourer():
    """Its file says: set as published at the left, three index steps round at the right."""
    car = demo("tourer")

    left = teeth(car, plan(car, "left"))
    right = teeth(car, plan(car, "right"))

    assert left.moves[0].teeth == 0
    assert (right.moves[0].arm, right.moves[0].anchor) == (3, -3)
    assert right.turn.value == pytest.approx(
        3 * right.index_step.value, abs=0.1 * DEGREE
    )


def test_left_and_right_mirror():
    """The same turn is the same move, told the other way round."""
    car = demo("tourer")
    seen = reading("setting length", inches("18 19/32"))
    car = with_corner(
        car,
        "front-right",
        load=car.corners["front-left"].load,
    )
    height = figure(inches("14 3/4"))

    left = teeth(car, plan(car, "left", ride_height=height), seen=seen)
    right = teeth(car, plan(car, "right", ride_height=height), seen=seen)

    assert [(m.arm, m.anchor) for m in left.moves] == [
        (m.arm, m.anchor) for m in right.moves
    ]
    assert {left.bump_way, right.bump_way} == {"clockwise", "anticlockwise"}
    other = {"clockwise": "anticlockwise", "anticlockwise": "clockwise"}
    for a, b in zip(left.moves[0].steps, right.moves[0].steps, strict=True):
        words = [other.get(word.strip(","), word.strip(",")) for word in a.split()]
        assert words == [word.strip(",") for word in b.split()]


def test_a_reading_given_goes_before_the_files():
    car = demo("van")
    planned = plan(car, "left")
    seen = reading("arm slope", -30.0 * DEGREE, 0.2 * DEGREE, name="tried again")

    found = teeth(car, planned, seen=seen)

    corner = car.corners["front-left"]
    assert found.present == slack_from(corner, seen).slack_angle
    assert found.because == (
        "set to the published setting length; set now as its tried again says"
    )
    assert found.turn.doubt == pytest.approx(
        math.hypot(planned.slack_angle.doubt, found.present.doubt)
    )


def test_nothing_read_is_told_with_what_was_passed_over():
    hanging = reading("arm slope", -0.6, state="hanging", name="hanging arm")
    car = with_corner(demo("van"), "front-left", readings=(hanging,))

    with pytest.raises(
        TaskError, match="Nothing was read of how front-left is set now"
    ):
        teeth(with_corner(car, "front-left", readings=()), plan(car, "left"))
    with pytest.raises(
        TaskError, match="'hanging arm' was taken with the wheel hanging"
    ):
        teeth(car, plan(car, "left"))


def test_what_the_plan_breaks_is_told_again():
    car = demo("tourer")
    planned = plan(car, "left")

    assert planned.breaks[0] in teeth(car, planned).warnings


def test_so_many_moves_as_are_asked_for():
    car = demo("tourer")
    planned = plan(car, "left", ride_height=figure(inches("14 3/4")))

    assert len(teeth(car, planned, most=2).moves) == 2


def test_one_tooth_alone_is_told_as_height():
    """Fine splines: a tooth of 120 is 3°, about 21 mm on the van."""
    car = with_corner(demo("van"), "front-left", splines=Splines(120, 1))
    planned = plan(car, "left")

    told = [w for w in teeth(car, planned).warnings if w.startswith("One tooth")]

    height = {s.cause: s.height.value for s in planned.sensitivities}
    tooth = height["one tooth at the arm end alone, toward droop"]
    assert told == [
        f"One tooth at one end alone moves the wheel by about {tooth * 1e3:.1f} mm."
    ]


# --- the adjuster


def adjusted(adjuster, at, wanted, *, doubt=1e-7):
    """Return the van's left corner with an adjuster, and a turn wanted. [degree]"""
    car = with_corner(demo("van"), "front-left", adjuster=adjuster, adjuster_at=at)
    planned = plan(car, "left", ride_height=figure(0.411))
    corner = car.corners["front-left"]
    slack = planned.slack_angle.value - wanted * DEGREE
    seen = reading("arm slope", slack + corner.drawn_slope, doubt)
    return corner, teeth(car, planned, seen=seen)


def test_a_screw_is_told_in_turns_and_by_what_it_does():
    screw = Screw(0.068, 1.5e-3, 20.0, math.radians(90.0), 0.074, -1)

    corner, found = adjusted(screw, 0.0, -3.0)

    change = float(after(screw, 0.0, -3.0 * DEGREE).change)
    assert change > 0.0
    assert found.adjuster_change == (
        f"Turn the screw {change:.1f} turns so that it grows longer, which turns the "
        f"arm toward droop. The screw then stands {change / 10:.0%} of the way from the "
        "middle to its end.".replace("%", " %")
    )
    assert found.moves[0].remains.value == pytest.approx(0.0, abs=1e-12)
    _, up = adjusted(screw, 0.0, 3.0)
    assert "grows shorter, which turns the arm toward bump" in up.adjuster_change
    assert adjuster_words(corner).startswith("The screw can still give 12.7")


@pytest.mark.independent
def test_a_slot_is_told_along_its_slot():
    """A turn φ moves the bolt by 2 r sin(φ/2): 80 mm and 2° are 2.79 mm."""
    _, found = adjusted(Slot(0.080, 0.020, 1), 0.0, 2.0)

    moved = 2 * 80.0 * math.sin(math.radians(1.0))
    assert found.adjuster_change.startswith(
        f"Move the bolt of the slotted bracket {moved:.2f} mm along its slot, toward bump."
    )


def test_a_row_of_holes_gives_whole_holes():
    """Five holes at 80 mm, 4 mm apart: 2.865° each.  For 4°, one hole, and 1.1° remain."""
    row = HoleRow(0.080, 0.004, 5, 1)

    corner, found = adjusted(row, 0.0, 4.0)

    step = 2 * math.degrees(math.asin(2.0 / 80.0))
    (best,) = found.moves
    assert found.adjuster_change.startswith(
        "Move the bolt of the row of holes 1 hole toward"
    )
    assert math.degrees(best.adjuster.value) == pytest.approx(step)
    assert math.degrees(best.remains.value) == pytest.approx(4.0 - step)
    assert "row of holes can still give" in adjuster_words(corner)
    _, two = adjusted(row, 0.0, -2 * step)
    assert "2 holes toward droop" in two.adjuster_change


def test_an_adjuster_keeps_to_its_end():
    slot = Slot(0.080, 0.010, 1)
    half = math.degrees(float(slot.angle_at(slot.half)))

    _, found = adjusted(slot, 0.0, half + 1.0)

    assert math.degrees(found.moves[0].remains.value) == pytest.approx(1.0)
    assert not found.reachable
    assert "100 % of the way" in found.adjuster_change


def test_what_is_within_its_doubt_is_left_alone():
    screw = Screw(0.068, 1.5e-3, 20.0, math.radians(90.0), 0.074, -1)

    _, screwed = adjusted(screw, 0.0, 0.2, doubt=0.01)
    _, slotted = adjusted(Slot(0.080, 0.020, 1), 0.0, 0.2, doubt=0.01)

    assert screwed.adjuster_change == "Leave the screw where it is."
    assert slotted.adjuster_change == "Leave the bolt of the adjuster where it is."


def test_no_adjuster_has_no_words():
    corner, found = adjusted(None, 0.0, 1.0)

    assert adjuster_words(corner) == ""
    assert found.adjuster == found.adjuster_change == ""


def test_the_teeth_are_chosen_so_that_the_adjuster_ends_near_its_middle():
    """At an end of its slot, it is brought back to the middle by teeth."""
    slot = Slot(0.080, 0.020, 1)
    car = with_corner(
        demo("tourer"), "front-left", adjuster=slot, adjuster_at=slot.half
    )
    planned = plan(car, "left")
    corner = car.corners["front-left"]
    seen = reading("arm slope", planned.slack_angle.value + corner.drawn_slope, 1e-9)

    best = teeth(car, planned, seen=seen).moves[0]

    # The slack angle is right as it is, but only thanks to all of the adjuster.
    end = float(slot.angle_at(slot.half))
    assert best.turn.value == pytest.approx(end, abs=0.5 * 0.4762 * DEGREE)
    assert best.adjuster.value == pytest.approx(-best.turn.value)


def test_no_bar_is_drawn_to_bring_an_adjuster_a_little_nearer_its_middle():
    """A fifth of the way out, nothing is moved; at two fifths it is."""
    slot = Slot(0.080, 0.020, 1)
    for part, teeth_moved in ((0.2, 0), (0.4, 2)):
        car = with_corner(
            demo("tourer"),
            "front-left",
            adjuster=slot,
            adjuster_at=part * slot.half,
        )
        planned = plan(car, "left")
        slope = planned.slack_angle.value + car.corners["front-left"].drawn_slope
        seen = reading("arm slope", slope, 1e-9)

        best = teeth(car, planned, seen=seen).moves[0]

        assert (best.teeth > 0) == (teeth_moved > 0)


def test_a_small_turn_is_left_to_an_adjuster_near_its_middle():
    """One degree of fourteen: the bracket gives it, and the bar stays where it is."""
    low, high = -7.0 * DEGREE, 7.0 * DEGREE

    found = teeth_for(Splines(27, 28), turn(1.0), adjuster=(low, high))
    without = teeth_for(Splines(27, 28), turn(1.0))

    assert (found.moves[0].teeth, without.moves[0].teeth) == (0, 4)
    assert found.moves[0].remains.value == pytest.approx(0.0)
    assert found.moves[0].adjuster.value == pytest.approx(1.0 * DEGREE)
    assert len({(m.arm, m.anchor) for m in found.moves}) == len(found.moves)


def test_a_bar_across_the_car_is_told_from_its_own_side():
    text = cars.edited(
        cars.demo_text("van"), ('bar_lies = "along"', 'bar_lies = "across"')
    )
    car = cars.read_car(text)

    for side in ("left", "right"):
        found = teeth(car, plan(car, side))
        assert found.seen_from == place_words(side)
