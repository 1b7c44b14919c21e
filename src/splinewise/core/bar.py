"""Rate, twist, stress and stored energy of a torsion bar.

The bar is straight, elastic and twisted about its own axis; its segments lie end to
end and carry the same torque.  Heads count only as far as the user gives them a
length (`splinewise.core.transition`).  Twist and torque are those from slack, both
positive the same way.  Arguments and fields broadcast, so that one `Bar` may stand
for a great many.

References
----------
.. [1] J. M. Gere, *Mechanics of Materials*, Examples 3.1, 3.6 and 3.10.
.. [2] F. P. Beer, E. R. Johnston and J. T. DeWolf, *Mechanics of Materials*,
   Examples 3.01 to 3.03 and Sample Problem 3.3.

Both were read in worked-solution notebooks; the pages were not seen.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.quantities import Array, finite, positive, refuse_where
from splinewise.core.section import Section, polar_moment, round_section

__all__ = [
    "Bar",
    "Segment",
    "polar_moment",
    "round_bar",
    "surface_stress",
    "torsional_rate",
]


@dataclass(frozen=True, slots=True)
class Segment:
    """A length of bar of one section.

    Attributes
    ----------
    section : Section
        Its torsion constant and modulus.
    length : array_like, shape (...)
        Length, L, real or equivalent. [m]

    Raises
    ------
    QuantityError
        If `length` is not positive.
    """

    section: Section
    length: Array | float

    def __post_init__(self) -> None:
        object.__setattr__(self, "length", positive("length", self.length, "m")[()])


@dataclass(frozen=True, slots=True)
class Bar:
    """A torsion bar: segments end to end, of one steel.

    Attributes
    ----------
    segments : tuple of Segment
        From one end to the other; the order does not matter.
    shear_modulus : array_like, shape (...)
        Modulus of rigidity of the steel, G. [Pa]

    Raises
    ------
    QuantityError
        If there is no segment, or `shear_modulus` is not positive.
    """

    segments: tuple[Segment, ...]
    shear_modulus: Array | float

    def __post_init__(self) -> None:
        segments = tuple(self.segments)
        count = np.asarray(float(len(segments)))
        refuse_where(count < 1.0, "segments", count, "segments", "at least one")
        modulus = positive("shear_modulus", self.shear_modulus, "Pa")[()]
        object.__setattr__(self, "segments", segments)
        object.__setattr__(self, "shear_modulus", modulus)

    @property
    def active_length(self) -> Array:
        """Sum of the lengths of the segments, Σ L. [m]"""
        return reduce(np.add, [np.asarray(s.length) for s in self.segments])

    @property
    def rate(self) -> Array:
        """Torque per radian from end to end, k = G / Σ(L / J). [N·m/rad]"""
        return self.shear_modulus / reduce(np.add, self._slenderness())

    @property
    def torsion_modulus(self) -> Array:
        """The smallest W of the segments: largest stress = torque / W. [m³]"""
        moduli = [np.asarray(s.section.torsion_modulus) for s in self.segments]
        return reduce(np.minimum, moduli)

    @property
    def shares(self) -> tuple[Array, ...]:
        """The part of the twist that each segment takes; their sum is 1. [1]"""
        parts = self._slenderness()
        whole = reduce(np.add, parts)
        return tuple(part / whole for part in parts)

    def torque(self, twist: ArrayLike) -> Array:
        """Torque that holds a twist, T = k θ.

        Parameters
        ----------
        twist : array_like, shape (...)
            Twist from slack, θ. [rad]

        Returns
        -------
        ndarray, shape (...)
            Torque, of the sign of `twist`. [N·m]
        """
        return finite("twist", twist, "rad") * self.rate

    def twist(self, torque: ArrayLike) -> Array:
        """Twist that a torque makes, θ = T / k.

        Parameters
        ----------
        torque : array_like, shape (...)
            Torque, T. [N·m]

        Returns
        -------
        ndarray, shape (...)
            Twist from slack, of the sign of `torque`. [rad]
        """
        return finite("torque", torque, "N·m") / self.rate

    def stress(self, torque: ArrayLike) -> Array:
        """Largest shear stress over all segments, τ = T / min W.

        It is the nominal stress of the plain segments: what tooth roots, fillets,
        nicks and presetting add to it or take from it is left out.

        Parameters
        ----------
        torque : array_like, shape (...)
            Torque, T. [N·m]

        Returns
        -------
        ndarray, shape (...)
            Shear stress, of the sign of `torque`. [Pa]
        """
        return finite("torque", torque, "N·m") / self.torsion_modulus

    def energy(self, twist: ArrayLike) -> Array:
        """Energy that the bar gives back on its way to slack, U = k θ² / 2.

        Parameters
        ----------
        twist : array_like, shape (...)
            Twist from slack, θ. [rad]

        Returns
        -------
        ndarray, shape (...)
            Stored energy. [J]
        """
        return 0.5 * self.rate * finite("twist", twist, "rad") ** 2

    def _slenderness(self) -> list[Array]:
        """L / J of each segment."""
        return [
            np.asarray(s.length / np.asarray(s.section.torsion_constant))
            for s in self.segments
        ]


def round_bar(
    length: ArrayLike,
    diameter: ArrayLike,
    shear_modulus: ArrayLike,
    *,
    bore: ArrayLike = 0.0,
) -> Bar:
    """Bar of one round segment.

    Parameters
    ----------
    length, diameter, bore : array_like, shape (...)
        Active length, L; the rest as in `polar_moment`. [m]
    shear_modulus : array_like, shape (...)
        Modulus of rigidity of the steel, G. [Pa]

    Returns
    -------
    Bar
        The bar.

    Raises
    ------
    QuantityError
        As in `polar_moment`, or if L or G is not positive.
    """
    section = round_section(diameter, bore=bore)
    L = positive("length", length, "m")
    return Bar((Segment(section, L),), positive("shear_modulus", shear_modulus, "Pa"))


def torsional_rate(
    length: ArrayLike,
    diameter: ArrayLike,
    shear_modulus: ArrayLike,
    *,
    bore: ArrayLike = 0.0,
) -> Array:
    """Torque per radian of a round bar, k = G J / L ([1]_, [2]_).

    Parameters
    ----------
    length, diameter, bore : array_like, shape (...)
        Active length, L; the rest as in `polar_moment`. [m]
    shear_modulus : array_like, shape (...)
        Modulus of rigidity of the steel, G. [Pa]

    Returns
    -------
    ndarray, shape (...)
        Torsional rate, k. [N·m/rad]

    Raises
    ------
    QuantityError
        As in `polar_moment`, or if L or G is not positive.

    Examples
    --------
    >>> print(f"{torsional_rate(1.0, 0.0225, 78.5e9):.2f} N·m/rad")
    1975.15 N·m/rad
    """
    L = positive("length", length, "m")
    G = positive("shear_modulus", shear_modulus, "Pa")
    return G * polar_moment(diameter, bore=bore) / L


def surface_stress(
    torque: ArrayLike, diameter: ArrayLike, *, bore: ArrayLike = 0.0
) -> Array:
    """Shear stress at the outside of a round bar, τ = T d / 2J ([1]_, [2]_).

    Parameters
    ----------
    torque : array_like, shape (...)
        Torque, T. [N·m]
    diameter, bore : array_like, shape (...)
        As in `polar_moment`. [m]

    Returns
    -------
    ndarray, shape (...)
        Shear stress, τ, of the sign of `torque`. [Pa]

    Raises
    ------
    QuantityError
        As in `polar_moment`, or if `torque` is not finite.
    """
    T = finite("torque", torque, "N·m")
    d = positive("diameter", diameter, "m")
    return T * d / (2.0 * polar_moment(d, bore=bore))
