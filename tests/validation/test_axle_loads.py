"""Loads on axles, and the height of a centre of gravity from a raised axle.

NCERT, *Physics XI*, part I, exercise 7.9: the solution was read at
ask.learncbse.in/t/a-car-of-weight-1800-kg/13959.
D. Halliday, R. Resnick, *Physics*: statement read, answer from memory.
Body-builder guidelines of a van maker, chapter 3.5, equations 1 to 9, and
openbooks.link, ?p=9580, equations 1 to 3: formulae read, numbers own derivation.
"""

import numpy as np
import pytest

from cited import printed
from splinewise.core.vehicle.loads import (
    Centre,
    centre_of_loads,
    height_by_raised_axle,
    least_loads,
)


@pytest.mark.cited
def test_ncert_each_wheel():
    """3675 N on each front wheel and 5145 N on each rear wheel."""
    g, base = 9.8, 1.8
    centre = Centre(*map(np.asarray, (1800.0 * g, -1.05, 0.0)))
    x, y = [0.0, 0.0, -base, -base], [0.7, -0.7, 0.7, -0.7]

    loads = least_loads(centre, x, y)

    assert loads[:2] == pytest.approx([3675.0] * 2, abs=0.5)
    assert loads[2:] == pytest.approx([5145.0] * 2, abs=0.5)


@pytest.mark.independent
def test_where_two_scales_put_the_centre():
    """5800 N in front, 6500 N behind, 3.20 m: moments by hand give 1.6911 m."""
    got = centre_of_loads([5800.0, 6500.0], [0.0, -3.20])

    assert -got.x == printed("1.6911")
    assert got.weight == printed("12300")


@pytest.mark.cited
def test_halliday_each_wheel():
    """2770 N and 3890 N, the answer from memory; 1360 kg, 3.05 m, 1.78 m."""
    centre = Centre(*map(np.asarray, (1360.0 * 9.8, -1.78, 0.0)))
    x, y = [0.0, 0.0, -3.05, -3.05], [0.7, -0.7, 0.7, -0.7]

    loads = least_loads(centre, x, y)

    assert loads[0] == pytest.approx(2770.0, abs=5.0)
    assert loads[2] == pytest.approx(3890.0, abs=5.0)


def guideline(level_front, raised_front, weight, base, rise, radius):
    """The guideline's chain of equations, by its own letters; z is above the hubs."""
    xh1 = level_front * base / weight
    r2 = np.sqrt(base**2 - rise**2)
    xh2 = raised_front * r2 / weight
    u = rise * xh2 / r2
    y = xh1 - np.hypot(u, xh2)
    return r2, xh2, y, radius + y * np.tan(np.arccos(rise / base))


@pytest.mark.independent
def test_raised_axle_two_formulae_one_height():
    """1200 kg, 2.5 m, 1.15 m, 0.30 m, raised by 0.40 m, scales 534.8835 kg: 0.520000 m."""
    mass, front = 1200.0, 534.8834882
    given = {
        "raised_load": front * 9.81,
        "weight": mass * 9.81,
        "wheelbase": 2.5,
        "behind": 1.15,
        "rise": 0.40,
        "raised_radius": 0.30,
        "other_radius": 0.30,
    }

    got = height_by_raised_axle(**given)

    assert got == printed("0.520000")
    lecture = 0.30 + (1.15 - 2.5 * front / mass) / np.tan(np.arcsin(0.40 / 2.5))
    assert got == pytest.approx(lecture, abs=1e-12)
    r2, xh2, y, height = guideline(mass * 1.15 / 2.5, front, mass, 2.5, 0.40, 0.30)
    assert r2 == printed("2.467793")
    assert xh2 == printed("1.099985")
    assert y == printed("0.035659")
    assert got == pytest.approx(height, abs=1e-12)
