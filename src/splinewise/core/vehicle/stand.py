"""A vehicle standing on its wheels, or many at once.

Newton's method on the forces out of balance, each car with its own damping: a step
that does not lessen them is taken back and tried shorter, so that the search always
ends; a car that does not come to rest is marked with what holds it up.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from splinewise.core.quantities import Array
from splinewise.core.vehicle.attitude import Attitude
from splinewise.core.vehicle.balance import Balance, CornerState, balance
from splinewise.core.vehicle.batch import batch_size, pick
from splinewise.core.vehicle.parts import Vehicle

__all__ = ["BLOCK", "Stand", "stand"]

BLOCK = 4096
"""Cars solved together: enough to make NumPy's overhead small, few enough for the
cache. [1]"""

_MOST_STEPS = 60
_AT_REST = 1e-11  # of the vehicle's weight, and of that times a metre


@dataclass(frozen=True, slots=True, eq=False)
class Stand:
    """A vehicle at rest.

    Attributes
    ----------
    state : ndarray, shape (..., 3 + n)
        Heave, lean and arm angles (see `splinewise.core.vehicle.balance`). [m, 1, rad]
    attitude : Attitude, shape (...)
        Heave, pitch and roll of the body. [m]
    arm_angles : ndarray, shape (..., n)
        Arm angles. [rad]
    loads : ndarray, shape (..., n)
        Forces between tyres and floor. [N]
    rises : ndarray, shape (..., n)
        Rises of the wheels in the body's axes. [m]
    twists, torques : ndarray, shape (..., n)
        Twist and torque of the bars. [rad, N·m]
    at_rest : ndarray of bool, shape (...)
        Whether it came to rest. [1]
    lifted : ndarray of bool, shape (..., n)
        Which tyres are off the floor. [1]
    on_stop : ndarray of bool, shape (..., n)
        Which corners sit on a stop. [1]
    steps : ndarray of int, shape (...)
        Steps taken. [1]
    hessian : ndarray, shape (..., 3 + n, 3 + n)
        Stiffness about the stand. [N/m, N·m]
    """

    state: Array
    attitude: Attitude
    arm_angles: Array
    loads: Array
    rises: Array
    twists: Array
    torques: Array
    at_rest: NDArray[np.bool_]
    lifted: NDArray[np.bool_]
    on_stop: NDArray[np.bool_]
    steps: NDArray[np.int64]
    hessian: Array


def stand(vehicle: Vehicle) -> Stand:
    """Let vehicles come to rest on their wheels.

    Parameters
    ----------
    vehicle : Vehicle, shape () or (N,)
        One vehicle, or many that have the same corners. [kg]

    Returns
    -------
    Stand, shape () or (N,)
        Where each comes to rest; `at_rest` says whether it does. [m]
    """
    count = batch_size(vehicle)
    if count is None:
        return _joined([_settle(vehicle, 1)], single=True)
    parts = [
        _settle(
            pick(vehicle, np.arange(a, min(a + BLOCK, count)), count),
            min(BLOCK, count - a),
        )
        for a in range(0, count, BLOCK)
    ]
    return _joined(parts, single=False)


def _settle(vehicle: Vehicle, count: int) -> Stand:
    """Let one block of cars come to rest, dropping those that have."""
    q = _start(vehicle, count)
    scale = _scale(vehicle, count)
    damping = np.zeros(count)
    steps = np.zeros(count, dtype=np.int64)
    going = np.arange(count)
    some, best = vehicle, balance(vehicle, q)
    off = _off(best.gradient, scale)
    gradient, hessian = best.gradient, best.hessian
    at_rest = np.zeros(count, dtype=np.bool_)
    for _ in range(_MOST_STEPS):
        resting = off < _AT_REST
        at_rest[going[resting]] = True
        if resting.any():
            keep = np.flatnonzero(~resting)
            some = pick(some, keep, going.size)
            gradient, hessian, off = gradient[keep], hessian[keep], off[keep]
            going, damping = going[keep], damping[keep]
        if not going.size:
            break
        step = _step(gradient, hessian, damping)
        tried = q[going] + step
        new = balance(some, tried)
        new_off = _off(new.gradient, scale[going])
        better = new_off < off
        q[going[better]] = tried[better]
        gradient = np.where(better[:, None], new.gradient, gradient)
        hessian = np.where(better[:, None, None], new.hessian, hessian)
        off = np.where(better, new_off, off)
        damping = np.where(better, _eased(damping), np.maximum(10.0 * damping, 1e-4))
        steps[going] += 1
    # A car that cannot get closer than rounding allows is at rest as well.
    at_rest[going[off < 1e3 * _AT_REST]] = True
    return _told(vehicle, q, balance(vehicle, q), at_rest, steps)


def _start(vehicle: Vehicle, count: int) -> Array:
    """Return the drawn position, as low as the tyres together carry the weight."""
    n = len(vehicle.corners)
    q = np.zeros((count, 3 + n))
    at = balance(vehicle, q)
    stiff = sum(np.asarray(c.tyre_rate) for c in vehicle.corners)
    pressed = sum(
        np.asarray(c.tyre_rate) * s.sunk
        for c, s in zip(vehicle.corners, at.corners, strict=True)
    )
    q[:, 0] = (pressed - vehicle.mass * vehicle.gravity) / stiff
    return q


def _scale(vehicle: Vehicle, count: int) -> Array:
    """Return the weight, against which forces are small or not."""
    weight = np.abs(vehicle.mass) * vehicle.gravity
    return np.broadcast_to(np.asarray(weight, dtype=np.float64), (count,))


def _off(gradient: Array, scale: Array) -> Array:
    """Return how far out of balance, as a share of the weight; inf where unposed."""
    off = np.max(np.abs(gradient), axis=-1) / scale
    return np.where(np.isfinite(off), off, np.inf)


def _step(gradient: Array, hessian: Array, damping: Array) -> Array:
    """Return damped Newton steps, none longer than the linkages' geometry bears."""
    size = gradient.shape[-1]
    diagonal = np.abs(np.einsum("...ii->...i", hessian))
    diagonal = np.maximum(diagonal, 1e-9 * diagonal.max(axis=-1, keepdims=True) + 1e-12)
    damped = hessian + (
        # The first term keeps a car whose tyres are all off the floor solvable.
        (damping[:, None] + 1e-14) * diagonal
    )[..., None] * np.eye(size)
    damped = np.where(np.isfinite(damped), damped, 0.0) + np.where(
        np.isfinite(damped).all(axis=(-2, -1), keepdims=True), 0.0, np.eye(size)
    )
    step = -np.linalg.solve(damped, np.nan_to_num(gradient)[..., None])[..., 0]
    longest = np.max(np.abs(step) / _longest(size), axis=-1)
    return np.asarray(step / np.maximum(longest, 1.0)[:, None])


def _longest(size: int) -> Array:
    """Return the longest step of each unknown. [m, 1, rad]"""
    return np.concatenate([[0.1, 0.1, 0.1], np.full(size - 3, 0.2)])


def _eased(damping: Array) -> Array:
    return np.where(damping <= 1e-4, 0.0, 0.1 * damping)


def _told(
    vehicle: Vehicle,
    q: Array,
    at: Balance,
    at_rest: NDArray[np.bool_],
    steps: NDArray[np.int64],
) -> Stand:
    def row(part: Callable[[CornerState], Array]) -> Array:
        return np.stack(
            [np.broadcast_to(part(s), at_rest.shape) for s in at.corners], axis=-1
        )

    met = [
        np.any([np.broadcast_to(t.met(s.rise), at_rest.shape) for t in c.stops], axis=0)
        if c.stops
        else np.zeros(at_rest.shape, dtype=np.bool_)
        for c, s in zip(vehicle.corners, at.corners, strict=True)
    ]
    return Stand(
        state=q,
        attitude=Attitude(q[..., 0], q[..., 1], q[..., 2]),
        arm_angles=q[..., 3:],
        loads=row(lambda s: s.tyre_force),
        rises=row(lambda s: s.rise),
        twists=row(lambda s: s.twist),
        torques=row(lambda s: s.torque),
        at_rest=at_rest,
        lifted=row(lambda s: s.sunk) <= 0.0,
        on_stop=np.stack(met, axis=-1),
        steps=steps,
        hessian=at.hessian,
    )


def _joined(parts: Sequence[Stand], *, single: bool) -> Stand:
    """Lay the blocks end to end; for a single vehicle drop the leading axis."""
    found: dict[str, Any] = {}
    for field in fields(Stand):
        if field.name == "attitude":
            continue
        whole = np.concatenate([getattr(part, field.name) for part in parts])
        found[field.name] = whole[0] if single else whole
    q = found["state"]
    return Stand(attitude=Attitude(q[..., 0], q[..., 1], q[..., 2]), **found)
