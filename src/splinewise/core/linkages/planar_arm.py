"""An arm known by a tape only: it swings in one plane and carries the wheel.

Nothing is known of camber or toe here; the wheel's rise follows the arm's end by a
ratio that the person gives, 1 where the wheel hangs on the arm's end itself.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from splinewise.core.arm import Arm, Span
from splinewise.core.geometry import Vec
from splinewise.core.jet import Number, sincos
from splinewise.core.linkages.base import Pose
from splinewise.core.quantities import Array, finite, positive, refuse_where

__all__ = ["PlanarArm"]


@dataclass(frozen=True, slots=True, eq=False)
class PlanarArm:
    """One corner on a plain arm, known by tape lengths.

    Attributes
    ----------
    outboard : float, shape ()
        +1 on the left of the vehicle, −1 on the right. [1]
    arm_length : ndarray, shape (...)
        From the bar's axis to the wheel end of the arm. [m]
    drawn_slope : ndarray, shape (...)
        Angle of the arm above level at the drawn position. [rad]
    ratio : ndarray, shape (...), default 1
        Rise of the wheel over rise of the arm's end. [1]
    contact : Vec, shape (...)
        Tyre's contact point at the drawn position. [m]
    across : bool, default False
        True if the bar lies across the vehicle (trailing arm), False along it. [1]
    damper_span : Span or None
        Length between the damper's bolts. [m]
    """

    outboard: float
    arm_length: Array | float
    drawn_slope: Array | float
    ratio: Array | float = 1.0
    contact: Vec = Vec(np.zeros(()), np.zeros(()), np.zeros(()))  # noqa: RUF009
    across: bool = False
    damper_span: Span | None = None

    def __post_init__(self) -> None:
        """Refuse an arm that cannot be."""
        positive("arm_length", self.arm_length, "m")
        positive("ratio", self.ratio, "1")
        slope = finite("drawn_slope", self.drawn_slope, "rad")
        refuse_where(
            np.abs(slope) >= 0.5 * np.pi,
            "drawn_slope",
            slope,
            "rad",
            "short of upright",
        )

    @property
    def arm(self) -> Arm:
        """The arm, as if its end were the contact point (a tape knows no more). [m]"""
        zero, one = np.zeros(()), np.ones(())
        reach = self.arm_length * np.cos(self.drawn_slope)
        drop = self.contact.z - self.arm_length * np.sin(self.drawn_slope)
        # A right-handed turn about +x lifts what points left; about +y it lowers
        # what points forward, so it lifts what trails.
        if self.across:
            foot = Vec(self.contact.x + reach, self.contact.y, drop)
            return Arm(foot, Vec(zero, one, zero))
        foot = Vec(self.contact.x, self.contact.y - reach * self.outboard, drop)
        return Arm(foot, Vec(one * self.outboard, zero, zero))

    def pose(self, angle: Number, *, rack: Number = 0.0) -> Pose:
        """Return the pose at an arm angle; as in `Linkage.pose`. [m]"""
        del rack  # a planar arm is known without its steering
        slope = angle + self.drawn_slope
        s, c = sincos(slope)
        rise = (s - np.sin(self.drawn_slope)) * (self.arm_length * self.ratio)
        swing = (c - np.cos(self.drawn_slope)) * self.arm_length
        contact = (
            Vec(self.contact.x - swing, self.contact.y, self.contact.z + rise)
            if self.across
            else Vec(
                self.contact.x,
                self.contact.y + swing * self.outboard,
                self.contact.z + rise,
            )
        )
        damper = None if self.damper_span is None else self.damper_span.length(angle)
        return Pose(contact=contact, twist=angle, damper=damper)

    def bar_turn(self, angle: Number) -> Number:
        """Return the bar's turn at an arm angle: the same. [rad]"""
        return angle

    def angle_at(self, twist: Number) -> Number:
        """Return the arm angle at which the bar's arm end has turned so far. [rad]"""
        return twist
