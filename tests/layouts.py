"""Invented corners of every layout, and the laws that each of them must keep.

All measures are made up around those of a light car; no figure is taken from one.
Angles in radians, lengths in metres.
"""

from dataclasses import fields, replace

import numpy as np
from numpy.testing import assert_allclose
from scipy.interpolate import CubicSpline

from splinewise.core.corner import Spring, wheel_force
from splinewise.core.jet import curvature, slope, value
from splinewise.core.linkages import DoubleWishbone, WishbonePoints, solve
from splinewise.core.linkages.lever_and_link import LeverAndLink, LeverPoints
from splinewise.core.linkages.strut import Strut, StrutPoints
from splinewise.core.linkages.strut_rod_link import StrutRodLink, StrutRodPoints
from splinewise.core.linkages.trailing import TrailingArm, TrailingPoints

TRAVEL = np.linspace(-0.3, 0.3, 13)
SHARED = {
    "wheel_centre": (0.000, 0.640, 0.305),
    "spindle": (0.0015, 1.0, -0.0087),
}
UPPER = {
    "upper_front": (0.060, 0.330, 0.455),
    "upper_rear": (-0.120, 0.330, 0.445),
    "upper_ball": (-0.012, 0.560, 0.440),
}
ROD = {
    "rod_inner": (-0.110, 0.245, 0.262),
    "rod_outer": (-0.115, 0.590, 0.250),
}
DAMPER = {
    "damper_body": (0.020, 0.290, 0.560),
    "damper_arm": (0.010, 0.480, 0.215),
}
LINK = {
    "link_inner": (0.000, 0.230, 0.240),
    "strut_rod_body": (0.420, 0.300, 0.265),
    "lower_ball": (0.005, 0.575, 0.205),
    "bar_arm_end": (0.000, 0.230, 0.240),
    "bar_anchor_end": (-1.000, 0.225, 0.250),
}
STRUT = {
    "lower_front": (0.120, 0.230, 0.240),
    "lower_rear": (-0.180, 0.230, 0.235),
    "lower_ball": (0.005, 0.575, 0.205),
    "strut_top": (-0.045, 0.500, 0.790),
    "strut_low": (-0.008, 0.560, 0.370),
}
TRAILING = {
    "pivot_inner": (0.400, 0.250, 0.290),
    "pivot_outer": (0.420, 0.520, 0.290),
    "damper_body": (0.050, 0.500, 0.620),
    "damper_arm": (0.060, 0.540, 0.270),
}
BAR_ACROSS = {
    "bar_arm_end": (0.410, 0.380, 0.295),
    "bar_anchor_end": (0.410, -0.500, 0.295),
}
LEVER = {
    "bar_arm_end": (-0.050, 0.300, 0.470),
    "bar_anchor_end": (-0.900, 0.300, 0.460),
    "lever_end": (-0.045, 0.420, 0.480),
    "link_arm": (-0.030, 0.440, 0.225),
}


def points(kind, drawn, *, rng=None, spread=0.02, mirrored=False):
    """Make hard points of a class, each coordinate stirred by up to `spread`."""
    shifted = {}
    for name, place in drawn.items():
        p = np.array(place)
        if rng is not None:
            small = spread if name != "spindle" else 0.05
            p = p + rng.uniform(-small, small, 3)
        shifted[name] = p * [1, -1, 1] if mirrored else p
    radius = 0.305 if "tyre_radius" in {f.name for f in fields(kind)} else None
    if radius is not None:
        shifted["tyre_radius"] = radius
    return kind(**shifted)


def strut_rod(rng=None, *, mirrored=False):
    """Link with strut rod, upper wishbone, bar 10 degrees off the link's axis."""
    drawn = {**SHARED, **UPPER, **ROD, **DAMPER, **LINK}
    p = points(StrutRodPoints, drawn, rng=rng, mirrored=mirrored)
    return p, StrutRodLink.build(p, outboard=-1.0 if mirrored else 1.0)


def strut(rng=None, *, mirrored=False):
    """Sliding strut whose axis passes the ball joint at a distance."""
    p = points(StrutPoints, {**SHARED, **ROD, **STRUT}, rng=rng, mirrored=mirrored)
    return p, Strut.build(p, outboard=-1.0 if mirrored else 1.0)


def trailing(rng=None, *, mirrored=False):
    """Trailing arm with the bar on its axis."""
    p = points(TrailingPoints, {**SHARED, **TRAILING}, rng=rng, mirrored=mirrored)
    return p, TrailingArm.build(p, outboard=-1.0 if mirrored else 1.0)


def semi_trailing(rng=None, *, mirrored=False):
    """Semi-trailing arm, its axis 20 degrees askew, with the bar across."""
    drawn = {**SHARED, **TRAILING, **BAR_ACROSS, "pivot_inner": (0.320, 0.250, 0.300)}
    p = points(TrailingPoints, drawn, rng=rng, mirrored=mirrored)
    return p, TrailingArm.build(p, outboard=-1.0 if mirrored else 1.0)


def lever_points(rng=None, *, mirrored=False):
    """Bar above the lower arm, its lever hanging on the arm by a drop link."""
    return points(LeverPoints, LEVER, rng=rng, spread=0.01, mirrored=mirrored)


def lever_and_link(rng=None, *, mirrored=False):
    """Double wishbone whose lower arm works the bar by lever and drop link."""
    lower = {name: STRUT[name] for name in ("lower_front", "lower_rear", "lower_ball")}
    drawn = {**SHARED, **UPPER, **ROD, **DAMPER, **lower}
    p = points(WishbonePoints, drawn, rng=rng, mirrored=mirrored)
    inside = DoubleWishbone.build(p, outboard=-1.0 if mirrored else 1.0)
    q = lever_points(rng, mirrored=mirrored)
    return (p, q), LeverAndLink.build(inside, q)


LAYOUTS = {
    "strut_rod": strut_rod,
    "strut": strut,
    "trailing": trailing,
    "semi_trailing": semi_trailing,
    "lever_and_link": lever_and_link,
}


def numbers_of(pose):
    """Every number of a pose by name, as plain or jet scalars."""
    found = {"twist": pose.twist}
    vectors = {"contact": pose.contact, "wheel": pose.wheel, "spindle": pose.spindle}
    if pose.steering is not None:
        vectors["steering_low"], vectors["steering_high"] = pose.steering
    for name, v in vectors.items():
        if v is not None:
            found |= {f"{name}.{axis}": getattr(v, axis) for axis in "xyz"}
    if pose.damper is not None:
        found["damper"] = pose.damper
    return found


# Weights of differences of the eighth order, for steps 1 to 4 either side.
FIRST = np.array([4 / 5, -1 / 5, 4 / 105, -1 / 280])
SECOND = np.array([8 / 5, -1 / 5, 8 / 315, -1 / 560])
SECOND_MIDDLE = -205 / 72


def check_derivatives(linkage, angle, *, tol=1e-9):
    """Slopes and curvatures of a pose agree with differences of the eighth order.

    The poses are taken in extended precision where the machine has it.
    """
    exact = numbers_of(solve(linkage, angle))
    h = np.longdouble(0.01)
    steps = np.arange(1, 5)
    at = np.asarray(angle, dtype=np.longdouble)
    middle = numbers_of(linkage.pose(at))
    ahead = [numbers_of(linkage.pose(at + k * h)) for k in steps]
    behind = [numbers_of(linkage.pose(at - k * h)) for k in steps]
    for name, jet in exact.items():
        rows = [(a[name], b[name]) for a, b in zip(ahead, behind, strict=True)]
        first = sum(w * (a - b) for w, (a, b) in zip(FIRST, rows, strict=True)) / h
        bent = sum(w * (a + b) for w, (a, b) in zip(SECOND, rows, strict=True))
        second = (bent + SECOND_MIDDLE * middle[name]) / (h * h)
        assert_allclose(
            slope(jet) + 0 * at, np.float64(first + 0 * at), atol=tol, err_msg=name
        )
        assert_allclose(
            curvature(jet) + 0 * at,
            np.float64(second + 0 * at),
            atol=100 * tol,
            err_msg=name,
        )


def check_mirror(left, right, angles):
    """The mirrored corner has the mirrored pose."""
    a, b = numbers_of(solve(left, angles)), numbers_of(solve(right, angles))
    assert a.keys() == b.keys()
    for name in a:
        sign = -1.0 if name.endswith(".y") else 1.0
        for part in (value, slope, curvature):
            assert_allclose(
                part(b[name]), sign * part(a[name]), atol=1e-12, err_msg=name
            )


def check_energy(linkage, low, high, *, rate=2000.0, slack=-0.45):
    """The work of the wheel's force over its rise is what the bar has stored."""
    angle = np.linspace(low, high, 801)
    at = wheel_force(linkage, Spring(rate, slack), angle)
    work = CubicSpline(at.rise, at.force).integrate(at.rise[0], at.rise[-1])
    stored = 0.5 * rate * (at.twist[-1] ** 2 - at.twist[0] ** 2)
    assert_allclose(work, stored, rtol=1e-8)


def check_wheel_rate(linkage, low, high, *, rate=2000.0, slack=-0.45):
    """The wheel rate is the slope of force over rise."""
    at = wheel_force(linkage, Spring(rate, slack), np.linspace(low, high, 801))
    slopes = CubicSpline(at.rise, at.force).derivative()
    # A spline's own ends are poor.
    inside = slice(50, -50)
    assert_allclose(slopes(at.rise[inside]), at.wheel_rate[inside], rtol=1e-6)


def check_batch(one_by_one, batch, angles):
    """A batch of corners has the poses of its corners taken one by one."""
    together = numbers_of(solve(batch, angles))
    for i, linkage in enumerate(one_by_one):
        alone = numbers_of(solve(linkage, angles[i]))
        for name, jet in alone.items():
            for part in (value, slope, curvature):
                whole = np.broadcast_to(part(together[name]), angles.shape)
                assert_allclose(
                    whole[i], part(jet), rtol=1e-12, atol=1e-12, err_msg=name
                )


def stacked(many):
    """Hard points of many corners as one, each array with a leading axis."""
    first = many[0]
    return replace(
        first,
        **{
            f.name: np.stack([np.asarray(getattr(p, f.name)) for p in many])
            for f in fields(first)
            if getattr(first, f.name) is not None
        },
    )
