"""Bump steer, height window and track-rod ends, against constraints and scans."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.optimize import brentq

from cited import DEGREE, printed
from layouts import trailing
from shimmed import MM, plain
from splinewise.core.alignment.bump_steer import bump_curve, bump_steer
from splinewise.core.alignment.height_window import AngleLimits, height_window
from splinewise.core.alignment.moves import Moves, reassembled
from splinewise.core.alignment.rod_end_height import level_rod_end, rod_end_effect
from splinewise.core.alignment.targets import angles_at
from splinewise.core.derivatives import central_difference
from splinewise.core.geometry import Vec
from splinewise.core.jet import value
from splinewise.core.linkages import DoubleWishbone, locking_angle
from splinewise.errors import QuantityError, ReachError
from wishbones import EXAMPLE, Upright, mirrored, some_points

LEFT = DoubleWishbone.build(EXAMPLE, outboard=1.0)
ANGLES = np.radians([-10.0, 0.0, 8.0, 12.0])


# ---- curves ----


def test_curve_of_a_worked_example():
    """Printed figures of the invented corner (own derivation, two ways)."""
    curve = bump_curve(LEFT, ANGLES)

    for found, texts in (
        (curve.camber, ["0.440", "0.498", "-0.388", "-1.150"]),
        (curve.toe, ["2.054", "0.086", "-0.958", "-1.341"]),
        (curve.caster, ["3.577", "4.138", "4.596", "4.826"]),
    ):
        for angle, text in zip(found, texts, strict=True):
            assert angle == printed(text, DEGREE)
    for rise, text in zip(
        curve.rise, ["-59.28", "0.00", "49.27", "74.24"], strict=True
    ):
        assert rise == printed(text, MM)


@pytest.mark.independent
@pytest.mark.parametrize("seed", [0, 1, 2])
def test_slopes_against_six_constraint_equations(seed):
    """Invented corners, left and right: slopes per rise by a complex step."""
    points, side = some_points(np.random.default_rng(seed))
    upright = Upright(points, side)
    rows = upright.sweep([0.03, 0.06])
    curve = bump_curve(upright.linkage(), np.array([0.03, 0.06]))

    for at, angle in enumerate((0.03, 0.06)):
        rates = upright.slope(rows[at], angle)
        for name in ("camber", "caster", "toe"):
            found = getattr(curve, f"{name}_slope")[at]
            assert_allclose(found, rates[name] / rates["z"], rtol=1e-9, atol=1e-12)


def test_bend_of_the_toe_curve():
    """The second derivative by rise, against differences of the first."""

    def slopes(x):
        curve = bump_curve(LEFT, x[..., 0])
        return np.stack([curve.toe_slope, curve.rise], axis=-1)

    rates = central_difference(slopes, [0.07], scale=[1.0]).jacobian[:, 0]

    assert_allclose(bump_curve(LEFT, 0.07).toe_bend, rates[0] / rates[1], rtol=1e-9)


def test_left_and_right_are_alike():
    """A mirrored corner has the same curves."""
    right = DoubleWishbone.build(mirrored(EXAMPLE), outboard=-1.0)
    one, other = bump_curve(LEFT, ANGLES), bump_curve(right, ANGLES)

    for name in ("camber", "caster", "toe", "toe_slope", "toe_bend"):
        assert_allclose(getattr(one, name), getattr(other, name), atol=1e-13)


def test_a_trailing_arm_has_no_bump_steer():
    """Arm axis square across the car: toe and camber stay but for the lean of the axis."""
    points, arm = trailing()
    curve = bump_curve(arm, np.linspace(-0.2, 0.2, 5))

    assert np.all(np.isnan(curve.caster))
    assert np.all(np.isnan(curve.caster_slope))
    assert np.all(np.abs(bump_steer(arm, 0.0)) < 0.5)
    assert points.pivot_inner[2] == points.pivot_outer[2]


# ---- the band of heights ----

LIMITS = AngleLimits(
    camber=(-1.0 * DEGREE, 0.45 * DEGREE),
    caster=(3.0 * DEGREE, 5.0 * DEGREE),
    toe=(-0.3 * DEGREE, 0.5 * DEGREE),
)


def inside(limits, angle):
    """Whether all three are inside at an arm angle, by the pose alone."""
    found = angles_at(LEFT, np.asarray(angle))
    pairs = (limits.camber, limits.caster, limits.toe)
    good = np.ones(np.shape(angle), dtype=bool)
    for x, pair in zip(found, pairs, strict=True):
        if pair is not None:
            good &= (value(x) >= pair[0]) & (value(x) <= pair[1])
    return good


def test_window_against_a_root_finder():
    """Both ends by SciPy's own root finder on the limit that is named."""
    found = height_window(LEFT, LIMITS, angle=2 * DEGREE, low=-0.5, high=0.3)

    def camber(a):
        return float(value(angles_at(LEFT, np.asarray(a))[0])) - 0.45 * DEGREE

    def toe(a):
        return float(value(angles_at(LEFT, np.asarray(a))[2])) + 0.3 * DEGREE

    assert_allclose(found.low, brentq(camber, 0.0, 0.03, xtol=1e-15), atol=1e-13)
    assert_allclose(found.high, brentq(toe, 0.03, 0.1, xtol=1e-15), atol=1e-13)
    assert found.low_reason == "camber at its upper limit"
    assert found.high_reason == "toe at its lower limit"
    rise = bump_curve(LEFT, np.array([found.low, 2 * DEGREE, found.high])).rise
    assert_allclose([found.low_rise, found.high_rise], rise[[0, 2]] - rise[1])
    assert_allclose(found.span, rise[2] - rise[0])


@settings(max_examples=30)
@given(
    st.floats(-0.2, 0.2),
    st.tuples(st.floats(0.05, 1.5), st.floats(0.05, 1.5)),
    st.tuples(st.floats(0.05, 1.5), st.floats(0.05, 1.5)),
)
def test_window_against_a_fine_scan(start, camber, toe):
    """Two thousand poses either way: inside up to the end, outside just past it."""
    now = [float(value(a)) for a in angles_at(LEFT, np.asarray(start))]
    limits = AngleLimits(
        camber=(now[0] - camber[0] * DEGREE, now[0] + camber[1] * DEGREE),
        toe=(now[2] - toe[0] * DEGREE, now[2] + toe[1] * DEGREE),
    )
    found = height_window(LEFT, limits, angle=start, low=-0.4, high=0.35)

    for end, stop, reason in (
        (found.low, -0.4, found.low_reason),
        (found.high, 0.35, found.high_reason),
    ):
        within = start + (end - start) * np.linspace(0.0, 1.0 - 1e-9, 2000)
        assert np.all(inside(limits, within))
        if reason == "end of the travel":
            assert end == stop
        else:
            assert not inside(limits, end + np.sign(stop - start) * 1e-7)


def test_a_dip_between_two_looks_is_seen():
    """Camber turns near full droop; a limit just under its peak is not stepped over."""
    turning = brentq(
        lambda a: float(bump_curve(LEFT, a).camber_slope), -0.2, 0.0, xtol=1e-15
    )
    peak = float(bump_curve(LEFT, turning).camber)
    limits = AngleLimits(camber=(-1.0, peak - 1e-9))

    found = height_window(LEFT, limits, angle=0.1, low=-0.4, high=0.3)

    assert found.low_reason == "camber at its upper limit"
    assert_allclose(found.low, turning, atol=1e-3)
    assert found.low > turning
    assert_allclose(bump_curve(LEFT, found.low).camber, peak - 1e-9, atol=1e-15)


def test_where_nothing_is_asked_the_travel_is_the_band():
    """And where the linkage locks before the stop, that is the end."""
    locks = locking_angle(LEFT, -1.0)
    found = height_window(LEFT, AngleLimits(), angle=0.0, low=-1.2, high=0.3)

    assert_allclose([found.low, found.high], [locks, 0.3], atol=1e-9)
    assert (found.low_reason, found.high_reason) == (
        "the linkage locks",
        "end of the travel",
    )


def test_outside_where_it_stands():
    """No band, and which limits are broken."""
    limits = AngleLimits(camber=(0.0, 0.1 * DEGREE), toe=(0.5 * DEGREE, 1.0 * DEGREE))
    found = height_window(LEFT, limits, angle=0.0, low=-0.4, high=0.3)

    assert found.outside == ("camber at its upper limit", "toe at its lower limit")
    assert np.isnan([found.low, found.high, found.low_rise, found.high_rise]).all()


# ---- the ends of the track rod ----

ENDS = ["rod_inner", "rod_outer"]


def steer_with(
    end, moved, longer, angle, way=(0.0, 0.0, 1.0), points=EXAMPLE, side=1.0
):
    """Return toe and bump steer with one end moved and the rod lengthened."""
    shift = Vec(*(w * np.asarray(moved) for w in way))
    new = reassembled(points, Moves({end: shift}, {"rod": np.asarray(longer)}))
    curve = bump_curve(DoubleWishbone.build(new, outboard=side), angle)
    return curve.toe, curve.toe_slope


@pytest.mark.parametrize("end", ENDS)
@pytest.mark.parametrize("angle", [0.0, 0.06])
def test_effect_of_an_end_by_differences(end, angle):
    """All four derivatives by differences of fourth order."""
    effect = rod_end_effect(EXAMPLE, outboard=1.0, end=end, angle=angle)

    def both(x):
        return np.stack(steer_with(end, x[..., 0], x[..., 1], angle), axis=-1)

    J = central_difference(both, [0.0, 0.0], scale=[0.2, 0.2]).jacobian
    rod = -J[0, 0] / J[0, 1]

    assert_allclose(effect.steer, bump_steer(LEFT, angle), rtol=1e-12)
    assert_allclose(effect.toe_change, J[0, 0], rtol=1e-8)
    assert_allclose(effect.rod_change, rod, rtol=1e-8)
    assert_allclose(effect.steer_change, J[1, 0] + J[1, 1] * rod, rtol=1e-8)


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize("end", ENDS)
def test_a_levelled_rod_steers_no_more(end, side):
    """The end moved as told, solved again by constraints: no slope, the same toe."""
    points = EXAMPLE if side > 0 else mirrored(EXAMPLE)
    angle = 0.05
    found = level_rod_end(points, outboard=side, end=end, angle=angle)
    shift = Vec(0.0, 0.0, found.moved)
    new = reassembled(points, Moves({end: shift}, {"rod": found.rod_longer}))

    upright = Upright(plain(new), side)
    x = upright.sweep([angle])[-1]
    before = Upright(points, side)
    was = before.reading(before.sweep([angle])[-1], angle)["toe"]

    rates = upright.slope(x, angle)
    assert abs(rates["toe"] / rates["z"]) < 1e-10
    assert_allclose(upright.reading(x, angle)["toe"], was, atol=1e-12)
    assert abs(found.steer) < 1e-12


def test_up_at_one_end_is_down_at_the_other():
    """Raising the inner end and raising the outer end bend the curve opposite ways."""
    inner, outer = (
        rod_end_effect(EXAMPLE, outboard=1.0, end=end, angle=0.0) for end in ENDS
    )

    assert inner.steer_change * outer.steer_change < 0.0
    assert 0.7 < -inner.steer_change / outer.steer_change < 1.4


@pytest.mark.parametrize(
    ("call", "error", "message"),
    [
        (lambda: AngleLimits(toe=(0.1, 0.1)), QuantityError, "toe lower limit must be"),
        (
            lambda: height_window(LEFT, LIMITS, angle=0.4, low=-0.3, high=0.3),
            QuantityError,
            "angle must be inside the travel",
        ),
        (
            lambda: height_window(trailing()[1], LIMITS, angle=0.0, low=-0.3, high=0.3),
            ReachError,
            "no steering axis",
        ),
        (
            lambda: level_rod_end(
                EXAMPLE, outboard=1.0, end="rod_outer", angle=0.05, farthest=0.002
            ),
            ReachError,
            "No movement of the track rod's end by up to 0.002 m",
        ),
        (
            lambda: rod_end_effect(EXAMPLE, outboard=1.0, end="rod_outer", angle=-1.0),
            ReachError,
            "cannot be assembled at this arm angle",
        ),
        (
            lambda: rod_end_effect(
                EXAMPLE, outboard=1.0, end="rod_outer", angle=0.0, way=(0, 0, 0)
            ),
            QuantityError,
            "length of the way must be positive",
        ),
    ],
)
def test_what_cannot_be(call, error, message):
    """A sentence that says why."""
    with pytest.raises(error, match=message):
        call()
