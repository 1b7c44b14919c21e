"""Sliding strut with a lower arm; the bar turns with the arm.

The arm puts the lower ball joint B; the strut's top mount T stays on the body.  In
the upright the strut's axis is a fixed line e at a fixed offset d from the ball
joint, so that T is at u = d + s e with

    s² = |T − B|² − d²

seen from the upright, which gives how far the strut has slid.  The outer track-rod
joint O is then at known distances from B, T and the inner joint, and the upright's
directions follow from u and v = O − B, known from both sides (own derivation).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from splinewise.core.arm import Arm
from splinewise.core.geometry import (
    Circle,
    Vec,
    apex,
    cross,
    dot,
    length,
    squared,
    turn,
    unit,
    vec,
)
from splinewise.core.jet import Number, sqrt, value
from splinewise.core.linkages.base import Pose, contact_below, outward
from splinewise.core.linkages.upright import rod_side
from splinewise.core.quantities import Array, positive, refuse_where

__all__ = ["Strut", "StrutPoints"]

_SQUARE = 1e-6
_RULE = "such that the top mount is up the strut from the ball joint"


@dataclass(frozen=True, slots=True, eq=False)
class StrutPoints:
    """Hard points of one corner at the drawn position.

    Attributes
    ----------
    lower_front, lower_rear, lower_ball : ndarray, shape (..., 3)
        Pivots and ball joint of the lower arm. [m]
    strut_top : ndarray, shape (..., 3)
        Centre of the top mount on the body. [m]
    strut_low : ndarray, shape (..., 3)
        A point of the strut's axis that is fixed in the upright. [m]
    rod_inner, rod_outer : ndarray, shape (..., 3)
        Joints of the track rod. [m]
    wheel_centre : ndarray, shape (..., 3)
        Wheel centre. [m]
    spindle : ndarray, shape (..., 3)
        Direction of the wheel's axis, of any length. [1]
    tyre_radius : ndarray, shape (...)
        Loaded radius. [m]
    """

    lower_front: Array
    lower_rear: Array
    lower_ball: Array
    strut_top: Array
    strut_low: Array
    rod_inner: Array
    rod_outer: Array
    wheel_centre: Array
    spindle: Array
    tyre_radius: Array | float


@dataclass(frozen=True, slots=True, eq=False)
class Strut:
    """One corner on a sliding strut, ready to be posed; make it with `build`.

    Attributes
    ----------
    outboard : float, shape ()
        +1 on the left of the vehicle, −1 on the right. [1]
    arm : Arm
        The lower arm, which the bar holds. [m]
    ball : Circle, shape (...)
        Path of the lower ball joint. [m]
    top : Vec, shape (...)
        Top mount. [m]
    rod_inner : Vec, shape (...)
        Inner track-rod joint. [m]
    rod : ndarray, shape (...)
        Length of the track rod. [m]
    lever : Vec, shape (...)
        From the ball joint to the outer track-rod joint at the drawn position, v. [m]
    offset, along : Vec, shape (...)
        From the ball joint square to the strut's axis, d, and along the axis, e, at
        the drawn position. [m]
    rod_side : ndarray, shape (...)
        +1 or −1: on which side of ball joint, top mount and inner joint the outer
        joint lies. [1]
    beyond : ndarray, shape (...)
        What the sliding s is more than the strut's length. [m]
    wheel, spindle : Vec, shape (...)
        Wheel centre from the ball joint, and the unit vector along the wheel's axis,
        at the drawn position. [m]
    tyre_radius : ndarray, shape (...)
        Loaded radius. [m]
    """

    outboard: float
    arm: Arm
    ball: Circle
    top: Vec
    rod_inner: Vec
    rod: Number
    lever: Vec
    offset: Vec
    along: Vec
    rod_side: Array
    beyond: Number
    wheel: Vec
    spindle: Vec
    tyre_radius: Number

    @classmethod
    def build(cls, points: StrutPoints, *, outboard: float) -> Strut:
        """Return the linkage through these hard points, assembled as they are.

        Parameters
        ----------
        points : StrutPoints
            Hard points at the drawn position. [m]
        outboard : float, shape ()
            +1 on the left of the vehicle, −1 on the right. [1]

        Returns
        -------
        Strut, shape (...)
            The linkage, ready to be posed. [m]

        Raises
        ------
        QuantityError
            If two points that must differ fall together, the arm has no bump, the strut
            does not stand up from the ball joint, or the track rod is drawn at dead
            centre.
        """
        ball = vec(points.lower_ball, "lower_ball")
        top = vec(points.strut_top, "strut_top")
        low = vec(points.strut_low, "strut_low")
        inner = vec(points.rod_inner, "rod_inner")
        outer = vec(points.rod_outer, "rod_outer")
        wheel = vec(points.wheel_centre, "wheel_centre")
        strut = value(length(top - low))
        refuse_where(strut <= 0.0, "strut_low", strut, "m", "apart from strut_top")
        arm = Arm.between(
            vec(points.lower_front, "lower_front"),
            vec(points.lower_rear, "lower_rear"),
            ball,
            name="lower_ball",
        )
        along = unit(top - low)
        slid = dot(top - ball, along)
        # Square to the strut, nothing tells which way it will slide.
        with np.errstate(invalid="ignore"):
            sine = np.divide(value(slid), value(length(top - ball)))
        refuse_where(
            ~(sine > _SQUARE), "strut_low", sine, "of its length up the strut", _RULE
        )
        return cls(
            outboard=outboard,
            arm=arm,
            ball=arm.path(ball),
            top=top,
            rod_inner=inner,
            rod=length(outer - inner),
            lever=outer - ball,
            offset=top - ball - along * slid,
            along=along,
            rod_side=rod_side(top - ball, inner - ball, outer - ball),
            beyond=slid - strut,
            wheel=wheel - ball,
            spindle=outward(vec(points.spindle, "spindle"), outboard),
            tyre_radius=positive("tyre_radius", points.tyre_radius, "m"),
        )

    def pose(self, angle: Number, *, rack: Number = 0.0) -> Pose:
        """Return the pose at an arm angle; as in `Linkage.pose`. [m]"""
        turned = turn(angle)
        ball = self.ball.at(turned.sine, turned.cosine)
        u = self.top - ball
        uu, vv = squared(u), squared(self.lever)
        slid = sqrt(uu - squared(self.offset))
        uv = dot(self.lever, self.offset) + slid * dot(self.lever, self.along)
        inner = Vec(self.rod_inner.x, self.rod_inner.y + rack, self.rod_inner.z)
        v = apex(
            u,
            inner - ball,
            (sqrt(vv), sqrt(uu - 2.0 * uv + vv), self.rod),
            self.rod_side,
        )
        n = cross(u, v)
        nn = 1.0 / squared(n)

        def carried(drawn: Vec) -> Vec:
            """Return what a vector of the drawn upright has become."""
            # Its products with u, v and n, taken in the upright at the drawn position
            # and with the strut slid as it is now, are the same in every pose.
            with_u = dot(drawn, self.offset) + slid * dot(drawn, self.along)
            with_v = dot(drawn, self.lever)
            with_n = dot(drawn, across[0]) + slid * dot(drawn, across[1])
            return (
                u * ((with_u * vv - with_v * uv) * nn)
                + v * ((with_v * uu - with_u * uv) * nn)
                + n * (with_n * nn)
            )

        across = cross(self.offset, self.lever), cross(self.along, self.lever)
        wheel = ball + carried(self.wheel)
        spindle = carried(self.spindle)
        return Pose(
            contact=contact_below(wheel, spindle, self.tyre_radius),
            twist=angle,
            wheel=wheel,
            spindle=spindle,
            steering=(ball, self.top),
            damper=slid - self.beyond,
        )

    def bar_turn(self, angle: Number) -> Number:
        """Return the bar's turn at an arm angle: the same. [rad]"""
        return angle

    def angle_at(self, twist: Number) -> Number:
        """Return the arm angle at which the bar's arm end has turned so far. [rad]"""
        return twist
