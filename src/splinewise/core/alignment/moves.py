"""What adjustments do to hard points, and the linkage put together again after them.

A shim or an eccentric moves the pivots of an arm; the arm itself, the upright and the
track rod keep their lengths.  So the ball joints are found again:

* the arm goes with its two pivots as a rigid body, by the shortest turn from the old
  line of the pivots to the new one, the middle between them going with the middle;
* the arm that the bar holds stays at its angle; the other one turns about its own
  pivots until the upright fits between the two (`circle_meets_sphere`);
* the outer track-rod joint and the wheel follow as in the linkage itself.

All of it runs on jets, so that any result can be differentiated by any adjustment
(own derivation).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal, cast

import numpy as np

from splinewise.core.geometry import (
    Circle,
    Turned,
    Vec,
    apex,
    circle_meets_sphere,
    cross,
    dot,
    length,
    squared,
    unit,
    vec,
)
from splinewise.core.jet import Number, sqrt, square, value
from splinewise.core.linkages import WishbonePoints
from splinewise.core.linkages.upright import rod_side
from splinewise.core.quantities import Array

__all__ = ["Moves", "added", "reassembled"]

Which = Literal["lower", "upper"]


@dataclass(frozen=True, slots=True, eq=False)
class Moves:
    """How far hard points have moved and parts have grown.

    Attributes
    ----------
    shifts : mapping of str to Vec, shape (...)
        By the name of the hard point, how far it has moved: pivots of arms and the
        inner track-rod joint with the body; the outer one in the upright. [m]
    lengths : mapping of str to Jet or ndarray, shape (...)
        How much longer a part has become: "rod", the track rod; "upper_front", the leg
        of that arm between that pivot and the ball joint; "upper", the arm's reach
        from its axis. [m]
    """

    shifts: Mapping[str, Vec] = field(default_factory=dict)
    lengths: Mapping[str, Number] = field(default_factory=dict)


def added(moves: Sequence[Moves]) -> Moves:
    """Return several adjustments as one.

    Parameters
    ----------
    moves : sequence of Moves, shape (...)
        What each of them does. [m]

    Returns
    -------
    Moves, shape (...)
        All together. [m]
    """
    shifts: dict[str, Vec] = {}
    lengths: dict[str, Number] = {}
    for one in moves:
        for name, shift in one.shifts.items():
            shifts[name] = shifts[name] + shift if name in shifts else shift
        for name, longer in one.lengths.items():
            lengths[name] = lengths[name] + longer if name in lengths else longer
    return Moves(shifts, lengths)


@dataclass(frozen=True, slots=True, eq=False)
class _Arm:
    """Pivots, ball joint and what else the arm carries."""

    front: Vec
    rear: Vec
    ball: Vec
    rest: tuple[Vec, ...]


def reassembled(
    points: WishbonePoints,
    moves: Moves,
    *,
    bar_on: Which = "lower",
    damper_on: Which = "lower",
) -> WishbonePoints:
    """Return the hard points after adjustments, with the bar's arm at its drawn angle.

    Parameters
    ----------
    points : WishbonePoints, shape (...)
        Hard points at the drawn position. [m]
    moves : Moves, shape (...)
        What the adjustments do. [m]
    bar_on : str, default "lower"
        "lower" or "upper": the arm that the bar holds. [1]
    damper_on : str, default "lower"
        "lower" or "upper": the arm that carries the damper. [1]

    Returns
    -------
    WishbonePoints, shape (...)
        The new hard points, `Vec`s that may be jets; NaN where the parts no longer
        fit together. [m]
    """
    other: Which = "upper" if bar_on == "lower" else "lower"
    old = {which: _drawn(points, which, damper_on) for which in (bar_on, other)}
    new = {which: _moved(old[which], which, moves) for which in old}
    if any(new[which] is not old[which] for which in old):
        new[other] = _fitted(old[bar_on], old[other], new[bar_on], new[other])

    inner, outer = vec(points.rod_inner), vec(points.rod_outer)
    edge, lever = old[other].ball - old[bar_on].ball, outer - old[bar_on].ball
    side = rod_side(edge, inner - old[bar_on].ball, lever)
    rod = length(outer - inner) + moves.lengths.get("rod", 0.0)
    inner = _shifted(inner, "rod_inner", moves)
    lever = _shifted(lever, "rod_outer", moves)
    now = new[other].ball - new[bar_on].ball
    found = apex(
        now, inner - new[bar_on].ball, (length(lever), length(lever - edge), rod), side
    )
    upright = _Carried(edge, lever, now, found)
    hub = vec(points.wheel_centre) - old[bar_on].ball
    damper = new[damper_on].rest
    made = {
        f"{which}_{end}": getattr(arm, end)
        for which, arm in new.items()
        for end in ("front", "rear", "ball")
    }
    return WishbonePoints(
        **{name: cast(Array, place) for name, place in made.items()},
        rod_inner=cast(Array, inner),
        rod_outer=cast(Array, new[bar_on].ball + found),
        wheel_centre=cast(Array, new[bar_on].ball + upright.of(hub)),
        spindle=cast(Array, upright.of(vec(points.spindle))),
        tyre_radius=points.tyre_radius,
        damper_body=points.damper_body,
        damper_arm=cast(Array, damper[0]) if damper else points.damper_arm,
    )


def _drawn(points: WishbonePoints, which: Which, damper_on: Which) -> _Arm:
    front, rear, ball = (
        vec(getattr(points, f"{which}_{end}")) for end in ("front", "rear", "ball")
    )
    bolt = points.damper_arm
    rest = () if bolt is None or which != damper_on else (vec(bolt),)
    return _Arm(front, rear, ball, rest)


def _shifted(point: Vec, name: str, moves: Moves) -> Vec:
    shift = moves.shifts.get(name)
    return point if shift is None else point + shift


def _moved(arm: _Arm, which: Which, moves: Moves) -> _Arm:
    """Return an arm gone with its pivots, its legs made longer; itself if neither."""
    names = [f"{which}_front", f"{which}_rear"]
    if any(name in moves.shifts for name in names):
        front, rear = (
            _shifted(end, name, moves)
            for end, name in zip((arm.front, arm.rear), names, strict=True)
        )
        arm = _gone_with(arm, front, rear)
    if any(name in moves.lengths for name in (*names, which)):
        lengths = [moves.lengths.get(name, 0.0) for name in (*names, which)]
        arm = _lengthened(arm, *lengths)
    return arm


def _gone_with(arm: _Arm, front: Vec, rear: Vec) -> _Arm:
    """Return the arm carried rigidly to the line and the middle of two new pivots."""
    old, new = unit(arm.front - arm.rear), unit(front - rear)
    middle, now = (arm.front + arm.rear) * 0.5, (front + rear) * 0.5
    w = cross(old, new)
    share = 1.0 / (1.0 + dot(old, new))

    def carried(point: Vec) -> Vec:
        v = point - middle
        across = cross(w, v)
        return now + v + across + cross(w, across) * share

    return _Arm(
        carried(arm.front),
        carried(arm.rear),
        carried(arm.ball),
        tuple(carried(point) for point in arm.rest),
    )


def _lengthened(arm: _Arm, front: Number, rear: Number, reach: Number) -> _Arm:
    """Return the arm with its ball joint moved in its own plane; the rest stays."""
    axis = arm.front - arm.rear
    span, along = length(axis), unit(axis)
    out = arm.ball - arm.rear
    across = out - along * dot(along, out)
    to_front = square(length(arm.ball - arm.front) + front)
    to_rear = square(length(out) + rear)
    foot = (to_rear - to_front + square(span)) / (2.0 * span)
    radius = sqrt(to_rear - square(foot)) + reach
    ball = arm.rear + along * foot + unit(across) * radius
    return _Arm(arm.front, arm.rear, ball, arm.rest)


def _fitted(driver: _Arm, follower: _Arm, new: _Arm, loose: _Arm) -> _Arm:
    """Return the loose arm turned to where the upright fits between the two."""
    axis = unit(follower.front - follower.rear)
    drawn = Circle.about(follower.rear, axis, follower.ball)
    # The fold of the drawn position, as the four-bar takes it.
    b = value(dot(drawn.ahead, drawn.centre - driver.ball))
    fold = np.where(b > 0.0, -1.0, 1.0)
    axis = unit(loose.front - loose.rear)
    turned = circle_meets_sphere(
        Circle.about(loose.rear, axis, loose.ball),
        new.ball,
        length(follower.ball - driver.ball),
        fold,
    )

    def at(point: Vec) -> Vec:
        return _on(Circle.about(loose.rear, axis, point), turned)

    return _Arm(
        loose.front, loose.rear, at(loose.ball), tuple(at(p) for p in loose.rest)
    )


def _on(path: Circle, turned: Turned) -> Vec:
    return path.at(turned.sine, turned.cosine)


@dataclass(frozen=True, slots=True, eq=False)
class _Carried:
    """What vectors of the upright become: two edges of it are known before and after."""

    first: Vec
    second: Vec
    first_now: Vec
    second_now: Vec

    def of(self, drawn: Vec) -> Vec:
        u, v = self.first, self.second
        n = cross(u, v)
        r = 1.0 / squared(n)
        by_u, by_v = dot(drawn, cross(v, n)) * r, dot(drawn, cross(n, u)) * r
        now = cross(self.first_now, self.second_now)
        by_n = dot(drawn, n) * r
        return self.first_now * by_u + self.second_now * by_v + now * by_n
