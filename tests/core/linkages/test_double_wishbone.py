"""The double wishbone: laws it keeps, and points it refuses.

Its poses and derivatives are proved in `tests/validation`, against the constraint
equations; here stand what must hold of any corner whatever its numbers.
"""

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from layouts import check_batch, check_mirror, numbers_of
from splinewise.core.geometry import Vec
from splinewise.core.jet import curvature, seed, slope, value
from splinewise.core.linkages import DoubleWishbone, solve, travel
from splinewise.core.linkages.outputs import camber, caster, toe
from splinewise.errors import QuantityError
from wishbones import EXAMPLE, changed, mirrored, some_points

LEFT = DoubleWishbone.build(EXAMPLE, outboard=1.0)
ANGLES = np.radians(np.linspace(-20.0, 20.0, 9))


def moves_freely(points, outboard):
    """Whether the corner reaches 6° either way, driven by either arm."""
    ends = np.radians([-6.0, 6.0])
    rises = [
        travel(DoubleWishbone.build(points, outboard=outboard, bar_on=bar), ends)
        for bar in ("lower", "upper")
    ]
    return all(np.all(out.rise_slope > 0.05) for out in rises)


CORNERS = [some_points(np.random.default_rng([7, n])) for n in range(120)]
corners = st.sampled_from([corner for corner in CORNERS if moves_freely(*corner)])
arms = st.sampled_from(["lower", "upper"])
small = st.floats(-0.1, 0.1)


@given(corners, arms, arms)
def test_the_drawn_pose_is_the_drawing(corner, bar_on, damper_on):
    """At no arm angle every point is where it was given."""
    points, outboard = corner
    linkage = DoubleWishbone.build(
        points, outboard=outboard, bar_on=bar_on, damper_on=damper_on
    )

    pose = linkage.pose(np.zeros(()))

    assert_allclose(pose.wheel.array, points.wheel_centre, atol=1e-12)
    low, high = pose.steering
    assert_allclose(low.array, points.lower_ball, atol=1e-12)
    assert_allclose(high.array, points.upper_ball, atol=1e-12)
    spindle = points.spindle / np.linalg.norm(points.spindle)
    spindle = spindle * np.sign(spindle[1] * outboard)
    assert_allclose(pose.spindle.array, spindle, atol=1e-12)
    apart = np.linalg.norm(points.damper_body - points.damper_arm)
    assert_allclose(value(pose.damper), apart, rtol=1e-12)
    assert pose.twist == 0.0


@given(corners, small)
def test_right_mirrors_left(corner, angle):
    """A mirrored corner on the other side has the mirrored pose, slopes and all."""
    points, outboard = corner
    one = DoubleWishbone.build(points, outboard=outboard)
    other = DoubleWishbone.build(mirrored(points), outboard=-outboard)

    check_mirror(one, other, angle)

    here, there = travel(one, angle), travel(other, angle)
    for name in (
        "camber", "caster", "inclination", "toe", "scrub_radius", "trail",
        "track_change", "roll_centre_height", "damper", "damper_ratio", "motion_ratio",
    ):  # fmt: skip
        got, wanted = getattr(there, name), getattr(here, name)
        assert_allclose(got, wanted, rtol=1e-7, atol=1e-10, err_msg=name)


@given(corners, arms, st.lists(st.floats(-3.0, 3.0), min_size=3, max_size=3), small)
def test_moving_the_whole_car_changes_nothing(corner, bar_on, way, angle):
    """Every point shifted alike: wheel angles, damper and ratios stay."""
    points, outboard = corner
    moved = changed(points, lambda p: p + np.array(way))
    build = DoubleWishbone.build

    here = travel(build(points, outboard=outboard, bar_on=bar_on), angle)
    there = travel(build(moved, outboard=outboard, bar_on=bar_on), angle)

    assert_allclose(there.contact, here.contact + way, atol=1e-9)
    for field in fields(here):
        # A roll centre lies in the vehicle's middle, which a sideways shift moves.
        if field.name not in {"contact", "roll_centre_height"}:
            got, wanted = (getattr(t, field.name) for t in (there, here))
            assert_allclose(got, wanted, rtol=1e-7, atol=1e-9, err_msg=field.name)


@given(corners, st.lists(st.floats(-0.3, 0.3), min_size=3, max_size=3), small)
def test_a_car_on_a_slope_has_the_same_linkage(corner, turn, angle):
    """All points turned alike: every joint of the pose turns with them."""
    points, outboard = corner
    rotation = Rotation.from_rotvec(turn)
    here = DoubleWishbone.build(points, outboard=outboard).pose(angle)
    tilted = DoubleWishbone.build(changed(points, rotation.apply), outboard=outboard)
    there = tilted.pose(angle)

    for name in ("wheel", "spindle"):
        turned = rotation.apply(getattr(here, name).array)
        assert_allclose(getattr(there, name).array, turned, atol=1e-9)
    assert_allclose(there.damper, here.damper, rtol=1e-9)


@given(corners, st.floats(0.2, 5.0), small)
def test_a_larger_car_has_the_same_angles(corner, size, angle):
    """Lengths grow with the car, angles do not, and turns per metre shrink."""
    points, outboard = corner
    larger = changed(points, lambda p: p * size)
    larger = replace(larger, tyre_radius=points.tyre_radius * size)

    here = travel(DoubleWishbone.build(points, outboard=outboard), angle)
    there = travel(DoubleWishbone.build(larger, outboard=outboard), angle)

    powers = {
        "angle": 0, "twist": 0, "camber": 0, "caster": 0, "inclination": 0, "toe": 0,
        "damper_ratio": 0, "motion_ratio": -1, "rise": 1, "contact": 1,
        "rise_slope": 1, "scrub_radius": 1, "trail": 1, "track_change": 1,
        "roll_centre_height": 1, "damper": 1,
    }  # fmt: skip
    assert set(powers) == {field.name for field in fields(here)}
    for name, power in powers.items():
        got, wanted = getattr(there, name), getattr(here, name)
        scale = size**power
        assert_allclose(got, wanted * scale, rtol=1e-7, atol=1e-9 * scale, err_msg=name)


@given(corners, small)
def test_rigid_parts_stay_rigid(corner, angle):
    """Ball joints keep their distance, the wheel its place between them: to 1e-12.

    Their slopes and curvatures are nought, which holds the derivatives together.
    """
    points, outboard = corner
    pose = solve(DoubleWishbone.build(points, outboard=outboard), angle)
    low, high = pose.steering

    for moving, drawn in (
        (high - low, points.upper_ball - points.lower_ball),
        (pose.wheel - low, points.wheel_centre - points.lower_ball),
        (pose.wheel - high, points.wheel_centre - points.upper_ball),
    ):
        apart = moving.x * moving.x + moving.y * moving.y + moving.z * moving.z
        assert_allclose(value(apart), drawn @ drawn, rtol=1e-12)
        assert_allclose(slope(apart), 0.0, atol=1e-9)
        assert_allclose(curvature(apart), 0.0, atol=1e-6)


def test_the_bar_on_either_arm_is_the_same_linkage():
    """Driven by the upper arm's angle that the lower one gave, the pose is the same."""
    upper = DoubleWishbone.build(EXAMPLE, outboard=1.0, bar_on="upper")
    pose = LEFT.pose(ANGLES)
    high = pose.steering[1].array
    # The upper ball joint's turn about the upper pivots, from its own two places.
    axis = EXAMPLE.upper_front - EXAMPLE.upper_rear
    axis = axis / np.linalg.norm(axis)
    before = np.cross(axis, EXAMPLE.upper_ball - EXAMPLE.upper_rear)
    after = np.cross(axis, high - EXAMPLE.upper_rear)
    turned = np.arctan2(np.cross(before, after) @ axis, after @ before)

    same = upper.pose(turned * np.sign(before[2]))

    for name, number in numbers_of(pose).items():
        if name != "twist":
            assert_allclose(numbers_of(same)[name], number, atol=1e-12, err_msg=name)


def test_a_damper_on_the_other_arm_follows_that_arm():
    """Its bolt runs on the upper arm: distance to that arm's pivots and joint stay."""
    points = replace(EXAMPLE, damper_arm=np.array([-0.02, 0.5, 0.46]))
    linkage = DoubleWishbone.build(points, outboard=1.0, damper_on="upper")
    circle = linkage.follower

    lengths = travel(linkage, ANGLES).damper

    # Found from the pose alone: the upper arm turns with its ball joint.
    for length, high in zip(lengths, LEFT.pose(ANGLES).steering[1].array, strict=True):
        arm = Rotation.align_vectors(
            [high - points.upper_rear, points.upper_front - points.upper_rear],
            [points.upper_ball - points.upper_rear,
             points.upper_front - points.upper_rear],
        )[0]  # fmt: skip
        bolt = points.upper_rear + arm.apply(points.damper_arm - points.upper_rear)
        assert_allclose(length, np.linalg.norm(bolt - points.damper_body), atol=1e-9)
    assert circle is linkage.follower


def test_a_batch_is_its_corners_one_by_one():
    """Five cars at five angles at once, as one by one."""
    many = [some_points(np.random.default_rng([9, n]))[0] for n in range(12)]
    many = [p for p in many if p.wheel_centre[1] > 0.0][:5]
    stacked = {
        f.name: np.stack([np.asarray(getattr(p, f.name)) for p in many])
        for f in fields(EXAMPLE)
    }
    batch = DoubleWishbone.build(replace(EXAMPLE, **stacked), outboard=1.0)
    single = [DoubleWishbone.build(p, outboard=1.0) for p in many]

    check_batch(single, batch, np.linspace(-0.1, 0.1, 5))


@pytest.mark.parametrize("outboard", [1.0, -1.0])
def test_the_rack_steers_both_wheels_the_same_way(outboard):
    """A rack behind the axle moved to the left turns both wheels to the right.

    The left one then toes in and the right one out, wheel centres hardly moving.
    """
    points = EXAMPLE if outboard > 0 else mirrored(EXAMPLE)
    linkage = DoubleWishbone.build(points, outboard=outboard)

    straight, turned = (travel(linkage, 0.0, rack=r) for r in (0.0, 0.01))

    assert (turned.toe - straight.toe) * outboard > np.radians(3.0)
    assert abs(turned.rise) < 0.002


def test_derivatives_by_the_rack():
    """The rack may be what moves: toe by rack against a small step of it."""

    def at(rack):
        return toe(LEFT.pose(np.float64(0.05), rack=rack).spindle, 1.0)

    step = 1e-5
    differences = (at(0.01 + step) - at(0.01 - step)) / (2 * step)
    bent = (at(0.01 + 50 * step) - 2 * at(0.01) + at(0.01 - 50 * step)) / (
        50 * step
    ) ** 2
    got = at(seed(0.01))
    assert_allclose(slope(got), differences, rtol=1e-8)
    assert_allclose(curvature(got), bent, rtol=1e-5)


def test_derivatives_by_the_track_rod():
    """A longer track rod steers: toe by its length, exactly."""

    def at(rod):
        longer = replace(LEFT, rod=(LEFT.rod[0], LEFT.rod[1], rod))
        return toe(longer.pose(np.float64(0.05)).spindle, 1.0)

    step = 1e-5
    differences = (at(LEFT.rod[2] + step) - at(LEFT.rod[2] - step)) / (2 * step)
    got = at(seed(LEFT.rod[2]))
    assert_allclose(slope(got), differences, rtol=1e-8)
    assert np.isfinite(curvature(got))


HARD_POINTS = [
    "lower_front", "lower_rear", "lower_ball", "upper_front", "upper_rear",
    "upper_ball", "rod_inner", "rod_outer", "wheel_centre",
]  # fmt: skip


@pytest.mark.parametrize("name", HARD_POINTS)
@pytest.mark.parametrize("axis", [0, 1, 2])
def test_derivatives_by_a_hard_point(name, axis):
    """What a point drawn a little elsewhere does to the angles, exactly.

    Against corners built anew on either side of it.
    """
    place = getattr(EXAMPLE, name)

    def read(components):
        points = replace(EXAMPLE, **{name: Vec(*components)})
        pose = DoubleWishbone.build(points, outboard=1.0).pose(np.float64(0.08))
        angles = camber(pose.spindle), caster(pose.steering), toe(pose.spindle, 1.0)
        return *angles, pose.contact.z, pose.damper

    def built(step):
        moved = place + step * np.eye(3)[axis]
        return np.array([value(x) for x in read(list(moved))])

    jets = list(place)
    jets[axis] = seed(place[axis])
    got = read(jets)

    h = 1e-4
    first = (8 * (built(h) - built(-h)) - (built(2 * h) - built(-2 * h))) / (12 * h)
    assert_allclose([slope(x) for x in got], first, rtol=1e-7, atol=1e-9)
    second = (built(10 * h) - 2 * built(0) + built(-10 * h)) / (10 * h) ** 2
    assert_allclose([curvature(x) for x in got], second, rtol=1e-3, atol=1e-2)


def test_beyond_its_lock_there_is_nothing_to_see():
    """NaN and no warning, in every output that is not of the bar's arm alone."""
    out = travel(LEFT, np.radians([-40.0, 0.0]))

    for field in fields(out):
        if field.name not in {"angle", "twist", "damper"}:
            numbers = getattr(out, field.name)
            assert np.all(np.isnan(numbers[0])), field.name
            assert np.all(np.isfinite(numbers[1])), field.name


BAD = [
    ({"lower_front": EXAMPLE.lower_rear}, "lower_ball must be on pivots that lie apart"),
    ({"upper_ball": EXAMPLE.upper_front}, "upper_ball must be off the line"),
    ({"lower_rear": [0.1, 0.1, np.nan]}, "lower_rear must be finite; got nan m"),
    ({"rod_inner": [0.1, 0.1]}, "rod_inner must be three coordinates; got 2"),
    ({"tyre_radius": 0.0}, "tyre_radius must be positive; got 0 m"),
    ({"tyre_radius": -0.3}, "tyre_radius must be positive; got -0.3 m"),
    ({"spindle": [0.0, 0.0, 0.0]}, "spindle must be a direction"),
    ({"spindle": [1.0, 0.0, 0.0]}, "spindle must be sideways"),
    ({"spindle": [0.0, np.inf, 0.0]}, "spindle must be finite"),
    ({"rod_outer": EXAMPLE.lower_ball}, "rod_outer must be off the plane"),
    ({"rod_outer": 0.5 * (EXAMPLE.lower_ball + EXAMPLE.rod_inner)}, "rod_outer must be"),
    ({"upper_ball": EXAMPLE.lower_ball}, "upright must be off dead centre"),
    ({"damper_arm": None}, "damper_arm must be given too"),
    ({"damper_body": None}, "damper_body must be given too"),
]  # fmt: skip


@pytest.mark.parametrize(("change", "message"), BAD)
def test_points_that_make_no_linkage_are_refused(change, message):
    """The message names the point and says what would do."""
    points = replace(
        EXAMPLE,
        **{
            k: v if v is None else np.asarray(v, dtype=float) for k, v in change.items()
        },
    )
    with pytest.raises(QuantityError, match=message):
        DoubleWishbone.build(points, outboard=1.0)


def test_an_upright_drawn_at_dead_centre_is_refused():
    """Its ball joints in line with the upper arm: that could go either way."""
    points = replace(
        EXAMPLE,
        upper_front=np.array([0.1, 0.3, 0.40]),
        upper_rear=np.array([-0.1, 0.3, 0.40]),
        upper_ball=np.array([0.0, 0.5, 0.40]),
        lower_ball=np.array([0.0, 0.575, 0.40]),
    )
    with pytest.raises(QuantityError, match="upright must be off dead centre"):
        DoubleWishbone.build(points, outboard=1.0)
