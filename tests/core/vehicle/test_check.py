"""Numbers that cannot be are refused by name, before anything is reckoned."""

from dataclasses import replace

import numpy as np
import pytest

from splinewise.core.other_springs import LinearSpring
from splinewise.core.stops import Stop
from splinewise.core.vehicle import MassAt, SpringAt, stand
from splinewise.core.vehicle.batch import batch_size, pick
from splinewise.errors import QuantityError, TaskError
from vehicles import car, changed_corner, vec


@pytest.mark.parametrize(
    ("changes", "name"),
    [
        ({"tyre_rate": 0.0}, "front-right.tyre_rate"),
        ({"tyre_rate": np.array([1e5, -1e5])}, "front-right.tyre_rate"),
        ({"tyre_radius": -0.3}, "front-right.tyre_radius"),
        ({"drawn_radius": 0.0}, "front-right.drawn_radius"),
        ({"unsprung": -1.0}, "front-right.unsprung"),
        ({"friction": -1.0}, "front-right.friction"),
        ({"floor": np.nan}, "front-right.floor"),
        ({"others": (SpringAt(LinearSpring(2e4, np.nan)),)}, "front-right.others"),
        (
            {"stops": (Stop(np.array(np.nan), np.array(1e5), np.array(0.01), 1.0),)},
            "front-right.stops",
        ),
        ({"masses": (MassAt(-1.0, lambda pose: pose.contact),)}, "front-right.masses"),
    ],
)
def test_a_corner_is_refused_by_its_name(changes, name):
    """Rates and radii are positive, masses not below nothing."""
    vehicle = changed_corner(car(), 1, **changes)
    with pytest.raises(QuantityError, match=name):
        stand(vehicle)


@pytest.mark.parametrize(
    ("change", "name"),
    [
        (lambda v: replace(v, body=replace(v.body, mass=np.nan)), "body.mass"),
        (lambda v: replace(v, body=replace(v.body, mass=-100.0)), "sprung_mass"),
        (lambda v: replace(v, gravity=0.0), "gravity"),
        (
            lambda v: replace(v, body=replace(v.body, centre=vec([0.0, np.nan, 0.5]))),
            "body.centre.y",
        ),
        (lambda v: replace(v, body=replace(v.body, roll_inertia=0.0)), "roll_inertia"),
        (
            lambda v: replace(v, loads=(replace(v.loads[0], mass=np.inf),)),
            "driver.mass",
        ),
        (
            lambda v: replace(v, loads=(replace(v.loads[0], at=vec([np.inf, 0, 0])),)),
            "driver.at.x",
        ),
        (
            lambda v: replace(
                v,
                joined=(replace(v.joined[0], bar=replace(v.joined[0].bar, rate=0.0)),),
            ),
            "joined.rate",
        ),
        (
            lambda v: replace(
                v,
                joined=(replace(v.joined[0], bar=replace(v.joined[0].bar, give=-1.0)),),
            ),
            "joined.give",
        ),
    ],
)
def test_body_loads_and_bars_are_refused_by_name(change, name):
    """The message names what is wrong."""
    with pytest.raises(QuantityError, match=name):
        stand(change(car()))


def test_no_wheels_no_stand():
    """A vehicle needs a corner, and a bar two that are there."""
    with pytest.raises(TaskError, match="at least one corner"):
        stand(replace(car(), corners=(), joined=()))
    vehicle = car()
    for ends in ((0, 0), (0, 4)):
        joined = replace(vehicle.joined[0], left=ends[0], right=ends[1])
        with pytest.raises(TaskError, match="two different corners of the 4"):
            stand(replace(vehicle, joined=(joined,)))


def test_arrays_of_two_lengths_are_no_batch():
    """Three masses and two tyre rates are neither two cars nor three."""
    vehicle = changed_corner(car(count=3), 0, tyre_rate=np.array([2e5, 2e5]))
    with pytest.raises(QuantityError, match="arrays of one length"):
        stand(vehicle)


def test_how_many_cars_a_vehicle_stands_for():
    """None for one without leading axes; a number alike for all may have length 1."""
    assert batch_size(car()) is None
    assert batch_size(car(count=1)) == 1
    assert batch_size(car(count=4)) == 4
    assert batch_size(changed_corner(car(count=4), 0, floor=np.zeros(1))) == 4
    picked = pick(car(np.random.default_rng(0), 4), np.array([3, 1]), 4)
    assert batch_size(picked) == 2
    whole = car(np.random.default_rng(0), 4)
    assert picked.body.mass.tolist() == whole.body.mass[[3, 1]].tolist()
