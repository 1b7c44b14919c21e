"""Torsion constant and torsion modulus of the sections that bars are made of.

A prismatic bar of torsion constant J takes the torque T = G J θ' for a twist θ' per
length, and its largest shear stress is T / W.  Edges are sharp and nothing holds the
section from warping (Saint-Venant).  Arguments broadcast.

References
----------
.. [1] S. P. Timoshenko and J. N. Goodier, *Theory of Elasticity*, chapter on torsion,
   "torsion of rectangular bars": the two series used here (from memory; the page was
   not seen).  The tests check both against finite elements.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.quantities import Array, finite, positive, refuse_where

__all__ = [
    "Section",
    "hexagon_section",
    "leaf_pack_section",
    "pack_section",
    "polar_moment",
    "rectangle_section",
    "round_section",
    "square_section",
]

_ODD_ZETA_5 = 31.0 / 32.0 * 1.0369277551433699263  # Σ n⁻⁵ over odd n
_ODD = range(1, 23, 2)  # for a square the next term is below 1e-18

# Regular hexagon, unit distance across flats.  Computed, not taken from a handbook:
# on φ = ψ − r²/2 with ψ harmonic and ψ = r²/2 on the sides, ψ was expanded in the
# six-fold polynomials Re z⁶ⁿ and, at each 120° corner, the singular functions
# Re w^(3j/2), j odd, that vanish on both its sides.  Least squares on one half-side
# leaves 4e-15, and the two numbers hold to 13 digits whatever the number of terms.
# J = 2 ∫φ dA; the largest slope of φ, at the middle of a side, gives W.
_HEXAGON_J = 0.11505099440459
_HEXAGON_W = 0.18767336764026


@dataclass(frozen=True, slots=True)
class Section:
    """What the mechanics of a bar needs to know of its cross-section.

    Attributes
    ----------
    torsion_constant : array_like, shape (...)
        J: torque = shear modulus · J · twist per length. [m⁴]
    torsion_modulus : array_like, shape (...)
        W: largest shear stress = torque / W. [m³]

    Raises
    ------
    QuantityError
        If either is not positive.
    """

    torsion_constant: Array | float
    torsion_modulus: Array | float

    def __post_init__(self) -> None:
        for name, unit in (("torsion_constant", "m⁴"), ("torsion_modulus", "m³")):
            # [()] makes a plain scalar of an array without axes.
            array = positive(name, getattr(self, name), unit)[()]
            object.__setattr__(self, name, array)


def polar_moment(diameter: ArrayLike, *, bore: ArrayLike = 0.0) -> Array:
    """Second polar moment of area of a round section, J = π (d⁴ − b⁴) / 32.

    Parameters
    ----------
    diameter : array_like, shape (...)
        Outside diameter, d. [m]
    bore : array_like, shape (...), default 0
        Diameter of a concentric bore, b; 0 for a solid bar. [m]

    Returns
    -------
    ndarray, shape (...)
        Polar moment, J. [m⁴]

    Raises
    ------
    QuantityError
        If `diameter` is not positive, or `bore` is negative or not below it.
    """
    d = positive("diameter", diameter, "m")
    b = finite("bore", bore, "m")
    refuse_where((b < 0.0) | (b >= d), "bore", b, "m", "from 0 up to the diameter")
    # Factored: d⁴ − b⁴ would lose the digits of a thin wall.
    return np.pi / 32.0 * (d - b) * (d + b) * (d * d + b * b)


def round_section(diameter: ArrayLike, *, bore: ArrayLike = 0.0) -> Section:
    """Solid round bar or tube: J as `polar_moment`, W = 2 J / d.  Exact.

    Parameters
    ----------
    diameter, bore : array_like, shape (...)
        As in `polar_moment`. [m]

    Returns
    -------
    Section
        J and W.

    Raises
    ------
    QuantityError
        As in `polar_moment`.
    """
    J = polar_moment(diameter, bore=bore)
    return Section(J, 2.0 * J / np.asarray(diameter, dtype=np.float64))


def rectangle_section(width: ArrayLike, thickness: ArrayLike) -> Section:
    """Sharp-edged rectangle, by the exact series [1]_; either side may be the longer.

    With t the shorter side, w the longer and n = 1, 3, 5, ...::

        J     = w t³/3 · [1 − (192/π⁵)(t/w) Σ tanh(nπw/2t) / n⁵]
        J / W = t · [1 − (8/π²) Σ 1 / (n² cosh(nπw/2t))]

    The largest stress is at the middle of the longer side.  The first sum is written
    as Σ n⁻⁵ less an exponentially small rest, so that both converge to the last digit.

    Parameters
    ----------
    width, thickness : array_like, shape (...)
        The two sides. [m]

    Returns
    -------
    Section
        J and W.

    Raises
    ------
    QuantityError
        If a side is not positive.
    """
    a = positive("width", width, "m")
    b = positive("thickness", thickness, "m")
    w, t = np.maximum(a, b), np.minimum(a, b)
    x = np.pi * w / (2.0 * t)
    sum_tanh, sum_sech = np.full(np.shape(x), _ODD_ZETA_5), np.zeros(np.shape(x))
    for n in _ODD:
        e = np.exp(-n * x)  # cosh itself would overflow for a thin strip
        sum_tanh = sum_tanh - 2.0 * e * e / (1.0 + e * e) / n**5
        sum_sech = sum_sech + 2.0 * e / (1.0 + e * e) / n**2
    J = w * t**3 / 3.0 * (1.0 - 192.0 / np.pi**5 * (t / w) * sum_tanh)
    return Section(J, J / (t * (1.0 - 8.0 / np.pi**2 * sum_sech)))


def square_section(side: ArrayLike) -> Section:
    """Sharp-edged square: `rectangle_section` of two equal sides.

    Parameters
    ----------
    side : array_like, shape (...)
        Distance between opposite sides. [m]

    Returns
    -------
    Section
        J = 0.14058 side⁴ and W = 0.20818 side³, to full precision.

    Raises
    ------
    QuantityError
        If `side` is not positive.
    """
    a = positive("side", side, "m")
    return rectangle_section(a, a)


def hexagon_section(across_flats: ArrayLike) -> Section:
    """Sharp-edged regular hexagon: J = 0.115051 s⁴, W = 0.187673 s³.

    Both constants are computed (own derivation, told beside them in the code) to 13
    digits; the tests compute them again, and check them by finite elements.  The
    largest stress is at the middle of each side.

    Parameters
    ----------
    across_flats : array_like, shape (...)
        Distance between opposite sides, s. [m]

    Returns
    -------
    Section
        J and W.

    Raises
    ------
    QuantityError
        If `across_flats` is not positive.
    """
    s = positive("across_flats", across_flats, "m")
    return Section(_HEXAGON_J * s**4, _HEXAGON_W * s**3)


def pack_section(leaves: Sequence[Section]) -> Section:
    """Free leaves side by side, all twisted alike: J = Σ Jᵢ, W = J / max(Jᵢ / Wᵢ).

    Each leaf turns about its own axis and slides on its neighbours.  Left out: friction
    between leaves and the grip of the sockets (both stiffen the pack), and the bending
    and stretching of leaves that lie off the pack's axis (of the third order in the
    twist).  So J is a lower bound; the same outline in one piece is an upper one.

    Parameters
    ----------
    leaves : sequence of Section
        The leaves, alike or not; each may hold arrays.

    Returns
    -------
    Section
        J and W of the pack.

    Raises
    ------
    QuantityError
        If there is no leaf.
    """
    if not leaves:
        _refuse_leaves(0.0)
    J = np.asarray(sum(np.asarray(s.torsion_constant) for s in leaves))
    worst = np.asarray(leaves[0].torsion_constant / leaves[0].torsion_modulus)
    for s in leaves[1:]:
        worst = np.maximum(worst, s.torsion_constant / s.torsion_modulus)
    return Section(J, J / worst)


def leaf_pack_section(
    width: ArrayLike, thickness: ArrayLike, leaves: ArrayLike
) -> Section:
    """Pack of equal rectangular leaves: n times the J and the W of one.

    The model and its limits are those of `pack_section`.

    Parameters
    ----------
    width, thickness : array_like, shape (...)
        The sides of one leaf. [m]
    leaves : array_like, shape (...)
        How many leaves, n; a whole number. [1]

    Returns
    -------
    Section
        J and W of the pack.

    Raises
    ------
    QuantityError
        If a side is not positive, or `leaves` is not a whole number from 1 up.
    """
    n = finite("leaves", leaves, "leaves")
    refuse_where(
        (n < 1.0) | (n != np.floor(n)), "leaves", n, "leaves", "a whole number from 1"
    )
    one = rectangle_section(width, thickness)
    return Section(n * one.torsion_constant, n * one.torsion_modulus)


def _refuse_leaves(count: float) -> None:
    refuse_where(
        np.asarray(True), "leaves", np.asarray(count), "leaves", "a whole number from 1"
    )
