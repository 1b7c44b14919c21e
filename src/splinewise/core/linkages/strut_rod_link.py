"""Single transverse link with a strut rod, and an upper arm above it.

The link and its strut rod are one body: they turn about the line through the link's
inner bush and the rod's bush on the vehicle.  The bar lies along the vehicle on an
axis of its own, so that only a part of that turn reaches it (`carried`).  The wheel
goes as on a double wishbone whose lower arm has these two bushes for pivots.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from splinewise.core.arm import Arm
from splinewise.core.geometry import vec
from splinewise.core.jet import Number
from splinewise.core.linkages.base import Pose
from splinewise.core.linkages.carried import alignment, arm_turn, carried_twist
from splinewise.core.linkages.double_wishbone import DoubleWishbone, WishbonePoints
from splinewise.core.quantities import Array

__all__ = ["StrutRodLink", "StrutRodPoints"]


@dataclass(frozen=True, slots=True, eq=False)
class StrutRodPoints:
    """Hard points of one corner at the drawn position.

    Attributes
    ----------
    link_inner : ndarray, shape (..., 3)
        Centre of the link's inner bush. [m]
    strut_rod_body : ndarray, shape (..., 3)
        Centre of the strut rod's bush on the vehicle. [m]
    lower_ball : ndarray, shape (..., 3)
        Ball joint at the link's outer end. [m]
    bar_arm_end, bar_anchor_end : ndarray, shape (..., 3)
        Points of the bar's axis. [m]
    upper_front, upper_rear, upper_ball : ndarray, shape (..., 3)
        Pivots and ball joint of the upper arm; of an upper link, two points of its
        bush's axis. [m]
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

    link_inner: Array
    strut_rod_body: Array
    lower_ball: Array
    bar_arm_end: Array
    bar_anchor_end: Array
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
class StrutRodLink:
    """One corner on a link with a strut rod, ready to be posed; make it with `build`.

    Attributes
    ----------
    wishbones : DoubleWishbone
        The same corner with link and strut rod as its lower arm. [m]
    aligned : Jet or ndarray, shape (...)
        Cosine of the angle between the link's axis and the bar's. [1]
    """

    wishbones: DoubleWishbone
    aligned: Number

    @classmethod
    def build(
        cls,
        points: StrutRodPoints,
        *,
        outboard: float,
        damper_on: Literal["lower", "upper"] = "lower",
    ) -> StrutRodLink:
        """Return the linkage through these hard points, assembled as they are.

        Parameters
        ----------
        points : StrutRodPoints
            Hard points at the drawn position. [m]
        outboard : float, shape ()
            +1 on the left of the vehicle, −1 on the right. [1]
        damper_on : str, default "lower"
            "lower" or "upper": the arm that carries the damper. [1]

        Returns
        -------
        StrutRodLink, shape (...)
            The linkage, ready to be posed. [m]

        Raises
        ------
        QuantityError
            If the points make no linkage, as for `DoubleWishbone.build`, or the bar
            lies square to the link's axis.
        """
        wishbones = DoubleWishbone.build(
            WishbonePoints(
                lower_front=points.strut_rod_body,
                lower_rear=points.link_inner,
                lower_ball=points.lower_ball,
                upper_front=points.upper_front,
                upper_rear=points.upper_rear,
                upper_ball=points.upper_ball,
                rod_inner=points.rod_inner,
                rod_outer=points.rod_outer,
                wheel_centre=points.wheel_centre,
                spindle=points.spindle,
                tyre_radius=points.tyre_radius,
                damper_body=points.damper_body,
                damper_arm=points.damper_arm,
            ),
            outboard=outboard,
            damper_on=damper_on,
        )
        aligned = alignment(
            wishbones.arm,
            vec(points.bar_arm_end, "bar_arm_end"),
            vec(points.bar_anchor_end, "bar_anchor_end"),
        )
        return cls(wishbones, aligned)

    @property
    def outboard(self) -> float:
        """+1 on the left of the vehicle, −1 on the right. [1]"""
        return self.wishbones.outboard

    @property
    def arm(self) -> Arm:
        """The link with its strut rod. [m]"""
        return self.wishbones.arm

    def pose(self, angle: Number, *, rack: Number = 0.0) -> Pose:
        """Return the pose at an arm angle; as in `Linkage.pose`. [m]"""
        twist = self.bar_turn(angle)
        return replace(self.wishbones.pose(angle, rack=rack), twist=twist)

    def bar_turn(self, angle: Number) -> Number:
        """Return the part of an arm angle that reaches the bar. [rad]"""
        return carried_twist(self.aligned, angle)

    def angle_at(self, twist: Number) -> Number:
        """Return the arm angle at which the bar's arm end has turned so far. [rad]"""
        return arm_turn(self.aligned, twist)
