"""One spring perch moved: what it does to the loads of all four wheels.

A rigid body on four springs has one pattern of loads that balance among themselves,
p = (1, −1, −t_f/t_r, t_f/t_r) for left front, right front, left rear and right rear;
lengthening spring i by δ changes the loads by p p_i δ/Σ(p_j²/k_j), each k_j spring
and tyre in series.  The problem, a table on four springs, goes back to Euler and was
read in Garcia, Wood and Barrera-Mora, *Applied Mathematics* 6 (2015) 599 (CC BY); the
form above is our own derivation.  The car's numbers were read in
commonroad-vehicle-models 3.0.2, parameters_vehicle2.yaml.
"""

from dataclasses import dataclass

import numpy as np
import pytest

from cited import printed
from splinewise.core.geometry import Vec
from splinewise.core.linkages import Pose
from splinewise.core.other_springs import LinearSpring
from splinewise.core.vehicle import Body, Corner, SpringAt, Vehicle, stand
from splinewise.core.vehicle.sensitivity import sensitivities


@dataclass(frozen=True)
class Upward:
    """A wheel that goes straight up by a metre a radian."""

    x: float
    y: float
    outboard: float = 1.0

    def pose(self, angle, *, rack=0.0):
        """The pose."""
        del rack
        place = Vec(self.x + 0.0 * angle, self.y + 0.0 * angle, angle + 0.0)
        return Pose(place, angle)


def table(rates, tyre, tracks, weight, longer=0.0):
    """A body on four springs, the left front one longer by so much."""
    places = [
        (x, side * track / 2)
        for x, track in zip((1.2, -1.2), tracks, strict=True)
        for side in (1.0, -1.0)
    ]
    corners = []
    for i, ((x, y), k) in enumerate(zip(places, rates, strict=True)):
        preload = weight / 4 + (k * longer if i == 0 else 0.0)
        spring = SpringAt(LinearSpring(k, preload))
        corners.append(
            Corner(
                f"leg {i}",
                Upward(x, y),
                None,
                tyre,
                0.3,
                floor=weight / 4 / tyre,
                others=(spring,),
            )
        )
    # Its centre on the floor's level: nothing leans on the springs' sideways give.
    body = Body(weight / 9.80665, Vec(*np.zeros(3)))
    return Vehicle(body, tuple(corners))


@pytest.mark.independent
def test_four_equal_legs():
    """20 kN/m on stiff tyres, 10 mm: ±k δ/4 = ±50 N."""
    base = table([20e3] * 4, 1e12, (1.4, 1.4), 8000.0)
    found = stand(base)
    pattern = np.array([50.0, -50.0, -50.0, 50.0])

    change = sensitivities(base, found).push.loads[:, 0] * 20e3 * 0.01
    moved = stand(table([20e3] * 4, 1e12, (1.4, 1.4), 8000.0, longer=0.01))

    assert change == pytest.approx(pattern, abs=1e-4)
    # All the way: what is not linear is the lean of four milliradians.
    assert moved.loads - found.loads == pytest.approx(pattern, abs=0.05)


@pytest.mark.independent
def test_a_car_by_springs_and_tyres_in_series():
    """+10 mm left front: +46.996, −46.996, −47.784, +47.784 N."""
    kf, kr, kt = 24453.1379, 19635.5047, 158294.1398
    vehicle = table([kf, kf, kr, kr], kt, (1.38684, 1.36398), 11000.0)
    found = stand(vehicle)
    assert found.loads == pytest.approx([2750.0] * 4, rel=1e-9)

    # Per newton that presses a wheel down, times the force of 10 mm.
    change = sensitivities(vehicle, found).push.loads[:, 0] * kf * 0.01

    expected = ("46.995869", "-46.995869", "-47.783509", "47.783509")
    for value, text in zip(change, expected, strict=True):
        assert value == printed(text)
    series = [kf * kt / (kf + kt), kr * kt / (kr + kt)]
    assert series[0] == printed("21181.1")
    assert series[1] == printed("17468.6")
