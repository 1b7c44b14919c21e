"""A screw on a lever: what its turns do to the anchor of a bar.

A position is counted in turns from the middle of the screw's range, positive as the
screw grows longer between its joints.  The turn it gives is what the slack angle
gains against the middle, positive to bump.  Own derivation.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot, isinf, pi, sin

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.quantities import Array, finite, positive
from splinewise.core.travel import one_way, reached, refuse, within

__all__ = ["Screw"]


@dataclass(frozen=True, slots=True)
class Screw:
    """A screw that bears on a lever of the anchor.

    The axis of the bar O, the joint of screw and lever E, and the joint of the screw
    with the body P make a triangle of sides r, s and c.  The screw changes s, and

        c² = r² + s₀² − 2 r s₀ cos β,    cos γ = (r² + c² − s²) / 2 r c

    give the turn of the lever, γ − γ₀.  Where the screw keeps its direction instead (P
    infinitely far), its travel is r (cos(β − φ) − cos β) for a turn φ.

    Attributes
    ----------
    radius : float, shape ()
        r, from the bar's axis to the joint of screw and lever. [m]
    pitch : float, shape ()
        Travel of the screw in one turn. [m]
    turns : float, shape ()
        Whole range of the screw, from stop to stop. [1]
    angle : float, shape ()
        β, between the screw and the lever in the middle of the range. [rad]
    length : float, shape ()
        s₀, from joint to joint of the screw in the middle of the range; `math.inf`
        for a screw that keeps its direction. [m]
    sense : int, shape ()
        1 where the screw, as it grows longer between its joints, turns the anchor to
        bump, −1 where it turns it to droop. [1]

    Raises
    ------
    QuantityError
        If a size is not positive, the angle not between 0 and π, the sense not ±1,
        or the range so long that the lever comes in line with the screw.
    """

    radius: float
    pitch: float
    turns: float
    angle: float
    length: float
    sense: int

    def __post_init__(self) -> None:
        positive("radius", self.radius, "m")
        positive("pitch", self.pitch, "m")
        positive("turns", self.turns, "turns")
        if not 0.0 < self.angle < pi:
            rule = "between 0 and half a turn, both left out"
            refuse("angle", self.angle, "rad", rule)
        if not self.length > 0.0:
            refuse("length", self.length, "m", "positive")
        one_way(self.sense)
        ends = np.array([-self.half, self.half]) * self.pitch
        if np.any(np.abs(self._cosine(ends)) >= 1.0) or self.length + ends[0] <= 0.0:
            rule = "so few that the lever never comes in line with the screw"
            refuse("turns", self.turns, "turns", rule)

    @property
    def half(self) -> float:
        """Greatest position, half the range. [1]"""
        return self.turns / 2.0

    def angle_at(self, position: ArrayLike) -> Array:
        """Turn that a position gives.

        Parameters
        ----------
        position : array_like, shape (...)
            Turns of the screw from the middle, positive as it grows longer. [1]

        Returns
        -------
        ndarray, shape (...)
            Gain of slack angle against the middle. [rad]
        """
        n = within("position", position, self.half, "turns")
        gamma = np.arccos(self._cosine(n * self.pitch))
        return self.sense * (gamma - self._gamma)

    def position_at(self, angle: ArrayLike) -> Array:
        """Position that gives a turn.

        Parameters
        ----------
        angle : array_like, shape (...)
            Gain of slack angle against the middle. [rad]

        Returns
        -------
        ndarray, shape (...)
            Turns of the screw from the middle, positive as it grows longer. [1]

        Raises
        ------
        ReachError
            If the screw's range does not hold it.
        """
        phi = self.sense * finite("angle", angle, "rad")
        r, s = self.radius, self.length
        half_way = np.sin(self._gamma + phi / 2.0) * np.sin(phi / 2.0)
        if isinf(s):
            travel = 2.0 * r * half_way
        else:
            grown = 4.0 * r * self._base * half_way  # s² − s₀²
            travel = grown / (np.sqrt(np.maximum(s * s + grown, 0.0)) + s)
        # A lever turned past its dead centre repeats travels; it cannot get there.
        beyond = (self._gamma + phi <= 0.0) | (self._gamma + phi >= pi)
        return reached(self, np.where(beyond, np.inf, travel / self.pitch), angle)

    def rate_at(self, position: ArrayLike) -> Array:
        """Turn for each turn of the screw, about a position.

        Parameters
        ----------
        position : array_like, shape (...)
            As in `angle_at`. [1]

        Returns
        -------
        ndarray, shape (...)
            d angle / d position. [rad]
        """
        n = within("position", position, self.half, "turns")
        cosine = self._cosine(n * self.pitch)
        sine = np.sqrt((1.0 - cosine) * (1.0 + cosine))
        long = 1.0 if isinf(self.length) else self.length + n * self.pitch
        base = 1.0 if isinf(self.length) else self._base
        return self.sense * self.pitch * long / (self.radius * base * sine)

    @property
    def _base(self) -> float:
        """From the bar's axis to the joint with the body, c. [m]"""
        across = self.length * sin(self.angle)
        return hypot(self.radius - self.length * cos(self.angle), across)

    @property
    def _gamma(self) -> float:
        """Angle at the bar's axis in the middle of the range, γ₀. [rad]"""
        if isinf(self.length):
            return pi - self.angle  # between the lever and the way to P
        s, b = self.length, self.angle
        return float(np.arctan2(s * sin(b), self.radius - s * cos(b)))

    def _cosine(self, travel: Array) -> Array:
        """Cosine of the angle at the bar's axis after a travel of the screw. [1]"""
        if isinf(self.length):
            return np.asarray(cos(self._gamma) - travel / self.radius)
        grown = travel * (2.0 * self.length + travel)
        return np.asarray(cos(self._gamma) - grown / (2.0 * self.radius * self._base))
