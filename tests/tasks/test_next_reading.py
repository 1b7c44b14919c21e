"""What to measure next: the promised doubt is the one that comes, once it is read."""

import json
from dataclasses import replace
from time import perf_counter

import pytest

from cars import demo, reading, with_corner
from commands import run
from splinewise.errors import TaskError
from splinewise.tasks.fit_joint import joint_of, solve_joint
from splinewise.tasks.next_reading import next_reading


def taken(car, corner, offer):
    """Return the car with a reading taken as it was foretold."""
    here = car.corners[corner]
    seen = reading(
        offer.of,
        offer.expected.value,
        offer.expected.doubt * 3**0.5,
        state=offer.state,
        name=f"{offer.of}, now",
    )
    return with_corner(car, corner, readings=(*here.readings, seen))


@pytest.mark.parametrize("name", ["tourer", "van"])
@pytest.mark.parametrize("wanted", ["slack angle", "ride height"])
def test_the_doubt_comes_as_promised(name, wanted):
    """Each offer, taken and fitted anew with all the other readings."""
    car = demo(name)
    found = next_reading(
        car, "left", wanted=wanted, instruments=("rule", "tape-2", "angle-box")
    )

    assert found.offers
    for offer in found.offers:
        solved = solve_joint(joint_of(taken(car, "front-left", offer), ["left"]))
        doubt = solved.figure(0, 0)[1]
        if wanted == "ride height":
            doubt = solved.doubt_of(solved.height(0)[1])
        assert offer.after.value == pytest.approx(doubt, rel=1e-4)
        assert offer.share == pytest.approx(doubt / found.now.doubt, rel=1e-4)


def test_the_set_reaches_the_goal_as_promised():
    car = demo("tourer")
    goal = 0.7 * next_reading(car, "left", wanted="slack angle").now.doubt

    found = next_reading(
        car, "left", wanted="slack angle", goal=goal, instruments=("rule", "angle-box")
    )

    assert found.reached
    for offer in found.set:
        car = taken(car, "front-left", offer)
        solved = solve_joint(joint_of(car, ["left"]))
        assert offer.after.value == pytest.approx(solved.figure(0, 0)[1], rel=1e-4)
    assert solved.figure(0, 0)[1] <= goal * (1 + 1e-4)


def test_a_goal_out_of_reach_and_one_reached_already():
    car = demo("tourer")

    far = next_reading(car, "left", wanted="slack angle", goal=1e-7)
    near = next_reading(car, "left", wanted="slack angle", goal=1.0)

    assert (far.reached, near.reached, near.set) == (False, True, ())
    assert "out of reach" in far.words
    assert "already" in near.words


def test_a_load_test_makes_a_bar_of_unknown_rate_surer():
    """With the height read and the bar not, what is lacking is the rate."""
    car = demo("tourer")
    here = car.corners["front-left"]
    height = tuple(r for r in here.readings if r.of == "ride height")
    rate = replace(here.bar.rate, doubt=0.15 * here.bar.rate.value)
    vague = with_corner(
        car, "front-left", readings=height, bar=replace(here.bar, rate=rate)
    )

    found = next_reading(
        vague, "left", wanted="slack angle", instruments=("rule",), weight=500.0
    )

    (test,) = [o for o in found.offers if o.of == "load test"]
    assert test.share < 0.6


def test_where_nothing_was_read_any_length_is_the_best():
    car = with_corner(demo("van"), "front-left", readings=())

    found = next_reading(car, "left", wanted="slack angle", instruments=("rule",))

    assert found.offers[0].of == "setting length"
    assert found.offers[0].share < 0.01
    assert "not known at all" in found.notes[0]


def test_what_cannot_be_answered_is_refused():
    car = demo("van")
    with pytest.raises(TaskError, match="No instrument is called 'ruler'"):
        next_reading(car, "left", wanted="slack angle", instruments=("ruler",))
    with pytest.raises(TaskError, match="above 0"):
        next_reading(car, "left", wanted="slack angle", goal=0.0)
    with pytest.raises(TaskError, match="what is at hand"):
        next_reading(car, "left", wanted="slack angle", instruments=("corner-scales",))
    none = with_corner(car, "front-left", readings=())
    with pytest.raises(TaskError, match="Say what you can measure with"):
        next_reading(none, "left", wanted="slack angle")
    bare = with_corner(car, "front-left", ride_height=None)
    with pytest.raises(TaskError, match="where the ride height"):
        next_reading(bare, "left", wanted="ride height", instruments=("rule",))


def test_many_candidates_are_weighed_at_once():
    """200 and more within a second (warm), the target for one corner."""
    car = demo("tourer")
    here = car.corners["front-left"]
    dims = {f"{n} {i}": d for i in range(55) for n, d in here.dimensions.items()}
    many = with_corner(car, "front-left", dimensions={**here.dimensions, **dims})
    begun = perf_counter()

    found = next_reading(many, "left", wanted="slack angle", instruments=("rule",))

    assert found.weighed >= 200
    assert perf_counter() - begun < 3.0


def test_command():
    done = run("next", "demo:tourer", "left", "--doubt", "0.2 deg", "--json")
    assert (done.code, json.loads(done.out)["reached"]) == (0, True)
    assert run("next", "demo:tourer", "left", "--doubt", "0.0001 deg").code == 1
    wrong = run("next", "demo:tourer", "left", "--doubt", "2 mm")
    assert (wrong.code, "an angle is wanted" in wrong.err) == (2, True)
    assert run("next", "demo:tourer", "left", "--with", "ruler").code == 2
