"""The arm's angle and the bar's turn, one into the other."""

import math

import pytest

from splinewise.car.demos import load_demo
from splinewise.tasks.plan import plan
from splinewise.tasks.turns import arm_angle, bar_turn, spring_of, turn_per_angle


@pytest.mark.parametrize("name", ["pickup", "saloon", "special", "estate", "tourer"])
def test_there_and_back(name):
    corner = next(iter(load_demo(name).corners.values()))
    for degrees in (-9.0, 0.0, 6.0):
        angle = math.radians(degrees)
        assert arm_angle(corner, float(bar_turn(corner, angle))) == pytest.approx(
            angle, abs=1e-12
        )


@pytest.mark.independent
@pytest.mark.parametrize("name", ["pickup", "special"])
def test_the_slope_is_the_turns_own(name):
    corner = next(iter(load_demo(name).corners.values()))
    up, down = bar_turn(corner, [-0.1 + 1e-5, -0.1 - 1e-5])

    assert turn_per_angle(corner, -0.1) == pytest.approx((up - down) / 2e-5, rel=1e-7)
    assert abs(turn_per_angle(corner, -0.1) - 1.0) > 1e-3


@pytest.mark.parametrize("name", ["pickup", "saloon", "special"])
def test_a_plan_for_the_drawn_height_stands_as_drawn(name):
    """Slack angle of the arm, turn of the bar, and back to the load."""
    car = load_demo(name)
    planned = plan(car, "left")
    corner = car.corners["front-left"]
    turn = float(spring_of(corner, planned.slack_angle.value).slack)

    assert planned.rise.value == pytest.approx(0.0, abs=1e-9)
    assert planned.twist.value == pytest.approx(-turn, rel=1e-9)
