"""The invented cars: their stories come out when their numbers are worked."""

import math

import numpy as np
import pytest

from cited import DEGREE, INCH
from splinewise.car.demos import demo_names, demo_text, load_demo
from splinewise.car.layouts import LAYOUTS
from splinewise.core.bar import surface_stress, torsional_rate
from splinewise.core.corner import Spring, slack_for, standing_angle, wheel_force
from splinewise.core.heights import angle_at_rise
from splinewise.core.jet import value
from splinewise.errors import CarFileError

GRAVITY = 9.80665
TOURER, VAN = load_demo("tourer"), load_demo("van")


def sides(car):
    return car.corners["front-left"], car.corners["front-right"]


def reading(corner, of):
    """Return the value of the first reading of something."""
    return next(o.figure.value for o in corner.readings if o.of == of)


def slack_read(corner, name="setting length"):
    """Return the slack angle that a length on the bare arm says."""
    return float(corner.dimensions[name].span.angle(reading(corner, name)))


def height(corner, slack, rate=None):
    """Return the ride height that a slack angle gives under the corner's load."""
    spring = Spring(corner.bar.rate.value if rate is None else rate, slack)
    low, high = corner.low, corner.high
    theta = standing_angle(
        corner.linkage, spring, corner.load.value, low=low, high=high
    )
    z = value(corner.linkage.pose(np.array([0.0, float(theta)])).contact.z)
    return corner.ride_height.drawn.value - float(z[1] - z[0])


def test_there_is_one_of_every_layout():
    assert demo_names() == (
        "estate",
        "pickup",
        "saloon",
        "special",
        "tourer",
        "van",
    )
    layouts = {
        corner.layout
        for name in demo_names()
        for corner in load_demo(name).corners.values()
    }
    assert layouts == set(LAYOUTS)


@pytest.mark.parametrize("name", demo_names())
def test_each_says_that_it_is_invented(name):
    car = load_demo(name)

    assert car.invented
    assert car.file == f"demo:{name}"
    assert "invented" in demo_text(name).split("\n")[1]
    assert len(car.story.split()) > 60


def test_no_such_car():
    with pytest.raises(CarFileError, match=r"There are estate, .*tourer, van"):
        load_demo("lorry")


def test_tourer_is_an_inch_car_on_27_and_28_teeth():
    assert TOURER.system == "inch"
    for corner in sides(TOURER):
        assert corner.layout == "double wishbone"
        assert (corner.splines.arm, corner.splines.anchor) == (27, 28)
        assert corner.splines.index_step == pytest.approx(360 * DEGREE / 756)


@pytest.mark.parametrize("corner", sides(TOURER), ids=lambda c: c.side)
def test_tourer_readings_of_a_side_agree_with_each_other(corner):
    """Each within what a tape in 64ths and the bar's doubt can tell."""
    setting, check = (
        slack_read(corner, name) for name in ("setting length", "check dimension")
    )
    at = float(corner.dimensions["check dimension"].span.slope(setting))

    assert abs(setting - check) * abs(at) < INCH / 32
    assert height(corner, setting) == pytest.approx(
        reading(corner, "ride height"), abs=INCH / 8
    )


def test_tourer_sides_differ_by_three_index_steps():
    left, right = (slack_read(corner) for corner in sides(TOURER))
    steps = (left - right) / sides(TOURER)[0].splines.index_step

    assert steps == pytest.approx(3.0, abs=0.15)


def test_tourer_stands_high_and_the_right_side_highest():
    left, right = (reading(corner, "ride height") for corner in sides(TOURER))
    wanted = sides(TOURER)[0].ride_height.wanted.value

    assert left - wanted > 1.5 * INCH
    assert right - left == pytest.approx(5 / 16 * INCH, abs=1e-9)


def test_tourer_is_set_as_its_own_manual_says_but_with_the_wrong_bars():
    """With 0.840 in, the published setting puts it where it should stand."""
    left, _ = sides(TOURER)
    published = left.published[0].figure.value
    slack = float(left.dimensions["setting length"].span.angle(published))
    own = float(torsional_rate(40 * INCH, 0.84 * INCH, left.bar.bar.shear_modulus))

    assert left.published[0].for_this_car is True
    assert published == reading(left, "setting length")
    assert height(left, slack, own) == pytest.approx(
        left.ride_height.wanted.value, abs=left.ride_height.tolerance.value
    )
    assert height(left, slack) - height(left, slack, own) > 1.5 * INCH


def test_tourers_second_dimension_is_not_its_own():
    """Far beyond what print and tape may be off, and the readings side with the first."""
    left, _ = sides(TOURER)
    setting, check = left.published
    slack = float(left.dimensions[setting.of].span.angle(setting.figure.value))
    span = left.dimensions[check.of].span
    off = float(value(span.length(slack))) - check.figure.value

    assert check.for_this_car is None
    assert off == pytest.approx(27 / 64 * INCH, abs=INCH / 128)
    assert off > 10 * (check.figure.doubt + setting.figure.doubt) / 2
    assert float(span.angle(check.figure.value)) - slack == pytest.approx(
        3.75 * DEGREE, abs=0.05 * DEGREE
    )


def test_tourer_can_be_put_right_with_the_bars_it_has():
    """There is a slack angle for the wanted height, within the slot and the teeth."""
    for corner in sides(TOURER):
        rise = corner.ride_height.drawn.value - corner.ride_height.wanted.value
        theta = float(
            angle_at_rise(corner.linkage, rise, low=corner.low, high=corner.high)
        )
        rate, load = corner.bar.rate.value, corner.load.value
        slack = float(slack_for(corner.linkage, angle=theta, rate=rate, load=load))

        assert height(corner, slack) == pytest.approx(
            corner.ride_height.wanted.value, abs=1e-9
        )
        half = corner.splines.index_step / 2
        assert float(corner.adjuster.angle_at(corner.adjuster.half)) > half


@pytest.mark.parametrize("diameter", [0.84, 0.9])
def test_tourer_bars_stay_within_the_assumed_limit(diameter):
    left, _ = sides(TOURER)
    modulus = left.bar.bar.shear_modulus
    rate = torsional_rate(40 * INCH, diameter * INCH, modulus)
    torque = wheel_force(
        left.linkage, Spring(rate, slack_read(left)), [left.low, left.high]
    ).torque
    stress = np.asarray(surface_stress(torque, diameter * INCH))

    assert np.all(np.abs(stress) < left.bar.limit.value.value)
    assert np.all(torque > 0.0)  # never slack, never wound backwards


def test_van_is_metric_taped_and_without_teeth():
    assert VAN.system == "metric"
    for corner in sides(VAN):
        assert corner.layout == "planar arm"
        assert corner.splines.positions == 1
        assert corner.linkage.pose(np.zeros(())).spindle is None


@pytest.mark.parametrize("corner", sides(VAN), ids=lambda c: c.side)
def test_van_readings_of_a_side_agree_with_each_other(corner):
    setting = slack_read(corner)
    slope = reading(corner, "arm slope") - corner.drawn_slope

    assert setting == pytest.approx(slope, abs=0.15 * DEGREE)
    assert height(corner, setting) == pytest.approx(
        reading(corner, "ride height"), abs=2e-3
    )


def test_van_gap_says_the_same_as_its_length():
    """The gauge is the left side's length; the right arm stands above it."""
    left, right = sides(VAN)
    gap = next(o for o in right.readings if o.of == "gap")

    assert gap.gauge.value == reading(left, "setting length")
    assert gap.opens == "high"
    # Bump shortens this dimension, so above the gauge is shorter than the gauge.
    assert gap.gauge.value - gap.figure.value == pytest.approx(
        reading(right, "setting length"), abs=1e-9
    )


def test_van_leans_by_almost_two_centimetres_for_a_set_of_three_degrees():
    left, right = sides(VAN)
    lean = reading(left, "ride height") - reading(right, "ride height")

    assert lean == pytest.approx(0.018, abs=1e-9)
    assert slack_read(right) - slack_read(left) == pytest.approx(
        2.9 * DEGREE, abs=0.1 * DEGREE
    )


def test_vans_screw_can_still_level_it_though_half_is_used():
    left, right = sides(VAN)
    want = slack_read(left) - slack_read(right)
    now = float(right.adjuster.angle_at(right.adjuster_at))
    ends = [float(right.adjuster.angle_at(x * right.adjuster.half)) for x in (-1, 1)]

    assert abs(right.adjuster_at) > right.adjuster.half / 2
    assert min(ends) < now + want < max(ends)
    turns = float(right.adjuster.position_at(now + want)) - right.adjuster_at
    assert 1.5 < turns < 3.0


def test_van_bars_one_new_one_tired():
    left, right = (corner.bar for corner in sides(VAN))

    assert (left.limit.preset, right.limit.preset) == (True, None)
    assert (left.rate.standing, right.rate.standing) == ("measured", "computed")
    assert left.rate.value == pytest.approx(right.rate.value, rel=0.02)


@pytest.mark.parametrize("corner", sides(VAN), ids=lambda c: c.side)
def test_van_bars_stay_within_the_assumed_limit(corner):
    torque = wheel_force(
        corner.linkage,
        Spring(corner.bar.rate.value, slack_read(corner)),
        [corner.low, corner.high],
    ).torque
    stress = np.asarray(corner.bar.bar.stress(torque))

    assert np.all(np.abs(stress) < corner.bar.limit.value.value)
    assert np.all(torque > 0.0)


@pytest.mark.parametrize("car", [TOURER, VAN], ids=lambda c: c.name)
def test_rides_like_a_car(car):
    """1.0 to 1.6 Hz on the bars, the common range for cars (common practice)."""
    for corner in car.corners.values():
        at = wheel_force(
            corner.linkage, Spring(corner.bar.rate.value, slack_read(corner)), 0.0
        )
        mass = corner.load.value / GRAVITY
        frequency = math.sqrt(float(at.wheel_rate) / mass) / (2 * math.pi)

        assert 1.0 < frequency < 1.6
