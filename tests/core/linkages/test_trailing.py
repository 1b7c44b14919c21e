"""Trailing and semi-trailing arms."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from constraints import about, bump_turn, contact, distance, solved
from layouts import TRAVEL, semi_trailing, trailing
from splinewise.core.corner import Spring, slack_for, standing_angle, wheel_force
from splinewise.core.linkages import locking_angle, solve, travel
from splinewise.core.linkages.trailing import TrailingArm, TrailingPoints
from splinewise.errors import QuantityError

DEGREE = np.pi / 180.0


def slow_wheel(p, angle, guess):
    """Wheel centre from its distances to the pivots and the turn of its plane."""
    axis = (p.pivot_outer - p.pivot_inner) / distance(p.pivot_outer, p.pivot_inner)
    if np.cross(axis, p.wheel_centre - p.pivot_inner)[2] < 0.0:
        axis = -axis
    arm = p.wheel_centre - p.pivot_inner
    square = arm - axis * (arm @ axis)

    def equations(w):
        now = w - p.pivot_inner
        now = now - axis * (now @ axis)
        return [
            distance(w, p.pivot_inner) - distance(p.wheel_centre, p.pivot_inner),
            distance(w, p.pivot_outer) - distance(p.wheel_centre, p.pivot_outer),
            np.cross(square, now) @ axis - square @ square * np.sin(angle),
        ]

    return solved(equations, guess)


@pytest.mark.independent
@pytest.mark.parametrize("make", [trailing, semi_trailing])
@pytest.mark.parametrize(
    "stirred", [range(3), pytest.param(range(3, 53), marks=pytest.mark.slow)]
)
def test_contact_point_against_scipy_on_the_constraints(make, stirred):
    """Random corners: wheel centre by root finding, spindle by SciPy's rotation."""
    for seed in stirred:
        p, linkage = make(np.random.default_rng(seed))
        slow = []
        for angle in TRAVEL:
            turned = bump_turn(p.pivot_outer, p.pivot_inner, p.wheel_centre, angle)
            near = about(p.pivot_inner, turned, p.wheel_centre) + 0.003
            wheel = slow_wheel(p, angle, near)
            slow.append(contact(wheel, turned.apply(p.spindle), p.tyre_radius))

        ours = linkage.pose(TRAVEL).contact.array

        assert_allclose(ours, slow, atol=1e-9, err_msg=str(seed))


@pytest.mark.independent
def test_a_bar_across_the_car_takes_the_arm_turn_less_its_lean():
    """Swing and twist of the semi-trailing arm's turn taken apart by SciPy."""
    p, linkage = semi_trailing()
    bar = p.bar_arm_end - p.bar_anchor_end
    bar = bar / np.linalg.norm(bar)
    slow = []
    for angle in TRAVEL:
        end = bump_turn(p.pivot_outer, p.pivot_inner, p.wheel_centre, angle)
        swing, _ = Rotation.align_vectors([end.apply(bar)], [bar])
        slow.append((swing.inv() * end).as_rotvec() @ bar)

    assert_allclose(linkage.pose(TRAVEL).twist, slow, atol=1e-7)


def plain_arm(length, angle):
    """A trailing arm in the side plane, drawn at an angle above level."""
    return TrailingArm.build(
        TrailingPoints(
            pivot_inner=np.array([0.0, 0.4, 0.0]),
            pivot_outer=np.array([0.0, 0.6, 0.0]),
            wheel_centre=np.array(
                [-length * np.cos(angle), 0.7, length * np.sin(angle)]
            ),
            spindle=np.array([0.0, 1.0, 0.0]),
            tyre_radius=0.28,
        ),
        outboard=1.0,
    )


@pytest.mark.independent
def test_trailing_arm_rate_and_anchor_turn():
    """Arm 0.4 m, 3000 N·m/rad, 2500 N at −5°, then the anchor turned by +1°.

    Own derivation, worked without this program: F = k(θ − θ_f)/(a cos θ) gives
    θ_f = −24.025917° and k_w = k/(a cos θ)² + F tan θ/(a cos θ) = 18344.62 N/m; at the
    same load the arm then rises by 1.026773° in droop, the wheel by 7.1462 mm.
    """
    k, load, drawn = 3000.0, 2500.0, -5.0 * DEGREE
    linkage = plain_arm(0.4, drawn)

    slack = slack_for(linkage, angle=0.0, rate=k, load=load)
    turned = Spring(k, slack + DEGREE)
    angle = standing_angle(linkage, turned, load, low=-0.3, high=0.3)
    rise = linkage.pose(angle).contact.z - linkage.pose(0.0).contact.z

    assert_allclose((slack + drawn) / DEGREE, -24.025917, atol=5e-7)
    rate = wheel_force(linkage, Spring(k, slack), 0.0).wheel_rate
    assert_allclose(rate, 18344.62, atol=0.005)
    assert_allclose(angle / DEGREE, 1.026773, atol=5e-7)
    assert_allclose(rise * 1e3, 7.1462, atol=5e-5)


def test_a_plain_trailing_arm_keeps_camber_toe_and_track():
    """Square to the car, it only rises and swings."""
    out = travel(plain_arm(0.4, -0.1), TRAVEL)

    assert_allclose(out.camber, 0.0, atol=1e-15)
    assert_allclose(out.toe, 0.0, atol=1e-15)
    assert_allclose(out.track_change, 0.0, atol=1e-15)
    assert_allclose(out.rise, 0.4 * (np.sin(TRAVEL - 0.1) - np.sin(-0.1)), atol=1e-15)


def test_a_plain_trailing_arm_goes_over_centre_upright():
    """Beyond the vertical, bump of the arm lowers the wheel."""
    linkage = plain_arm(0.4, -0.1)

    assert_allclose(locking_angle(linkage, 1.0, farthest=2.0), np.pi / 2 + 0.1)
    assert_allclose(locking_angle(linkage, -1.0, farthest=2.0), -np.pi / 2 + 0.1)


def test_a_semi_trailing_arm_loses_camber_in_bump():
    """With the inner pivot behind the outer one the top of the wheel comes in."""
    camber = travel(semi_trailing()[1], TRAVEL).camber

    assert np.all(np.diff(camber) < 0.0)


def test_no_steering_axis_is_made_up():
    """The wheel is fixed to the arm: no caster, no scrub radius."""
    out = travel(trailing()[1], TRAVEL)

    assert out.caster is None
    assert out.scrub_radius is None
    assert solve(trailing()[1], TRAVEL).steering is None


def test_an_arm_whose_wheel_is_on_the_axis_is_refused():
    """No arm, no bump."""
    with pytest.raises(QuantityError, match="wheel_centre must be off the line"):
        plain_arm(1e-12, 0.0)


@pytest.mark.parametrize(
    ("given", "lost"),
    [
        ("bar_arm_end", "bar_anchor_end"),
        ("bar_anchor_end", "bar_arm_end"),
        ("damper_body", "damper_arm"),
        ("damper_arm", "damper_body"),
    ],
)
def test_half_of_a_pair_is_refused(given, lost):
    """A bar or a damper of which one end is known."""
    p = replace(semi_trailing()[0], **{lost: None})

    with pytest.raises(QuantityError, match=f"{lost} must be given too, since {given}"):
        TrailingArm.build(p, outboard=1.0)
