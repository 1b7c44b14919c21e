"""Double wishbone with a track rod; the bar turns with the lower or the upper arm.

The arm with the bar is given its angle; the upright joins the two arms to a four-bar
in space, which gives the other arm's; the outer track-rod joint is found from the two
ball joints and the inner joint; the wheel rides with these three.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from splinewise.core.arm import Arm, Span
from splinewise.core.four_bar import FourBar
from splinewise.core.geometry import (
    Circle,
    Vec,
    apex,
    combine,
    cross,
    dot,
    length,
    squared,
    turn,
    vec,
)
from splinewise.core.jet import Number
from splinewise.core.linkages.base import Pose, contact_below, outward
from splinewise.core.linkages.upright import rod_side
from splinewise.core.quantities import Array, positive
from splinewise.errors import QuantityError

__all__ = ["DoubleWishbone", "WishbonePoints"]

Which = Literal["lower", "upper"]
Parts = tuple[Number, Number, Number]


@dataclass(frozen=True, slots=True, eq=False)
class WishbonePoints:
    """Hard points of one corner at the drawn position.

    Attributes
    ----------
    lower_front, lower_rear, lower_ball : ndarray, shape (..., 3)
        Pivots and ball joint of the lower arm. [m]
    upper_front, upper_rear, upper_ball : ndarray, shape (..., 3)
        The same of the upper arm. [m]
    rod_inner, rod_outer : ndarray, shape (..., 3)
        Joints of the track rod. [m]
    wheel_centre : ndarray, shape (..., 3)
        Wheel centre. [m]
    spindle : ndarray, shape (..., 3)
        Direction of the wheel's axis, of any length. [1]
    tyre_radius : ndarray, shape (...)
        Loaded radius. [m]
    damper_body, damper_arm : ndarray or None, shape (..., 3)
        Bolts of the damper on the body and on the arm that `damper_on` names. [m]
    """

    lower_front: Array
    lower_rear: Array
    lower_ball: Array
    upper_front: Array
    upper_rear: Array
    upper_ball: Array
    rod_inner: Array
    rod_outer: Array
    wheel_centre: Array
    spindle: Array
    tyre_radius: Array | float
    damper_body: Array | None = None
    damper_arm: Array | None = None


@dataclass(frozen=True, slots=True, eq=False)
class DoubleWishbone:
    """One corner on two wishbones, ready to be posed; make it with `build`.

    Attributes
    ----------
    outboard : float, shape ()
        +1 on the left of the vehicle, −1 on the right. [1]
    arm : Arm
        The arm that the bar holds. [m]
    driven, follower : Circle, shape (...)
        Paths of the ball joint on the bar's arm and on the other arm. [m]
    upright : FourBar
        What the upright's length makes of the two arms. [m]
    rod_inner : Vec, shape (...)
        Inner track-rod joint. [m]
    rod : tuple of ndarray, shape (...)
        Distances of the outer track-rod joint from the driven ball joint, the
        follower and the inner joint. [m]
    rod_side : ndarray, shape (...)
        +1 or −1: on which side of those three the outer joint lies. [1]
    wheel, spindle : tuple of ndarray, shape (...)
        Wheel centre and spindle in the upright's own three edges. [1]
    tyre_radius : ndarray, shape (...)
        Loaded radius. [m]
    bar_on : str
        "lower" or "upper": the arm that the bar holds. [1]
    damper : Span or None
        Length between the damper's bolts as its arm turns. [m]
    damper_on : str
        "lower" or "upper": the arm that carries the damper. [1]
    """

    outboard: float
    arm: Arm
    driven: Circle
    follower: Circle
    upright: FourBar
    rod_inner: Vec
    rod: tuple[Number, Number, Number]
    rod_side: Array
    wheel: Parts
    spindle: Parts
    tyre_radius: Number
    bar_on: Which
    damper: Span | None
    damper_on: Which

    @classmethod
    def build(
        cls,
        points: WishbonePoints,
        *,
        outboard: float,
        bar_on: Which = "lower",
        damper_on: Which = "lower",
    ) -> DoubleWishbone:
        """Return the linkage through these hard points, assembled as they are.

        Parameters
        ----------
        points : WishbonePoints
            Hard points at the drawn position. [m]
        outboard : float, shape ()
            +1 on the left of the vehicle, −1 on the right. [1]
        bar_on : str, default "lower"
            "lower" or "upper": the arm that the bar holds. [1]
        damper_on : str, default "lower"
            "lower" or "upper": the arm that carries the damper. [1]

        Returns
        -------
        DoubleWishbone, shape (...)
            The linkage, ready to be posed. [m]

        Raises
        ------
        QuantityError
            If the points make no linkage: two of them fall together, an arm has no
            bump, the upright or the track rod is drawn at dead centre, or only one
            of the damper's bolts is known.
        """
        ends = {which: _arm_and_ball(points, which) for which in ("lower", "upper")}
        arm, ball = ends[bar_on]
        other, other_ball = ends["upper" if bar_on == "lower" else "lower"]
        driven, follower = arm.path(ball), other.path(other_ball)
        inner = vec(points.rod_inner, "rod_inner")
        outer = vec(points.rod_outer, "rod_outer")
        rod = (length(outer - ball), length(outer - other_ball), length(outer - inner))
        frame = _edges(other_ball - ball, outer - ball)
        hub = vec(points.wheel_centre, "wheel_centre") - ball
        return cls(
            outboard=outboard,
            arm=arm,
            driven=driven,
            follower=follower,
            upright=FourBar.drawn(driven, follower, "upright"),
            rod_inner=inner,
            rod=rod,
            rod_side=rod_side(other_ball - ball, inner - ball, outer - ball),
            wheel=_in_edges(frame, hub),
            spindle=_in_edges(frame, outward(vec(points.spindle, "spindle"), outboard)),
            tyre_radius=positive("tyre_radius", points.tyre_radius, "m"),
            bar_on=bar_on,
            damper=_damper(points, ends[damper_on][0]),
            damper_on=damper_on,
        )

    def pose(self, angle: Number, *, rack: Number = 0.0) -> Pose:
        """Return the pose at an arm angle; as in `Linkage.pose`. [m]"""
        driven = turn(angle)
        followed = self.upright.follow(driven)
        ball = self.driven.at(driven.sine, driven.cosine)
        other = self.follower.at(followed.sine, followed.cosine)
        inner = Vec(self.rod_inner.x, self.rod_inner.y + rack, self.rod_inner.z)
        edge = other - ball
        outer = apex(edge, inner - ball, self.rod, self.rod_side)
        frame = _edges(edge, outer)
        wheel = combine(*zip(frame, self.wheel, strict=True), plus=ball)
        spindle = combine(*zip(frame, self.spindle, strict=True))
        damper = None
        if self.damper is not None:
            damper = self.damper.at(
                driven if self.damper_on == self.bar_on else followed
            )
        return Pose(
            contact=contact_below(wheel, spindle, self.tyre_radius),
            twist=angle,
            wheel=wheel,
            spindle=spindle,
            steering=(ball, other) if self.bar_on == "lower" else (other, ball),
            damper=damper,
        )

    def bar_turn(self, angle: Number) -> Number:
        """Return the bar's turn at an arm angle: the same. [rad]"""
        return angle

    def angle_at(self, twist: Number) -> Number:
        """Return the arm angle at which the bar's arm end has turned so far. [rad]"""
        return twist


def _arm_and_ball(points: WishbonePoints, which: Which) -> tuple[Arm, Vec]:
    """Return an arm and its ball joint."""
    names = [f"{which}_{end}" for end in ("front", "rear", "ball")]
    front, rear, ball = (vec(getattr(points, name), name) for name in names)
    return Arm.between(front, rear, ball, name=names[2]), ball


def _damper(points: WishbonePoints, arm: Arm) -> Span | None:
    """Return the damper's length as its arm turns, if its bolts are known."""
    body, end = points.damper_body, points.damper_arm
    if body is None and end is None:
        return None
    if body is None or end is None:
        one = "damper_body" if body is None else "damper_arm"
        raise QuantityError(one, np.nan, "m", "given too, since the other bolt is")
    return arm.span(vec(body, "damper_body"), vec(end, "damper_arm"))


def _edges(edge: Vec, outer: Vec) -> tuple[Vec, Vec, Vec]:
    """Return three edges that ride with the upright: two sides and their normal."""
    return edge, outer, cross(edge, outer)


def _in_edges(frame: tuple[Vec, Vec, Vec], direction: Vec) -> Parts:
    """Return the multiples of the three edges that make up a vector."""
    u, v, n = frame
    r = 1.0 / squared(n)
    return (
        dot(direction, cross(v, n)) * r,
        dot(direction, cross(n, u)) * r,
        dot(direction, n) * r,
    )
