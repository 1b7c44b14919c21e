"""Exact effects of every number, against letting the changed car stand again."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from layouts import LINK, STRUT, lever_points
from splinewise.core.geometry import Vec
from splinewise.core.linkages import DoubleWishbone
from splinewise.core.linkages.lever_and_link import LeverAndLink
from splinewise.core.linkages.strut import Strut, StrutPoints
from splinewise.core.linkages.strut_rod_link import StrutRodLink, StrutRodPoints
from splinewise.core.linkages.trailing import TrailingArm, TrailingPoints
from splinewise.core.vehicle import Joined, balance, stand
from splinewise.core.vehicle.batch import pick
from splinewise.core.vehicle.hard_points import by_hard_points
from splinewise.core.vehicle.sensitivity import by_slack, sensitivities
from vehicles import (
    ARM,
    DAMPER,
    ROD,
    SHARED,
    UPPER,
    WISHBONE,
    Dice,
    WishbonePoints,
    car,
    changed_corner,
    corner_points,
    differences_at_once,
    vec,
)

POINTS = (vec([-0.3, 0.6, 0.2]), vec([-2.1, -0.6, 0.25]), vec([0.5, 0.0, 0.4]))


def rested(vehicle, start):
    """State, heights and loads of cars at rest, to the last digit, shape (M, ...)."""
    found = stand(vehicle, start=start)
    assert found.stands.all()
    at = balance(vehicle, found.state)
    q = found.state - np.linalg.solve(at.hessian, at.gradient[..., None])[..., 0]
    here = replace(found, state=q).attitude
    loads = [s.tyre_force for s in balance(vehicle, q).corners]
    heights = [here.height(p) for p in POINTS]
    return np.stack([*np.moveaxis(q, -1, 0), *heights, *loads], axis=-1)


def each_corner(vehicle, name, change):
    """The vehicle with a number of each corner changed."""
    for i, more in enumerate(change):
        changed = getattr(vehicle.corners[i], name) + more
        vehicle = changed_corner(vehicle, i, **{name: changed})
    return vehicle


def each_spring(vehicle, name, change):
    """The vehicle with a number of each bar changed."""
    for i, more in enumerate(change):
        spring = vehicle.corners[i].spring
        spring = replace(spring, **{name: getattr(spring, name) + more})
        vehicle = changed_corner(vehicle, i, spring=spring)
    return vehicle


def pushed(vehicle, change):
    """The vehicle with more force in each damper spring."""
    for i, more in enumerate(change):
        (other,) = vehicle.corners[i].others
        other = replace(other, law=replace(other.law, preload=more), on="rise")
        vehicle = changed_corner(vehicle, i, others=(other,))
    return vehicle


def weighted(vehicle, change):
    """The vehicle with other masses of body and loads."""
    loads = [
        replace(load, mass=load.mass + more)
        for load, more in zip(vehicle.loads, change[1:], strict=True)
    ]
    body = replace(vehicle.body, mass=vehicle.body.mass + change[0])
    return replace(vehicle, body=body, loads=tuple(loads))


def placed(vehicle, change):
    """The vehicle with body and loads elsewhere."""
    moves = np.reshape(change, (-1, 3, np.shape(change)[-1]))
    loads = [
        replace(load, at=load.at + Vec(*move))
        for load, move in zip(vehicle.loads, moves[1:], strict=True)
    ]
    body = replace(vehicle.body, centre=vehicle.body.centre + Vec(*moves[0]))
    return replace(vehicle, body=body, loads=tuple(loads))


def barred(vehicle, name, change):
    """The vehicle with a number of each anti-roll bar changed."""
    joined = [
        replace(j, bar=replace(j.bar, **{name: getattr(j.bar, name) + more}))
        for j, more in zip(vehicle.joined, change, strict=True)
    ]
    return replace(vehicle, joined=tuple(joined))


# Name of the effect: (how many numbers, size of a step, what a change does).
NUMBERS = {
    "slack": (4, 1e-3, lambda v, c: each_spring(v, "slack", c)),
    "bar_rate": (4, 3.0, lambda v, c: each_spring(v, "rate", c)),
    "tyre_radius": (4, 5e-4, lambda v, c: each_corner(v, "tyre_radius", c)),
    "tyre_rate": (4, 300.0, lambda v, c: each_corner(v, "tyre_rate", c)),
    "floor": (4, 5e-4, lambda v, c: each_corner(v, "floor", c)),
    "unsprung": (4, 0.5, lambda v, c: each_corner(v, "unsprung", c)),
    "push": (4, 5.0, pushed),
    "mass": (3, 1.0, weighted),
    "place": (9, 2e-3, placed),
    "roll_rate": (2, 30.0, lambda v, c: barred(v, "rate", c)),
    "wind_up": (2, 1e-4, lambda v, c: barred(v, "wind_up", c)),
}


@pytest.fixture(scope="module")
def standing():
    """A car with two anti-roll bars that stands free of its stops, and its effects."""
    vehicle = car(np.random.default_rng(7), stops=False)
    vehicle = pushed(vehicle, np.zeros(4))
    bar = replace(vehicle.joined[0].bar, give=2e-5)
    vehicle = replace(vehicle, joined=(Joined(0, 1, bar), Joined(3, 2, bar)))
    found = stand(vehicle)
    return vehicle, found, sensitivities(vehicle, found, POINTS)


def stacked(effect):
    """The rows of an effect as `rested` lays them out."""
    return np.concatenate([effect.state, effect.heights, effect.loads])


@pytest.mark.independent
@pytest.mark.parametrize("name", NUMBERS)
def test_effects_against_standing_again(standing, name):
    """Differences of the eighth order over cars let stand one by one."""
    vehicle, found, effects = standing
    count, step, change = NUMBERS[name]

    expected = differences_at_once(
        lambda c: rested(change(vehicle, c), found.state), count, step
    )

    got = stacked(getattr(effects, name))
    size = np.abs(expected).max(axis=-1, keepdims=True)
    assert_allclose(got, expected, atol=2e-8 * size.max(), rtol=1e-7)


def test_slack_alone_is_the_same(standing):
    """`by_slack` is the part that the inverse uses."""
    vehicle, found, effects = standing
    alone = by_slack(vehicle, found, POINTS)

    assert_allclose(alone.heights, effects.slack.heights, rtol=1e-13)
    assert_allclose(alone.loads, effects.slack.loads, rtol=1e-13)


def test_what_adds_weight_is_carried_and_what_does_not_shifts_load(standing):
    """Loads grow by g a kilogram; slack, floor and tyres only pass load around."""
    _, _, effects = standing
    for name in ("mass", "unsprung"):
        total = getattr(effects, name).loads.sum(axis=0)
        assert_allclose(total, 9.80665, rtol=1e-9)
    for name in ("slack", "bar_rate", "tyre_radius", "tyre_rate", "floor", "place"):
        loads = getattr(effects, name).loads
        assert_allclose(loads.sum(axis=0), 0.0, atol=1e-9 * np.abs(loads).max())


def test_the_whole_floor_lifts_everything(standing):
    """All four floors up by 1: every height up by 1, no load changed."""
    _, _, effects = standing
    assert_allclose(effects.floor.heights.sum(axis=-1), 1.0, rtol=1e-10)
    assert_allclose(effects.floor.loads.sum(axis=-1), 0.0, atol=1e-4)


def test_a_lifted_tyre_does_nothing():
    """Its rate, its radius and its floor have no effect; its weight still has."""
    vehicle = car()
    load = replace(vehicle.loads[0], mass=200.0, at=vec([-2.4, 0.5, 0.5]))
    vehicle = changed_corner(replace(vehicle, loads=(load,)), 1, floor=-0.4)
    found = stand(vehicle)
    assert found.lifted[1]

    effects = sensitivities(vehicle, found, POINTS)

    for name in ("tyre_rate", "tyre_radius", "floor"):
        assert np.all(stacked(getattr(effects, name))[:, 1] == 0.0)
    assert np.all(np.isfinite(stacked(effects.unsprung)))
    assert np.abs(effects.unsprung.heights[:, 1]).max() > 1e-6


def test_a_batch_and_what_does_not_stand():
    """Each car's effects are those of it alone; a car that tips has none."""
    vehicle = car(np.random.default_rng(5), 6)
    z = np.where(np.arange(6) == 4, 9.0, vehicle.body.centre.z)
    body = replace(vehicle.body, centre=replace(vehicle.body.centre, z=z))
    vehicle = replace(vehicle, body=body)
    found = stand(vehicle)
    assert not found.stands[4]

    effects = sensitivities(vehicle, found, POINTS)

    for i in range(6):
        one = pick(vehicle, np.array([i]), 6)
        alone = sensitivities(one, stand(one), POINTS)
        for name in NUMBERS:
            whole, single = getattr(effects, name), getattr(alone, name)
            for part in ("state", "heights", "loads"):
                rows, row = getattr(whole, part)[i], getattr(single, part)[0]
                if i == 4:
                    assert np.all(np.isnan(rows))
                else:
                    size = max(np.abs(row).max(initial=0.0), 1e-300)
                    assert_allclose(rows, row, atol=1e-8 * size)


def fitted(make, drawn, kind, *, corner):
    """A car with another layout at one corner; hard points and builder with it."""
    vehicle = car(np.random.default_rng(9), stops=False)
    hard = corner_points(
        kind,
        drawn,
        Dice(np.random.default_rng(10)),
        mirrored=corner % 2 == 1,
        behind=0.0 if corner < 2 else 2.4,
        spread=0.01,
    )
    side = -1.0 if corner % 2 == 1 else 1.0
    vehicle = changed_corner(
        vehicle, corner, linkage=make(hard, side), others=vehicle.corners[corner].others
    )
    return vehicle, hard, lambda points: make(points, side)


LOWER = {name: STRUT[name] for name in ("lower_front", "lower_rear", "lower_ball")}
ACROSS = {"bar_arm_end": (0.41, 0.38, 0.295), "bar_anchor_end": (0.41, -0.5, 0.295)}
KINDS = {
    "lower bar": (
        lambda p, side: DoubleWishbone.build(p, outboard=side),
        WISHBONE,
        WishbonePoints,
        0,
    ),
    "upper bar": (
        lambda p, side: DoubleWishbone.build(
            p, outboard=side, bar_on="upper", damper_on="upper"
        ),
        WISHBONE,
        WishbonePoints,
        1,
    ),
    "trailing": (
        lambda p, side: TrailingArm.build(p, outboard=side),
        ARM,
        TrailingPoints,
        3,
    ),
    "semi-trailing": (
        lambda p, side: TrailingArm.build(p, outboard=side),
        {**ARM, **ACROSS, "pivot_inner": (0.32, 0.25, 0.3)},
        TrailingPoints,
        2,
    ),
    "strut": (
        lambda p, side: Strut.build(p, outboard=side),
        {**SHARED, **ROD, **STRUT},
        StrutPoints,
        0,
    ),
    "strut rod": (
        lambda p, side: StrutRodLink.build(p, outboard=side),
        {**SHARED, **UPPER, **ROD, **DAMPER, **LINK},
        StrutRodPoints,
        1,
    ),
    "lever": (
        lambda p, side: LeverAndLink.build(
            DoubleWishbone.build(p, outboard=side),
            lever_points(mirrored=side < 0.0),
        ),
        WISHBONE,
        WishbonePoints,
        0,
    ),
}


@pytest.mark.independent
@pytest.mark.parametrize("kind", KINDS)
def test_hard_points_against_standing_again(kind):
    """Every coordinate of every point, built anew and let stand."""
    make, drawn, points_kind, corner = KINDS[kind]
    vehicle, hard, build = fitted(make, drawn, points_kind, corner=corner)
    found = stand(vehicle)
    assert found.stands
    names = list(drawn)

    effect = by_hard_points(
        vehicle, found, POINTS, corner=corner, hard=hard, names=names, build=build
    )

    def changed(c):
        moves = np.moveaxis(np.reshape(c, (len(names), 3, -1)), 1, -1)
        shifted = zip(names, moves, strict=True)
        moved = replace(hard, **{n: getattr(hard, n) + m for n, m in shifted})
        again = changed_corner(vehicle, corner, linkage=build(moved))
        return rested(again, found.state)

    expected = differences_at_once(changed, 3 * len(names), 1.5e-3)
    got = stacked(effect)
    size = np.abs(expected).max(axis=-1, keepdims=True)
    assert size[7:].min() > 1e-3
    assert_allclose(got, expected, atol=1e-6 * size.max(), rtol=1e-6)


def test_hard_points_of_a_batch():
    """Each car's effects are those of it alone."""
    vehicle = car(np.random.default_rng(15), 4)
    hard = corner_points(
        WishbonePoints, WISHBONE, Dice(np.random.default_rng(16), 4), spread=0.01
    )

    def build(points):
        return DoubleWishbone.build(points, outboard=1.0)

    names = ("lower_ball", "rod_outer")
    vehicle = changed_corner(vehicle, 0, linkage=build(hard))
    found = stand(vehicle)
    assert found.stands.all()

    together = by_hard_points(
        vehicle, found, POINTS, corner=0, hard=hard, names=names, build=build
    )

    assert together.heights.shape == (4, 3, 6)
    for i in range(4):
        one = pick(vehicle, np.array([i]), 4)
        alone = by_hard_points(
            one,
            stand(one),
            POINTS,
            corner=0,
            hard=pick(hard, np.array([i]), 4),
            names=names,
            build=build,
        )
        for part in ("state", "heights", "loads"):
            row = getattr(alone, part)[0]
            whole = getattr(together, part)[i]
            assert_allclose(whole, row, atol=1e-8 * np.abs(row).max())
