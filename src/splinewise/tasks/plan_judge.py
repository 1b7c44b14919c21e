"""What a planned setting breaks, what wants attention, and what small changes do."""

from __future__ import annotations

import math

import numpy as np

from splinewise import show
from splinewise.car.model import Corner, System
from splinewise.core.adjuster import Screw, Slot
from splinewise.tasks.plan_result import Goal, StressAt
from splinewise.tasks.said import said_size
from splinewise.tasks.turns import arm_angles, bar_turn

__all__ = ["ONE_TOOTH", "assumed", "breaks", "small_changes", "warnings"]

ONE_TOOTH = "one tooth at the"
"""How the causes that are a tooth at one end alone begin."""


def small_changes(corner: Corner, slack: float) -> tuple[tuple[str, float], ...]:
    """Return the small changes that a plan tells of, and the turn that each is.

    Parameters
    ----------
    corner : Corner
        The corner. [m]
    slack : float
        Arm angle with the bar slack. [rad]

    Returns
    -------
    tuple of (str, float)
        Change in words, and what the slack angle gains by it. [rad]
    """
    splines = corner.splines
    by_bar: list[tuple[str, float]] = []
    if splines.lcm > 1:
        by_bar.append(("one index step toward droop", -splines.index_step))
    if splines.arm > 1:
        by_bar.append((f"{ONE_TOOTH} arm end alone, toward droop", -splines.arm_step))
    if splines.anchor > 1:
        by_bar.append(
            (f"{ONE_TOOTH} anchor end alone, toward droop", -splines.anchor_step)
        )
    changes = _of_the_arm(corner, slack, by_bar)
    for d in corner.dimensions.values():
        per_angle = float(d.span.slope(slack))
        changes.append((f"1 mm more of the {d.name}", 1e-3 / per_angle))
    changes.append(("one degree of slack angle toward droop", -math.radians(1.0)))
    return (*changes, *_of_the_arm(corner, slack, _adjuster_changes(corner)))


def _of_the_arm(
    corner: Corner, slack: float, by_bar: list[tuple[str, float]]
) -> list[tuple[str, float]]:
    """Return turns of the bar's end as changes of the arm's slack angle."""
    turns = bar_turn(corner, slack) + np.array([turn for _, turn in by_bar])
    changes = arm_angles(corner, turns) - slack
    return [(cause, float(c)) for (cause, _), c in zip(by_bar, changes, strict=True)]


def _adjuster_changes(corner: Corner) -> list[tuple[str, float]]:
    """Return one unit of the adjuster, the way that lets the arm toward droop."""
    adjuster = corner.adjuster
    if adjuster is None:
        return []
    rate = float(adjuster.rate_at(corner.adjuster_at))
    if isinstance(adjuster, Slot):
        return [("1 mm along the slot, toward droop", -abs(rate) * 1e-3)]
    what = "turn of the adjuster" if isinstance(adjuster, Screw) else "hole"
    return [(f"one {what}, toward droop", -abs(rate))]


def breaks(
    system: System,
    corner: Corner,
    goal: Goal,
    stresses: tuple[StressAt, ...],
    rise: float,
) -> tuple[str, ...]:
    """Return the limits that a setting breaks, a sentence each.

    Parameters
    ----------
    system : str
        "inch" or "metric".
    corner : Corner
        The corner. [m]
    goal : Goal
        What the setting was made for; a ride height that was asked for breaks none.
    stresses : tuple of StressAt
        The bar at ride and at the stops. [Pa]
    rise : float
        Rise of the wheel from the drawn position, standing. [m]

    Returns
    -------
    tuple of str
        Sentences; none where every limit holds.
    """
    rows = []
    height = None if goal.kind == "ride height" else corner.ride_height
    if height is not None and height.wanted is not None and height.tolerance:
        off = height.drawn.value - rise - height.wanted.value
        if abs(off) > height.tolerance.value:
            rows.append(
                f"The car would stand {said_size(off, system)} "
                f"{'above' if off > 0.0 else 'below'} the height that you want; your "
                f"tolerance is {said_size(height.tolerance.value, system)}. Plan for "
                "the height instead (--height), or look at bar and load."
            )
    for at in stresses:
        if at.share.value > 1.0:
            where = "standing" if at.where == "ride" else f"at the {at.where}"
            rows.append(
                f"The bar is over its stress limit {where}: "
                f"{show.percent(at.share.value)} of it."
            )
    return tuple(rows)


def warnings(corner: Corner, stresses: tuple[StressAt, ...]) -> tuple[str, ...]:
    """Return what else wants attention.

    Parameters
    ----------
    corner : Corner
        The corner. [m]
    stresses : tuple of StressAt
        The bar at ride and at the stops. [Pa]

    Returns
    -------
    tuple of str
        Sentences.
    """
    rows = []
    if stresses[2].torque.value < 0.0:
        rows.append(
            "At the rebound stop the bar is twisted the other way: it is slack before "
            "the arm gets there. A preset bar must not be loaded backwards."
        )
    limit = corner.bar.limit
    if limit.preset is None and limit.value.standing == "assumed":
        rows.append(
            "Whether the bar is preset is not known, so the limit is that of a bar "
            "that is not."
        )
    return tuple(rows)


def assumed(corner: Corner) -> tuple[str, ...]:
    """Return what was taken for want of knowledge.

    Parameters
    ----------
    corner : Corner
        The corner. [m]

    Returns
    -------
    tuple of str
        Clauses.
    """
    rows = []
    if corner.bar.limit.value.standing == "assumed":
        rows.append(f"stress limit: {corner.bar.limit.value.source}")
    if corner.bar.rate.standing != "measured":
        rows.append("bar rate: computed from the bar's size and steel, not measured")
    if not corner.bush_known:
        rows.append("bushes: left out, the file gives no rate for them")
    names = ("rebound stop", "bump stop")
    rows += [
        f"{name}: not given, so travel counts to where the linkage locks"
        for name, known in zip(names, corner.stops_known, strict=True)
        if not known
    ]
    return tuple(rows)
