"""From what is wanted of a standing vehicle to the slack angles that give it.

Off by r, with J the exact slopes by the slack angles, the change of slack angles from
where they are is c = J⁺ (r + J c) (Newton's method; J⁺ the pseudo-inverse).  It
leaves the least sum of squares of what is off, each in its own tolerance, and of all
changes that do so the least: turned no more than is needed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from splinewise.core.corner import slack_for
from splinewise.core.jet import value
from splinewise.core.quantities import Array
from splinewise.core.vehicle.loads import Centre, least_loads
from splinewise.core.vehicle.modes import sprung_centre
from splinewise.core.vehicle.parts import Vehicle
from splinewise.core.vehicle.reasons import Reason, why
from splinewise.core.vehicle.rest import Stand
from splinewise.core.vehicle.stand import stand
from splinewise.core.vehicle.wanted import Want, misses
from splinewise.errors import TaskError

__all__ = ["Outcome", "Reached", "slack_for_wants"]

_MOST_STEPS = 150
_LONGEST = 0.1  # rad in one step
_FARTHEST = 0.5 * np.pi
_CLOSE = 1e-10  # rad: nearer than anything turns
_MET = 1e-6  # tolerances
_RANK = 1e-9
_MOST_FALLS = 5  # steps after which it did not stand


class Outcome(StrEnum):
    """What came of a search; the value is the words for it."""

    MET = "all that is wanted is met"
    COMPROMISE = "no slack angles meet all that is wanted; these are the least off"
    TOO_FAR = "what is wanted lies past a quarter turn of a bar from where it is drawn"
    LOST = "on the way to what is wanted the vehicle no longer stands"
    NOT_SETTLED = "the search ended before it was found"


@dataclass(frozen=True, slots=True, eq=False)
class Reached:
    """Slack angles, and the stand that they give.

    Attributes
    ----------
    slack : ndarray, shape (..., n)
        Slack angles; those of corners that were not free as they were. [rad]
    change : ndarray, shape (..., n)
        What they were turned by. [rad]
    vehicle : Vehicle, shape (...)
        The vehicle with these slack angles. [kg]
    stand : Stand, shape (...)
        Where it stands. [m]
    off : ndarray, shape (..., w)
        What each want still lacks, in its tolerances. [1]
    rank : ndarray of int, shape (...)
        How many of the wants the free slack angles can meet independently. [1]
    outcomes : tuple of Outcome, shape (N,)
        What came of it; of length 1 for a single vehicle. [1]
    lost : tuple of tuple of Reason, shape (N,)
        Why a vehicle that was lost no longer stands a little further on. [1]
    """

    slack: Array
    change: Array
    vehicle: Vehicle
    stand: Stand
    off: Array
    rank: NDArray[np.int64]
    outcomes: tuple[Outcome, ...]
    lost: tuple[tuple[Reason, ...], ...]


def slack_for_wants(
    vehicle: Vehicle, wants: Sequence[Want], *, free: Sequence[int] | None = None
) -> Reached:
    """Return the slack angles with which vehicles stand as is wanted.

    A vehicle that does not stand as it is, or only with a bar that pulls its wheel up,
    may start from slack angles with which its bars about carry it where it is drawn.

    Parameters
    ----------
    vehicle : Vehicle, shape () or (N,)
        The vehicles as they are. [kg]
    wants : sequence of HeightWanted and LoadsWanted, shape (w,)
        What is wanted. [m]
    free : sequence of int or None, shape (f,)
        Places of the corners whose bars may be turned; None for all with a bar. [1]

    Returns
    -------
    Reached, shape () or (N,)
        Slack angles, where the vehicle stands with them, and what is still off. [rad]

    Raises
    ------
    QuantityError
        If a height is not finite or a tolerance not positive.
    TaskError
        If nothing is wanted, no bar may be turned, or a corner named has none.
    """
    some = _free(vehicle, free)
    found = stand(vehicle)
    held = np.broadcast_to(_slack(vehicle), found.loads.shape)
    way = _search(vehicle, wants, some, held, np.zeros_like(held))
    odd = ~found.stands | np.any(found.torques < 0.0, axis=-1)
    if np.any(odd & ~way.good):
        # From no stand, or from one whose bars pull, the way may lead nowhere.
        upright = np.zeros_like(held)
        upright[..., some] = (_carrying(vehicle) - held)[..., some]
        way = way.or_else(_search(vehicle, wants, some, held, upright))
    here = _turned(vehicle, held + way.change)
    off = misses(here, way.found, wants)
    outcomes = tuple(Outcome(word) for word in np.atleast_1d(way.outcome))
    return Reached(
        slack=held + way.change,
        change=way.change,
        vehicle=here,
        stand=way.found,
        off=off.off,
        rank=_rank(off.slopes[..., some]),
        outcomes=outcomes,
        lost=tuple(
            reasons if outcome is Outcome.LOST else ()
            for reasons, outcome in zip(why(way.failed, vehicle), outcomes, strict=True)
        ),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Way:
    """Where a search came to: changes, stands, the last falls, and what came of it."""

    change: Array
    found: Stand
    failed: Stand
    outcome: NDArray[np.str_]

    @property
    def good(self) -> NDArray[np.bool_]:
        """Whether it came to what is least off."""
        return np.isin(self.outcome, [Outcome.MET, Outcome.COMPROMISE])

    def or_else(self, other: _Way) -> _Way:
        """Return the other way's where it is good and this is not."""
        better = np.asarray(other.good & ~self.good)
        return _Way(
            np.where(better[..., None], other.change, self.change),
            _either(better, other.found, self.found),
            _either(better, other.failed, self.failed),
            np.where(better, other.outcome, self.outcome),
        )


def _search(
    vehicle: Vehicle, wants: Sequence[Want], some: list[int], held: Array, change: Array
) -> _Way:
    """Look for the change of slack angles from one that is given."""
    found = stand(_turned(vehicle, held + change))
    stood, settled = np.array(found.stands), np.zeros_like(found.stands)
    share, falls, failed = np.ones(stood.shape), np.zeros(stood.shape), found
    pace, last = np.ones(stood.shape), np.full(stood.shape, np.inf)
    for _ in range(_MOST_STEPS):
        off = misses(_turned(vehicle, held + change), found, wants)
        step = _step(off.off, off.slopes, change, some)
        longest = np.max(np.abs(step), axis=-1)
        settled = settled | (longest < _CLOSE)
        near = ~_far(held + change)
        busy = stood & ~settled & (falls < _MOST_FALLS) & near
        if not busy.any():
            break
        # Across a stop that is only just met, full steps may swing to and fro for ever.
        swings = (longest > 0.7 * last) & (last < _LONGEST)
        pace, last = np.where(swings, 0.6 * pace, pace), longest
        whole = np.minimum(pace * share, share * _LONGEST / np.maximum(longest, _CLOSE))
        part = np.where(busy, whole, 0.0)
        tried = change + part[..., None] * step
        then = stand(_turned(vehicle, held + tried), start=np.asarray(found.state))
        good, fell = busy & then.stands, busy & ~then.stands
        change = np.where(good[..., None], tried, change)
        share = np.where(good, np.minimum(2.0 * share, 1.0), 0.25 * share)
        falls = falls + fell
        found, failed = _either(good, then, found), _either(fell, then, failed)
    met = np.all(np.abs(off.off) < _MET, axis=-1)
    outcome = np.select(
        [~stood | (~settled & (falls >= _MOST_FALLS)), met, ~near & ~settled, ~settled],
        [Outcome.LOST, Outcome.MET, Outcome.TOO_FAR, Outcome.NOT_SETTLED],
        Outcome.COMPROMISE,
    )
    return _Way(change, found, failed, outcome)


def _free(vehicle: Vehicle, free: Sequence[int] | None) -> list[int]:
    barred = [i for i, c in enumerate(vehicle.corners) if c.spring is not None]
    some = barred if free is None else list(free)
    if not some or len(set(some)) < len(some) or not set(some) <= set(barred):
        msg = (
            "Say which bars may be turned, by the places of their corners counted from "
            f"0: there are bars at {barred}; got {some}."
        )
        raise TaskError(msg)
    return some


def _slack(vehicle: Vehicle) -> Array:
    """Return the slack angles as they are, 0 where there is no bar."""
    each = [0.0 if c.spring is None else c.spring.slack for c in vehicle.corners]
    return np.stack(np.broadcast_arrays(*map(np.asarray, each)), axis=-1)


def _turned(vehicle: Vehicle, slack: Array) -> Vehicle:
    """Return the vehicle with these slack angles."""
    corners = [
        corner
        if corner.spring is None
        else replace(corner, spring=replace(corner.spring, slack=slack[..., i]))
        for i, corner in enumerate(vehicle.corners)
    ]
    return replace(vehicle, corners=tuple(corners))


def _carrying(vehicle: Vehicle) -> Array:
    """Return slack angles with which the bars about carry the drawn vehicle.

    Other springs are left out; a bar that would have to pull its wheel down is let be.
    """
    centre = sprung_centre(vehicle)
    drawn = [c.linkage.pose(np.zeros(())).contact for c in vehicle.corners]
    x, y = (
        np.stack(np.broadcast_arrays(*(value(getattr(p, a)) for p in drawn)), axis=-1)
        for a in ("x", "y")
    )
    weight = vehicle.sprung_mass * vehicle.gravity
    loads = least_loads(Centre(weight, value(centre.x), value(centre.y)), x, y)
    slack = []
    for i, corner in enumerate(vehicle.corners):
        if corner.spring is None:
            slack.append(np.zeros(()))
            continue
        slack.append(
            slack_for(
                corner.linkage,
                angle=0.0,
                rate=corner.spring.rate,
                load=np.maximum(loads[..., i], 0.0),
                bush=corner.spring.bush,
            )
        )
    return np.stack(np.broadcast_arrays(*slack), axis=-1)


def _step(off: Array, slopes: Array, change: Array, some: list[int]) -> Array:
    """Return the step to the least change that leaves the least off."""
    # What does not stand is NaN: it takes no step.
    J, r = np.nan_to_num(slopes[..., some]), np.nan_to_num(off)[..., None]
    here = change[..., some, None]
    step = np.zeros_like(change)
    step[..., some] = (np.linalg.pinv(J, rcond=_RANK) @ (r + J @ here) - here)[..., 0]
    return step


def _rank(slopes: Array) -> NDArray[np.int64]:
    sizes = np.linalg.svd(np.nan_to_num(slopes), compute_uv=False)
    return np.asarray(np.count_nonzero(sizes > _RANK * sizes[..., :1], axis=-1))


def _either(good: NDArray[np.bool_], new: Stand, old: Stand) -> Stand:
    """Return the new stands where they are good, else the old ones."""
    rows = {}
    for field in fields(Stand):
        a, b = getattr(new, field.name), getattr(old, field.name)
        rows[field.name] = np.where(
            good.reshape(good.shape + (1,) * (a.ndim - good.ndim)), a, b
        )
    return Stand(**rows)


def _far(slack: Array) -> NDArray[np.bool_]:
    return np.asarray(np.any(np.abs(slack) > _FARTHEST, axis=-1))
