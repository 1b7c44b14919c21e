"""What was done to a corner before: planted whole-tooth errors, in words."""

import math

import numpy as np
import pytest

from cars import demo, length, reading, with_corner
from commands import run
from splinewise.core.lattice import Splines
from splinewise.errors import TaskError
from splinewise.tasks.fit_joint import fitted, joint_of, solve_joint
from splinewise.tasks.history import history
from splinewise.tasks.turns import arm_angles, bar_turn


def tourer():
    """Return the tourer without the sheet of unknown origin."""
    car = demo("tourer")
    here = car.corners["front-left"]
    sure = tuple(p for p in here.published if p.for_this_car)
    return with_corner(car, "front-left", published=sure)


def set_at(car, places, *, settled=0.0):
    """Return a car whose left side is that many index steps from its book's figure."""
    here = car.corners["front-left"]
    book = float(
        here.dimensions["setting length"].span.angle(here.published[0].figure.value)
    )
    turn = bar_turn(here, book) + places * here.splines.index_step + settled
    slack = float(arm_angles(here, turn))
    seen = length(here, "setting length", slack)
    return with_corner(
        car, "front-left", readings=(reading("setting length", seen, 0.3e-3),)
    )


@pytest.mark.parametrize("places", [-3, -1, 0, 1, 2, 5])
def test_a_planted_tooth_error_is_the_likeliest(places):
    found = history(set_at(tourer(), places), "left", right=0.5)

    best = found.told[0]
    assert best.places == places
    assert best.arm / 27 + best.anchor / 28 == pytest.approx(places / (27 * 28))
    assert best.left_over.value == pytest.approx(0.0, abs=1e-9)
    total = math.fsum(t.probability for t in found.told) + found.rest
    assert total == pytest.approx(1.0)


def test_farther_than_a_tooth_nothing_explains():
    found = history(set_at(tourer(), 45), "left", right=0.5)

    assert found.beyond
    assert found.told == ()
    assert "Nothing that was weighed explains" in found.words


def test_a_settled_bar_is_told_where_it_is_allowed():
    """Half a degree between two places: no tooth explains it, settling does."""
    car = set_at(
        tourer(),
        0,
        settled=0.5 * demo("tourer").corners["front-left"].splines.index_step,
    )
    without = history(car, "left", right=0.9)
    allowed = history(car, "left", right=0.9, settled=math.radians(0.5))

    assert not any(t.settled for t in without.told)
    assert allowed.told[0].settled
    assert allowed.told[0].places == 0
    assert any("settled" in line for line in allowed.beforehand)


def test_a_figure_of_another_car_says_so():
    found = history(demo("tourer"), "front-right", right=0.5)

    best, other = found.told[:2]
    assert (best.figure, best.places) == ("setting length", -3)
    assert (other.figure, other.for_this_car) == ("check dimension", None)
    assert "that figure is for maybe another car" in other.words


def test_what_cannot_be_answered_is_refused():
    car = tourer()
    with pytest.raises(TaskError, match="between 0 and 1"):
        history(car, "left", right=1.0)
    with pytest.raises(TaskError, match="above 0"):
        history(car, "left", right=0.5, settled=0.0)
    with pytest.raises(TaskError, match="one way only"):
        history(
            with_corner(car, "front-left", splines=Splines(1, 1)), "left", right=0.5
        )
    with pytest.raises(TaskError, match="No published dimension"):
        history(with_corner(car, "front-left", published=()), "left", right=0.5)


def test_planted_one_step_errors_are_found_in_simulated_cars():
    """400 simulated cars, one step off or none: read, fitted, and rounded to a place."""
    rng = np.random.default_rng(7)
    car = set_at(tourer(), 0)
    here = car.corners["front-left"]
    joint = joint_of(car, ["left"])
    base = solve_joint(joint).fit.parameters[0]
    places = rng.choice([-1, 0, 1], 400)
    turns = bar_turn(here, base) + places * here.splines.index_step
    slack = arm_angles(here, turns)
    u = np.array([row.standard for _, row in joint.rows])
    x = np.tile([k.start for k in joint.unknowns], (400, 1))
    x[:, 0] = slack
    seen = joint.values(x) + u * rng.standard_normal((400, u.size))
    fit = fitted(joint, seen)

    near = np.rint(
        (bar_turn(here, fit.parameters[:, 0]) - bar_turn(here, base))
        / here.splines.index_step
    )

    assert np.mean(near == places) > 0.95


def test_command_codes():
    assert run("history", "demo:tourer", "left").code == 0
    assert run("history", "demo:tourer", "left", "--set", "1 deg", "--json").code in (
        0,
        1,
    )
    bad = run("history", "demo:tourer", "left", "--right", "120 %")
    assert (bad.code, "between 0 and 1" in bad.err) == (2, True)
