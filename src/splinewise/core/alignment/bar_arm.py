"""What an adjustment does to the bar and its setting.

Shims at the pivots of the arm that has no bar leave the bar's arm, its slack angle and
its setting length as they are.  At the bar's own arm they move the axis, and with it
the bar's end; the bar bends after them by the shortest way and is not twisted (own
derivation: the arm is carried to the new line without a turn about it).  The slack
angle is then the same number from the same drawn place of the arm, but the setting
length that gives it is another, since the gauge's other end stays on the body.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.alignment.corners import WishboneCorner, knobs_of, moves_of
from splinewise.core.alignment.moves import reassembled
from splinewise.core.arm import Arm, Span
from splinewise.core.corner import Spring, standing_angle
from splinewise.core.geometry import Vec, cross, dot, length, vec
from splinewise.core.jet import value
from splinewise.core.linkages import WishbonePoints
from splinewise.core.quantities import Array, finite

__all__ = ["BarEffect", "SettledChange", "bar_effect", "settled_change"]


@dataclass(frozen=True, slots=True, eq=False)
class BarEffect:
    """What settings of the knobs do to the bar's own arm.

    Attributes
    ----------
    carries : bool
        Whether the arm that holds the bar is one that is moved; if not, the rest is
        nought.
    shift : ndarray, shape (3,)
        How far the middle of its pivots moves. [m]
    tilt : float
        Angle by which its axis, and the bar's end with it, leans over. [rad]
    length_before, length_after : float
        Setting length at the slack angle, before and after. [m]
    """

    carries: bool
    shift: Array
    tilt: float
    length_before: float
    length_after: float

    @property
    def length_change(self) -> float:
        """What to add to the setting length to keep the slack angle. [m]"""
        return self.length_after - self.length_before


@dataclass(frozen=True, slots=True)
class SettledChange:
    """Where one wheel stands after an adjustment, with bar and load as before.

    Attributes
    ----------
    before, after : float
        Arm angle at which it stands. [rad]
    height : float
        How much higher the body stands over the wheel's contact point. [m]
    """

    before: float
    after: float
    height: float


def bar_effect(
    corner: WishboneCorner,
    settings: Sequence[float],
    *,
    slack: float,
    fixed: ArrayLike,
    on_arm: ArrayLike,
) -> BarEffect:
    """Return what settings do to the bar's arm and to the length that sets it.

    Parameters
    ----------
    corner : WishboneCorner
        The corner. [m]
    settings : sequence of float, shape (n,)
        One for each knob. [unit]
    slack : float, shape ()
        Slack angle of the arm. [rad]
    fixed, on_arm : array_like, shape (3,)
        Ends of the gauge as drawn: on the body, and on the bar's arm. [m]

    Returns
    -------
    BarEffect
        Shift, tilt and the two setting lengths. [m]
    """
    theta = finite("slack", slack, "rad")
    # The gauge takes the damper's place, so that its end rides with the bar's arm.
    points = replace(
        corner.points,
        damper_body=finite("fixed", fixed, "m"),
        damper_arm=finite("on_arm", on_arm, "m"),
    )
    moves = moves_of(corner, points, list(settings))
    new = reassembled(points, moves, bar_on=corner.bar_on, damper_on=corner.bar_on)
    (before, old), (after, now) = (_gauge(p, corner.bar_on) for p in (points, new))
    names = [corner.bar_on, *(f"{corner.bar_on}_{end}" for end in ("front", "rear"))]
    knobs = [knob.now for knob in knobs_of(corner)]
    still = all(x == knob for x, knob in zip(settings, knobs, strict=True))
    moved = any(name in moves.shifts or name in moves.lengths for name in names)
    tilt = np.arctan2(
        value(length(cross(old.axis, now.axis))), value(dot(old.axis, now.axis))
    )
    return BarEffect(
        moved and not still,
        _middle(new, corner.bar_on) - _middle(points, corner.bar_on),
        float(tilt),
        float(value(before.length(theta))),
        float(value(after.length(theta))),
    )


def settled_change(
    corner: WishboneCorner,
    settings: Sequence[float],
    spring: Spring,
    load: float,
    *,
    low: float,
    high: float,
) -> SettledChange:
    """Return where a wheel stands after an adjustment, its bar and its load as before.

    Parameters
    ----------
    corner : WishboneCorner
        The corner. [m]
    settings : sequence of float, shape (n,)
        One for each knob. [unit]
    spring : Spring
        Its bar and bushes. [N·m]
    load : float, shape ()
        Vertical force that it carries. [N]
    low, high : float, shape ()
        Arm angles between which it can stand. [rad]

    Returns
    -------
    SettledChange
        Arm angles, and how the height changes; NaN where it cannot stand. [rad]
    """
    now = [knob.now for knob in knobs_of(corner)]
    stands, heights = [], []
    for some in (now, list(settings)):
        linkage = corner.linkage(some)
        angle = standing_angle(linkage, spring, load, low=low, high=high)
        stands.append(float(angle))
        heights.append(float(value(linkage.pose(angle).contact.z)))
    return SettledChange(stands[0], stands[1], heights[0] - heights[1])


def _gauge(points: WishbonePoints, arm: str) -> tuple[Span, Arm]:
    """Return the length between the gauge's ends as the arm turns, and the arm."""
    front, rear, ball = (
        _place(points, f"{arm}_{x}") for x in ("front", "rear", "ball")
    )
    made = Arm.between(front, rear, ball)
    return made.span(_place(points, "damper_body"), _place(points, "damper_arm")), made


def _place(points: WishbonePoints, name: str) -> Vec:
    return vec(getattr(points, name), name)


def _middle(points: WishbonePoints, arm: str) -> Array:
    ends = (_place(points, f"{arm}_front"), _place(points, f"{arm}_rear"))
    return np.asarray((ends[0].array + ends[1].array) / 2.0)
