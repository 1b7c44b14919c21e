"""What an adjuster at the anchor does: its position and the turn it gives.

The anchor of a bar may be trimmed by a screw that bears on a lever, by a bolt in a
slotted bracket, or by a bolt in one of a row of holes.  A car without any has `None`.

A position is counted from the middle of the travel: turns of the screw, a straight
distance along the slot, holes along the row.  The turn is what the slack angle gains
against the middle, positive to bump.  The geometry is exact, not of small angles.
All of it is own derivation.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, pi, sin

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.quantities import Array, finite, positive, refuse_where
from splinewise.core.screw import Screw
from splinewise.core.travel import one_way, reached, refuse, within

__all__ = ["Adjuster", "HoleRow", "Screw", "Setting", "Slot", "after", "spare"]

# Rounding may put a position or an angle this far off a hole.
_SLACK = 1e-9


@dataclass(frozen=True, slots=True)
class Slot:
    """A bolt in a curved slot about the bar's axis.

    Distances are straight, from bolt centre to bolt centre, as a calliper takes them:
    a turn φ moves the bolt by 2 r sin(φ/2).

    Attributes
    ----------
    radius : float, shape ()
        r, from the bar's axis to the middle of the bolt. [m]
    length : float, shape ()
        From the bolt's place at one end of the slot to that at the other: the slot's
        length less the bolt's diameter. [m]
    sense : int, shape ()
        1 where a positive position turns the anchor to bump, −1 where to droop. [1]

    Raises
    ------
    QuantityError
        If a size is not positive, the length over twice the radius, the sense not ±1.
    """

    radius: float
    length: float
    sense: int

    def __post_init__(self) -> None:
        positive("radius", self.radius, "m")
        positive("length", self.length, "m")
        if self.length > 2.0 * self.radius:
            rule = f"no longer than twice the radius, {2.0 * self.radius:g} m"
            refuse("length", self.length, "m", rule)
        one_way(self.sense)

    @property
    def half(self) -> float:
        """Greatest position, straight from the middle to an end. [m]"""
        r = self.radius
        return 2.0 * r * sin(asin(self.length / (2.0 * r)) / 2.0)

    def angle_at(self, position: ArrayLike) -> Array:
        """Turn that a position gives.

        Parameters
        ----------
        position : array_like, shape (...)
            Straight distance of the bolt from the middle of the slot. [m]

        Returns
        -------
        ndarray, shape (...)
            Gain of slack angle against the middle. [rad]
        """
        x = within("position", position, self.half, "m")
        return self.sense * 2.0 * np.arcsin(x / (2.0 * self.radius))

    def position_at(self, angle: ArrayLike) -> Array:
        """Position that gives a turn.

        Parameters
        ----------
        angle : array_like, shape (...)
            Gain of slack angle against the middle. [rad]

        Returns
        -------
        ndarray, shape (...)
            Straight distance of the bolt from the middle of the slot. [m]

        Raises
        ------
        ReachError
            If the slot does not hold it.
        """
        phi = self.sense * finite("angle", angle, "rad")
        x = 2.0 * self.radius * np.sin(phi / 2.0)
        return reached(self, np.where(np.abs(phi) > pi, np.inf, x), angle)

    def rate_at(self, position: ArrayLike) -> Array:
        """Turn for each metre along the slot, about a position.

        Parameters
        ----------
        position : array_like, shape (...)
            As in `angle_at`. [m]

        Returns
        -------
        ndarray, shape (...)
            d angle / d position. [rad/m]
        """
        x = within("position", position, self.half, "m")
        r = self.radius
        return self.sense / np.sqrt((r - x / 2.0) * (r + x / 2.0))


@dataclass(frozen=True, slots=True)
class HoleRow:
    """A bolt in one of a row of holes round the bar's axis.

    Attributes
    ----------
    radius : float, shape ()
        r, from the bar's axis to the middle of each hole. [m]
    pitch : float, shape ()
        Straight from the middle of one hole to the next. [m]
    count : int, shape ()
        Holes in the row, 2 or more. [1]
    sense : int, shape ()
        1 where a positive position turns the anchor to bump, −1 where to droop. [1]

    Raises
    ------
    QuantityError
        If a size is not positive, the holes go more than once round, there are fewer
        than 2, or the sense is not ±1.
    """

    radius: float
    pitch: float
    count: int
    sense: int

    def __post_init__(self) -> None:
        positive("radius", self.radius, "m")
        positive("pitch", self.pitch, "m")
        if self.pitch > 2.0 * self.radius:
            rule = f"no longer than twice the radius, {2.0 * self.radius:g} m"
            refuse("pitch", self.pitch, "m", rule)
        if self.count < 2 or self.count != int(self.count):
            refuse("count", self.count, "holes", "a whole number, 2 or more")
        if self.count * self.step > 2.0 * pi * (1.0 + _SLACK):
            refuse("count", self.count, "holes", "no more than fit once round")
        one_way(self.sense)

    @property
    def step(self) -> float:
        """Turn from one hole to the next. [rad]"""
        return 2.0 * asin(self.pitch / (2.0 * self.radius))

    @property
    def half(self) -> float:
        """Greatest position, holes from the middle of the row to its end. [1]"""
        return (self.count - 1) / 2.0

    def angle_at(self, position: ArrayLike) -> Array:
        """Turn that a position gives.

        Parameters
        ----------
        position : array_like, shape (...)
            Holes from the middle of the row; an even row has halves. [1]

        Returns
        -------
        ndarray, shape (...)
            Gain of slack angle against the middle. [rad]
        """
        n = within("position", position, self.half, "holes")
        off = np.abs((n + self.half) - np.round(n + self.half)) > _SLACK
        rule = f"a hole of the row: {-self.half:g}, {1 - self.half:g} …"
        refuse_where(off, "position", n, "holes", rule)
        return self.sense * n * self.step

    def position_at(self, angle: ArrayLike) -> Array:
        """Hole that comes nearest to a turn.

        Parameters
        ----------
        angle : array_like, shape (...)
            Gain of slack angle against the middle. [rad]

        Returns
        -------
        ndarray, shape (...)
            Holes from the middle of the row. [1]

        Raises
        ------
        ReachError
            If it is over half a hole past the end of the row.
        """
        n = self.sense * finite("angle", angle, "rad") / self.step
        hole = np.round(n + self.half) - self.half
        # Half a hole past the end still has the end hole for its nearest.
        past = np.abs(n) <= self.half + 0.5 * (1.0 + _SLACK)
        hole = np.where(past, np.clip(hole, -self.half, self.half), hole)
        return reached(self, hole, angle)

    def rate_at(self, position: ArrayLike) -> Array:
        """Turn for each hole.

        Parameters
        ----------
        position : array_like, shape (...)
            As in `angle_at`. [1]

        Returns
        -------
        ndarray, shape (...)
            Turn from one hole to the next, by `sense`. [rad]
        """
        n = within("position", position, self.half, "holes")
        return np.full_like(n, self.sense * self.step)


Adjuster = Screw | Slot | HoleRow


@dataclass(frozen=True, slots=True)
class Setting:
    """Where an adjuster ends after a turn.

    Attributes
    ----------
    position : ndarray, shape (...)
        New position from the middle; in turns, metres or holes. [unit]
    change : ndarray, shape (...)
        New position less the old one. [unit]
    share : ndarray, shape (...)
        Distance from the middle over half the range: 0 in the middle, 1 at a stop. [1]
    left_over : ndarray, shape (...)
        Wanted turn less the one given; not 0 only for a row of holes. [rad]
    """

    position: Array
    change: Array
    share: Array
    left_over: Array


def spare(adjuster: Adjuster | None, position: float = 0.0) -> tuple[float, float]:
    """Return what an adjuster can still give from where it stands.

    Parameters
    ----------
    adjuster : Screw, Slot, HoleRow or None, shape ()
        The adjuster; `None` for a car that has none. [1]
    position : float, shape (), default 0
        Where it stands, from the middle of its range. [unit]

    Returns
    -------
    tuple of float, shape (2,)
        Least and greatest turn to come, positive to bump; both 0 for `None`. [rad]
    """
    if adjuster is None:
        return (0.0, 0.0)
    now, *ends = adjuster.angle_at([position, -adjuster.half, adjuster.half])
    return float(min(ends) - now), float(max(ends) - now)


def after(adjuster: Adjuster, position: ArrayLike, turn: ArrayLike) -> Setting:
    """Return where an adjuster ends when it gives a turn.

    Parameters
    ----------
    adjuster : Screw, Slot or HoleRow, shape ()
        The adjuster. [1]
    position : array_like, shape (...)
        Where it stands, from the middle of its range. [unit]
    turn : array_like, shape (...)
        Turn that it is to give, positive to bump. [rad]

    Returns
    -------
    Setting, shape (...)
        The new position, and how much of the range it uses. [unit]

    Raises
    ------
    ReachError
        If its range does not hold the turn.
    """
    now = adjuster.angle_at(position)
    wanted = now + finite("turn", turn, "rad")
    new = adjuster.position_at(wanted)
    return Setting(
        position=new,
        change=new - np.asarray(position, dtype=np.float64),
        share=np.abs(new) / adjuster.half,
        left_over=wanted - adjuster.angle_at(new)
        if isinstance(adjuster, HoleRow)
        else np.zeros_like(new),
    )
