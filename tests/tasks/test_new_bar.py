"""Another bar: the diameter asked for gives what was asked, and limits are kept."""

import math
from dataclasses import replace

import pytest

from splinewise.car.demos import load_demo
from splinewise.car.model import Figure
from splinewise.core.corner import Bush
from splinewise.errors import TaskError
from splinewise.tasks.new_bar import new_bar
from splinewise.tasks.plan import plan

HERTZ = 1.2


@pytest.fixture(scope="module")
def tourer():
    """The invented tourer."""
    return load_demo("tourer")


@pytest.mark.parametrize("name", ["tourer", "van", "pickup", "saloon", "special"])
def test_the_exact_bar_has_the_rate_that_was_asked(name):
    """Planned like any other, it stands at the height and is as stiff as wanted."""
    car = load_demo(name)
    corner = next(iter(car.corners))
    height = plan(car, corner).ride_height.value

    found = new_bar(
        car, corner, height=Figure(height, standing="wanted"), wheel_rate=20e3
    )
    exact = found.choices[1].plan

    assert exact.wheel_rate.value == pytest.approx(20e3, rel=1e-9)
    assert exact.ride_height.value == pytest.approx(height, abs=1e-9)


def test_a_frequency_is_a_rate_for_the_load(tourer):
    """By definition f = √(K/m)/2π, the frequency of a mass on a spring."""
    found = new_bar(tourer, "left", frequency=HERTZ)
    exact = found.choices[1].plan
    mass = found.load.value / 9.80665

    assert exact.frequency.value == pytest.approx(HERTZ, rel=1e-9)
    assert found.wheel_rate.value == pytest.approx(mass * (2 * math.pi * HERTZ) ** 2)


@pytest.mark.independent
def test_stress_and_rate_follow_the_round_bar(tourer):
    """τ = 16 T/(π d³) and k = π G d⁴/(32 L), as every textbook has them."""
    found = new_bar(tourer, "left", frequency=HERTZ)
    for choice in found.choices[1:]:
        d, ride = choice.diameter.value, choice.plan.stresses[0]

        stress = 16.0 * ride.torque.value / (math.pi * d**3)
        rate = math.pi * found.shear_modulus.value * d**4 / (32.0 * found.length.value)

        assert ride.stress.value == pytest.approx(stress, rel=1e-9)
        assert choice.plan.bar_rate.value == pytest.approx(rate, rel=1e-9)


def test_stock_sizes_stand_on_either_side(tourer):
    """Multiples of 1/32 in about the exact size (common practice, no source)."""
    choices = {c.name: c for c in new_bar(tourer, "left", frequency=HERTZ).choices}
    exact = choices["exact"].diameter.value
    low = choices["stock size below"].diameter.value
    high = choices["stock size above"].diameter.value

    assert low <= exact < high
    assert high - low == pytest.approx(0.0254 / 32)
    assert low / (0.0254 / 32) == pytest.approx(round(low / (0.0254 / 32)))


def test_the_old_bar_stands_beside_it(tourer):
    """Its column is the plan of the bar that is fitted, for the same height."""
    found = new_bar(tourer, "left", frequency=HERTZ)
    old = plan(
        tourer, "left", ride_height=tourer.corners["front-left"].ride_height.wanted
    )

    assert found.choices[0].plan.slack_angle == old.slack_angle
    assert found.choices[0].plan.bar == old.bar


def test_a_limit_that_is_passed_is_said(tourer):
    """A bar over its stress limit is not allowed, and the result says no."""
    low = Figure(100e6, standing="wanted", source="for the test")
    found = new_bar(tourer, "left", frequency=HERTZ, limit=low)

    assert not found.allowed
    assert "limit" in found.choices[1].why


def test_travel_that_is_missing_is_said(tourer):
    """More bump than the stops leave is not to be had from any bar."""
    found = new_bar(tourer, "left", frequency=HERTZ, bump_left=0.5)

    assert not found.allowed
    assert "travel" in found.choices[1].why


def test_a_heavier_load_wants_a_thicker_bar(tourer):
    """At one frequency the rate grows with the load, and the diameter with it."""
    thin = new_bar(tourer, "left", frequency=HERTZ)
    load = Figure(1.2 * thin.load.value, standing="wanted")
    thick = new_bar(tourer, "left", frequency=HERTZ, load=load)

    assert thick.choices[1].diameter.value > thin.choices[1].diameter.value
    assert thick.wheel_rate.value == pytest.approx(1.2 * thin.wheel_rate.value)


@pytest.mark.parametrize(
    ("asked", "message"),
    [
        ({}, "how stiff"),
        ({"frequency": 1.0, "wheel_rate": 1e4}, "how stiff"),
        (
            {"wheel_rate": 1e4, "height": Figure(2.0, standing="wanted")},
            "cannot stand at that height",
        ),
    ],
)
def test_what_cannot_be_is_refused(tourer, asked, message):
    """The sentence says what is missing, or why no bar will do."""
    with pytest.raises(TaskError, match=message):
        new_bar(tourer, "left", **asked)


def test_rubber_that_is_stiff_enough_leaves_no_bar(tourer):
    """Bushes as stiff as the wheel wants leave nothing for a bar to do."""
    corner = replace(tourer.corners["front-left"], bush=Bush(rate=1e5))
    corners = {**tourer.corners, "front-left": corner}
    with pytest.raises(TaskError, match="No bar is needed"):
        new_bar(replace(tourer, corners=corners), "front-left", wheel_rate=1e3)
