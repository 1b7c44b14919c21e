"""The whole car standing: laws that no car may break, and what is told of it."""

import math

import pytest

from splinewise.car.demos import demo_text, load_demo
from splinewise.car.file import read_car
from splinewise.errors import CarFileError, TaskError
from splinewise.tasks.stand import as_found, as_planned, as_wanted, stand_car

GRAVITY = 9.80665  # exact by definition (ISO 80000-3)
ESTATE, TOURER = load_demo("estate"), load_demo("tourer")


def found(car):
    return stand_car(car, as_found(car))


@pytest.mark.independent
@pytest.mark.parametrize(
    ("car", "kilograms"),
    [
        # What the scales show, and the driver.
        (ESTATE, 306 + 302 + 242 + 246 + 75),
        (TOURER, (640 + 644 + 540 + 536 + 165) * 0.45359237),
    ],
)
def test_the_loads_sum_to_the_weight(car, kilograms):
    result = found(car)

    total = sum(wheel.load.value for wheel in result.wheels)
    assert total == pytest.approx(kilograms * GRAVITY, rel=1e-9)
    assert result.weight.value == pytest.approx(total, rel=1e-12)


@pytest.mark.independent
def test_a_mirrored_car_without_driver_stands_level():
    """Equal sides, equal slack angles: no lean, and equal loads across."""
    text = demo_text("estate").replace('scale_load = "302 kg ± 2"\n', "")
    text = text.replace('scale_load = "246 kg ± 2"\n', "")
    head, _, rest = text.partition("[[vehicle.load]]")
    car = read_car(head + "[[vehicle.point]]" + rest.partition("[[vehicle.point]]")[2])
    slacks = {name: (math.radians(-27.0), "given") for name in car.corners}

    result = stand_car(car, slacks)

    assert result.level
    assert result.roll.value == pytest.approx(0.0, abs=1e-9)
    loads = {wheel.name: wheel.load.value for wheel in result.wheels}
    assert loads["front-left"] == pytest.approx(loads["front-right"], rel=1e-8)
    assert loads["rear-left"] == pytest.approx(loads["rear-right"], rel=1e-8)


@pytest.mark.independent
def test_the_effect_of_an_index_step_is_what_a_step_does():
    """A thousandth of an index step, taken for true, against the derivative."""
    slacks = as_found(ESTATE)
    before = stand_car(ESTATE, slacks)
    step = ESTATE.corners["front-left"].splines.index_step
    angle, words = slacks["front-left"]
    after = stand_car(ESTATE, {**slacks, "front-left": (angle - step / 1e3, words)})

    effect = next(e for e in before.effects if e.cause.startswith("front-left: one"))
    for told, old, new in zip(effect.loads, before.wheels, after.wheels, strict=True):
        changed = (new.load.value - old.load.value) * 1e3
        assert changed == pytest.approx(told.value, rel=2e-3, abs=0.05)
    for told, old, new in zip(
        effect.heights, before.heights, after.heights, strict=True
    ):
        changed = (new.height.value - old.height.value) * 1e3
        assert changed == pytest.approx(told.value, rel=2e-3, abs=1e-6)


@pytest.mark.parametrize("car", [ESTATE, TOURER])
def test_wanted_heights_are_met(car):
    """The inverse, fed back, stands where it was asked to."""
    result = stand_car(car, as_wanted(car))

    assert result.fits
    assert all(abs(value.value) < 1e-5 for _, value in result.uneven)


def test_as_found_the_estate_leans_and_says_so():
    result = found(ESTATE)

    assert not result.fits
    assert not result.level
    assert any("higher on the right" in row for row in result.broken)


def test_as_planned_takes_the_plans_of_every_corner():
    slacks = as_planned(TOURER)

    assert set(slacks) == set(TOURER.corners)


def test_what_is_missing_is_named_at_once():
    with pytest.raises(TaskError, match=r"\[vehicle\]") as caught:
        stand_car(load_demo("van"), as_found(load_demo("van")))

    assert "half_track" in str(caught.value)
    assert "[corner.front-right.tyre] rate" in str(caught.value)


def test_a_roll_bar_needs_its_axle():
    text = demo_text("estate").replace('axle = "front"', 'axle = "middle"')

    with pytest.raises(CarFileError, match="no two wheels middle-left"):
        read_car(text)


def test_a_wheel_needs_one_spring():
    text = demo_text("tourer").replace('wheel_rate = "120 lbf/in"\n', "")

    with pytest.raises(CarFileError, match="Give the spring once"):
        read_car(text)
