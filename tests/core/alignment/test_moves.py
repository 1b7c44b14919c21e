"""Hard points after shims, against lengths that stay and a root finder."""

from dataclasses import fields

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from layouts import strut, strut_rod
from shimmed import DEGREE, MM, NOW, corner, pivots_after, plain, put_together
from splinewise.core.alignment.corners import (
    StrutCorner,
    StrutRodCorner,
    WishboneCorner,
)
from splinewise.core.alignment.moves import Moves, added, reassembled
from splinewise.core.alignment.rods import ScrewedRod, Thread
from splinewise.core.alignment.shims import EccentricBolt, ShimPacks, Slide
from splinewise.core.alignment.targets import angles_at
from splinewise.core.derivatives import central_difference
from splinewise.core.geometry import Vec
from splinewise.core.jet import Jet, value
from splinewise.core.linkages import WishbonePoints
from splinewise.errors import QuantityError
from wishbones import EXAMPLE, PLACES, Upright

packs = st.floats(0.0, 15.0).map(lambda mm: mm * MM)
turns = st.floats(-4.0, 4.0)

RIGID = [
    ("lower_ball", "lower_front"),
    ("lower_ball", "lower_rear"),
    ("upper_ball", "upper_front"),
    ("upper_ball", "upper_rear"),
    ("upper_front", "upper_rear"),
    ("upper_ball", "lower_ball"),
    ("rod_outer", "upper_ball"),
    ("rod_outer", "lower_ball"),
    ("wheel_centre", "upper_ball"),
    ("wheel_centre", "lower_ball"),
    ("wheel_centre", "rod_outer"),
    ("damper_arm", "lower_front"),
    ("damper_arm", "lower_rear"),
    ("damper_arm", "lower_ball"),
]


def apart(points, pair):
    a, b = (getattr(points, name) for name in pair)
    return np.linalg.norm(a - b)


@given(packs, packs, turns)
def test_parts_keep_their_lengths(front, rear, n):
    """Arms, upright and wheel stay rigid; the track rod grows by its turns."""
    one = corner()
    new = plain(one.adjusted([front, rear, n]))

    for pair in RIGID:
        assert_allclose(apart(new, pair), apart(EXAMPLE, pair), atol=2e-15, rtol=0)
    rod = "rod_inner", "rod_outer"
    assert_allclose(apart(new, rod) - apart(EXAMPLE, rod), n * 3.0 * MM, atol=1e-14)
    assert_allclose(new.lower_ball, EXAMPLE.lower_ball, atol=0)


@pytest.mark.independent
@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize("set_to", [(6.4, 6.4, 0.0), (2.0, 9.0, 1.5), (14.0, 5.5, -2)])
def test_joints_after_shims_by_a_root_finder(side, set_to):
    """SciPy finds the joints from nothing but the lengths that stay."""
    one = corner(side)
    front, rear, n = set_to[0] * MM, set_to[1] * MM, set_to[2]
    ball, outer, hub, spindle = put_together(one, front, rear, n)

    new = plain(one.adjusted([front, rear, n]))

    assert_allclose(new.upper_front, pivots_after(one, front, rear)[0], atol=1e-15)
    assert_allclose(new.upper_ball, ball, atol=1e-13)
    assert_allclose(new.rod_outer, outer, atol=1e-13)
    assert_allclose(new.wheel_centre, hub, atol=1e-12)
    assert_allclose(new.spindle, spindle, atol=1e-12)


@pytest.mark.parametrize("bar_on", ["lower", "upper"])
@pytest.mark.parametrize("arm", ["lower", "upper"])
def test_the_bar_s_arm_keeps_its_angle(arm, bar_on):
    """A plain shift of the bar's own arm takes it along without turning it."""
    one = corner(arm=arm, bar_on=bar_on)
    new = plain(one.adjusted([NOW + 4 * MM, NOW + 4 * MM, 0.0]))

    moved = getattr(new, f"{bar_on}_ball") - getattr(EXAMPLE, f"{bar_on}_ball")

    expected = [0.0, -4.0 * MM, 0.0] if arm == bar_on else [0.0, 0.0, 0.0]
    assert_allclose(moved, expected, atol=1e-15)
    for pair in RIGID[:9]:
        assert_allclose(apart(new, pair), apart(EXAMPLE, pair), atol=2e-15, rtol=0)


def test_nothing_moved_is_nothing_changed():
    """Settings as they are now give back the hard points."""
    new = plain(corner().adjusted([NOW, NOW, 0.0]))

    for name in PLACES:
        assert_allclose(getattr(new, name), getattr(EXAMPLE, name), atol=2e-16)


def test_moves_add_up():
    """Two adjustments of one point, and of one rod, are their sum."""
    one = Moves({"rod_inner": Vec(0.0, 0.0, 1.0 * MM)}, {"rod": 2.0 * MM})
    two = Moves({"rod_inner": Vec(0.0, 3.0 * MM, 0.0)}, {"rod": 1.0 * MM})

    both = added([one, two])

    assert_allclose(both.shifts["rod_inner"].array, [0.0, 3.0 * MM, 1.0 * MM])
    assert both.lengths == {"rod": 3.0 * MM}


@given(st.floats(-8.0, 8.0), st.floats(-8.0, 8.0))
def test_legs_of_an_arm(front, rear):
    """Each leg grows by what it was told, in the arm's own plane."""
    lengths = {"upper_front": front * MM, "upper_rear": rear * MM}
    new = plain(reassembled(EXAMPLE, Moves(lengths=lengths)))

    for end, by in (("front", front), ("rear", rear)):
        pair = "upper_ball", f"upper_{end}"
        grown = apart(new, pair) - apart(EXAMPLE, pair)
        assert_allclose(grown, by * MM, atol=1e-14)
    for pair in RIGID[4:8]:
        assert_allclose(apart(new, pair), apart(EXAMPLE, pair), atol=2e-15, rtol=0)


def test_a_longer_arm_reaches_out_square_to_its_axis():
    """The reach grows, the place along the axis stays."""
    new = plain(reassembled(EXAMPLE, Moves(lengths={"upper": 5.0 * MM})))
    axis = EXAMPLE.upper_front - EXAMPLE.upper_rear
    axis = axis / np.linalg.norm(axis)

    def parts(points):
        out = points.upper_ball - points.upper_rear
        return out @ axis, np.linalg.norm(np.cross(axis, out))

    (along, radius), (now, grown) = parts(EXAMPLE), parts(new)
    assert_allclose([now - along, grown - radius], [0.0, 5.0 * MM], atol=1e-15)


@pytest.mark.parametrize("bar_on", ["lower", "upper"])
def test_derivatives_through_the_linkage_are_exact(bar_on):
    """All three angles by all three knobs, against differences of fourth order."""
    one = corner(bar_on=bar_on)
    at = np.array([8.0 * MM, 5.0 * MM, 1.2])

    def angles(x):
        with np.errstate(invalid="ignore"):
            linkage = one.linkage(list(np.moveaxis(x, -1, 0)))
            return np.stack(angles_at(linkage, np.asarray(0.06)), axis=-1)

    jets = [Jet(np.asarray(v), d) for v, d in zip(at, np.eye(3), strict=True)]
    found = np.stack([a.d for a in angles_at(one.linkage(jets), np.asarray(0.06))])
    by_steps = central_difference(angles, at, scale=[0.05, 0.05, 20.0])

    assert_allclose(found, by_steps.jacobian, rtol=2e-9, atol=1e-9)


def test_rows_of_settings_are_one_call():
    """Arrays of settings give arrays of hard points, each as if alone."""
    one = corner()
    rows = np.array([[0.0, 3.0, 1.0], [5.0, 5.0, 0.0], [9.0, 2.0, -2.0]])
    rows[:, :2] *= MM

    together = one.adjusted(list(rows.T)).rod_outer.array

    for row, point in zip(rows, together, strict=True):
        assert_allclose(point, one.adjusted(list(row)).rod_outer.array, atol=1e-15)


def test_parts_that_no_longer_fit_are_told():
    """Packs of a quarter metre pull the arm off its upright."""
    one = corner(most=0.5, apart=0.5)

    with np.errstate(invalid="ignore"):
        fits = one.fits([np.array([NOW, 0.25]), np.array([NOW, 0.25]), 0.0])

    assert fits.tolist() == [True, False]


def test_new_hard_points_give_the_new_pose():
    """The product's pose of the shimmed corner, against six constraint equations."""
    one = corner(-1.0)
    settings = [9.0 * MM, 4.0 * MM, 1.0]
    upright = Upright(plain(one.adjusted(settings)), -1.0)
    x = upright.sweep([0.04, 0.08])[-1]
    reading = upright.reading(x, 0.08)

    found = angles_at(one.linkage(settings), np.asarray(0.08))

    for name, angle in zip(("camber", "caster", "toe"), found, strict=True):
        assert_allclose(value(angle), reading[name], atol=1e-13)


# ---- other adjusters and layouts ----


def test_an_eccentric_between_guides_and_one_that_carries_the_pivot():
    """Turned by 30 degrees from the middle, throw 4 mm."""
    where = {"throw": 4.0 * MM, "direction": (0.0, 2.0, 0.0), "angle": 0.0}
    guided = EccentricBolt("upper_front", **where)
    carrying = EccentricBolt("upper_front", **where, across=(0.0, 0.0, 1.0))

    one, two = (
        bolt.moves(lambda _: None, [30.0 * DEGREE]).shifts["upper_front"].array
        for bolt in (guided, carrying)
    )

    assert_allclose(one, [0.0, 2.0 * MM, 0.0], atol=1e-16)
    assert_allclose(
        two, [0.0, 2.0 * MM, 4.0 * MM * (np.cos(np.pi / 6) - 1)], atol=1e-16
    )


def test_one_eccentric_at_each_pivot_is_as_two_packs():
    """Pivots pushed by eccentrics go where packs at the same places push them."""
    ends = ("upper_front", "upper_rear")
    bolts = tuple(EccentricBolt(e, 5.0 * MM, (0.0, -1.0, 0.0), 0.0) for e in ends)
    packs = ShimPacks(
        "upper",
        *(getattr(EXAMPLE, e) for e in ends),
        (0.0, -1.0, 0.0),
        NOW,
        NOW,
        20.0 * MM,
        20.0 * MM,
    )
    turned = WishboneCorner(EXAMPLE, 1.0, bolts).adjusted([0.3, -0.2])
    shimmed = WishboneCorner(EXAMPLE, 1.0, (packs,)).adjusted(
        [NOW + 5 * MM * np.sin(0.3), NOW - 5 * MM * np.sin(0.2)]
    )

    for name in PLACES:
        one, two = getattr(plain(turned), name), getattr(plain(shimmed), name)
        assert_allclose(one, two, atol=1e-15)


def test_a_strut_rod_moves_the_wheel_fore_and_aft():
    """A longer strut rod in front pushes the ball joint back: more caster is lost."""
    points, _ = strut_rod()
    rod = ScrewedRod("lower_front", (Thread("nut", 1.5 * MM, 0.03, 0.02, 0.05),))
    one = StrutRodCorner(points, 1.0, (rod,))
    at = np.asarray(0.0)

    now, longer = (angles_at(one.linkage([n]), at) for n in (0.0, 2.0))
    new = one.adjusted([2.0])

    assert value(longer[1]) < value(now[1])
    assert one.fits([np.array([0.0, 2.0])]).tolist() == [True, True]
    assert_allclose(value(now[1]), value(angles_at(strut_rod()[1], at)[1]), atol=1e-14)
    leg = np.linalg.norm(new.lower_ball.array - points.strut_rod_body)
    old = np.linalg.norm(points.lower_ball - points.strut_rod_body)
    assert_allclose(leg - old, 3.0 * MM, atol=1e-15)
    assert_allclose(
        np.linalg.norm(new.lower_ball.array - points.link_inner),
        np.linalg.norm(points.lower_ball - points.link_inner),
        atol=1e-15,
    )


def test_a_top_mount_leans_the_strut():
    """Mount inboard: camber falls; mount rearward: caster grows; lengths stay."""
    points, plain_strut = strut()
    inboard = Slide("strut_top", (0.0, -1.0, 0.0), -0.02, 0.02)
    back = Slide("strut_top", (-1.0, 0.0, 0.0), -0.02, 0.02)
    rod = ScrewedRod("rod", (Thread("end", 1.5 * MM, 0.02, 0.01, 0.04),))
    one = StrutCorner(points, 1.0, (inboard, back, rod))
    at = np.asarray(0.05)

    drawn = [float(value(a)) for a in angles_at(plain_strut, at)]
    found = [
        [float(value(a)) for a in angles_at(one.linkage(x), at)]
        for x in ([0, 0, 0], [0.01, 0, 0], [0, 0.01, 0], [0, 0, 1.0])
    ]

    assert_allclose(found[0], drawn, atol=1e-15)
    assert found[1][0] < drawn[0] - 0.01
    assert found[2][1] > drawn[1] + 0.01
    assert abs(found[3][2] - drawn[2]) > 0.01
    assert bool(one.fits([0.0, 0.0, 0.0]))


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: corner(now=-1 * MM), "front must be from 0 to 0.02 m"),
        (lambda: corner(apart=30 * MM), "most_apart must be from 0 to 0.02 m"),
        (
            lambda: ShimPacks("upper", (0, 0, 0), (0, 0, 0), (0, 1, 0), 0, 0, 1, 1),
            "distance between the bolts must be positive",
        ),
        (
            lambda: ShimPacks("upper", (0, 0, 0), (1, 0, 0), (0, 0, 0), 0, 0, 1, 1),
            "direction must be a direction",
        ),
        (
            lambda: EccentricBolt("upper_front", 0.004, (0, 1, 0), 2.0),
            "angle must be from",
        ),
        (lambda: Slide("strut_top", (0, 1, 0), 0.001, 0.002), "low must be from"),
        (lambda: Thread("end", 0.0015, 0.01, 0.012, 0.03), "engaged must be from"),
        (lambda: ScrewedRod("rod", ()), "threads must be one or more"),
        (
            lambda: WishboneCorner(
                EXAMPLE, 1.0, (Slide("strut_top", (0, 1, 0), -0.1, 0.1),)
            ),
            "adjuster of 'strut_top' must be of lower_front or",
        ),
    ],
)
def test_impossible_adjusters_are_refused(call, message):
    """The message names what is wrong with which."""
    with pytest.raises(QuantityError, match=message):
        call()


def test_hard_points_come_back_complete():
    """No field is lost on the way."""
    new = corner().adjusted([NOW, NOW, 0.0])

    assert all(getattr(new, f.name) is not None for f in fields(WishbonePoints))
