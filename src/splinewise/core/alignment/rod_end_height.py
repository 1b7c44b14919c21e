"""How the height of a track rod's end bends the toe curve, and which height levels it.

The toe at the standing position is held by the rod's length, as a person would set it
again after packing an end up; what remains is the change of slope.  Derivatives by two
things at once come from second derivatives along slanting directions,
f_ab = (D²₊ − D²₋)/4 for a + b and a − b, each exact on a jet; no difference is taken
over a step.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from splinewise.core.alignment.moves import Moves, reassembled
from splinewise.core.geometry import length, unit, vec
from splinewise.core.jet import Jet, Number, curvature, slope, value
from splinewise.core.linkages import DoubleWishbone, WishbonePoints
from splinewise.core.linkages.outputs import toe
from splinewise.core.quantities import Array, finite, positive
from splinewise.errors import ReachError

__all__ = ["RodEnd", "level_rod_end", "rod_end_effect"]

# Length that weighs as one radian of arm angle, so that slanting directions slant.
_ALIKE = 0.3
# Directions over arm angle, height of the end, length of the rod.
_WAYS = np.array(
    [
        [1.0, 0.0, 0.0],
        [0.0, 1.0, 0.0],
        [0.0, 0.0, 1.0],
        [1.0, _ALIKE, 0.0],
        [1.0, -_ALIKE, 0.0],
        [1.0, 0.0, _ALIKE],
        [1.0, 0.0, -_ALIKE],
    ]
)


@dataclass(frozen=True, slots=True)
class RodEnd:
    """What moving one end of the track rod does where the car stands.

    Attributes
    ----------
    steer : float
        Change of toe per rise of the wheel, as the end is now. [rad/m]
    steer_change : float
        Its change per movement of the end, the toe set again by the rod. [rad/m²]
    toe_change : float
        Change of toe per movement of the end, the rod left as it is. [rad/m]
    rod_change : float
        How much longer the rod must become per movement of the end. [1]
    moved : float, default 0
        How far the end has been moved already. [m]
    rod_longer : float, default 0
        How much longer the rod has become with that. [m]
    """

    steer: float
    steer_change: float
    toe_change: float
    rod_change: float
    moved: float = 0.0
    rod_longer: float = 0.0


@dataclass(frozen=True, slots=True)
class _Case:
    points: WishbonePoints
    outboard: float
    end: str
    angle: float
    bar_on: Literal["lower", "upper"]
    way: tuple[float, float, float]

    def at(self, moved: float, longer: float) -> tuple[float, RodEnd, Array]:
        """Return toe, the effect, and the derivatives of toe and steer by both."""
        theta, h, rod = (
            Jet(np.asarray(v), d, np.zeros(len(_WAYS)))
            for v, d in zip((self.angle, moved, longer), _WAYS.T, strict=True)
        )
        shift = unit(vec(self.way)) * h
        with np.errstate(invalid="ignore", divide="ignore"):
            points = reassembled(
                self.points, Moves({self.end: shift}, {"rod": rod}), bar_on=self.bar_on
            )
            corner = DoubleWishbone.build(
                points, outboard=self.outboard, bar_on=self.bar_on
            )
            pose = corner.pose(theta)
        assert pose.spindle is not None  # a double wishbone knows its wheel
        t, z = toe(pose.spindle, self.outboard), pose.contact.z
        if not np.isfinite(value(t)):
            msg = (
                "The linkage cannot be assembled at this arm angle with the track "
                "rod's end where it is put."
            )
            raise ReachError(msg)
        (t0, th, tl), (z0, _, _) = (slope(x)[:3] for x in (t, z))
        t0h, t0l = _mixed(t)
        z0h, z0l = _mixed(z)
        by_h = (t0h * z0 - t0 * z0h) / z0**2
        by_l = (t0l * z0 - t0 * z0l) / z0**2
        ratio = -th / tl
        effect = RodEnd(
            float(t0 / z0),
            float(by_h + by_l * ratio),
            float(th),
            float(ratio),
            moved,
            longer,
        )
        return float(value(t)), effect, np.array([[th, tl], [by_h, by_l]])


def _mixed(x: Number) -> tuple[float, float]:
    """Return the derivatives by arm angle and height, and by arm angle and length."""
    bend = curvature(x)
    by_height, by_length = bend[3] - bend[4], bend[5] - bend[6]
    return float(by_height / (4.0 * _ALIKE)), float(by_length / (4.0 * _ALIKE))


def rod_end_effect(
    points: WishbonePoints,
    *,
    outboard: float,
    end: Literal["rod_inner", "rod_outer"],
    angle: float,
    bar_on: Literal["lower", "upper"] = "lower",
    way: Sequence[float] = (0.0, 0.0, 1.0),
) -> RodEnd:
    """Return what moving one end of the track rod does to bump steer.

    Parameters
    ----------
    points : WishbonePoints
        Hard points of one corner as drawn. [m]
    outboard : float, shape ()
        +1 on the left of the vehicle, −1 on the right. [1]
    end : str
        "rod_inner", moved with the body, or "rod_outer", moved in the upright.
    angle : float, shape ()
        Arm angle at which the car stands. [rad]
    bar_on : str, default "lower"
        "lower" or "upper": the arm that the bar holds.
    way : sequence of float, shape (3,), default up
        Direction of the movement as drawn, of any length. [1]

    Returns
    -------
    RodEnd
        Bump steer and its exact derivatives. [rad/m]

    Raises
    ------
    ReachError
        If the linkage cannot be assembled at this arm angle.
    """
    return _case(points, outboard, end, angle, bar_on, way).at(0.0, 0.0)[1]


def level_rod_end(
    points: WishbonePoints,
    *,
    outboard: float,
    end: Literal["rod_inner", "rod_outer"],
    angle: float,
    bar_on: Literal["lower", "upper"] = "lower",
    way: Sequence[float] = (0.0, 0.0, 1.0),
    farthest: float = 0.1,
) -> RodEnd:
    """Return how far to move one end of the track rod for no bump steer at ride.

    Newton's method on slope and toe together, with the exact derivatives.

    Parameters
    ----------
    points : WishbonePoints
        Hard points of one corner as drawn. [m]
    outboard : float, shape ()
        +1 on the left of the vehicle, −1 on the right. [1]
    end : str
        "rod_inner", moved with the body, or "rod_outer", moved in the upright.
    angle : float, shape ()
        Arm angle at which the car stands. [rad]
    bar_on : str, default "lower"
        "lower" or "upper": the arm that the bar holds.
    way : sequence of float, shape (3,), default up
        Direction of the movement as drawn, of any length. [1]
    farthest : float, shape (), default 0.1
        How far the end may be moved at all. [m]

    Returns
    -------
    RodEnd
        The movement, the rod's growth, and the effect there. [m]

    Raises
    ------
    ReachError
        If no movement up to the farthest levels the curve.
    """
    most = float(positive("farthest", farthest, "m"))
    case = _case(points, outboard, end, angle, bar_on, way)
    wanted, effect, rates = case.at(0.0, 0.0)
    now, x = wanted, np.zeros(2)
    for _ in range(30):
        step = -np.linalg.solve(rates, np.array([now - wanted, effect.steer]))
        x = x + step * min(1.0, 0.5 * most / max(float(np.max(np.abs(step))), 1e-300))
        if abs(x[0]) > most:
            break
        now, effect, rates = case.at(float(x[0]), float(x[1]))
        if np.max(np.abs(step)) < 1e-12:
            return effect
    msg = (
        f"No movement of the track rod's end by up to {most:g} m takes the bump steer "
        "away at this height."
    )
    raise ReachError(msg)


def _case(
    points: WishbonePoints,
    outboard: float,
    end: str,
    angle: float,
    bar_on: Literal["lower", "upper"],
    way: Sequence[float],
) -> _Case:
    finite("angle", angle, "rad")
    positive("length of the way", value(length(vec(way, "way"))), "m")
    x, y, z = (float(v) for v in way)
    return _Case(points, outboard, end, angle, bar_on, (x, y, z))
