"""How stiff a vehicle stands, and how it rides: rates, frequencies, modes.

The arms follow the body without inertia of their own, so that the stiffness about the
stand is that of the body alone, K = H_bb − H_bθ H_θθ⁻¹ H_θb, tyres in series with
springs and the weight's own lever included.  It is taken to the centre of gravity of
all that is sprung, in heave and small turns about the body's x (roll) and y (pitch):
for a turn (p, q) the world's upward direction n in the body moves by −w q and w p
(own derivation; with the forces in balance, nothing else enters).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from splinewise.core.geometry import Vec
from splinewise.core.jet import value
from splinewise.core.quantities import Array
from splinewise.core.vehicle.attitude import Attitude
from splinewise.core.vehicle.balance import Balance, balance
from splinewise.core.vehicle.parts import Vehicle
from splinewise.core.vehicle.rest import Stand

__all__ = ["Modes", "axle_frequency", "modes", "sprung_centre"]


@dataclass(frozen=True, slots=True, eq=False)
class Modes:
    """Stiffness and free motion about the stand; NaN for a vehicle that does not.

    Attributes
    ----------
    stiffness : ndarray, shape (..., 3, 3)
        Of heave, roll and pitch about the sprung centre of gravity: force per heave
        [N/m], moments per turn [N·m/rad], and what couples them [N]. [unit]
    wheel_rates : ndarray, shape (..., n)
        Force at each tyre's lowest point per rise of it, the body and the other
        wheels held. [N/m]
    ride_rates : ndarray, shape (..., n)
        Load on each tyre per fall of the body in heave: wheel and tyre in
        series. [N/m]
    ride_frequencies : ndarray, shape (..., n)
        √(ride rate/sprung mass on the corner)/2π. [Hz]
    heave_frequency : ndarray, shape (...)
        Of heave alone. [Hz]
    roll_frequency, pitch_frequency : ndarray or None, shape (...)
        Of roll and of pitch alone; None where the inertia is not known. [Hz]
    frequencies : ndarray, shape (..., k)
        Of the coupled modes, slowest first: of heave, and of roll and of pitch where
        their inertias are known; NaN for one that does not swing. [Hz]
    shapes : ndarray, shape (..., 3, k)
        Heave, roll and pitch of each mode, the sprung mass times their squares, roll
        and pitch with their inertias, being one. [unit]
    """

    stiffness: Array
    wheel_rates: Array
    ride_rates: Array
    ride_frequencies: Array
    heave_frequency: Array
    roll_frequency: Array | None
    pitch_frequency: Array | None
    frequencies: Array
    shapes: Array

    @property
    def heave_rate(self) -> Array:
        """Force per heave. [N/m]"""
        return self.stiffness[..., 0, 0]

    @property
    def roll_rate(self) -> Array:
        """Moment per turn about x. [N·m/rad]"""
        return self.stiffness[..., 1, 1]

    @property
    def pitch_rate(self) -> Array:
        """Moment per turn about y. [N·m/rad]"""
        return self.stiffness[..., 2, 2]


def modes(vehicle: Vehicle, found: Stand) -> Modes:
    """Return how vehicles ride about their stand.

    Parameters
    ----------
    vehicle : Vehicle, shape (...)
        The vehicles. [kg]
    found : Stand, shape (...)
        Where they stand. [m]

    Returns
    -------
    Modes, shape (...)
        Rates, frequencies and shapes. [N/m]
    """
    known = np.asarray(found.stands)[..., None]
    q = np.where(known, found.state, np.nan)
    at = balance(vehicle, q)
    H = np.where(known[..., None], at.hessian, np.eye(q.shape[-1]))
    follow = -np.linalg.solve(H[..., 3:, 3:], H[..., 3:, :3])
    body = H[..., :3, :3] + H[..., :3, 3:] @ follow
    turn = _to_centre(sprung_centre(vehicle), Attitude(q[..., 0], q[..., 1], q[..., 2]))
    stiffness = np.swapaxes(turn, -1, -2) @ body @ turn
    stiffness = np.where(known[..., None], stiffness, np.nan)
    ride = _ride_rates(vehicle, at, follow)
    weight = found.loads - _carried(vehicle) * vehicle.gravity
    inertias = _inertias(vehicle, q.shape[:-1])
    frequencies, shapes = _swing(stiffness, (vehicle.sprung_mass, *inertias))
    roll, pitch = (
        None if m is None else _frequency(stiffness[..., i, i], m)
        for i, m in enumerate(inertias, start=1)
    )
    return Modes(
        stiffness=stiffness,
        wheel_rates=_wheel_rates(vehicle, at),
        ride_rates=ride,
        ride_frequencies=_frequency(ride, weight / vehicle.gravity),
        heave_frequency=_frequency(stiffness[..., 0, 0], vehicle.sprung_mass),
        roll_frequency=roll,
        pitch_frequency=pitch,
        frequencies=frequencies,
        shapes=shapes,
    )


def sprung_centre(vehicle: Vehicle) -> Vec:
    """Return the centre of gravity of the body and the loads.

    Parameters
    ----------
    vehicle : Vehicle, shape (...)
        The vehicles. [kg]

    Returns
    -------
    Vec, shape (...)
        In the body's axes. [m]
    """
    total = vehicle.body.centre * np.asarray(vehicle.body.mass)
    for load in vehicle.loads:
        total = total + load.at * np.asarray(load.mass)
    return total * (1.0 / vehicle.sprung_mass)


def axle_frequency(
    vehicle: Vehicle, found: Stand, rides: Modes, corners: Sequence[int]
) -> Array:
    """Return the ride frequency of an axle, its corners swinging together.

    Parameters
    ----------
    vehicle : Vehicle, shape (...)
        The vehicles. [kg]
    found : Stand, shape (...)
        Where they stand. [m]
    rides : Modes, shape (...)
        How they ride. [N/m]
    corners : sequence of int
        Places of the axle's corners in the vehicle's row. [1]

    Returns
    -------
    ndarray, shape (...)
        √(sum of ride rates/sum of sprung masses)/2π. [Hz]
    """
    some = list(corners)
    mass = found.loads / vehicle.gravity - _carried(vehicle)
    return _frequency(
        rides.ride_rates[..., some].sum(axis=-1), mass[..., some].sum(axis=-1)
    )


def _carried(vehicle: Vehicle) -> Array:
    """Return the mass of each corner that is not sprung."""
    return np.stack(np.broadcast_arrays(*(c.carried for c in vehicle.corners)), axis=-1)


def _frequency(rate: Array, mass: Array) -> Array:
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.sqrt(rate / mass) / (2.0 * np.pi))


def _to_centre(centre: Vec, at: Attitude) -> Array:
    """Return the change of (z, u, v) with heave, roll and pitch about the centre."""
    h, w = at.along(centre), at.up[2]
    turn = np.zeros((*w.shape, 3, 3))
    turn[..., 0, 0] = 1.0
    # A turn about the centre leaves its height; the origin's makes up for it.
    turn[..., 0, 1], turn[..., 0, 2] = -h.v * w, h.u * w
    turn[..., 1, 2], turn[..., 2, 1] = -w, w
    return turn


def _ride_rates(vehicle: Vehicle, at: Balance, follow: Array) -> Array:
    rates = []
    for i, (corner, s) in enumerate(zip(vehicle.corners, at.corners, strict=True)):
        grip = np.where(s.sunk > 0.0, corner.tyre_rate, 0.0)
        rates.append(grip * (1.0 + s.tyre.t * follow[..., i, 0]))
    return np.stack(rates, axis=-1)


def _wheel_rates(vehicle: Vehicle, at: Balance) -> Array:
    """Return (U″ − F h″)/h′² of each corner, h the height of the tyre's lowest point.

    With the body held, F = U′/h′, U without the tyre, so that this is dF/dh.
    """
    rates = []
    for i, (corner, s) in enumerate(zip(vehicle.corners, at.corners, strict=True)):
        grip = np.where(s.sunk > 0.0, corner.tyre_rate, 0.0)
        stiff = at.hessian[..., 3 + i, 3 + i] - grip * s.tyre.t**2
        rates.append(stiff / s.tyre.t**2)
    return np.stack(np.broadcast_arrays(*rates), axis=-1)


def _inertias(vehicle: Vehicle, shape: tuple[int, ...]) -> list[Array | None]:
    """Return what is sprung's inertias about x and y through its centre of gravity."""
    body, centre = vehicle.body, sprung_centre(vehicle)
    weights = [(body.mass, body.centre), *((m.mass, m.at) for m in vehicle.loads)]
    found: list[Array | None] = []
    for own, across in ((body.roll_inertia, "y"), (body.pitch_inertia, "x")):
        if own is None:
            found.append(None)
            continue
        total = np.asarray(own, dtype=np.float64)
        for mass, place in weights:
            away = place - centre
            square = value(getattr(away, across)) ** 2 + value(away.z) ** 2
            total = total + mass * square
        found.append(np.broadcast_to(total, shape))
    return found


def _swing(stiffness: Array, inertias: Sequence[Array | None]) -> tuple[Array, Array]:
    """Return frequencies and shapes of the modes whose inertias are known."""
    some = [i for i, mass in enumerate(inertias) if mass is not None]
    given = [
        np.broadcast_to(m, stiffness.shape[:-2]) for m in inertias if m is not None
    ]
    masses = np.stack(given, axis=-1)
    root = 1.0 / np.sqrt(masses)
    K = stiffness[..., some, :][..., :, some]
    scaled = root[..., :, None] * K * root[..., None, :]
    known = np.asarray(np.isfinite(scaled).all(axis=(-2, -1), keepdims=True))
    squares, ways = np.linalg.eigh(np.where(known, scaled, np.eye(len(some))))
    shapes = np.zeros((*masses.shape[:-1], 3, len(some)))
    shapes[..., some, :] = np.where(known, root[..., :, None] * ways, np.nan)
    with np.errstate(invalid="ignore"):
        frequencies = np.sqrt(squares) / (2.0 * np.pi)
    return np.where(known[..., 0], frequencies, np.nan), shapes
