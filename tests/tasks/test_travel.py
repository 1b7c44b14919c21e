"""A corner over its travel, against ways of its own."""

import math

import numpy as np
import pytest

import cars
from cars import demo, example, figure
from cited import DEGREE, printed
from splinewise.errors import TaskError
from splinewise.tasks.plan import plan
from splinewise.tasks.travel import travel_table

PLAIN = cars.van_left()


def of_van(**more):
    return travel_table(demo("van"), plan(demo("van"), "left"), **more)


@pytest.mark.independent
def test_a_plain_arm_by_trigonometry():
    table = of_van(rows=9)
    slack = plan(demo("van"), "left").slack_angle.value

    rise = np.array(table.column("rise of the wheel").values)
    theta = np.array(table.column("arm angle").values)
    assert rise == pytest.approx(np.linspace(-0.080, 0.075, 9), abs=1e-12)
    assert PLAIN.rise(theta) == pytest.approx(rise, abs=1e-12)
    reach = PLAIN.arm * PLAIN.ratio
    slope = reach * np.cos(PLAIN.slope + theta)
    twist = theta - slack
    force = PLAIN.rate * twist / slope
    rate = (PLAIN.rate + force * reach * np.sin(PLAIN.slope + theta)) / slope**2
    wanted = {
        "force at the wheel": force,
        "wheel rate": rate,
        "motion ratio": 1.0 / slope,
        "twist of the bar": twist,
        "stress in the bar": 16 * PLAIN.rate * twist / (np.pi * 0.024**3),
        "damper length": [PLAIN.length(0.312, 0.270, 0.365, a) for a in theta],
    }
    for name, values in wanted.items():
        assert table.column(name).values == pytest.approx(values, rel=1e-9), name


def test_the_worked_example():
    """Camber, toe and caster at arm angle −10°, 0, 8° and 12°: our own example, worked
    out twice in tests/validation/test_worked_example.py.
    """
    planned = plan(example(), "left", ride_height=figure(0.4))
    table = travel_table(example(), planned, rows=2001)
    angles = np.array(table.column("arm angle").values)

    def at(name, degrees):
        return np.interp(degrees * DEGREE, angles, table.column(name).values)

    for degrees, rise, camber, toe, caster in (
        (-10.0, "-59.28", "0.440", "2.054", "3.577"),
        (0.0, "0.00", "0.498", "0.086", "4.138"),
        (8.0, "49.27", "-0.388", "-0.958", "4.596"),
        (12.0, "74.24", "-1.150", "-1.341", "4.826"),
    ):
        assert at("rise of the wheel", degrees) == printed(rise, 1e-3)
        assert at("camber", degrees) == printed(camber, DEGREE)
        assert at("toe", degrees) == printed(toe, DEGREE)
        assert at("caster", degrees) == printed(caster, DEGREE)


def test_the_force_at_ride_is_the_load():
    table = of_van(rows=101)

    rises = table.column("rise of the wheel").values
    force = np.interp(
        table.ride.value, rises, table.column("force at the wheel").values
    )

    assert force == pytest.approx(PLAIN.load, rel=1e-5)


def test_outputs_that_the_layout_does_not_know_are_left_out():
    names = [c.name for c in of_van(rows=3).columns]

    assert "camber" not in names
    tourer = travel_table(demo("tourer"), plan(demo("tourer"), "left"), rows=3)
    assert "camber" in [c.name for c in tourer.columns]
    assert all(len(c.values) == 3 for c in tourer.columns)
    assert all(math.isfinite(v) for c in tourer.columns for v in c.values)


def test_the_ends_are_the_stops():
    table = of_van(rows=3)
    corner = demo("van").corners["front-left"]

    angles = table.column("arm angle").values
    assert (angles[0], angles[-1]) == (corner.low, corner.high)
    assert table.low.value == pytest.approx(-0.080, abs=1e-12)
    assert table.high.value == pytest.approx(0.075, abs=1e-12)
    assert table.stops_known == (True, True)


@pytest.mark.parametrize("rows", [2, 2002, -1])
def test_so_many_rows_are_refused(rows):
    with pytest.raises(TaskError, match=f"Ask for 3 to 2001 rows, not {rows}"):
        of_van(rows=rows)
