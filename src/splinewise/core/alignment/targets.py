"""The three angles of a wheel: as they are, and as they are wanted."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from splinewise.core.jet import Number, value
from splinewise.core.linkages import Linkage
from splinewise.core.linkages.outputs import camber, caster, toe
from splinewise.core.quantities import Array, finite, positive
from splinewise.errors import QuantityError

__all__ = ["NAMES", "Angles", "Target", "Wanted", "angles_at"]

NAMES = ("camber", "caster", "toe")


@dataclass(frozen=True, slots=True, eq=False)
class Angles:
    """Camber, caster and toe of one wheel.

    Attributes
    ----------
    camber : ndarray, shape (...)
        Positive top out. [rad]
    caster : ndarray, shape (...)
        Positive top rearward. [rad]
    toe : ndarray, shape (...)
        Positive toe-in. [rad]
    """

    camber: Array | float
    caster: Array | float
    toe: Array | float

    @property
    def array(self) -> Array:
        """The three on the last axis. [rad]"""
        three = (value(self.camber), value(self.caster), value(self.toe))
        return np.stack(np.broadcast_arrays(*three), axis=-1)


@dataclass(frozen=True, slots=True)
class Target:
    """A wanted angle.

    Attributes
    ----------
    value : float
        The angle. [rad]
    within : float
        How far off it may be; where not all can be had, it also says how much a miss
        of this angle weighs against one of another. [rad]

    Raises
    ------
    QuantityError
        If the angle is not finite or the tolerance not positive.
    """

    value: float
    within: float

    def __post_init__(self) -> None:
        finite("value", self.value, "rad")
        positive("within", self.within, "rad")


@dataclass(frozen=True, slots=True)
class Wanted:
    """What one wheel shall have.

    Attributes
    ----------
    camber, caster, toe : Target or None, default None
        The angles; None for one that may come out as it will.

    Raises
    ------
    QuantityError
        If nothing is wanted.
    """

    camber: Target | None = None
    caster: Target | None = None
    toe: Target | None = None

    def __post_init__(self) -> None:
        if not self.asked:
            name = "wanted"
            raise QuantityError(name, 0, "angles", "at least one of the three")

    @property
    def asked(self) -> tuple[str, ...]:
        """Which of the three are wanted."""
        return tuple(name for name in NAMES if getattr(self, name) is not None)

    @property
    def values(self) -> Array:
        """The three wanted, NaN for what is not asked. [rad]"""
        three = (self.camber, self.caster, self.toe)
        return np.array([np.nan if t is None else t.value for t in three])

    @property
    def within(self) -> Array:
        """The three tolerances, infinite for what is not asked. [rad]"""
        three = (self.camber, self.caster, self.toe)
        return np.array([np.inf if t is None else t.within for t in three])


def angles_at(
    linkage: Linkage, angle: Number, *, rack: Number = 0.0
) -> tuple[Number, Number, Number]:
    """Return camber, caster and toe of a linkage at an arm angle.

    Parameters
    ----------
    linkage : Linkage, shape (...)
        The corner. [m]
    angle : Jet or array_like, shape (...)
        Arm angle. [rad]
    rack : Jet or array_like, shape (...), default 0
        As in `Linkage.pose`. [m]

    Returns
    -------
    tuple of Jet or ndarray, shape (...)
        The three; caster NaN where the layout has no steering axis, all NaN where it
        does not know its wheel. [rad]
    """
    pose = linkage.pose(angle, rack=rack)
    none = np.full(np.shape(value(angle)), np.nan)
    if pose.spindle is None:
        return none, none, none
    leans = none if pose.steering is None else caster(pose.steering)
    return camber(pose.spindle), leans, toe(pose.spindle, linkage.outboard)
