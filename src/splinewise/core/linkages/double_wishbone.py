"""Double wishbone with a track rod; the bar turns with the lower or the upper arm.

The arm with the bar is given its angle; the other arm's ball joint is where its
circle meets the sphere of the upright's length; the outer track-rod joint is found
from the two ball joints and the inner joint; the wheel rides with these three.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from splinewise.core.arm import Arm
from splinewise.core.geometry import (
    Circle,
    Vec,
    circle_meets_sphere,
    cross,
    dot,
    length,
    three_spheres,
    turn,
    vec,
)
from splinewise.core.jet import Number, value
from splinewise.core.linkages.base import Pose, contact_below, outward
from splinewise.core.quantities import Array

__all__ = ["DoubleWishbone", "WishbonePoints"]


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
    upright : ndarray, shape (...)
        Distance between the ball joints. [m]
    rod_inner : Vec, shape (...)
        Inner track-rod joint. [m]
    rod : tuple of ndarray, shape (...)
        Distances of the outer track-rod joint from the driven ball joint, the
        follower and the inner joint. [m]
    branches : tuple of ndarray, shape (...)
        Which way the follower and the track rod are assembled, ±1 each. [1]
    wheel, spindle : tuple of ndarray, shape (...)
        Wheel centre and spindle in the upright's own three edges. [1]
    tyre_radius : ndarray, shape (...)
        Loaded radius. [m]
    bar_on : str
        "lower" or "upper": the arm that the bar holds. [1]
    damper : tuple of Vec and Circle, or None
        Damper's bolt on the body and path of the one on its arm. [m]
    damper_on : str
        "lower" or "upper": the arm that carries the damper. [1]
    """

    outboard: float
    arm: Arm
    driven: Circle
    follower: Circle
    upright: Number
    rod_inner: Vec
    rod: tuple[Number, Number, Number]
    branches: tuple[Array, Array]
    wheel: tuple[Number, Number, Number]
    spindle: tuple[Number, Number, Number]
    tyre_radius: Number
    bar_on: Literal["lower", "upper"]
    damper: tuple[Vec, Circle] | None
    damper_on: Literal["lower", "upper"]

    @classmethod
    def build(
        cls,
        points: WishbonePoints,
        *,
        outboard: float,
        bar_on: Literal["lower", "upper"] = "lower",
        damper_on: Literal["lower", "upper"] = "lower",
    ) -> DoubleWishbone:
        """Return the linkage through these hard points, on their assembly branch."""
        lower_ball = vec(points.lower_ball, "lower_ball")
        upper_ball = vec(points.upper_ball, "upper_ball")
        lower = Arm.between(
            vec(points.lower_front, "lower_front"),
            vec(points.lower_rear, "lower_rear"),
            lower_ball,
        )
        upper = Arm.between(
            vec(points.upper_front, "upper_front"),
            vec(points.upper_rear, "upper_rear"),
            upper_ball,
        )
        if bar_on == "lower":
            arm, ball, other, other_ball = lower, lower_ball, upper, upper_ball
        else:
            arm, ball, other, other_ball = upper, upper_ball, lower, lower_ball

        follower = other.path(other_ball)
        edge = other_ball - ball
        inner = vec(points.rod_inner, "rod_inner")
        outer = vec(points.rod_outer, "rod_outer")
        # Of the two roots the drawn one is at φ = 0, where sin φ = 0 and cos φ = 1:
        # the sign of w there is that of −b (see `circle_meets_sphere`).
        ahead = value(dot(follower.ahead, follower.centre - ball))
        above = value(dot(outer - ball, cross(edge, inner - ball)))
        frame = _edges(ball, other_ball, outer)
        damper = None
        if points.damper_body is not None and points.damper_arm is not None:
            carrier = lower if damper_on == "lower" else upper
            damper = (
                vec(points.damper_body, "damper_body"),
                carrier.path(vec(points.damper_arm, "damper_arm")),
            )
        return cls(
            outboard=outboard,
            arm=arm,
            driven=arm.path(ball),
            follower=follower,
            upright=length(edge),
            rod_inner=inner,
            rod=(
                length(outer - ball),
                length(outer - other_ball),
                length(outer - inner),
            ),
            branches=(
                np.where(ahead > 0.0, -1.0, 1.0),
                np.where(above < 0.0, -1.0, 1.0),
            ),
            wheel=_in_edges(frame, vec(points.wheel_centre, "wheel_centre") - ball),
            spindle=_in_edges(frame, outward(vec(points.spindle, "spindle"), outboard)),
            tyre_radius=points.tyre_radius,
            bar_on=bar_on,
            damper=damper,
            damper_on=damper_on,
        )

    def pose(self, angle: Number, *, rack: Number = 0.0) -> Pose:
        """Return the pose at an arm angle; as in `Linkage.pose`. [m]"""
        driven = turn(angle)
        ball = self.driven.at(driven.sine, driven.cosine)
        followed = circle_meets_sphere(
            self.follower, ball, self.upright, self.branches[0]
        )
        other = self.follower.at(followed.sine, followed.cosine)
        inner = Vec(self.rod_inner.x, self.rod_inner.y + rack, self.rod_inner.z)
        outer = three_spheres(ball, other, inner, self.rod, self.branches[1])
        frame = _edges(ball, other, outer)
        wheel = ball + _from_edges(frame, self.wheel)
        spindle = _from_edges(frame, self.spindle)
        damper = None
        if self.damper is not None:
            top, path = self.damper
            moved = driven if self.damper_on == self.bar_on else followed
            damper = length(path.at(moved.sine, moved.cosine) - top)
        return Pose(
            contact=contact_below(wheel, spindle, self.tyre_radius),
            twist=angle,
            wheel=wheel,
            spindle=spindle,
            steering=(ball, other) if self.bar_on == "lower" else (other, ball),
            damper=damper,
        )


def _edges(ball: Vec, other: Vec, outer: Vec) -> tuple[Vec, Vec, Vec]:
    """Return three edges that ride with the upright: two sides and their normal."""
    u, v = other - ball, outer - ball
    return u, v, cross(u, v)


def _in_edges(
    frame: tuple[Vec, Vec, Vec], direction: Vec
) -> tuple[Number, Number, Number]:
    """Return the multiples of the three edges that make up a vector."""
    u, v, n = frame
    r = 1.0 / dot(n, n)
    return (
        dot(direction, cross(v, n)) * r,
        dot(direction, cross(n, u)) * r,
        dot(direction, n) * r,
    )


def _from_edges(
    frame: tuple[Vec, Vec, Vec], parts: tuple[Number, Number, Number]
) -> Vec:
    """Return the vector made up of these multiples of the three edges."""
    u, v, n = frame
    return u * parts[0] + v * parts[1] + n * parts[2]
