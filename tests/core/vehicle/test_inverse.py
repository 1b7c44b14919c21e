"""From wanted heights and loads to slack angles, and what cannot be had."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from splinewise.core.other_springs import LinearSpring
from splinewise.core.vehicle import SpringAt, Why, stand
from splinewise.core.vehicle.batch import pick
from splinewise.core.vehicle.inverse import Outcome, slack_for_wants
from splinewise.core.vehicle.loads import shares
from splinewise.core.vehicle.sensitivity import by_slack
from splinewise.core.vehicle.wanted import HeightWanted, LoadsWanted
from splinewise.errors import QuantityError, TaskError
from vehicles import car, changed_corner, vec

FRONT = (vec([0.0, 0.6, 0.2]), vec([0.0, -0.6, 0.2]))
REAR = (vec([-2.4, 0.6, 0.2]), vec([-2.4, -0.6, 0.2]))


def heights(found, points):
    """Heights of points where a car stands."""
    return np.stack([found.attitude.height(p) for p in points], axis=-1)


@pytest.fixture(scope="module")
def cars():
    """Twenty cars on level floors, each a little askew."""
    vehicle = car(np.random.default_rng(31), 20)
    for i in range(4):
        vehicle = changed_corner(vehicle, i, floor=0.0)
    return vehicle


def test_heights_of_one_axle_by_its_own_bars(cars):
    """Both sides at the height wanted; the rear bars stay as they were."""
    goal = 0.19
    got = slack_for_wants(cars, [HeightWanted(p, goal) for p in FRONT], free=(0, 1))

    assert set(got.outcomes) == {Outcome.MET}
    assert_allclose(heights(got.stand, FRONT), goal, atol=1e-9)
    assert np.all(got.change[:, 2:] == 0.0)
    again = stand(got.vehicle)
    assert_allclose(heights(again, FRONT), goal, atol=1e-9)
    assert_allclose([c.spring.slack for c in got.vehicle.corners], got.slack.T)


def test_four_heights_of_a_plane_need_three_numbers(cars):
    """All four corners level: rank three, met, cross weight left as little changed."""
    got = slack_for_wants(cars, [HeightWanted(p, 0.19) for p in (*FRONT, *REAR)])

    assert set(got.outcomes) == {Outcome.MET}
    assert np.all(got.rank == 3)
    assert_allclose(heights(got.stand, (*FRONT, *REAR)), 0.19, atol=1e-9)


def test_the_change_is_the_least(cars):
    """No other slack angles that meet the wants are nearer: the change lies across
    what leaves them met.
    """
    wants = [HeightWanted(p, 0.19) for p in FRONT]
    got = slack_for_wants(cars, wants)
    slopes = by_slack(got.vehicle, got.stand, FRONT).heights

    assert set(got.outcomes) == {Outcome.MET}
    for change, J in zip(got.change, slopes, strict=True):
        idle = np.linalg.svd(J)[2][2:]
        assert np.max(np.abs(idle @ change)) < 1e-7
    alone = slack_for_wants(cars, wants, free=(0, 1))
    size, more = (np.linalg.norm(x.change, axis=-1) for x in (got, alone))
    assert np.all(size < more)


def test_equal_loads_across_an_axle(cars):
    """Front loads alike and three heights at once: four wants, four bars."""
    wants = [HeightWanted(p, 0.19) for p in (*FRONT, REAR[0])]
    got = slack_for_wants(cars, [*wants, LoadsWanted((0,), (1,))])

    assert set(got.outcomes) == {Outcome.MET}
    assert_allclose(got.stand.loads[:, 0], got.stand.loads[:, 1], rtol=1e-9)
    assert_allclose(heights(got.stand, (*FRONT, REAR[0])), 0.19, atol=1e-9)


def test_cross_weight_by_the_loads_of_both_diagonals(cars):
    """Half on each diagonal."""
    got = slack_for_wants(cars, [LoadsWanted((1, 2), (0, 3))])
    cross = shares(got.stand.loads, left=(0, 2), front=(0, 1)).cross

    assert set(got.outcomes) == {Outcome.MET}
    assert_allclose(cross, 0.5, atol=1e-9)


def test_a_compromise_is_the_weighted_least(cars):
    """Two bars, three wants: the sum of squares is least, and weights move it."""
    wants = [HeightWanted(p, 0.19, 2e-3) for p in FRONT]
    got = slack_for_wants(cars, [*wants, LoadsWanted((0,), (1,))], free=(0, 1))

    assert set(got.outcomes) == {Outcome.COMPROMISE}
    least = np.sum(got.off**2, axis=-1)
    assert np.all(least > 0.01)
    rng = np.random.default_rng(0)
    for _ in range(5):
        moved = got.vehicle
        for i in (0, 1):
            spring = moved.corners[i].spring
            slack = spring.slack + rng.normal(0.0, 2e-3, 20)
            moved = changed_corner(moved, i, spring=replace(spring, slack=slack))
        there = stand(moved)
        off = (0.19 - heights(there, FRONT)) / 2e-3
        more = (there.loads[:, 1] - there.loads[:, 0]) / 20.0
        assert np.all(np.sum(off**2, axis=-1) + more**2 > least)
    strict = [HeightWanted(p, 0.19, 1e-5) for p in FRONT]
    tight = slack_for_wants(cars, [*strict, LoadsWanted((0,), (1,))], free=(0, 1))
    miss = np.abs(heights(tight.stand, FRONT) - 0.19)
    assert np.all(miss < 0.05 * np.abs(heights(got.stand, FRONT) - 0.19).max())


def test_what_the_free_bars_cannot_move_stays_off():
    """Turning the rear bars alone does not level the loads in front at will."""
    vehicle = car()
    wants = [HeightWanted(p, 0.19) for p in (*FRONT, *REAR)]
    got = slack_for_wants(vehicle, wants, free=(2,))

    assert got.outcomes == (Outcome.COMPROMISE,)
    assert got.rank == 1
    assert np.abs(got.off).max() > 1.0


def test_a_warped_floor_of_wants_is_a_compromise():
    """Four heights that no rigid body has at once: the twist is shared out evenly."""
    wants = [
        HeightWanted(p, h)
        for p, h in zip((*FRONT, *REAR), (0.20, 0.18, 0.18, 0.20), strict=True)
    ]
    got = slack_for_wants(car(), wants)

    assert got.outcomes == (Outcome.COMPROMISE,)
    assert_allclose(np.abs(got.off), 10.0, rtol=1e-6)


def test_a_car_that_does_not_stand_yet_is_planned():
    """Slack angles of a wreck: it starts from bars that about carry it."""
    vehicle = car(stops=False)
    for i, corner in enumerate(vehicle.corners):
        spring = replace(corner.spring, slack=np.asarray(1.5))
        vehicle = changed_corner(vehicle, i, spring=spring)
    assert not stand(vehicle).stands

    got = slack_for_wants(vehicle, [HeightWanted(p, 0.19) for p in (*FRONT, *REAR)])

    assert got.outcomes == (Outcome.MET,)
    assert_allclose(heights(got.stand, FRONT), 0.19, atol=1e-9)
    assert np.all(got.slack < -0.1)


def test_a_wreck_with_an_axle_on_coils():
    """What has no bar keeps its springs; the bars in front are planned all the same."""
    vehicle = car(stops=False)
    for i, corner in enumerate(vehicle.corners):
        if i < 2:
            spring = replace(corner.spring, slack=np.asarray(1.5))
            vehicle = changed_corner(vehicle, i, spring=spring)
        else:
            coil = SpringAt(LinearSpring(16e3, 2600.0))
            vehicle = changed_corner(vehicle, i, spring=None, others=(coil,))

    got = slack_for_wants(vehicle, [HeightWanted(p, 0.19) for p in FRONT])

    assert got.outcomes == (Outcome.MET,)
    assert np.all(got.change[2:] == 0.0)


@pytest.mark.parametrize(
    ("height", "reason"),
    [
        pytest.param(-0.6, Why.LOCKS_IN_BUMP, marks=pytest.mark.slow),
        (0.9, Why.LOCKS_IN_DROOP),
    ],
)
def test_wants_past_where_a_car_stands_say_so(height, reason):
    """So low or so high that the arms lock first: lost on the way, and by what."""
    vehicle = car(stops=False)
    got = slack_for_wants(vehicle, [HeightWanted(p, height) for p in (*FRONT, *REAR)])

    assert got.outcomes == (Outcome.LOST,)
    assert reason in {r.what for r in got.lost[0]}
    assert got.stand.stands
    assert np.sign(got.off[0]) == np.sign(height)


def test_bump_stops_bar_the_way_down():
    """On its stops a car comes no lower for any turn of the bars."""
    got = slack_for_wants(car(), [HeightWanted(p, -0.1) for p in FRONT])

    assert got.outcomes == (Outcome.TOO_FAR,)
    assert np.all(got.off < -1.0)


def test_a_car_that_cannot_stand_is_lost_from_the_start():
    """It tips, whatever its bars: said so, and no number pretends."""
    vehicle = car(count=2)
    centre = replace(vehicle.body.centre, z=np.array([0.5, 12.0]))
    vehicle = replace(vehicle, body=replace(vehicle.body, centre=centre))
    got = slack_for_wants(vehicle, [HeightWanted(p, 0.19) for p in FRONT])

    assert got.outcomes == (Outcome.MET, Outcome.LOST)
    assert got.lost[1][0].what is Why.TIPS
    assert got.lost[0] == ()
    assert np.all(np.isnan(got.off[1])) or not got.stand.stands[1]


def test_a_batch_is_its_cars_one_by_one(cars):
    """The way of one car does not depend on its neighbours'."""
    wants = [HeightWanted(p, 0.19) for p in FRONT]
    whole = slack_for_wants(cars, wants)
    for i in (0, 7, 19):
        alone = slack_for_wants(pick(cars, np.array([i]), 20), wants)
        assert_allclose(alone.slack[0], whole.slack[i], atol=1e-9)


def test_wants_that_make_no_sense_are_refused():
    """Nothing wanted, corners that are not there, no bar to turn."""
    vehicle = car()
    with pytest.raises(TaskError, match="what is wanted"):
        slack_for_wants(vehicle, [])
    for more, less in (((), ()), ((0,), (0,)), ((4,), ())):
        with pytest.raises(TaskError, match="different corners"):
            slack_for_wants(vehicle, [LoadsWanted(more, less)])
    want = HeightWanted(FRONT[0], 0.2)
    for free in ((), (0, 0), (5,)):
        with pytest.raises(TaskError, match="Say which bars may be turned"):
            slack_for_wants(vehicle, [want], free=free)
    with pytest.raises(TaskError, match=r"bars at \[0, 1, 3\]"):
        slack_for_wants(changed_corner(vehicle, 2, spring=None), [want], free=(2,))
    with pytest.raises(QuantityError, match="tolerance"):
        slack_for_wants(vehicle, [replace(want, tolerance=0.0)])
    with pytest.raises(QuantityError, match="height"):
        slack_for_wants(vehicle, [replace(want, height=np.nan)])
