"""Every kind of observation turned into the slack angle, and its doubt."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import optimize

import cars
from cars import demo, inches, reading
from cited import DEGREE
from splinewise.core.instruments import reading_doubt
from splinewise.errors import TaskError
from splinewise.tasks.doubts import observed_doubt, standard_doubt
from splinewise.tasks.slack import (
    corner_of,
    dimension_of,
    estimates,
    seen_slack,
    slack_from,
)

LEFT = demo("tourer").corners["front-left"]
VAN = demo("van").corners["front-left"]
TOURER = cars.tourer_left()
PLAIN = cars.van_left()


def angle(corner, seen):
    return slack_from(corner, seen).slack_angle.value


@pytest.mark.independent
@pytest.mark.parametrize(
    ("name", "read"),
    [
        ("setting length", "18 19/32"),
        ("setting length", "17 1/2"),
        ("check dimension", "21 3/16"),
        ("check dimension", "21 39/64"),
    ],
)
def test_a_length_on_the_bare_arm(name, read):
    """The points turned about the pivots until the distance is met, by SciPy."""
    fixed, moving = TOURER.spans[name]

    def miss(theta):
        return TOURER.length(fixed, moving, theta) - inches(read)

    wanted = optimize.brentq(miss, -0.9, 0.1, xtol=1e-14)

    assert angle(LEFT, reading(name, inches(read))) == pytest.approx(wanted, abs=1e-10)


@pytest.mark.independent
def test_a_length_of_a_taped_triangle():
    """The law of cosines, solved by hand."""
    fixed, moving, drawn = PLAIN.triangle

    def apart(length):
        return math.acos((fixed**2 + moving**2 - length**2) / (2 * fixed * moving))

    wanted = apart(drawn) - apart(0.433)

    found = angle(VAN, reading("setting length", 0.433))
    assert found == pytest.approx(wanted, abs=1e-12)
    assert PLAIN.length(fixed, moving, drawn, found) == pytest.approx(0.433, abs=1e-12)


@pytest.mark.independent
def test_the_slope_of_the_slack_arm():
    """The drawn position lies asin(38/342) below level."""
    found = angle(VAN, reading("arm slope", -33.8 * DEGREE))

    assert found == pytest.approx(-33.8 * DEGREE + math.asin(38.0 / 342.0), abs=1e-12)


@pytest.mark.independent
@pytest.mark.parametrize("height", [380.0, 411.0, 440.0])
def test_a_ride_height_of_a_plain_arm(height):
    """By energy: the slack angle with which the arm rests where the height says."""
    rise = 0.412 - height * 1e-3
    seen = reading("ride height", height * 1e-3, state="standing")

    found = angle(VAN, seen)

    assert found == pytest.approx(PLAIN.slack(rise), abs=1e-9)
    assert PLAIN.rise(PLAIN.stands(found)) == pytest.approx(rise, abs=1e-9)


@pytest.mark.independent
def test_a_ride_height_of_a_double_wishbone():
    """By energy too, with the upright's equations solved by SciPy."""
    seen = reading("ride height", inches("16 5/8"), state="standing")

    found = angle(LEFT, seen)

    rise = inches("14 3/4") - inches("16 5/8")
    assert LEFT.load.value == pytest.approx(TOURER.load, rel=1e-12)
    assert LEFT.bar.rate.value == pytest.approx(TOURER.rate, rel=1e-12)
    assert found == pytest.approx(TOURER.slack(rise), abs=1e-8)


def test_a_length_and_a_slope_read_standing_say_the_same_as_the_height():
    theta = 0.03
    rise = float(PLAIN.rise(theta))
    height = reading("ride height", 0.412 - rise, state="standing")
    span = cars.length(VAN, "setting length", theta)
    wanted = angle(VAN, height)

    for seen in (
        reading("setting length", span, state="standing"),
        reading("arm slope", VAN.drawn_slope + theta, state="standing"),
        reading(
            "gap",
            abs(span - 0.36),
            state="standing",
            of_gap="setting length",
            gauge=cars.figure(0.36),
            opens="low" if span > 0.36 else "high",
        ),
    ):
        assert angle(VAN, seen) == pytest.approx(wanted, abs=1e-10), seen.of


@pytest.mark.parametrize("side", ["front-left", "front-right"])
@pytest.mark.parametrize("opens", ["low", "high"])
def test_a_gap_is_the_length_past_the_gauge(side, opens):
    """An arm that hangs low is farther off where droop lengthens, here as most do."""
    corner = demo("tourer").corners[side]
    more = 0.009 if opens == "low" else -0.009
    gauge = inches("18 19/32")
    gap = reading(
        "gap",
        0.009,
        of_gap="setting length",
        gauge=cars.figure(gauge),
        opens=opens,
    )

    assert angle(corner, gap) == pytest.approx(
        angle(corner, reading("setting length", gauge + more)), abs=1e-12
    )
    lower = angle(corner, gap) < angle(corner, reading("setting length", gauge))
    assert lower == (opens == "low")


def test_a_gap_where_droop_shortens_the_length():
    """A fixed bolt below the arm comes nearer in droop: low is then less than the gauge."""
    below = cars.edited(
        cars.EXAMPLE,
        ("gauge_boss = [200, 300, 520]", "gauge_boss = [0, 400, 20]"),
    )
    corner = cars.read_car(below).corners["front-left"]
    at = cars.length(corner, "second dimension", -0.2)
    assert corner.dimensions["second dimension"].span.slope(-0.2) > 0.0

    for opens, more in (("low", -0.004), ("high", 0.004)):
        gap = reading(
            "gap",
            0.004,
            of_gap="second dimension",
            gauge=cars.figure(at),
            opens=opens,
        )
        found = angle(corner, gap)
        assert cars.length(corner, "second dimension", found) == pytest.approx(
            at + more, abs=1e-12
        )
        assert (found < -0.2) == (opens == "low")


def test_left_and_right_mirror():
    """The mirrored corner gives the same slack angle for the same length."""
    right = demo("tourer").corners["front-right"]

    for name in ("setting length", "check dimension"):
        seen = reading(name, inches("18 1/2") if name[0] == "s" else inches("21 1/4"))
        assert angle(LEFT, seen) == pytest.approx(angle(right, seen), abs=1e-12)


@pytest.mark.parametrize("of", ["ride height", "setting length", "arm slope"])
def test_hanging_says_nothing_of_the_slack_angle(of):
    seen = reading(of, 0.4, state="hanging", name="with the wheel off")

    with pytest.raises(
        TaskError, match="'with the wheel off' was taken with the wheel"
    ):
        slack_from(VAN, seen)


def test_what_the_arm_cannot_give_is_refused_with_what_it_can():
    with pytest.raises(TaskError, match=r"reads 700\.0 mm, but the arm can only give"):
        slack_from(VAN, reading("setting length", 0.7))
    with pytest.raises(TaskError, match="outside its travel between the rebound stop"):
        slack_from(VAN, reading("ride height", 0.3, state="standing"))
    with pytest.raises(TaskError, match="does not say how long the gauge is"):
        slack_from(VAN, reading("gap", 0.01, of_gap="setting length", opens="low"))


def test_a_ride_height_needs_its_table():
    bare = replace(VAN, ride_height=None)

    with pytest.raises(TaskError, match=r"no \[ride_height\] table"):
        slack_from(bare, reading("ride height", 0.41, state="standing"))


def test_corners_by_name_and_side():
    car = demo("van")

    assert corner_of(car, "front-left") is corner_of(car, "left")
    with pytest.raises(TaskError, match="no corner called 'rear' in this car"):
        corner_of(car, "rear")
    with pytest.raises(TaskError, match="it has 'setting length'"):
        dimension_of(VAN, "toe")


# --- doubt


def test_a_typed_doubt_is_a_rectangle():
    """JCGM 100:2008, 4.3.7 (from memory): a half-width a gives a/√3."""
    assert standard_doubt(cars.figure(0.4, 0.001)) == pytest.approx(0.001 / 3**0.5)
    assert standard_doubt(cars.figure(0.4, step=0.001)) == pytest.approx(
        0.001 / 12**0.5
    )


def test_a_typed_doubt_goes_before_the_instrument():
    seen = reading("setting length", 0.433, 0.002, instrument="rule")

    assert observed_doubt(seen) == (pytest.approx(0.002 / 3**0.5), "the ± as typed")


@pytest.mark.parametrize(
    ("of", "instrument", "value", "words"),
    [
        ("setting length", "rule", 0.433, "steel rule"),
        ("ride height", "tape-2", 0.411, "steel tape, EU class II"),
        ("arm slope", "angle-box", -0.59, "digital angle gauge"),
        ("gap", "calliper-inside", 0.0075, "digital calliper"),
    ],
)
def test_an_instrument_gives_its_own_doubt(of, instrument, value, words):
    seen = reading(of, value, instrument=instrument)

    doubt, told = observed_doubt(seen)

    assert doubt == pytest.approx(float(reading_doubt(instrument, value).standard))
    assert told.startswith(words)


def test_an_instrument_of_ones_own_leaves_the_last_step():
    seen = reading("setting length", 0.433, instrument="my story stick")
    seen = replace(seen, figure=replace(seen.figure, step=0.001))

    doubt, told = observed_doubt(seen)

    assert doubt == pytest.approx(0.001 / 12**0.5)
    assert told == "half of the last step that the figure shows"


def test_an_instrument_that_cannot_have_read_it_is_refused():
    with pytest.raises(TaskError, match="is a length, which a digital angle gauge"):
        slack_from(VAN, reading("setting length", 0.433, instrument="angle-box"))
    with pytest.raises(TaskError, match="is an angle, which a steel rule"):
        slack_from(VAN, reading("arm slope", -0.5, instrument="rule"))
    long = reading(
        "ride height", 2.5, state="standing", instrument="rule", text="2.5 m"
    )
    with pytest.raises(
        TaskError, match=r"'ride height' is 2\.5 m, beyond the reach of"
    ):
        slack_from(VAN, long)


@pytest.mark.independent
@pytest.mark.parametrize(
    "seen",
    [
        reading("setting length", 0.4335, 0.0008),
        reading("arm slope", -33.8 * DEGREE, 0.3 * DEGREE),
        reading("ride height", 0.411, 0.002, state="standing"),
        reading(
            "gap",
            0.0075,
            0.0005,
            of_gap="setting length",
            gauge=cars.figure(0.4335, 0.001),
            opens="low",
        ),
    ],
    ids=lambda seen: seen.of,
)
def test_the_doubt_against_drawn_numbers(seen):
    """4,000 vans drawn within their doubts scatter by the first-order doubt."""
    rng = np.random.default_rng(5)
    n = 4000
    fixed, moving, drawn = PLAIN.triangle

    def drawn_from(told):
        return told.value + standard_doubt(told) * rng.standard_normal(n)

    read = drawn_from(seen.figure)
    if seen.of == "ride height":
        k, load = drawn_from(VAN.bar.rate), drawn_from(VAN.load)
        rise = drawn_from(VAN.ride_height.drawn) - read
        reach = PLAIN.arm * PLAIN.ratio
        at = np.arcsin(rise / reach + np.sin(PLAIN.slope))
        slack = at - PLAIN.slope - load * reach * np.cos(at) / k
    elif seen.of == "arm slope":
        slack = read - PLAIN.slope
    else:
        length = read if seen.of != "gap" else read + drawn_from(seen.gauge)

        def apart(side):
            return np.arccos((fixed**2 + moving**2 - side**2) / (2 * fixed * moving))

        slack = apart(drawn) - apart(length)

    found = slack_from(VAN, seen).slack_angle

    assert found.value == pytest.approx(np.mean(slack), abs=4 * found.doubt / n**0.5)
    # The standard deviation of 4,000 draws is itself known to 1.1 %.
    assert found.doubt == pytest.approx(np.std(slack), rel=0.04)


def test_the_parts_add_up_to_the_doubt():
    for corner in demo("van").corners.values():
        for seen in (*corner.readings, *corner.published):
            found = slack_from(corner, seen)
            total = math.sqrt(sum(u * u for _, u in found.parts))
            assert found.slack_angle.doubt == pytest.approx(total)


# --- which reading is taken


def test_the_surest_reading_on_the_bare_arm_is_taken():
    assert seen_slack(VAN).name == "setting length as found"
    only_standing = replace(VAN, readings=VAN.readings[2:])
    assert seen_slack(only_standing).name == "height as found"
    assert seen_slack(replace(VAN, readings=())) is None


def test_a_reading_that_says_nothing_is_passed_over_and_told():
    hanging = reading("arm slope", -0.6, state="hanging", name="hanging arm")
    here = replace(VAN, readings=(hanging, *VAN.readings))

    assert seen_slack(here).name == "setting length as found"
    found, left_out = estimates(here, here.readings)
    assert len(found) == len(VAN.readings)
    assert len(left_out) == 1
    assert left_out[0].startswith("'hanging arm' was taken with the wheel hanging")
    assert seen_slack(replace(VAN, readings=(hanging,))) is None
