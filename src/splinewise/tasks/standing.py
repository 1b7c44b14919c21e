"""How a corner stands with its bar set, and what it is doubtful by.

The doubts are first order: each input is moved by a thousandth of its standard doubt
either way, the corner is let stand again, and the change is scaled up.  Nothing is
left out of it that hangs on slack angle, bar rate or load, the linkage's own part
included.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from typing import NoReturn

import numpy as np

from splinewise import show
from splinewise.car.model import Corner, System
from splinewise.core.corner import (
    Spring,
    ride_frequency,
    standing_angle,
    wheel_force,
)
from splinewise.core.jet import value
from splinewise.core.linkages import solve
from splinewise.core.quantities import GRAVITY, Array
from splinewise.errors import TaskError
from splinewise.tasks.doubts import standard_doubt
from splinewise.tasks.plan_goal import Causes
from splinewise.tasks.turns import bar_turn, spring_of

__all__ = ["Settled", "Stand", "rises", "settle", "stand", "together"]

_NUDGE = 1e-3
"""Part of a standard doubt by which an input is moved. [1]"""


@dataclass(frozen=True, slots=True, eq=False)
class Stand:
    """A corner standing: what it is, or what one cause changes of it.

    Attributes
    ----------
    angle, rise : ndarray, shape (...)
        Arm angle; height of the contact point in the body's axes. [rad, m]
    twist, torque, stress : ndarray, shape (...)
        Twist of the bar, torque in it, shear stress at its surface. [rad, N·m, Pa]
    energy : ndarray, shape (...)
        Energy stored in the bar. [J]
    wheel_rate, plain_rate : ndarray, shape (...)
        Rate at the wheel, with and without the geometric term. [N/m]
    frequency : ndarray, shape (...)
        Ride frequency. [Hz]
    """

    angle: Array
    rise: Array
    twist: Array
    torque: Array
    stress: Array
    energy: Array
    wheel_rate: Array
    plain_rate: Array
    frequency: Array


def stand(
    corner: Corner,
    slack: Array | float,
    *,
    rate: Array | float | None = None,
    load: Array | float | None = None,
) -> Stand:
    """Let a corner stand with a slack angle.

    Parameters
    ----------
    corner : Corner
        The corner. [m]
    slack : array or float, shape (...)
        Arm angle with the bar slack. [rad]
    rate, load : array or float, shape (...), optional
        Bar rate and sprung load; the corner's own if left out. [N·m/rad, N]

    Returns
    -------
    Stand, shape (...)
        How it stands; NaN where it would sit on a stop. [SI]
    """
    k = np.asarray(corner.bar.rate.value if rate is None else rate)
    F = np.asarray(corner.load.value if load is None else load)
    turn = bar_turn(corner, slack)
    spring = Spring(k, np.where(np.isfinite(turn), turn, 0.0), corner.bush)
    theta = standing_angle(corner.linkage, spring, F, low=corner.low, high=corner.high)
    theta = np.where(np.isfinite(turn), theta, np.nan)
    there = np.isfinite(theta)
    at = wheel_force(corner.linkage, spring, np.where(there, theta, 0.0))
    found = {
        "rise": at.rise,
        "twist": at.twist,
        "torque": at.torque,
        "stress": np.asarray(corner.bar.bar.stress(at.torque)),
        "energy": 0.5 * at.torque * at.twist,
        "wheel_rate": at.wheel_rate,
        "plain_rate": at.spring_part,
        "frequency": ride_frequency(at.wheel_rate, F / GRAVITY),
    }
    return Stand(
        angle=theta, **{name: np.where(there, x, np.nan) for name, x in found.items()}
    )


@dataclass(frozen=True, slots=True, eq=False)
class Settled:
    """A corner standing as planned, and what changes of it would do.

    Attributes
    ----------
    at : Stand, shape ()
        How it stands. [SI]
    causes : tuple of str
        What it is doubtful by: causes of the slack angle, bar rate, load. [1]
    change : Stand, shape (N,)
        What one standard doubt of each cause changes, signed. [SI]
    turned : ndarray, shape (M,)
        Arm angle standing after each turn of the slack angle; NaN on a stop. [rad]
    """

    at: Stand
    causes: tuple[str, ...]
    change: Stand
    turned: Array


def settle(
    corner: Corner,
    slack: float,
    causes: Causes,
    turns: Sequence[float],
    system: System,
) -> Settled:
    """Let a corner stand as planned, within its doubts, and after turns.

    All of it in one call of the mechanics, which costs little more than one of them.

    Parameters
    ----------
    corner : Corner
        The corner. [m]
    slack : float
        Arm angle with the bar slack. [rad]
    causes : tuple of (str, float)
        What the slack angle is doubtful by. [rad]
    turns : sequence of float
        Changes of the slack angle. [rad]
    system : str
        "inch" or "metric", for the sentence.

    Returns
    -------
    Settled
        How it stands. [SI]

    Raises
    ------
    TaskError
        If it would sit on a stop.
    """
    k, load = corner.bar.rate, corner.load
    rows = [(f"slack angle: {cause}", u, 0.0, 0.0) for cause, u in causes]
    rows.append(("bar rate", 0.0, standard_doubt(k), 0.0))
    rows.append(("load", 0.0, 0.0, standard_doubt(load)))
    nudges = np.array([row[1:] for row in rows]) * _NUDGE
    to = np.concatenate([np.zeros((1, 3)), nudges, -nudges, np.zeros((len(turns), 3))])
    n, m = len(rows), 1 + 2 * len(rows)
    to[m:, 0] = turns
    every = stand(
        corner, slack + to[:, 0], rate=k.value + to[:, 1], load=load.value + to[:, 2]
    )
    if not np.isfinite(every.angle[0]):
        _refuse(corner, slack, system)
    at, change = {}, {}
    for name in (field.name for field in fields(Stand)):
        values = getattr(every, name)
        at[name] = values[0]
        change[name] = (values[1 : 1 + n] - values[1 + n : m]) / (2.0 * _NUDGE)
    told = tuple(row[0] for row in rows)
    return Settled(Stand(**at), told, Stand(**change), every.angle[m:])


def _refuse(corner: Corner, slack: float, system: System) -> NoReturn:
    """Say in a sentence on which stop a corner sits."""
    spring = spring_of(corner, slack)
    least, most = wheel_force(
        corner.linkage, spring, np.array([corner.low, corner.high])
    ).force
    load = corner.load.value

    def words(force: float) -> str:
        return show.force(force, system=system)

    stop, held = (
        ("bump stop", f"carries only {words(most)}")
        if most < load
        else ("rebound stop", f"pushes with {words(least)} even")
    )
    msg = (
        f"With this slack angle {corner.name} sits on the {stop}: the bar {held} "
        f"there, and the load is {words(load)}. Look at the bar, the load and the goal."
    )
    raise TaskError(msg)


def together(doubts: Iterable[float] | Array) -> float | None:
    """Return the root sum of squares; None where it is nothing or not known."""
    total = math.sqrt(math.fsum(float(u) ** 2 for u in doubts))
    return total if math.isfinite(total) and total > 0.0 else None


def rises(corner: Corner, angles: Sequence[float] | Array) -> Array:
    """Return the height of the contact point in the body's axes at arm angles. [m]"""
    return value(solve(corner.linkage, np.asarray(angles)).contact.z)
