"""Closed-form double wishbones against SciPy's solution of what holds the upright.

`wishbones.Upright` writes six equations in the upright's six coordinates and lets
`scipy.optimize.root` solve them, pose by pose; derivatives are a complex step in the
same equations.  Corners are invented at random: left and right, bar on the lower and
on the upper arm, damper on either, track rod ahead or behind, over the whole travel
to just short of where the linkage locks.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from splinewise.core.jet import curvature, slope, value
from splinewise.core.linkages import locking_angle, solve, travel
from wishbones import Upright, some_points

CORNERS = 200
QUICK = 10
# Share of the way to the lock, or to 40° where there is none nearer.
WAY = np.array([0.0, 0.2, 0.4, 0.6, 0.8, 1.0])
FARTHEST = np.radians(40.0)
METRE = RADIAN = 1e-9

pytestmark = pytest.mark.independent


def corner(number):
    """Return one of the invented corners: points, side, arm with the damper."""
    rng = np.random.default_rng([2024, number])
    points, outboard = some_points(rng)
    return points, outboard, ["lower", "upper"][rng.integers(2)]


def sweeps(number):
    """Yield (upright, linkage, angles outward from the drawn position)."""
    points, outboard, damper_on = corner(number)
    for bar_on in ("lower", "upper"):
        upright = Upright(points, outboard, bar_on, damper_on)
        linkage = upright.linkage()
        for direction in (-1.0, 1.0):
            end = locking_angle(linkage, direction, farthest=FARTHEST)
            locks = abs(end) < FARTHEST
            yield upright, linkage, WAY * end * (0.995 if locks else 1.0)


def compare(number):
    """Hold one corner's outputs against the solved constraints."""
    for upright, linkage, angles in sweeps(number):
        got = travel(linkage, angles)
        solved = upright.sweep(angles)
        pairs = list(zip(solved, angles, strict=True))
        read = [upright.reading(x, angle) for x, angle in pairs]
        want = {name: np.array([r[name] for r in read]) for name in read[0]}
        rate = [upright.slope(x, angle) for x, angle in pairs]
        rate = {name: np.array([r[name] for r in rate]) for name in rate[0]}

        for i, name in enumerate("xyz"):
            assert_allclose(got.contact[:, i], want[name], rtol=0, atol=METRE)
        for name in ("scrub_radius", "trail", "damper"):
            assert_allclose(getattr(got, name), want[name], rtol=0, atol=METRE)
        for name in ("camber", "caster", "inclination", "toe"):
            # Some of these corners turn their wheel past a right angle, where the
            # arctangent of the other side starts again.
            off = np.sin(getattr(got, name) - want[name])
            assert_allclose(off, 0.0, rtol=0, atol=RADIAN)
        assert_allclose(got.rise, want["z"] - want["z"][0], rtol=0, atol=METRE)
        across = (want["y"] - want["y"][0]) * upright.outboard
        assert_allclose(got.track_change, across, rtol=0, atol=METRE)

        rise = rate["z"]
        assert_allclose(got.rise_slope, rise, rtol=1e-9, atol=METRE)
        assert_allclose(got.motion_ratio, 1.0 / rise, rtol=1e-8)
        assert_allclose(got.damper_ratio, -rate["damper"] / rise, rtol=1e-8, atol=1e-9)
        centre = want["y"] * rate["y"] / rise
        assert_allclose(got.roll_centre_height, centre, rtol=1e-8, atol=METRE)


@pytest.mark.parametrize("number", range(QUICK))
def test_some_corners_over_the_whole_travel(number):
    """To 1e-9 m and 1e-9 rad: what the constraints say is what the formulas say."""
    compare(number)


@pytest.mark.slow
@pytest.mark.parametrize("first", range(QUICK, CORNERS, 19))
def test_all_corners_over_the_whole_travel(first):
    """The same for the rest of the two hundred, nineteen at a time."""
    for number in range(first, first + 19):
        compare(number)


def test_the_corners_are_many_sided():
    """Left and right, locking and not, rod ahead and behind, damper on either arm."""
    corners = [corner(number) for number in range(CORNERS)]

    for seen in (
        {outboard for _, outboard, _ in corners},
        {damper_on for _, _, damper_on in corners},
        {p.rod_inner[0] > p.wheel_centre[0] for p, _, _ in corners},
    ):
        assert len(seen) == 2


@pytest.mark.parametrize("number", range(3))
def test_second_derivatives(number):
    """Curvature of every pose against sixth-order differences of solved slopes."""
    weights = {-3: -1 / 60, -2: 3 / 20, -1: -3 / 4, 1: 3 / 4, 2: -3 / 20, 3: 1 / 60}
    step = 0.01
    points, outboard, damper_on = corner(number)
    upright = Upright(points, outboard, "lower", damper_on)
    pose = solve(upright.linkage(), 0.05)

    slopes = {}
    for k in weights:
        angle = 0.05 + k * step
        (x,) = upright.sweep([angle])
        slopes[k] = upright.slope(x, angle)

    for name, jet in {
        "x": pose.contact.x,
        "y": pose.contact.y,
        "z": pose.contact.z,
        "damper": pose.damper,
    }.items():
        bend = sum(w * slopes[k][name] for k, w in weights.items()) / step
        assert_allclose(curvature(jet), bend, rtol=1e-7, atol=1e-8)
        (x,) = upright.sweep([0.05])
        assert_allclose(slope(jet), upright.slope(x, 0.05)[name], rtol=1e-10)
        assert_allclose(value(jet), upright.reading(x, 0.05)[name], atol=1e-12)


@pytest.mark.parametrize("number", range(3))
def test_rack_and_angle_move_the_same_upright(number):
    """A moved rack is a moved inner joint: solved anew with the joint elsewhere."""
    points, outboard, _ = corner(number)
    shift = 0.012
    upright = Upright(points, outboard)
    linkage = upright.linkage()
    angles = np.array([0.0, 0.05])
    shifted = Upright(points, outboard)

    got = travel(linkage, angles, rack=shift)

    # Begin at the drawn angle with half the shift, so as to stay on the branch.
    x = np.zeros(6)
    for part in (0.25, 0.5, 0.75, 1.0):
        shifted.ends[2] = points.rod_inner + np.array([0.0, part * shift, 0.0])
        x = shifted.solve(0.0, x)
    for i, angle in enumerate(angles):
        x = shifted.solve(angle, x)
        want = shifted.reading(x, angle)
        assert_allclose(got.toe[i], want["toe"], rtol=0, atol=RADIAN)
        assert_allclose(got.contact[i, 1], want["y"], rtol=0, atol=METRE)
