"""Shim packs and eccentric bolts at the pivots of an arm, and slotted mounts."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.alignment.knobs import Knob, Limit, Shim
from splinewise.core.alignment.moves import Moves
from splinewise.core.geometry import Vec, dot, length, squared, unit, vec
from splinewise.core.jet import Number, cos, sin, value
from splinewise.core.quantities import finite, positive, refuse_where
from splinewise.core.travel import refuse

__all__ = ["EccentricBolt", "ShimPacks", "Slide"]

_MM = 1e-3
_DEGREE = np.pi / 180.0


def _direction(name: str, direction: ArrayLike) -> Vec:
    """Return a direction of any length as a unit vector."""
    d = vec(direction, name)
    size = value(length(d))
    refuse_where(~(size > 0.0), name, size, "long", "a direction")
    return unit(d)


def _between(name: str, number: float, low: float, high: float, unit: str) -> None:
    finite(name, number, unit)
    if not low <= number <= high:
        refuse(name, number, unit, f"from {low:g} to {high:g} {unit}")


@dataclass(frozen=True, slots=True, eq=False)
class ShimPacks:
    """Two packs of shims under the shaft of an arm.

    The packs stand at two bolts; the shaft goes with them as a straight line, so its
    pivots move by what the line says at their place.

    Attributes
    ----------
    arm : str
        "upper" or "lower": the arm whose shaft they carry.
    front_bolt, rear_bolt : array_like, shape (3,)
        Where the packs are. [m]
    direction : array_like, shape (3,)
        Way in which the shaft goes as the packs grow, of any length. [1]
    front, rear : float
        Thickness of the packs that are fitted now. [m]
    most : float
        Thickest pack that is allowed. [m]
    most_apart : float
        Greatest difference between the two packs that is allowed. [m]
    stock : tuple of Shim
        Shims that can be had, with those that are fitted now; empty for any thickness.

    Raises
    ------
    QuantityError
        If a pack is below 0 or over the thickest, the bolts are one point, the
        direction is none, or a shim has no thickness.
    """

    arm: Literal["upper", "lower"]
    front_bolt: ArrayLike
    rear_bolt: ArrayLike
    direction: ArrayLike
    front: float
    rear: float
    most: float
    most_apart: float
    stock: tuple[Shim, ...] = ()

    def __post_init__(self) -> None:
        positive("most", self.most, "m")
        _between("most_apart", self.most_apart, 0.0, self.most, "m")
        _between("front", self.front, 0.0, self.most, "m")
        _between("rear", self.rear, 0.0, self.most, "m")
        between = vec(self.front_bolt, "front_bolt") - vec(self.rear_bolt, "rear_bolt")
        positive("distance between the bolts", value(length(between)), "m")
        _direction("direction", self.direction)
        for shim in self.stock:
            positive("thickness", shim.thickness, "m")
            if shim.count is not None and shim.count < 0:
                refuse("count", shim.count, "shims", "0 or more")

    @property
    def knobs(self) -> tuple[Knob, Knob]:
        """Thickness of the front pack and of the rear one. [m]"""
        return (
            Knob(f"front pack, {self.arm} arm", "m", self.front, _MM, self.stock),
            Knob(f"rear pack, {self.arm} arm", "m", self.rear, _MM, self.stock),
        )

    @property
    def limits(self) -> tuple[Limit, ...]:
        """No pack below nought or over the thickest; the two not too far apart."""
        apart = f"the packs of the {self.arm} arm differ as much as allowed"
        ends = [
            Limit(
                (-1.0, 0.0), 0.0, f"no shim is left in the front pack, {self.arm} arm"
            ),
            Limit(
                (0.0, -1.0), 0.0, f"no shim is left in the rear pack, {self.arm} arm"
            ),
        ]
        thick = f"pack, {self.arm} arm, is as thick as allowed"
        return (
            *ends,
            Limit((1.0, 0.0), self.most, f"the front {thick}"),
            Limit((0.0, 1.0), self.most, f"the rear {thick}"),
            Limit((1.0, -1.0), self.most_apart, f"{apart}, front the thicker"),
            Limit((-1.0, 1.0), self.most_apart, f"{apart}, rear the thicker"),
        )

    def moves(self, place: Callable[[str], Vec], settings: Sequence[Number]) -> Moves:
        """Return how far the two pivots move; as in `Adjuster.moves`. [m]"""
        rear, way = vec(self.rear_bolt), _direction("direction", self.direction)
        line = vec(self.front_bolt) - rear
        by_front, by_rear = settings[0] - self.front, settings[1] - self.rear
        shifts = {}
        for name in (f"{self.arm}_front", f"{self.arm}_rear"):
            share = dot(place(name) - rear, line) / squared(line)
            shifts[name] = way * (by_rear + (by_front - by_rear) * share)
        return Moves(shifts)


@dataclass(frozen=True, slots=True, eq=False)
class EccentricBolt:
    """An eccentric at one pivot.

    Turned by φ it pushes the pivot by e sin φ along its direction.  Where it runs
    between guides, that is all; where the pivot rides on the eccentric itself, it
    also goes by e cos φ across.

    Attributes
    ----------
    point : str
        The hard point that it moves, as "upper_front".
    throw : float
        Distance of the eccentric's middle from the bolt's, e. [m]
    direction : array_like, shape (3,)
        Way of the pivot at a small turn from φ = 0, of any length. [1]
    angle : float
        φ as it stands now. [rad]
    most : float
        Greatest φ either way; no more than a quarter turn. [rad]
    across : array_like, shape (3,), or None
        Way of the eccentric's middle at φ = 0; None between guides. [1]
    step : float, default 0
        Smallest turn, of a notched one. [rad]

    Raises
    ------
    QuantityError
        If the throw is not positive, the angle or its range too great, or a direction
        is none.
    """

    point: str
    throw: float
    direction: ArrayLike
    angle: float
    most: float = 90.0 * _DEGREE
    across: ArrayLike | None = None
    step: float = 0.0

    def __post_init__(self) -> None:
        positive("throw", self.throw, "m")
        _between("most", self.most, 0.0, 90.0 * _DEGREE, "rad")
        _between("angle", self.angle, -self.most, self.most, "rad")
        _between("step", self.step, 0.0, self.most, "rad")
        _direction("direction", self.direction)
        if self.across is not None:
            _direction("across", self.across)

    @property
    def knobs(self) -> tuple[Knob]:
        """Its angle. [rad]"""
        name = f"eccentric, {self.point.replace('_', ' ')}"
        return (Knob(name, "rad", self.angle, 10.0 * _DEGREE, step=self.step),)

    @property
    def limits(self) -> tuple[Limit, Limit]:
        """Its range either way."""
        words = f"the eccentric, {self.point.replace('_', ' ')}, is at its end"
        return Limit((1.0,), self.most, words), Limit((-1.0,), self.most, words)

    def moves(self, place: Callable[[str], Vec], settings: Sequence[Number]) -> Moves:
        """Return how far the pivot moves; as in `Adjuster.moves`. [m]"""
        del place  # it pushes alike wherever it is
        (phi,) = settings
        by = self.throw * (sin(phi) - np.sin(self.angle))
        shift = _direction("direction", self.direction) * by
        if self.across is not None:
            by = self.throw * (cos(phi) - np.cos(self.angle))
            shift = shift + _direction("across", self.across) * by
        return Moves({self.point: shift})


@dataclass(frozen=True, slots=True, eq=False)
class Slide:
    """A hard point that can be slid along a slot: a top mount, a rack, a rod's end.

    Attributes
    ----------
    point : str
        The hard point that it moves, as "strut_top".
    direction : array_like, shape (3,)
        Way along the slot, of any length. [1]
    low, high : float
        How far it can go from where it is now, low below 0. [m]
    step : float, default 0
        Smallest change, of a row of holes or of spacers. [m]

    Raises
    ------
    QuantityError
        If the range does not hold where it is now, or the direction is none.
    """

    point: str
    direction: ArrayLike
    low: float
    high: float
    step: float = 0.0

    def __post_init__(self) -> None:
        _between("low", self.low, -np.inf, 0.0, "m")
        _between("high", self.high, 0.0, np.inf, "m")
        _between("step", self.step, 0.0, np.inf, "m")
        _direction("direction", self.direction)

    @property
    def knobs(self) -> tuple[Knob]:
        """How far it is moved. [m]"""
        name = f"place of the {self.point.replace('_', ' ')}"
        return (Knob(name, "m", 0.0, _MM, step=self.step),)

    @property
    def limits(self) -> tuple[Limit, Limit]:
        """Both ends of the slot."""
        words = f"the slot, {self.point.replace('_', ' ')}, ends"
        return Limit((1.0,), self.high, words), Limit((-1.0,), -self.low, words)

    def moves(self, place: Callable[[str], Vec], settings: Sequence[Number]) -> Moves:
        """Return how far the point moves; as in `Adjuster.moves`. [m]"""
        del place  # it goes as far wherever it is
        return Moves(
            {self.point: _direction("direction", self.direction) * settings[0]}
        )
