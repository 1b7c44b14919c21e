"""A solid round bar twisted past yield: what presetting does.

The steel is elastic up to the shear yield stress τ_Y and then yields without
hardening.  Past the yield torque an elastic core of radius ρ is left inside a yielded
shell; when the torque is let go the bar springs back elastically, keeps a permanent
set, and its surface is left stressed against the direction of overwind.

Left out: hardening, the early yield of a bar that has yielded the other way
(Bauschinger), creep, and the heads.  So a set foreseen here is a guide, not a figure
to work to.  All formulas are odd: overwound the other way, the signs change.

References
----------
.. [1] F. P. Beer, E. R. Johnston and J. T. DeWolf, *Mechanics of Materials*,
   Examples 3.08 and 3.09.
.. [2] R. C. Hibbeler, *Mechanics of Materials*, Example 5.15.

Both were read in worked-solution notebooks; the pages were not seen.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.bar import surface_stress, torsional_rate
from splinewise.core.quantities import Array, finite, positive, refuse_where

__all__ = [
    "Overwind",
    "core_radius",
    "overwind",
    "plastic_torque",
    "residual_stress",
    "torque_at_core",
    "torque_at_twist",
    "twist_at_torque",
    "yield_torque",
    "yield_twist",
]


def yield_torque(diameter: ArrayLike, yield_stress: ArrayLike) -> Array:
    """Torque at which the surface starts to yield, T_Y = π d³ τ_Y / 16 [1]_.

    Parameters
    ----------
    diameter : array_like, shape (...)
        Diameter of the bar, d. [m]
    yield_stress : array_like, shape (...)
        Yield stress in shear, τ_Y. [Pa]

    Returns
    -------
    ndarray, shape (...)
        Yield torque, T_Y. [N·m]

    Raises
    ------
    QuantityError
        If an argument is not positive.
    """
    stress = positive("yield_stress", yield_stress, "Pa")
    return stress / surface_stress(1.0, diameter)


def plastic_torque(diameter: ArrayLike, yield_stress: ArrayLike) -> Array:
    """Torque that the bar nears as it yields right through, 4/3 T_Y [1]_.

    Parameters
    ----------
    diameter : array_like, shape (...)
        Diameter of the bar, d. [m]
    yield_stress : array_like, shape (...)
        Yield stress in shear, τ_Y. [Pa]

    Returns
    -------
    ndarray, shape (...)
        Fully plastic torque; no twist, however large, quite reaches it. [N·m]

    Raises
    ------
    QuantityError
        If an argument is not positive.
    """
    return 4.0 / 3.0 * yield_torque(diameter, yield_stress)


def yield_twist(
    length: ArrayLike,
    diameter: ArrayLike,
    shear_modulus: ArrayLike,
    yield_stress: ArrayLike,
) -> Array:
    """Twist at which the surface starts to yield, θ_Y = 2 L τ_Y / (G d).

    Parameters
    ----------
    length, diameter : array_like, shape (...)
        Active length, L, and diameter, d. [m]
    shear_modulus, yield_stress : array_like, shape (...)
        Modulus of rigidity, G, and yield stress in shear, τ_Y. [Pa]

    Returns
    -------
    ndarray, shape (...)
        Yield twist, θ_Y. [rad]

    Raises
    ------
    QuantityError
        If an argument is not positive.
    """
    rate = torsional_rate(length, diameter, shear_modulus)
    return yield_torque(diameter, yield_stress) / rate


def core_radius(
    torque: ArrayLike, diameter: ArrayLike, yield_stress: ArrayLike
) -> Array:
    """Radius of the core that is still elastic, ρ = c (4 − 3 |T| / T_Y)^⅓ [1]_.

    Parameters
    ----------
    torque : array_like, shape (...)
        Torque, T, short of the fully plastic one. [N·m]
    diameter : array_like, shape (...)
        Diameter of the bar, d = 2c. [m]
    yield_stress : array_like, shape (...)
        Yield stress in shear, τ_Y. [Pa]

    Returns
    -------
    ndarray, shape (...)
        Core radius, ρ; the bar's radius, c, while nothing has yielded. [m]

    Raises
    ------
    QuantityError
        If the torque is more than the bar can take.
    """
    T = finite("torque", torque, "N·m")
    c = positive("diameter", diameter, "m") / 2.0
    share = np.abs(T) / yield_torque(diameter, yield_stress)
    refuse_where(
        share >= 4.0 / 3.0, "torque", T, "N·m", "less than 4/3 of the yield torque"
    )
    return c * np.cbrt(4.0 - 3.0 * np.maximum(share, 1.0))


def torque_at_core(
    core_radius: ArrayLike, diameter: ArrayLike, yield_stress: ArrayLike
) -> Array:
    """Torque that leaves a core of a given radius, T = 4/3 T_Y (1 − (ρ/c)³ / 4) [1]_.

    Parameters
    ----------
    core_radius : array_like, shape (...)
        Radius of the elastic core, ρ, from 0 to c. [m]
    diameter : array_like, shape (...)
        Diameter of the bar, d = 2c. [m]
    yield_stress : array_like, shape (...)
        Yield stress in shear, τ_Y. [Pa]

    Returns
    -------
    ndarray, shape (...)
        Torque, T. [N·m]

    Raises
    ------
    QuantityError
        If the core is larger than the bar.
    """
    c = positive("diameter", diameter, "m") / 2.0
    rho = finite("core_radius", core_radius, "m")
    refuse_where(
        (rho < 0.0) | (rho > c), "core_radius", rho, "m", "from 0 to the bar's radius"
    )
    return plastic_torque(diameter, yield_stress) * (1.0 - (rho / c) ** 3 / 4.0)


def torque_at_twist(
    twist: ArrayLike,
    length: ArrayLike,
    diameter: ArrayLike,
    shear_modulus: ArrayLike,
    yield_stress: ArrayLike,
) -> Array:
    """Torque of a bar wound once from slack to a twist, past yield or not [2]_.

    k θ up to θ_Y, then 4/3 T_Y (1 − (θ_Y/θ)³ / 4).

    Parameters
    ----------
    twist : array_like, shape (...)
        Twist, θ, of a bar that has never yielded before. [rad]
    length, diameter : array_like, shape (...)
        Active length, L, and diameter, d. [m]
    shear_modulus, yield_stress : array_like, shape (...)
        Modulus of rigidity, G, and yield stress in shear, τ_Y. [Pa]

    Returns
    -------
    ndarray, shape (...)
        Torque, of the sign of `twist`. [N·m]

    Raises
    ------
    QuantityError
        If `twist` is not finite or another argument not positive.
    """
    theta = finite("twist", twist, "rad")
    share = theta / yield_twist(length, diameter, shear_modulus, yield_stress)
    beyond = np.maximum(np.abs(share), 1.0)
    past = np.sign(share) * 4.0 / 3.0 * (1.0 - 0.25 / beyond**3)
    share = np.where(np.abs(share) <= 1.0, share, past)
    return share * yield_torque(diameter, yield_stress)


def twist_at_torque(
    torque: ArrayLike,
    length: ArrayLike,
    diameter: ArrayLike,
    shear_modulus: ArrayLike,
    yield_stress: ArrayLike,
) -> Array:
    """Twist of a bar wound once from slack to a torque, θ = θ_Y c / ρ past yield [1]_.

    Parameters
    ----------
    torque : array_like, shape (...)
        Torque, T, short of the fully plastic one. [N·m]
    length, diameter : array_like, shape (...)
        Active length, L, and diameter, d. [m]
    shear_modulus, yield_stress : array_like, shape (...)
        Modulus of rigidity, G, and yield stress in shear, τ_Y. [Pa]

    Returns
    -------
    ndarray, shape (...)
        Twist, of the sign of `torque`. [rad]

    Raises
    ------
    QuantityError
        If the torque is more than the bar can take.
    """
    T = finite("torque", torque, "N·m")
    c = positive("diameter", diameter, "m") / 2.0
    rho = core_radius(T, diameter, yield_stress)
    elastic = T / torsional_rate(length, diameter, shear_modulus)
    theta_yield = yield_twist(length, diameter, shear_modulus, yield_stress)
    return np.where(rho < c, np.sign(T) * theta_yield * c / rho, elastic)


def residual_stress(
    radius: ArrayLike, torque: ArrayLike, diameter: ArrayLike, yield_stress: ArrayLike
) -> Array:
    """Shear stress left at a radius after `torque` was put on and let go [1]_.

    τ_Y min(r/ρ, 1) of the loaded bar less T r / J of the elastic unloading; zero
    everywhere if nothing had yielded.

    Parameters
    ----------
    radius : array_like, shape (...)
        Distance from the axis, r, from 0 to c. [m]
    torque : array_like, shape (...)
        Largest torque that the bar has seen, T. [N·m]
    diameter : array_like, shape (...)
        Diameter of the bar, d = 2c. [m]
    yield_stress : array_like, shape (...)
        Yield stress in shear, τ_Y. [Pa]

    Returns
    -------
    ndarray, shape (...)
        Residual stress; at the surface of the sign opposite to `torque`. [Pa]

    Raises
    ------
    QuantityError
        If the radius is outside the bar, or the torque more than it can take.
    """
    r = finite("radius", radius, "m")
    T = finite("torque", torque, "N·m")
    c = positive("diameter", diameter, "m") / 2.0
    refuse_where((r < 0.0) | (r > c), "radius", r, "m", "from 0 to the bar's radius")
    rho = core_radius(T, diameter, yield_stress)
    stress = positive("yield_stress", yield_stress, "Pa")
    share = np.abs(T) / yield_torque(diameter, stress)
    left = np.minimum(r / rho, 1.0) - share * r / c
    return np.sign(T) * np.where(share > 1.0, left, 0.0) * stress


@dataclass(frozen=True, slots=True)
class Overwind:
    """A bar after it was wound past yield and let go.

    Attributes
    ----------
    torque : ndarray, shape (...)
        Torque that the overwind took; if the bar yielded, it is now elastic up to
        that torque. [N·m]
    core_radius : ndarray, shape (...)
        Radius of the core that stayed elastic. [m]
    permanent_set : ndarray, shape (...)
        Twist that stays when the torque is gone, of the sign of the overwind. [rad]
    surface_stress : ndarray, shape (...)
        Residual stress at the surface, of the other sign. [Pa]
    core_stress : ndarray, shape (...)
        Residual stress at the edge of the core, of the sign of the overwind. [Pa]
    reverse_yield_torque : ndarray, shape (...)
        Torque at which the surface yields the other way; of the other sign, and
        after yielding smaller than T_Y. [N·m]
    """

    torque: Array
    core_radius: Array
    permanent_set: Array
    surface_stress: Array
    core_stress: Array
    reverse_yield_torque: Array


def overwind(
    twist: ArrayLike,
    length: ArrayLike,
    diameter: ArrayLike,
    shear_modulus: ArrayLike,
    yield_stress: ArrayLike,
) -> Overwind:
    """Wind a bar that never yielded to a twist and let it go ([1]_, [2]_).

    Permanent set = θ − T / k.  Unloading is elastic over 2 T_Y, so that a bar that
    yielded then yields the other way at T − 2 T_Y.

    Parameters
    ----------
    twist : array_like, shape (...)
        Twist at the height of the overwind, θ. [rad]
    length, diameter : array_like, shape (...)
        Active length, L, and diameter, d. [m]
    shear_modulus, yield_stress : array_like, shape (...)
        Modulus of rigidity, G, and yield stress in shear, τ_Y. [Pa]

    Returns
    -------
    Overwind
        What is left in the bar; no set and no stress if nothing yielded.

    Raises
    ------
    QuantityError
        If `twist` is not finite or another argument not positive.
    """
    c = positive("diameter", diameter, "m") / 2.0
    stress = positive("yield_stress", yield_stress, "Pa")
    theta_yield = yield_twist(length, diameter, shear_modulus, stress)
    share = finite("twist", twist, "rad") / theta_yield
    way = np.where(np.signbit(share), -1.0, 1.0)
    # Everything from the twist: back from a torque near 4/3 T_Y the core would be lost.
    past = np.maximum(np.abs(share), 1.0)
    most = 4.0 / 3.0 * (1.0 - 0.25 / past**3)  # |T| / T_Y; 1 where nothing yielded
    return Overwind(
        torque=torque_at_twist(twist, length, diameter, shear_modulus, stress),
        core_radius=c / past,
        permanent_set=way * (past - most) * theta_yield,
        surface_stress=way * (1.0 - most) * stress,
        core_stress=way * (1.0 - most / past) * stress,
        reverse_yield_torque=way * (most - 2.0) * yield_torque(diameter, stress),
    )
