"""The arm's angle and the bar's turn, one into the other.

They are one where the bar lies on the arm's axis.  Lengths, slopes and stops go by the
arm's angle; torque, splines and adjuster go by the bar's turn.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from splinewise.car.model import Corner
from splinewise.core.corner import Spring
from splinewise.core.jet import seed, slope, value
from splinewise.core.quantities import Array
from splinewise.errors import TaskError

__all__ = ["arm_angle", "arm_angles", "bar_turn", "spring_of", "turn_per_angle"]


def bar_turn(corner: Corner, angle: ArrayLike) -> Array:
    """Return the turns of the bar at arm angles, the bare arm's included. [rad]

    Parameters
    ----------
    corner : Corner
        The corner. [m]
    angle : array_like, shape (...)
        Arm angles. [rad]

    Returns
    -------
    ndarray, shape (...)
        Turns of the bar's arm end; NaN where the arm cannot go. [rad]
    """
    at = np.asarray(angle, dtype=np.float64)
    return np.asarray(value(corner.linkage.bar_turn(at)))


def turn_per_angle(corner: Corner, angle: float) -> float:
    """Return how much the bar turns for the arm, at an arm angle.

    Parameters
    ----------
    corner : Corner
        The corner. [m]
    angle : float
        Arm angle. [rad]

    Returns
    -------
    float
        Turn of the bar per turn of the arm. [1]
    """
    return float(slope(corner.linkage.bar_turn(seed(np.asarray(angle), order=1))))


def arm_angles(corner: Corner, turn: ArrayLike) -> Array:
    """Return the arm angles at turns of the bar.

    Parameters
    ----------
    corner : Corner
        The corner. [m]
    turn : array_like, shape (...)
        Turns of the bar's arm end. [rad]

    Returns
    -------
    ndarray, shape (...)
        Arm angles; NaN where the bar cannot bring the arm. [rad]
    """
    at = np.asarray(turn, dtype=np.float64)
    return np.asarray(value(corner.linkage.angle_at(at)))


def arm_angle(corner: Corner, turn: float) -> float:
    """Return the arm angle at a turn of the bar, or say that there is none.

    Parameters
    ----------
    corner : Corner
        The corner. [m]
    turn : float
        Turn of the bar's arm end. [rad]

    Returns
    -------
    float
        Arm angle. [rad]

    Raises
    ------
    TaskError
        If lever and drop link do not reach so far.
    """
    angle = float(arm_angles(corner, turn))
    if math.isfinite(angle):
        return angle
    msg = (
        f"The bar of {corner.name} would be slack {math.degrees(turn):.1f}° from the "
        "drawn position, where its lever and drop link cannot bring the arm. Look at "
        "the bar, the load and the points of lever and link."
    )
    raise TaskError(msg)


def spring_of(
    corner: Corner, slack: ArrayLike, *, rate: ArrayLike | None = None
) -> Spring:
    """Return the bar and the bushes of a corner, slack at an arm angle.

    Parameters
    ----------
    corner : Corner
        The corner. [m]
    slack : array_like, shape (...)
        Arm angle with the bar slack. [rad]
    rate : array_like, shape (...), optional
        Bar rate; the corner's own if left out. [N·m/rad]

    Returns
    -------
    Spring, shape (...)
        The bar as the corner feels it. [N·m]

    Raises
    ------
    TaskError
        If lever and drop link do not let the arm go there.
    """
    k = np.asarray(corner.bar.rate.value if rate is None else rate)
    turn = bar_turn(corner, slack)
    if not np.all(np.isfinite(turn)):
        msg = (
            f"The lever and the drop link of {corner.name} do not let the arm go where "
            "its bar would be slack. Look at the reading and at their points."
        )
        raise TaskError(msg)
    return Spring(k, turn, corner.bush)
