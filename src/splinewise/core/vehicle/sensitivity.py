"""What each number of a vehicle does to its heights and corner loads, exactly.

A turn of a bar by teeth or by an adjuster is a turn of its slack angle, so its effect
is the slack angle's times the turn.  See `response` for how, and `hard_points` for
the linkages' own points.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from splinewise.core.geometry import Vec
from splinewise.core.jet import slope, value
from splinewise.core.quantities import Array
from splinewise.core.vehicle.corner_state import CornerState
from splinewise.core.vehicle.parts import Corner, Vehicle
from splinewise.core.vehicle.response import Answer, Effect, Push
from splinewise.core.vehicle.rest import Stand

__all__ = ["Sensitivities", "by_push", "by_slack", "sensitivities"]


@dataclass(frozen=True, slots=True, eq=False)
class Sensitivities:
    """Effects on a standing vehicle, per unit; n corners, l loads, j anti-roll bars.

    Attributes
    ----------
    slack : Effect, shape (..., n)
        Of each slack angle. [rad]
    bar_rate : Effect, shape (..., n)
        Of each torsion bar's rate. [N·m/rad]
    tyre_radius : Effect, shape (..., n)
        Of each tyre's unloaded radius. [m]
    tyre_rate : Effect, shape (..., n)
        Of each tyre's rate. [N/m]
    floor : Effect, shape (..., n)
        Of the floor's height under each tyre. [m]
    unsprung : Effect, shape (..., n)
        Of the mass that moves with each wheel. [kg]
    push : Effect, shape (..., n)
        Of a force between body and wheel that presses the wheel down. [N]
    mass : Effect, shape (..., 1 + l)
        Of the body's mass and of each load's. [kg]
    place : Effect, shape (..., 3 (1 + l))
        Of x, y and z of the body's centre of gravity and of each load's. [m]
    roll_rate : Effect, shape (..., j)
        Of each anti-roll bar's rate. [N/m]
    wind_up : Effect, shape (..., j)
        Of how far each anti-roll bar is wound at the drawn position. [m]
    """

    slack: Effect
    bar_rate: Effect
    tyre_radius: Effect
    tyre_rate: Effect
    floor: Effect
    unsprung: Effect
    push: Effect
    mass: Effect
    place: Effect
    roll_rate: Effect
    wind_up: Effect


def sensitivities(
    vehicle: Vehicle, found: Stand, points: Sequence[Vec] = ()
) -> Sensitivities:
    """Return what each number does to heights, lean and corner loads.

    Parameters
    ----------
    vehicle : Vehicle, shape (...)
        The vehicles. [kg]
    found : Stand, shape (...)
        Where they stand; effects on those that do not are NaN. [m]
    points : sequence of Vec, shape (m,)
        Points of the body whose heights are asked for. [m]

    Returns
    -------
    Sensitivities, shape (...)
        Effects, each per unit of its number. [unit]
    """
    answer = Answer.of(vehicle, found, points)
    each = {
        name: answer.to(_each(vehicle, answer, write))
        for name, write in _CORNER.items()
    }
    mass, place = _weights(vehicle, answer)
    roll_rate, wind_up = _bars(vehicle, answer)
    return Sensitivities(
        **each,
        mass=answer.to(mass),
        place=answer.to(place),
        roll_rate=answer.to(roll_rate),
        wind_up=answer.to(wind_up),
    )


def by_slack(vehicle: Vehicle, found: Stand, points: Sequence[Vec] = ()) -> Effect:
    """Return what the slack angles alone do.

    Parameters
    ----------
    vehicle : Vehicle, shape (...)
        The vehicles. [kg]
    found : Stand, shape (...)
        Where they stand. [m]
    points : sequence of Vec, shape (m,)
        Points of the body whose heights are asked for. [m]

    Returns
    -------
    Effect, shape (..., n)
        Per radian of each slack angle. [unit]
    """
    answer = Answer.of(vehicle, found, points)
    return answer.to(_each(vehicle, answer, _slack))


def by_push(vehicle: Vehicle, found: Stand, points: Sequence[Vec] = ()) -> Effect:
    """Return what forces between body and wheels alone do.

    Parameters
    ----------
    vehicle : Vehicle, shape (...)
        The vehicles. [kg]
    found : Stand, shape (...)
        Where they stand. [m]
    points : sequence of Vec, shape (m,)
        Points of the body whose heights are asked for. [m]

    Returns
    -------
    Effect, shape (..., n)
        Per newton that presses a wheel down. [unit]
    """
    answer = Answer.of(vehicle, found, points)
    return answer.to(_each(vehicle, answer, _push))


_ONE, _NIL = np.ones(()), np.zeros(())
_Write = Callable[[Push, int, Corner, CornerState, Array, float], None]


def _each(vehicle: Vehicle, answer: Answer, write: _Write) -> Push:
    """Return the push of one number of each corner."""
    n = len(vehicle.corners)
    push = Push.none(answer.grip.shape[:-1], n, n)
    for i, (corner, s) in enumerate(
        zip(vehicle.corners, answer.at.corners, strict=True)
    ):
        write(push, i, corner, s, answer.grip[..., i], vehicle.gravity)
    return push


def _slack(
    push: Push, i: int, corner: Corner, s: CornerState, _: Array, __: float
) -> None:
    if corner.spring is not None:
        push.gradient[..., 3 + i, i] = -corner.spring.rate * slope(s.turned)


def _bar_rate(
    push: Push, i: int, corner: Corner, s: CornerState, _: Array, __: float
) -> None:
    if corner.spring is not None:
        push.gradient[..., 3 + i, i] = s.twist * slope(s.turned)


def _tyre_radius(
    push: Push, i: int, _: Corner, s: CornerState, grip: Array, __: float
) -> None:
    h, r = s.tyre, s.by_radius
    # The tyre sinks as its lowest point goes down, and that point moves as well.
    for row, first, second in (
        (0, _ONE, _NIL),
        (1, h.u, r.u),
        (2, h.v, r.v),
        (3 + i, h.t, r.t),
    ):
        push.gradient[..., row, i] = grip * (r.value * first - s.sunk * second)
    push.loads[..., i, i] = -grip * r.value


def _tyre_rate(
    push: Push, i: int, _: Corner, s: CornerState, grip: Array, __: float
) -> None:
    _lift(push, i, s, np.where(grip > 0.0, s.sunk, 0.0))


def _floor(
    push: Push, i: int, _: Corner, s: CornerState, grip: Array, __: float
) -> None:
    _lift(push, i, s, grip)


def _lift(push: Push, i: int, s: CornerState, force: Array) -> None:
    """Write what more force between tyre and floor does."""
    for row, arm in ((0, _ONE), (1, s.tyre.u), (2, s.tyre.v), (3 + i, s.tyre.t)):
        push.gradient[..., row, i] = -force * arm
    push.loads[..., i, i] = force


def _unsprung(
    push: Push, i: int, _: Corner, s: CornerState, __: Array, gravity: float
) -> None:
    for row, arm in ((0, _ONE), (1, s.wheel.u), (2, s.wheel.v), (3 + i, s.wheel.t)):
        push.gradient[..., row, i] = gravity * arm


def _push(push: Push, i: int, _: Corner, s: CornerState, __: Array, ___: float) -> None:
    push.gradient[..., 3 + i, i] = slope(s.rise)


_CORNER: dict[str, _Write] = {
    "slack": _slack,
    "bar_rate": _bar_rate,
    "tyre_radius": _tyre_radius,
    "tyre_rate": _tyre_rate,
    "floor": _floor,
    "unsprung": _unsprung,
    "push": _push,
}


def _weights(vehicle: Vehicle, answer: Answer) -> tuple[Push, Push]:
    """Return the pushes of the masses and of the places where they sit."""
    weights = [(vehicle.body.mass, vehicle.body.centre)]
    weights += [(load.mass, load.at) for load in vehicle.loads]
    shape, n = answer.grip.shape[:-1], len(vehicle.corners)
    mass = Push.none(shape, n, len(weights))
    place = Push.none(shape, n, 3 * len(weights))
    u, v, w = answer.attitude.up
    for j, (m, point) in enumerate(weights):
        h = answer.attitude.along(point)
        for row, arm in enumerate((_ONE, h.u, h.v)):
            mass.gradient[..., row, j] = vehicle.gravity * arm
        weight = np.asarray(m * vehicle.gravity)
        # The slopes of n·p by u and v are x − (u/w) z and y − (v/w) z.
        place.gradient[..., 1, 3 * j] = weight
        place.gradient[..., 2, 3 * j + 1] = weight
        place.gradient[..., 1, 3 * j + 2] = -weight * u / w
        place.gradient[..., 2, 3 * j + 2] = -weight * v / w
    return mass, place


def _bars(vehicle: Vehicle, answer: Answer) -> tuple[Push, Push]:
    """Return the pushes of the anti-roll bars' rates and windings."""
    shape, n = answer.grip.shape[:-1], len(vehicle.corners)
    rate = Push.none(shape, n, len(vehicle.joined))
    wind_up = Push.none(shape, n, len(vehicle.joined))
    for j, joined in enumerate(vehicle.joined):
        bar, k = joined.bar, joined.bar.rate_in_series
        rises = [answer.at.corners[end].rise for end in (joined.left, joined.right)]
        wound = bar.ratio * (value(rises[0]) - value(rises[1])) + bar.wind_up
        # 1/k' = 1/k + c, so that dk'/dk = (k'/k)².
        for end, rise, side in zip(
            (joined.left, joined.right), rises, (1.0, -1.0), strict=True
        ):
            arm = side * bar.ratio * slope(rise)
            rate.gradient[..., 3 + end, j] = arm * wound * (k / bar.rate) ** 2
            wind_up.gradient[..., 3 + end, j] = arm * k
    return rate, wind_up
