"""A bar off the arm's axis: a drop link from the arm turns a lever on the bar.

Any layout may be wrapped.  Arm, drop link and lever are a four-bar in space, which gives
the lever's turn, and that is the twist.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from splinewise.core.arm import Arm
from splinewise.core.four_bar import FourBar
from splinewise.core.geometry import Circle, Vec, dot, length, turn, unit, vec
from splinewise.core.jet import Number, arctan2, value
from splinewise.core.linkages.base import Linkage, Pose
from splinewise.core.quantities import Array, refuse_where

__all__ = ["LeverAndLink", "LeverPoints"]

_ON_THE_AXIS = 1e-9
_RULE = "off the axes of the bar and of the arm"
# Cosine from one: at dead centre a turn is known to half the digits.
_SAME = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class LeverPoints:
    """Hard points of the lever and the drop link at the drawn position.

    Attributes
    ----------
    bar_arm_end, bar_anchor_end : ndarray, shape (..., 3)
        Points of the bar's axis. [m]
    lever_end : ndarray, shape (..., 3)
        Joint of the drop link on the lever. [m]
    link_arm : ndarray, shape (..., 3)
        Joint of the drop link on the arm. [m]
    """

    bar_arm_end: Array
    bar_anchor_end: Array
    lever_end: Array
    link_arm: Array


@dataclass(frozen=True, slots=True, eq=False)
class LeverAndLink:
    """A layout whose bar is worked by a lever and a drop link; make it with `build`.

    Where lever and link come into line the arm cannot go on, and the pose is NaN
    beyond.  Where the link comes into line with the arm's axis the bar is at its
    least or greatest twist, and beyond it untwists although the arm goes on.

    Attributes
    ----------
    linkage : Linkage
        The layout that moves the wheel. [m]
    lever, arm_again : FourBar
        What the drop link makes of the arm's turn for the lever, and of the lever's
        turn for the arm. [m]
    """

    linkage: Linkage
    lever: FourBar
    arm_again: FourBar

    @classmethod
    def build(cls, linkage: Linkage, points: LeverPoints) -> LeverAndLink:
        """Return `linkage` with the bar on lever and link, as they are assembled.

        Parameters
        ----------
        linkage : Linkage
            The layout that moves the wheel. [m]
        points : LeverPoints
            Hard points at the drawn position. [m]

        Returns
        -------
        LeverAndLink, shape (...)
            The linkage, ready to be posed. [m]

        Raises
        ------
        QuantityError
            If the link is drawn in line with the bar's or the arm's axis, or the
            points of the bar's axis fall together.
        """
        foot = vec(points.bar_anchor_end, "bar_anchor_end")
        bar = vec(points.bar_arm_end, "bar_arm_end") - foot
        apart = value(length(bar))
        refuse_where(
            ~(apart > 0.0), "bar_anchor_end", apart, "m", "apart from bar_arm_end"
        )
        end = vec(points.lever_end, "lever_end")
        held = vec(points.link_arm, "link_arm")
        joint = linkage.arm.path(held)
        lever = Circle.about(foot, unit(bar), end)
        # The link keeps its length, drop·joint' = drop·lever' φ': a bar whose turn
        # this would make negative in bump is looked at from its other end.
        drop = held - end
        turned_back = (
            value(dot(drop, joint.ahead)) * value(dot(drop, lever.ahead)) < 0.0
        )
        lever = Circle(
            lever.centre, lever.start, lever.ahead * np.where(turned_back, -1.0, 1.0)
        )
        link = value(length(drop))
        refuse_where(~(link > 0.0), "link_arm", link, "m", "apart from lever_end")
        other_way = Circle.about(foot, unit(bar), held), linkage.arm.path(end)
        for name, circle in zip(
            ("lever_end", "link_arm", "link_arm", "lever_end"),
            (lever, joint, *other_way),
            strict=True,
        ):
            radius = value(length(circle.start))
            refuse_where(~(radius > _ON_THE_AXIS * link), name, radius, "m", _RULE)
        return cls(
            linkage=linkage,
            lever=FourBar.drawn(joint, lever, "drop link on the lever"),
            arm_again=FourBar.drawn(lever, joint, "drop link on the arm"),
        )

    @property
    def outboard(self) -> float:
        """+1 on the left of the vehicle, −1 on the right. [1]"""
        return self.linkage.outboard

    @property
    def arm(self) -> Arm:
        """The arm that works the link. [m]"""
        return self.linkage.arm

    def pose(self, angle: Number, *, rack: Number = 0.0) -> Pose:
        """Return the pose at an arm angle; as in `Linkage.pose`. [m]"""
        pose = self.linkage.pose(angle, rack=rack)
        twist = self.bar_turn(angle)
        # The arm cannot go where the link does not reach: no part has a pose there.
        blank = 0.0 * twist
        low, high = pose.steering or (None, None)
        return Pose(
            contact=_shifted(pose.contact, blank),
            twist=twist,
            wheel=None if pose.wheel is None else _shifted(pose.wheel, blank),
            spindle=None if pose.spindle is None else _shifted(pose.spindle, blank),
            steering=(
                None
                if low is None or high is None
                else (_shifted(low, blank), _shifted(high, blank))
            ),
            damper=None if pose.damper is None else pose.damper + blank,
        )

    def bar_turn(self, angle: Number) -> Number:
        """Return the lever's turn at an arm angle; NaN where the link ends. [rad]"""
        with np.errstate(invalid="ignore", divide="ignore"):
            lever = self.lever.follow(turn(angle))
            return arctan2(lever.sine, lever.cosine)

    def angle_at(self, twist: Number) -> Number:
        """Return the arm angle at which the bar's arm end has turned so far. [rad]

        NaN where the link cannot reach or the lever would be past its dead centre; on
        the drawn position's side of the place where the link comes into line with the
        arm's axis.
        """
        lever = turn(twist)
        with np.errstate(invalid="ignore", divide="ignore"):
            arm = self.arm_again.follow(lever)
            # Past its dead centre the lever shares arm angles with places before it.
            back = self.lever.follow(arm)
            close = value(back.cosine * lever.cosine + back.sine * lever.sine)
        lost = np.where(close > 1.0 - _SAME, 0.0, np.nan)
        return arctan2(arm.sine, arm.cosine) + lost


def _shifted(point: Vec, by: Number) -> Vec:
    return Vec(point.x + by, point.y + by, point.z + by)
