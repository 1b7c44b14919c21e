"""Laws that every layout keeps, whatever its shape."""

from dataclasses import fields, replace
from functools import partial
from itertools import permutations

import numpy as np
import pytest
from numpy.testing import assert_allclose

from layouts import (
    LAYOUTS,
    TRAVEL,
    check_batch,
    check_derivatives,
    check_energy,
    check_mirror,
    check_wheel_rate,
    lever_and_link,
    numbers_of,
    semi_trailing,
    stacked,
    strut,
    strut_rod,
    trailing,
)
from splinewise.core.jet import slope, value
from splinewise.core.linkages import DoubleWishbone, locking_angle, solve, travel
from splinewise.core.linkages.lever_and_link import LeverAndLink
from splinewise.core.linkages.strut import Strut
from splinewise.core.linkages.strut_rod_link import StrutRodLink
from splinewise.core.linkages.trailing import TrailingArm
from splinewise.errors import QuantityError

every_layout = pytest.mark.parametrize("make", LAYOUTS.values(), ids=LAYOUTS.keys())
steered = pytest.mark.parametrize("make", [strut_rod, strut, lever_and_link])


@every_layout
def test_the_drawn_pose_is_the_drawing(make):
    """At no arm angle every point is where it was given."""
    given, linkage = make(np.random.default_rng(1))
    drawn = given[0] if isinstance(given, tuple) else given

    pose = linkage.pose(np.zeros(()))

    assert_allclose(pose.wheel.array, drawn.wheel_centre, atol=1e-14)
    direction = drawn.spindle / np.linalg.norm(drawn.spindle)
    assert_allclose(pose.spindle.array, direction, atol=1e-14)
    assert_allclose(pose.twist, 0.0, atol=1e-14)
    if isinstance(linkage, Strut):
        bolts = drawn.strut_top, drawn.strut_low
    else:
        bolts = drawn.damper_body, drawn.damper_arm
    assert_allclose(pose.damper, np.linalg.norm(bolts[0] - bolts[1]), atol=1e-14)


@every_layout
def test_bump_lifts_the_wheel_and_twists_the_bar(make):
    """Both go up with the arm angle over the whole travel."""
    out = travel(make()[1], TRAVEL)

    assert np.all(out.rise_slope > 0.0)
    assert np.all(out.motion_ratio > 0.0)


@pytest.mark.independent
@every_layout
def test_derivatives_against_differences(make):
    """Slopes and curvatures of all outputs, over the travel."""
    check_derivatives(make()[1], TRAVEL)


@every_layout
def test_a_mirrored_corner_mirrors(make):
    """The right-hand side made of mirrored points, to the last output."""
    check_mirror(make()[1], make(mirrored=True)[1], TRAVEL)
    left, right = travel(make()[1], TRAVEL), travel(make(mirrored=True)[1], TRAVEL)
    for name in ("camber", "toe", "caster", "scrub_radius", "trail", "track_change"):
        if getattr(left, name) is not None:
            assert_allclose(getattr(right, name), getattr(left, name), atol=1e-12)


@pytest.mark.independent
@every_layout
def test_work_of_the_wheel_is_stored_in_the_bar(make):
    """Integrated over the rise, from droop to bump."""
    check_energy(make()[1], -0.3, 0.3)


@pytest.mark.independent
@every_layout
def test_wheel_rate_is_the_slope_of_the_force(make):
    """Geometric term included."""
    check_wheel_rate(make()[1], -0.3, 0.3)


@pytest.mark.parametrize(
    ("make", "build"),
    [
        (strut_rod, StrutRodLink.build),
        (strut, Strut.build),
        (trailing, TrailingArm.build),
        (semi_trailing, TrailingArm.build),
    ],
)
def test_a_batch_is_its_corners_one_by_one(make, build):
    """Twenty different corners posed at once, each at its own angles."""
    rng = np.random.default_rng(2)
    many = [make(rng) for _ in range(20)]
    angles = rng.uniform(-0.25, 0.25, 20)

    check_batch(
        [linkage for _, linkage in many],
        build(stacked([p for p, _ in many]), outboard=1.0),
        angles,
    )


def test_a_batch_of_levers_is_its_corners_one_by_one():
    """The same of a wrapped layout, corner and lever both stacked."""
    rng = np.random.default_rng(3)
    many = [lever_and_link(rng) for _ in range(20)]
    inside = DoubleWishbone.build(stacked([p for (p, _), _ in many]), outboard=1.0)

    check_batch(
        [linkage for _, linkage in many],
        LeverAndLink.build(inside, stacked([q for (_, q), _ in many])),
        rng.uniform(-0.25, 0.25, 20),
    )


@every_layout
@pytest.mark.parametrize("direction", [1.0, -1.0])
def test_the_locking_angle_parts_poses_from_none(make, direction):
    """A hair before it the linkage works, a hair behind it does not."""
    linkage = make()[1]

    lock = locking_angle(linkage, direction, farthest=2.0)

    assert 0.35 < lock * direction < 2.0
    z = solve(linkage, lock + direction * np.array([-1e-7, 1e-7])).contact.z
    works = np.isfinite(value(z)) & (slope(z) > 0.0)
    assert works.tolist() == [True, False]


@every_layout
def test_no_part_has_a_pose_where_the_linkage_is_out_of_reach(make):
    """Where the contact point is NaN the wheel and its angles are, too."""
    linkage = make()[1]
    pose = numbers_of(solve(linkage, np.linspace(-3.0, 3.0, 241)))

    lost = np.isnan(value(pose["contact.z"]))
    for name in ("wheel.x", "wheel.z", "spindle.y"):
        assert np.array_equal(np.isnan(value(pose[name])), lost), name
    if make in (strut_rod, strut, lever_and_link):
        assert lost.any()


@steered
def test_the_rack_steers(make):
    """A rod behind the axle gives toe-out when pulled inward, toe-in when pushed."""
    linkage = make()[1]

    inward, straight, outward = (
        travel(linkage, np.zeros(()), rack=r).toe for r in (-0.01, 0.0, 0.01)
    )

    assert inward < straight - 0.05
    assert outward > straight + 0.05


@pytest.mark.parametrize("make", [strut_rod, semi_trailing, lever_and_link])
def test_the_arm_angle_is_found_again_from_the_twist(make):
    """`angle_at` undoes the twist, over the travel."""
    linkage = make()[1]

    found = linkage.angle_at(linkage.pose(TRAVEL).twist)

    assert_allclose(found, TRAVEL, atol=1e-12)


@pytest.mark.parametrize("make", [strut, trailing])
def test_a_bar_on_the_arm_turns_with_it(make):
    """Twist is the arm angle and back."""
    linkage = make()[1]

    assert_allclose(linkage.pose(TRAVEL).twist, TRAVEL)
    assert_allclose(linkage.angle_at(TRAVEL), TRAVEL)


@every_layout
def test_gauge_points_hang_on_the_arm(make):
    """A setting length gives its arm angle back, beyond where the linkage locks."""
    linkage = make()[1]
    wheel = linkage.pose(np.zeros(())).wheel
    span = linkage.arm.span(replace(wheel, z=wheel.z + 0.5), wheel)

    angles = np.linspace(-0.8, 0.5, 7)

    assert_allclose(span.angle(span.length(angles)), angles, atol=1e-12)


@every_layout
def test_a_point_that_is_no_number_is_refused(make):
    """NaN in a hard point raises and names the point."""
    given, linkage = make()
    drawn = given[0] if isinstance(given, tuple) else given
    lost = replace(drawn, wheel_centre=np.array([np.nan, 0.6, 0.3]))
    build = (
        type(linkage).build if not isinstance(given, tuple) else DoubleWishbone.build
    )

    with pytest.raises(QuantityError, match="wheel_centre must be finite"):
        build(lost, outboard=1.0)


@every_layout
def test_points_that_fall_together_are_refused_or_harmless(make):
    """Each point in turn put on each other one: an error in words or a linkage.

    A linkage that is built has a drawn pose of numbers; nothing warns on the way.
    """
    given, linkage = make()
    drawn, build = given, partial(type(linkage).build, outboard=1.0)
    if isinstance(linkage, LeverAndLink):
        drawn, build = given[1], partial(LeverAndLink.build, linkage.linkage)
    names = [f.name for f in fields(drawn) if np.shape(getattr(drawn, f.name)) == (3,)]

    if isinstance(linkage, StrutRodLink):
        # The others are the wishbone's own.
        names = ["link_inner", "strut_rod_body", "bar_arm_end", "bar_anchor_end"]

    refused = 0
    for name, other in permutations(names, 2):
        try:
            again = build(replace(drawn, **{name: getattr(drawn, other)}))
        except QuantityError:
            refused += 1
            continue
        pose = again.pose(np.zeros(()))
        assert np.isfinite(pose.contact.array).all(), (name, other)
        assert np.isfinite(pose.twist), (name, other)

    assert refused > 1
