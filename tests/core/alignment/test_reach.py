"""Targets met on the linkage itself, and what happens where they cannot be."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.optimize import minimize

from layouts import strut, trailing
from shimmed import DEGREE, MM, NOW, corner, plain, put_together
from splinewise.core.alignment.corners import (
    StrutCorner,
    WishboneCorner,
    knobs_of,
    limits_of,
)
from splinewise.core.alignment.nearest import linear_step, nearest
from splinewise.core.alignment.reach import Cross, Side, Steering, reach, reach_both
from splinewise.core.alignment.rods import ScrewedRod, Thread
from splinewise.core.alignment.shims import EccentricBolt, Slide
from splinewise.core.alignment.targets import Angles, Target, Wanted, angles_at
from splinewise.core.jet import value
from splinewise.errors import QuantityError, ReachError
from wishbones import EXAMPLE, Upright

WITHIN = (0.1 * DEGREE, 0.25 * DEGREE, 0.05 * DEGREE)
STANDS = 0.05


def wanted(camber, caster, toe, within=WITHIN):
    """Return targets in degrees, None for what is not asked."""
    three = [
        None if degrees is None else Target(degrees * DEGREE, size)
        for degrees, size in zip((camber, caster, toe), within, strict=True)
    ]
    return Wanted(*three)


NEAR = wanted(-0.5, 4.5, 0.1)


@pytest.mark.independent
@pytest.mark.parametrize("angle", [-0.08, 0.0, 0.05, 0.12])
@pytest.mark.parametrize("side", [1.0, -1.0])
def test_target_met_when_solved_again_from_scratch(side, angle):
    """The shims put on by hand, the joints found by SciPy, the pose by constraints.

    Nothing here is the product's but the three settings that it announces.
    """
    one = corner(side)
    found = reach(Side(one, NEAR, angle))
    ball, outer, hub, spindle = put_together(one, *found.settings)
    shimmed = replace(
        one.points,
        upper_front=plain(one.adjusted(list(found.settings))).upper_front,
        upper_rear=plain(one.adjusted(list(found.settings))).upper_rear,
        upper_ball=ball,
        rod_outer=outer,
        wheel_centre=hub,
        spindle=spindle,
    )
    upright = Upright(shimmed, side)
    x = upright.sweep(np.linspace(0.0, angle, 4)[1:])[-1] if angle else np.zeros(6)
    reading = upright.reading(x, angle)

    assert found.met
    assert found.binding == ()
    for name, degrees in (("camber", -0.5), ("caster", 4.5), ("toe", 0.1)):
        assert_allclose(reading[name], degrees * DEGREE, atol=1e-9)


def test_both_sides_are_each_as_if_alone_where_all_can_be_met():
    """Mirrored corners get the same settings; unlike targets do not mix."""
    left, right = Side(corner(), NEAR, STANDS), Side(corner(-1.0), NEAR, STANDS)
    other = replace(right, wanted=wanted(-0.2, 4.2, 0.0))

    same = reach_both(left, right, cross=Cross(camber=WITHIN[0]))
    mixed = reach_both(left, other)

    assert_allclose(same[0].settings, same[1].settings, atol=1e-14)
    assert_allclose(mixed[0].settings, reach(left).settings, atol=1e-12)
    assert_allclose(mixed[1].settings, reach(other).settings, atol=1e-12)
    assert all(one.met for one in (*same, *mixed))


@settings(max_examples=25)
@given(
    st.floats(-1.2, 1.0),
    st.floats(3.6, 5.0),
    st.floats(-0.5, 0.5),
    st.floats(-0.1, 0.1),
)
def test_wherever_the_limits_allow_the_target_is_met(camber, caster, toe, angle):
    """Settings inside all limits, and the model's angles at the target."""
    one = corner(most=40 * MM, apart=20 * MM, now=18 * MM, engaged=25 * MM)
    found = reach(Side(one, wanted(camber, caster, toe), angle))
    limits = limits_of(one)

    over = [np.dot(x.factors, found.settings) - x.most for x in limits]

    assert max(over) < 1e-12
    if not found.binding:
        assert_allclose(found.remainder.array, 0.0, atol=1e-12)
        angles = angles_at(one.linkage(list(found.settings)), np.asarray(angle))
        goal = np.radians([camber, caster, toe])
        assert_allclose([float(value(a)) for a in angles], goal, atol=1e-12)


@pytest.mark.parametrize("scale", [1e-3, 1e-5])
def test_small_changes_are_in_proportion(scale):
    """A thousandth of the way asks a thousandth of the shim, to first order."""
    one = Side(corner(), NEAR, STANDS)
    now = np.array([float(value(a)) for a in one.angles([NOW, NOW, 0.0])])
    way = np.array([0.3, -0.4, 0.2]) * DEGREE

    def changes(share):
        goal = Wanted(*(Target(float(v), 0.01) for v in now + share * way))
        return reach(replace(one, wanted=goal)).changes

    first, second = changes(scale), changes(2.0 * scale)

    assert_allclose(second, 2.0 * first, rtol=20 * scale)


def test_each_knob_does_what_the_workshop_says():
    """Shims that pull the shaft inboard: equal ones lower camber, in front less caster."""
    one = Side(corner(), NEAR, STANDS)
    look = lambda *x: np.array([float(value(a)) for a in one.angles(list(x))])
    camber, caster, toe = look(NOW, NOW, 0.0)

    thicker = [look(NOW + t * MM, NOW + t * MM, 0.0) for t in (1, 2, 3, 4)]
    forward = [look(NOW + t * MM, NOW - t * MM, 0.0) for t in (1, 2, 3, 4)]
    longer = [look(NOW, NOW, n) for n in (0.5, 1.0, 1.5)]

    assert np.all(np.diff([camber, *(a[0] for a in thicker)]) < 0.0)
    assert np.all(np.diff([caster, *(a[1] for a in forward)]) < 0.0)
    # The rod lies behind the wheel's centre: longer means toe-in.
    assert np.all(np.diff([toe, *(a[2] for a in longer)]) > 0.0)


# ---- measured angles ----


def test_what_was_measured_takes_the_model_s_place():
    """A car 0.3 degrees off its drawing is brought to target, not its drawing."""
    one = Side(corner(), NEAR, STANDS)
    drawn = np.array([float(value(a)) for a in one.angles([NOW, NOW, 0.0])])
    off = np.array([0.3, -0.2, 0.15]) * DEGREE
    measured = replace(one, found=Angles(*(drawn + off)))

    found = reach(measured)
    moved = Wanted(
        *(
            Target(t.value - o, t.within)
            for t, o in zip((NEAR.camber, NEAR.caster, NEAR.toe), off, strict=True)
        )
    )

    assert found.met
    assert_allclose(found.angles.array, NEAR.values, atol=1e-12)
    assert_allclose(found.settings, reach(replace(one, wanted=moved)).settings)


def test_toe_for_another_height():
    """Measured hanging a little high, set so that it is right once settled."""
    high, settled = 0.01, STANDS
    one = Side(corner(), NEAR, settled)
    hanging = [float(value(a)) for a in one.angles([NOW, NOW, 0.0], angle=high)]

    found = reach(replace(one, found=Angles(*hanging), found_at=high))

    assert_allclose(found.settings, reach(one).settings, atol=1e-12)
    toe_now = float(value(one.angles(list(found.settings), angle=high)[2]))
    assert toe_now > 0.1 * DEGREE + 1e-3  # what the gauge must show up there


# ---- out of reach ----

FAR = wanted(-3.5, 7.5, 0.1)


def least_squares_by_another(one, start):
    """Return the least score inside the limits, by SciPy's SLSQP."""
    limits = limits_of(one.corner)
    worth = np.array([knob.worth for knob in knobs_of(one.corner)])

    def score(y):
        angles = [float(value(a)) for a in one.angles(list(y * worth))]
        off = (np.array(angles) - one.wanted.values) / one.wanted.within
        return float(np.nansum(off**2))

    factors = np.array([x.factors for x in limits]) * worth
    most = np.array([x.most for x in limits])
    rules = {"type": "ineq", "fun": lambda y: (most - factors @ y) / MM}
    found = minimize(
        score,
        start / worth,
        method="SLSQP",
        constraints=rules,
        options={"ftol": 1e-14, "maxiter": 300},
    )
    return found.fun, found.x * worth


THICK = "the {} pack, upper arm, is as thick as allowed"
APART = "the packs of the upper arm differ as much as allowed, rear the thicker"
EMPTY = "no shim is left in the {} pack, upper arm"
BARE = "the {} of the track rod would hold by too few threads"


@pytest.mark.independent
@pytest.mark.parametrize(
    ("target", "options", "words"),
    [
        (FAR, {}, [THICK.format("rear")]),
        (wanted(0.2, 7.5, 0.1), {"apart": 4 * MM}, [APART]),
        (
            wanted(2.5, 4.5, 0.1),
            {},
            [EMPTY.format("front"), EMPTY.format("rear")],
        ),
        (wanted(-0.5, 4.5, 1.5), {"engaged": 12.3 * MM}, [BARE.format("inner end")]),
        (
            wanted(-6.0, 15.0, 9.0),
            {"engaged": 14 * MM, "apart": 4 * MM},
            [
                THICK.format("front"),
                THICK.format("rear"),
                BARE.format("inner end"),
            ],
        ),
    ],
)
def test_out_of_reach_is_the_nearest_and_says_why(target, options, words):
    """The same least score as SciPy's own search under the limits, and no less.

    Both ends of the rod run out together; either may be named.
    """
    one = Side(corner(**options), target, STANDS)
    found = reach(one)
    score = np.nansum((found.remainder.array / target.within) ** 2)

    theirs, _ = least_squares_by_another(one, np.array([NOW, NOW, 0.0]))

    assert not found.met
    assert score <= theirs * (1 + 1e-6)  # theirs may lie a hair past a limit
    assert_allclose(score, theirs, rtol=1e-5)
    named = {words.replace("outer end", "inner end") for words in found.binding}
    assert named == set(words)


def test_without_a_knob_for_it_nothing_binds():
    """Only the track rod can be set: toe is met, the rest stays, no limit is blamed."""
    whole = corner()
    bare = WishboneCorner(whole.points, 1.0, whole.adjusters[1:])
    one = Side(bare, wanted(None, None, 0.1), STANDS)

    found, all_three = reach(one), reach(replace(one, wanted=NEAR))
    nothing = reach(Side(WishboneCorner(EXAMPLE, 1.0, ()), NEAR, STANDS))

    assert found.met
    assert np.isnan(found.remainder.array).tolist() == [True, True, False]
    assert not all_three.met
    assert all_three.binding == nothing.binding == ()
    assert nothing.settings.shape == (0,)


def test_more_knobs_than_targets_move_the_least():
    """Eccentrics at four pivots for camber alone: any other way moves more."""
    bolts = tuple(
        EccentricBolt(f"{arm}_{end}", 4 * MM, (0.0, -1.0, 0.0), 0.1)
        for arm in ("upper", "lower")
        for end in ("front", "rear")
    )
    one = Side(WishboneCorner(EXAMPLE, 1.0, bolts), wanted(-0.3, None, None), STANDS)
    found = reach(one)
    assert found.met

    rng = np.random.default_rng(2)
    for _ in range(6):
        start = found.settings + rng.uniform(-0.2, 0.2, 4)

        def misses(x):
            return [(one.angles(x)[0] + 0.3 * DEGREE) / DEGREE]

        other = nearest(
            misses,
            start,
            factors=np.zeros((0, 4)),
            most=np.zeros(0),
            worth=np.ones(4),
        )
        assert abs(other.misses[0]) < 1e-9
        mine, theirs = (
            np.linalg.norm(x - 0.1) for x in (found.settings, other.settings)
        )
        assert mine <= theirs * (1 + 1e-6)


@given(st.integers(0, 10_000))
def test_the_linear_step_is_the_least_there_is(number):
    """Random rectangular problems: no feasible step nearby does better."""
    rng = np.random.default_rng(number)
    n, m, k = rng.integers(1, 5), rng.integers(1, 5), rng.integers(0, 7)
    J, r, A = rng.normal(size=(m, n)), rng.normal(size=m), rng.normal(size=(k, n))
    room = np.maximum(rng.uniform(-0.3, 1.0, k), 0.0)

    p, binding = linear_step(J, r, np.zeros(n), A, room)

    assert np.all(A @ p <= room + 1e-9)
    # At the least, the pull is held by the limits that bind, each pushing one way.
    pull = -J.T @ (J @ p + r)
    held = A[list(binding)]
    assert np.all(room[list(binding)] - held @ p < 1e-9)
    push = np.linalg.lstsq(held.T, pull, rcond=None)[0] if binding else np.zeros(0)
    assert_allclose(held.T @ push, pull, atol=1e-7)
    assert np.all(push > -1e-8)


# ---- both sides and the steering ----


def test_cross_weighs_a_difference_against_the_misses():
    """One side cannot follow; the other gives way as far as the cross tolerance asks."""
    left, right = Side(corner(), FAR, STANDS), Side(corner(-1.0), NEAR, STANDS)

    apart = reach_both(left, right)
    cross = Cross(camber=0.02 * DEGREE)
    near = reach_both(left, right, cross=cross)

    def gap(pair):
        wanted_gap = left.wanted.values[0] - right.wanted.values[0]
        return abs(pair[0].angles.camber - pair[1].angles.camber - wanted_gap)

    assert_allclose(apart[0].settings, reach(left).settings, atol=1e-9)
    assert apart[1].met
    assert gap(near) < 0.2 * gap(apart)


def test_one_track_rod_and_the_steering_set_both_toes():
    """The right rod is fixed; the rack shares what the left one does."""
    whole = corner(-1.0)
    fixed = WishboneCorner(whole.points, -1.0, whole.adjusters[:1])
    left = Side(corner(), NEAR, STANDS)
    right = Side(fixed, NEAR, STANDS)

    without = reach_both(left, right)
    free = reach_both(left, right, steering=Steering(-10 * MM, 10 * MM))
    tight = reach_both(left, right, steering=Steering(-0.1 * MM, 0.1 * MM))

    assert without[0].met
    assert not without[1].met
    assert free[0].met
    assert free[1].met
    assert free[0].rack == free[1].rack != 0.0
    assert not tight[1].met
    assert any("inner track-rod joints can go no" in x for x in tight[1].binding)
    for side, one in zip((left, right), free, strict=True):
        seen = side.angles(list(one.settings), rack=one.rack)
        assert_allclose([float(value(a)) for a in seen], NEAR.values, atol=1e-12)


# ---- other layouts, and what is refused ----


def test_a_strut_is_brought_to_target():
    """Camber and caster by its top mount, toe by its rod; solved again by the pose."""
    points, plain_strut = strut()
    knobs = (
        Slide("strut_top", (0.0, -1.0, 0.0), -0.02, 0.02),
        Slide("strut_top", (-1.0, 0.0, 0.0), -0.02, 0.02),
        ScrewedRod("rod", (Thread("end", 1.5 * MM, 0.02, 0.01, 0.04),)),
    )
    now = [float(value(a)) for a in angles_at(plain_strut, np.asarray(0.0))]
    goal = np.array(now) + np.array([-0.4, 0.5, 0.1]) * DEGREE
    want = Wanted(*(Target(float(v), 0.01) for v in goal))

    found = reach(Side(StrutCorner(points, 1.0, knobs), want, 0.0))

    assert found.met
    assert_allclose(found.angles.array, goal, atol=1e-12)


def test_where_the_best_lies_beyond_the_lock():
    """Half a metre of shims for 60 degrees of caster: the parts come apart before."""
    one = corner(most=0.5, apart=0.5, now=0.25, engaged=12 * MM)

    with pytest.raises(ReachError, match="the linkage is near its lock"):
        reach(Side(one, wanted(None, 60.0, None), -0.3))


def test_angles_of_a_layout_without_a_steering_axis():
    """A trailing arm has camber and toe but no caster."""
    camber, caster, toe = angles_at(trailing()[1], np.asarray(0.0))

    assert np.isfinite([value(camber), value(toe)]).all()
    assert np.isnan(value(caster))


@pytest.mark.parametrize(
    ("call", "error", "message"),
    [
        (lambda: Wanted(), QuantityError, "at least one of the three"),
        (lambda: Target(0.0, 0.0), QuantityError, "within must be positive"),
        (lambda: Cross(camber=-1.0), QuantityError, "camber must be positive"),
        (lambda: Steering(0.1, 0.2), QuantityError, "low must be 0 or below"),
        (
            lambda: reach(Side(corner(), NEAR, -1.0)),
            ReachError,
            "do not fit together as they are set now at this arm angle",
        ),
    ],
)
def test_what_cannot_be_asked(call, error, message):
    """A sentence, not a traceback."""
    with pytest.raises(error, match=message):
        call()
