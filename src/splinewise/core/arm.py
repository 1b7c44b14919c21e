"""A hinged arm and the lengths that tell its angle.

A point Q on the arm runs round a circle; its distance from a fixed point P obeys
|P − Q(θ)|² = c₀ + c₁ cos θ + c₂ sin θ, so length → angle is closed form with two
roots.  This is what a gauge bar measures, with the rest of the linkage on the car
or off it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.geometry import (
    Circle,
    Turned,
    Vec,
    cross,
    dot,
    length,
    squared,
    turn,
    unit,
)
from splinewise.core.jet import Jet, Number, mix, sqrt, value
from splinewise.core.quantities import Array, finite, positive, refuse_where

__all__ = ["Arm", "Span"]

# Below these a point on the axis, or one that moves level, is rounding's affair.
_NEAR = 1e-9
_LEVEL = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Arm:
    """A rigid arm that turns about an axis fixed in the body.

    Attributes
    ----------
    foot : Vec, shape (...)
        A point of the axis. [m]
    axis : Vec, shape (...)
        Unit vector along it; a right-handed turn about it is bump. [1]
    """

    foot: Vec
    axis: Vec

    @classmethod
    def between(cls, front: Vec, rear: Vec, outer: Vec, *, name: str = "outer") -> Arm:
        """Return the arm on two pivots whose outer point rises in bump.

        Parameters
        ----------
        front, rear : Vec, shape (...)
            The pivots, in either order. [m]
        outer : Vec, shape (...)
            The point of the arm that bump lifts. [m]
        name : str, default "outer"
            What the error calls that point. [1]

        Returns
        -------
        Arm, shape (...)
            The arm. [m]

        Raises
        ------
        QuantityError
            If the pivots coincide, the outer point lies on their line, or it moves
            level, so that nothing tells which way is bump.
        """
        apart = value(length(front - rear))
        refuse_where(~(apart > 0.0), name, apart, "m", "on pivots that lie apart")
        axis = unit(front - rear)
        path = cross(axis, outer - rear)
        radius = value(length(path))
        refuse_where(
            ~(radius > _NEAR * apart), name, radius, "m", "off the line of the pivots"
        )
        lift = value(path.z) / radius
        refuse_where(
            np.abs(lift) < _LEVEL, name, lift, "m/m", "lifted as the arm turns"
        )
        return cls(rear, axis * np.where(lift < 0.0, -1.0, 1.0))

    def path(self, point: Vec) -> Circle:
        """Return the circle on which a point of the arm runs. [m]"""
        return Circle.about(self.foot, self.axis, point)

    def span(self, fixed: Vec, point: Vec) -> Span:
        """Return the length from a fixed point to a point of the arm. [m]"""
        path = self.path(point)
        g = path.centre - fixed
        return Span(
            squared(g) + squared(path.start),
            2.0 * dot(g, path.start),
            2.0 * dot(g, path.ahead),
        )


@dataclass(frozen=True, slots=True, eq=False)
class Span:
    """Length between a fixed point and a point of an arm, as the arm turns.

    Attributes
    ----------
    constant, cosine, sine : Jet or ndarray, shape (...)
        c₀, c₁ and c₂ of length² = c₀ + c₁ cos θ + c₂ sin θ. [m²]
    """

    constant: Number
    cosine: Number
    sine: Number

    @classmethod
    def of_triangle(
        cls, fixed_radius: ArrayLike, arm_radius: ArrayLike, apart: ArrayLike
    ) -> Span:
        """Return the span of two radii and the angle between them.

        Parameters
        ----------
        fixed_radius, arm_radius : array_like, shape (...)
            Distance of the fixed and of the arm's point from the axis. [m]
        apart : array_like, shape (...)
            Angle from the arm's point to the fixed point at the drawn position,
            positive if bump brings them together. [rad]

        Returns
        -------
        Span, shape (...)
            The length between the two. [m]
        """
        p = positive("fixed_radius", fixed_radius, "m")
        q = positive("arm_radius", arm_radius, "m")
        a = finite("apart", apart, "rad")
        return cls(p * p + q * q, -2.0 * p * q * np.cos(a), -2.0 * p * q * np.sin(a))

    @classmethod
    def of_lengths(
        cls,
        fixed_radius: ArrayLike,
        arm_radius: ArrayLike,
        drawn_length: ArrayLike,
        *,
        closing: ArrayLike = 1.0,
    ) -> Span:
        """Return the span of a triangle taped at the drawn position.

        Parameters
        ----------
        fixed_radius, arm_radius : array_like, shape (...)
            Distance of the fixed and of the arm's point from the axis. [m]
        drawn_length : array_like, shape (...)
            Distance between the two at the drawn position. [m]
        closing : array_like, shape (...), default 1
            +1 if bump brings the two together, −1 if it parts them. [1]

        Returns
        -------
        Span, shape (...)
            The length between the two. [m]

        Raises
        ------
        QuantityError
            If the three lengths do not close to a triangle.
        """
        p = positive("fixed_radius", fixed_radius, "m")
        q = positive("arm_radius", arm_radius, "m")
        s = positive("drawn_length", drawn_length, "m")
        refuse_where(
            (s > p + q) | (s < np.abs(p - q)),
            "drawn_length",
            s,
            "m",
            "a length that closes the triangle (between the difference and the sum "
            "of the two radii)",
        )
        apart = np.arccos((p * p + q * q - s * s) / (2.0 * p * q))
        return cls.of_triangle(p, q, apart * np.asarray(closing))

    def length(self, angle: Number) -> Number:
        """Return the length at an arm angle. [m]"""
        return self.at(turn(angle))

    def at(self, turned: Turned) -> Number:
        """Return the length where sine and cosine of the arm angle are known. [m]"""
        products = (self.cosine, turned.cosine), (self.sine, turned.sine)
        s = mix(*products, plus=self.constant)
        # Where the two points meet, rounding must not make the length imaginary.
        return sqrt(s if isinstance(s, Jet) else np.maximum(s, 0.0))

    def slope(self, angle: ArrayLike) -> Array:
        """Return the change of length with arm angle; NaN at no length. [m/rad]"""
        a = np.asarray(angle, dtype=np.float64)
        with np.errstate(invalid="ignore", divide="ignore"):
            return np.asarray(0.5 * self._turning(a) / value(self.length(a)))

    def _turning(self, angle: Array) -> Array:
        """Return the derivative of length², whose sign is that of the slope. [m²]"""
        turned = value(self.sine) * np.cos(angle) - value(self.cosine) * np.sin(angle)
        return np.asarray(turned)

    @property
    def shortest(self) -> Array:
        """The least length the arm can give. [m]"""
        swing = np.hypot(value(self.cosine), value(self.sine))
        # The two radii may be equal, and rounding must not make the least imaginary.
        return np.sqrt(np.maximum(value(self.constant) - swing, 0.0))

    @property
    def longest(self) -> Array:
        """The greatest length the arm can give. [m]"""
        return np.sqrt(
            value(self.constant) + np.hypot(value(self.cosine), value(self.sine))
        )

    def angles(self, length: ArrayLike) -> tuple[Array, Array]:
        """Return both arm angles at which the span has a length.

        Parameters
        ----------
        length : array_like, shape (...)
            Length between the two points. [m]

        Returns
        -------
        tuple of ndarray, shape (...)
            The angle at which bump shortens the span and the one at which it
            lengthens it, each from −π to π; NaN where the arm cannot give the
            length. [rad]

        Raises
        ------
        QuantityError
            If the length is not a positive number.
        """
        c1, c2 = value(self.cosine), value(self.sine)
        s = positive("length", length, "m")
        swing = np.hypot(c1, c2)
        middle = np.arctan2(c2, c1)
        with np.errstate(invalid="ignore", divide="ignore"):
            away = np.arccos((s * s - value(self.constant)) / swing)
        return _wrapped(middle + away), _wrapped(middle - away)

    def angle(self, length: ArrayLike, *, near: ArrayLike = 0.0) -> Array:
        """Return the arm angle for a length, on the same side of dead centre as `near`.

        Parameters
        ----------
        length : array_like, shape (...)
            Length between the two points. [m]
        near : array_like, shape (...), default 0
            An arm angle on the wanted side of dead centre. [rad]

        Returns
        -------
        ndarray, shape (...)
            Arm angle; NaN where the arm cannot give the length. [rad]
        """
        shortening, lengthening = self.angles(length)
        side = self._turning(np.asarray(near, dtype=np.float64))
        return np.where(side < 0.0, shortening, lengthening)


def _wrapped(angle: Array) -> Array:
    return np.asarray((angle + np.pi) % (2.0 * np.pi) - np.pi)
