"""Trailing and semi-trailing arm: the wheel is fixed to an arm on two pivots.

The pivots' line may lie square across the vehicle (trailing) or askew to it
(semi-trailing).  The bar lies on that line and turns with the arm, or on an axis of
its own, across the vehicle, and takes only a part of the turn (`carried`).
"""

from __future__ import annotations

from dataclasses import dataclass

from splinewise.core.arm import Arm, Span
from splinewise.core.geometry import Circle, turn, vec
from splinewise.core.jet import Number
from splinewise.core.linkages.base import Pose, contact_below, outward
from splinewise.core.linkages.carried import alignment, arm_turn, carried_twist
from splinewise.core.linkages.upright import damper_span, pair
from splinewise.core.quantities import Array, positive

__all__ = ["TrailingArm", "TrailingPoints"]


@dataclass(frozen=True, slots=True, eq=False)
class TrailingPoints:
    """Hard points of one corner at the drawn position.

    Attributes
    ----------
    pivot_inner, pivot_outer : ndarray, shape (..., 3)
        Two points of the arm's axis. [m]
    wheel_centre : ndarray, shape (..., 3)
        Wheel centre. [m]
    spindle : ndarray, shape (..., 3)
        Direction of the wheel's axis, of any length. [1]
    tyre_radius : ndarray, shape (...)
        Loaded radius. [m]
    bar_arm_end, bar_anchor_end : ndarray or None, shape (..., 3)
        Points of the bar's axis; None where it is the arm's own. [m]
    damper_body, damper_arm : ndarray or None, shape (..., 3)
        Bolts of the damper on the body and on the arm. [m]
    """

    pivot_inner: Array
    pivot_outer: Array
    wheel_centre: Array
    spindle: Array
    tyre_radius: Array | float
    bar_arm_end: Array | None = None
    bar_anchor_end: Array | None = None
    damper_body: Array | None = None
    damper_arm: Array | None = None


@dataclass(frozen=True, slots=True, eq=False)
class TrailingArm:
    """One corner on a trailing arm, ready to be posed; make it with `build`.

    Attributes
    ----------
    outboard : float, shape ()
        +1 on the left of the vehicle, −1 on the right. [1]
    arm : Arm
        The arm. [m]
    wheel : Circle, shape (...)
        Path of the wheel centre. [m]
    spindle : Circle, shape (...)
        Path of the tip of a unit vector along the wheel's axis. [1]
    tyre_radius : ndarray, shape (...)
        Loaded radius. [m]
    aligned : Jet or ndarray or None, shape (...)
        Cosine of the angle between the arm's axis and the bar's; None where they are
        one. [1]
    damper : Span or None
        Length between the damper's bolts as the arm turns. [m]
    """

    outboard: float
    arm: Arm
    wheel: Circle
    spindle: Circle
    tyre_radius: Number
    aligned: Number | None
    damper: Span | None

    @classmethod
    def build(cls, points: TrailingPoints, *, outboard: float) -> TrailingArm:
        """Return the linkage through these hard points.

        Parameters
        ----------
        points : TrailingPoints
            Hard points at the drawn position. [m]
        outboard : float, shape ()
            +1 on the left of the vehicle, −1 on the right. [1]

        Returns
        -------
        TrailingArm, shape (...)
            The linkage, ready to be posed. [m]

        Raises
        ------
        QuantityError
            If two points that must differ fall together, the arm has no bump, the bar
            lies square to the arm's axis, or only one point of a pair is known.
        """
        wheel = vec(points.wheel_centre, "wheel_centre")
        arm = Arm.between(
            vec(points.pivot_outer, "pivot_outer"),
            vec(points.pivot_inner, "pivot_inner"),
            wheel,
            name="wheel_centre",
        )
        bar = pair(
            points.bar_arm_end, points.bar_anchor_end, ("bar_arm_end", "bar_anchor_end")
        )
        direction = outward(vec(points.spindle, "spindle"), outboard)
        return cls(
            outboard=outboard,
            arm=arm,
            wheel=arm.path(wheel),
            # A direction turns as a point does about an axis through the origin.
            spindle=Circle.about(direction * 0.0, arm.axis, direction),
            tyre_radius=positive("tyre_radius", points.tyre_radius, "m"),
            aligned=None if bar is None else alignment(arm, *bar),
            damper=damper_span(arm, points.damper_body, points.damper_arm),
        )

    def pose(self, angle: Number, *, rack: Number = 0.0) -> Pose:
        """Return the pose at an arm angle; as in `Linkage.pose`. [m]"""
        del rack  # the wheel is fixed to the arm
        turned = turn(angle)
        wheel = self.wheel.at(turned.sine, turned.cosine)
        spindle = self.spindle.at(turned.sine, turned.cosine)
        return Pose(
            contact=contact_below(wheel, spindle, self.tyre_radius),
            twist=self.bar_turn(angle),
            wheel=wheel,
            spindle=spindle,
            damper=None if self.damper is None else self.damper.at(turned),
        )

    def bar_turn(self, angle: Number) -> Number:
        """Return the part of an arm angle that reaches the bar. [rad]"""
        return angle if self.aligned is None else carried_twist(self.aligned, angle)

    def angle_at(self, twist: Number) -> Number:
        """Return the arm angle at which the bar's arm end has turned so far. [rad]"""
        return twist if self.aligned is None else arm_turn(self.aligned, twist)
