"""Whole cars come to rest where MuJoCo lets them, on four tyres.

The engine's car is made from the same hard points, masses, springs and tyres; see
`engine`.  Heave, roll and pitch are its own joints; body, people and fuel are masses.
"""

import itertools

import pytest

from engine_cases import car_difference, engine_car
from splinewise.core.vehicle import stand

pytestmark = pytest.mark.independent


@pytest.mark.parametrize("front", ["double wishbone", "strut"])
@pytest.mark.parametrize("seed", [0, 1])
def test_cars_rest_alike(front, seed):
    """Heights to 1e-5 m, loads to 0.1 %, arms to 1e-5; in fact far closer."""
    apart = car_difference(seed, front=front)

    assert apart.place < 1e-5
    assert apart.load < 1e-3
    assert apart.place < 2e-7
    assert apart.angle < 2e-7
    assert apart.load < 2e-6


def test_what_is_left_shrinks_with_the_engines_step():
    """The shorter its step, the nearer the engine comes."""
    long, short = (car_difference(2, step=step) for step in (4e-3, 1e-3))

    assert short.gap < long.gap / 10.0
    assert short.place < long.place / 4.0
    assert short.load < long.load / 4.0


def test_the_cars_are_worth_comparing():
    """They lean, and no two corners carry the same."""
    for seed in (0, 1, 2):
        vehicle, _ = engine_car(seed)
        found = stand(vehicle)
        loads = sorted(found.loads)
        assert min(b - a for a, b in itertools.pairwise(loads)) > 10.0
        assert abs(float(found.attitude.roll)) > 1e-3
