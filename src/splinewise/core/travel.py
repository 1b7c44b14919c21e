"""Positions in a range of travel that has a stop at each end.

Kept by every adjuster: the position is counted from the middle, the stops stand at
−half and +half.
"""

from __future__ import annotations

from typing import NoReturn, Protocol

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.quantities import Array, finite, refuse_where
from splinewise.errors import QuantityError, ReachError

__all__ = ["Travel", "reached", "within"]

# Rounding may put a position this share of the travel past its end.
_SLACK = 1e-9


class Travel(Protocol):
    """What can stand anywhere between two stops, and turns something by that."""

    @property
    def half(self) -> float:
        """Greatest position. [unit]"""

    def angle_at(self, position: ArrayLike) -> Array:
        """Return the turn that a position gives. [rad]"""


def refuse(name: str, value: float, unit: str, rule: str) -> NoReturn:
    """Raise `QuantityError`; takes what that takes."""
    raise QuantityError(name, value, unit, rule)


def one_way(sense: int) -> None:
    """Refuse a sense that is neither 1 nor −1."""
    if sense not in (1, -1):
        refuse("sense", sense, "", "1 or −1")


def within(name: str, position: ArrayLike, half: float, unit: str) -> Array:
    """Return positions inside the range, those past a stop by rounding at the stop.

    Parameters
    ----------
    name, unit : str, shape ()
        As in `QuantityError`. [1]
    position : array_like, shape (...)
        Positions from the middle. [unit]
    half : float, shape ()
        Greatest position. [unit]

    Returns
    -------
    ndarray, shape (...)
        The positions. [unit]

    Raises
    ------
    QuantityError
        If a position is past a stop.
    """
    x = finite(name, position, unit)
    rule = f"from {-half:g} to {half:g} {unit} of the middle"
    refuse_where(np.abs(x) > half * (1.0 + _SLACK), name, x, unit, rule)
    return np.clip(x, -half, half)


def reached(travel: Travel, position: Array, angle: ArrayLike) -> Array:
    """Return positions that give a turn, where the range holds them.

    Parameters
    ----------
    travel : Travel, shape ()
        What moves. [1]
    position : ndarray, shape (...)
        Positions found. [unit]
    angle : array_like, shape (...)
        Turns that they are to give. [rad]

    Returns
    -------
    ndarray, shape (...)
        The positions. [unit]

    Raises
    ------
    ReachError
        If a position is past a stop.
    """
    half = travel.half
    out = ~(np.abs(position) <= half * (1.0 + _SLACK))
    if np.any(out):
        bad = np.broadcast_to(angle, np.shape(out))[out].flat[0]
        low, high = sorted(travel.angle_at([-half, half]))
        msg = (
            f"The adjuster turns the anchor by {low:g} to {high:g} rad from the middle "
            f"of its range; it cannot turn it by {bad:g} rad."
        )
        raise ReachError(msg)
    return np.clip(position, -half, half)
