"""What keeps vehicles from standing: each says why, and the search always ends."""

from dataclasses import replace

import numpy as np
import pytest

from splinewise.core.jet import slope
from splinewise.core.linkages import solve
from splinewise.core.vehicle import Body, Remark, Why, remarks, stand, why
from splinewise.core.vehicle.newton import AT_REST
from splinewise.core.vehicle.prepared import prepare
from splinewise.core.vehicle.usable import FARTHEST, usable
from vehicles import NAMES, G, car, changed_corner, on_sliders, vec


def every_corner(vehicle, **changes):
    """The vehicle with the same changes at each corner."""
    for i in range(len(vehicle.corners)):
        vehicle = changed_corner(vehicle, i, **changes)
    return vehicle


def heavier(vehicle, mass):
    """The vehicle with another body."""
    return replace(vehicle, body=replace(vehicle.body, mass=mass))


def centred(vehicle, x=None, z=None):
    """The vehicle with its centre of gravity elsewhere."""
    centre = vehicle.body.centre
    moved = replace(
        centre,
        x=centre.x if x is None else x + 0.0 * centre.x,
        z=centre.z if z is None else z + 0.0 * centre.z,
    )
    return replace(vehicle, body=replace(vehicle.body, centre=moved))


def slackened(vehicle, slack):
    """The vehicle with all its bars at one slack angle."""
    for i, corner in enumerate(vehicle.corners):
        spring = replace(corner.spring, slack=slack + 0.0 * corner.spring.slack)
        vehicle = changed_corner(vehicle, i, spring=spring)
    return vehicle


def told(vehicle):
    """What is said of one vehicle: (kind, corner) of each reason."""
    found = stand(vehicle)
    (reasons,) = why(found, vehicle)
    assert found.stands == (not reasons)
    return {(r.what, r.corner) for r in reasons}


def test_a_car_that_stands_needs_no_reason():
    """Nothing is said, and nothing remarked."""
    vehicle = car()
    assert told(vehicle) == set()
    assert remarks(stand(vehicle), vehicle) == ((),)


def test_too_little_spring_locks_in_bump():
    """Bars turned the wrong way and no bump stops: the front goes up to its lock."""
    reasons = told(slackened(car(stops=False), 1.5))

    assert (Why.LOCKS_IN_BUMP, "front-left") in reasons
    assert (Why.LOCKS_IN_BUMP, "front-right") in reasons


def test_a_wheel_in_the_air_locks_in_droop():
    """A bar whose slack lies past the lock and no rebound stop to catch the arm."""
    vehicle = car(stops=False)
    load = replace(vehicle.loads[0], mass=200.0, at=vec([-2.4, 0.5, 0.5]))
    vehicle = changed_corner(replace(vehicle, loads=(load,)), 1, floor=-0.6)
    spring = replace(vehicle.corners[1].spring, slack=-1.2)
    vehicle = changed_corner(vehicle, 1, spring=spring)

    assert told(vehicle) == {(Why.LOCKS_IN_DROOP, "front-right")}
    found = stand(vehicle)
    low, _ = usable(vehicle, 1)
    assert found.arm_angles[1] == pytest.approx(low[0, 1])
    assert found.lifted[1]


def test_weight_ahead_of_all_wheels_tips():
    """The centre of gravity a metre ahead of the front axle."""
    assert (Why.TIPS, "") in told(centred(car(), x=1.0))


def test_a_tall_car_on_soft_springs_tips():
    """Heavy enough and high enough that no spring keeps it upright."""
    assert (Why.TIPS, "") in told(centred(car(bars=False), z=9.0))


def test_an_even_balance_is_not_a_stand():
    """Upright to the last digit, and still it tips: the forces balance, it does not."""
    vehicle = replace(car(spread=0.0, bars=False), loads=())
    vehicle = replace(vehicle, body=replace(vehicle.body, centre=vec([-1.2, 0.0, 9.0])))

    found = stand(vehicle)

    assert not found.stands
    assert (Why.TIPS, "") in told(vehicle)


def test_what_nothing_pushes_back_is_no_stand():
    """Two wheels in a line and the weight on the floor: it rests at any lean alike."""
    body = Body(1000.0, vec([0.0, 0.0, 0.0]))
    loads = [0.5 * 1000.0 * 9.81] * 2
    vehicle = on_sliders(((1.2, 0.0), (-1.2, 0.0)), [2e4] * 2, loads, 2e5, body)

    # Rounding decides whether it is seen to slide over or to stay.
    assert told(vehicle) in ({(Why.UNSTABLE, "")}, {(Why.TIPS, "")})


def test_balanced_or_not_without_another_reason():
    """What is left to say of a car that no corner and no fall explains."""
    vehicle = car()
    found = replace(stand(vehicle), stands=np.array(False))
    words = {}
    for balanced in (True, False):
        odd = replace(found, balanced=np.array(balanced))
        ((reason,),) = why(odd, vehicle)
        words[balanced] = reason.what

    assert words == {True: Why.UNSTABLE, False: Why.NOT_SETTLED}


def test_two_wheels_in_a_line_balance_and_do_not_stand():
    """A body on one side's wheels only falls over."""
    vehicle = car(bars=False)
    vehicle = replace(vehicle, corners=vehicle.corners[::2], loads=())

    assert (Why.TIPS, "") in told(vehicle)


def test_a_load_past_all_reason_flattens_the_tyres():
    """Forty times the weight: more force than the tyre's rate times its radius."""
    vehicle = heavier(car(), 40000.0)

    assert {(Why.TYRE_FLAT, name) for name in NAMES[2:]} <= told(vehicle)


def test_a_linkage_that_is_no_linkage_says_so():
    """Not posed even as drawn: named, never a number."""
    vehicle = car()
    linkage = replace(vehicle.corners[0].linkage, tyre_radius=np.asarray(np.nan))
    vehicle = changed_corner(vehicle, 0, linkage=linkage)

    assert told(vehicle) == {(Why.NOT_POSED, "front-left")}
    assert np.isnan(stand(vehicle).rises[0])


def test_reasons_read_as_a_sentence():
    """With the corner's name first, if there is one."""
    vehicle = slackened(car(stops=False), 1.5)
    words = [r.words for r in why(stand(vehicle), vehicle)[0]]
    assert any(
        w == "front-left: the linkage locks in bump before its springs carry the load"
        for w in words
    )
    tips = centred(car(), x=1.0)
    assert why(stand(tips), tips)[0][0].words == "the vehicle tips over"


def test_remarks_name_lifted_tyres_and_stops():
    """A wheel over a hole, and a boot full of tools."""
    vehicle = car()
    load = replace(vehicle.loads[0], mass=450.0, at=vec([-2.6, 0.0, 0.6]))
    vehicle = replace(vehicle, loads=(load,))
    assert [(r.what, r.corner) for r in remarks(stand(vehicle), vehicle)[0]] == [
        (Remark.ON_BUMP_STOP, "rear-left"),
        (Remark.ON_BUMP_STOP, "rear-right"),
    ]
    load = replace(vehicle.loads[0], mass=200.0, at=vec([-2.4, 0.5, 0.5]))
    vehicle = changed_corner(replace(vehicle, loads=(load,)), 1, floor=-0.4)
    said = {(r.what, r.corner) for r in remarks(stand(vehicle), vehicle)[0]}
    assert (Remark.LIFTED, "front-right") in said
    assert (Remark.ON_REBOUND_STOP, "front-right") in said


def test_arms_are_let_turn_to_their_locks():
    """A trailing arm to a quarter turn, a wishbone to where it locks."""
    vehicle = car(np.random.default_rng(0), 5)
    low, high = usable(vehicle, 5)

    assert np.all(high[:, 2:] <= FARTHEST)
    assert np.all(low < -0.3)
    assert np.all(high > 0.3)
    for i in range(2):
        corner = vehicle.corners[i]
        inside = corner.linkage.pose(low[:, i]).contact.z
        outside = solve(corner.linkage, low[:, i] - 1e-5).contact.z
        assert np.all(np.isfinite(inside))
        assert not np.any(slope(outside) > 0.0)


# What spoils a car, and what must then be among the reasons.
SPOILT = {
    "no spring": (lambda v, u: slackened(v, u(1.8, 2.2)), Why.LOCKS_IN_BUMP),
    "too much spring": (
        lambda v, u: heavier(slackened(v, u(-3.0, -2.5)), u(80.0, 120.0)),
        Why.LOCKS_IN_DROOP,
    ),
    "nose heavy": (lambda v, u: centred(v, x=u(1.5, 3.0)), Why.TIPS),
    "tall": (lambda v, u: centred(v, z=u(9.0, 20.0)), Why.TIPS),
    "overloaded": (
        lambda v, u: heavier(every_corner(v, tyre_rate=u(5e3, 6e3)), u(5e3, 8e3)),
        Why.TYRE_FLAT,
    ),
}


def spoilt(kind, count, seed):
    """Cars that cannot stand for one reason, and that reason."""
    rng = np.random.default_rng(seed)
    vehicle = car(rng, count, stops=kind not in ("no spring", "too much spring"))
    change, reason = SPOILT[kind]
    return change(vehicle, lambda a, b: rng.uniform(a, b, count)), reason


def check_spoilt(kind, count, seed):
    """None stands, each says why, and the reason is the right one."""
    vehicle, reason = spoilt(kind, count, seed)
    found = stand(vehicle)
    reasons = why(found, vehicle)

    assert not found.stands.any()
    for one in reasons:
        assert reason in {r.what for r in one}, [r.words for r in one]
    # Where a linkage holds, the rest of the forces are nought: the search has ended.
    # A hair before its lock an arm is so stiff that rounding shows.
    held = (found.locked != 0).any(axis=-1) & ~found.tipped & ~found.flat.any(axis=-1)
    ready = prepare(vehicle, count)
    gradient = ready.at(found.state).gradient
    free = np.concatenate([np.ones((count, 3), bool), found.locked == 0], axis=-1)
    left = np.where(free, gradient, 0.0)[held]
    weight = np.asarray(vehicle.mass * G)
    assert np.all(np.abs(left) / weight[held, None] < 1e3 * AT_REST)


@pytest.mark.parametrize("kind", SPOILT)
def test_cars_that_cannot_be_built_say_why(kind):
    """Twenty of each kind."""
    check_spoilt(kind, 20, 7)


@pytest.mark.slow
@pytest.mark.parametrize("kind", SPOILT)
def test_a_thousand_cars_that_cannot_be_built_say_why(kind):
    """Two hundred of each of five kinds."""
    check_spoilt(kind, 200, 8)
