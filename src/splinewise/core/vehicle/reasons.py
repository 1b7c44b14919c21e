"""Why a vehicle does not stand, and what to know of one that does."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from splinewise.core.vehicle.parts import Vehicle
from splinewise.core.vehicle.rest import Stand

__all__ = ["Reason", "Remark", "Why", "remarks", "why"]


class Why(StrEnum):
    """What keeps a vehicle from standing; the value is the words for it."""

    NOT_POSED = "the linkage cannot be assembled even as it is drawn"
    LOCKS_IN_BUMP = "the linkage locks in bump before its springs carry the load"
    LOCKS_IN_DROOP = "the linkage locks in droop before its spring is slack"
    TIPS = "the vehicle tips over"
    UNSTABLE = "the forces balance, but nothing keeps the vehicle upright"
    TYRE_FLAT = "the load is more than the tyre bears at its rate"
    NOT_SETTLED = "the search for the rest ended before it was found"


class Remark(StrEnum):
    """What to know of a vehicle that stands; the value is the words for it."""

    LIFTED = "the tyre is off the floor"
    ON_BUMP_STOP = "the corner sits on its bump stop"
    ON_REBOUND_STOP = "the corner hangs on its rebound stop"


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing about one corner, or about the whole vehicle.

    Attributes
    ----------
    what : Why or Remark
        What it is. [1]
    corner : str
        Name of the corner; empty for the whole vehicle. [1]
    """

    what: Why | Remark
    corner: str = ""

    @property
    def words(self) -> str:
        """The reason as a phrase, with the corner's name."""
        return f"{self.corner}: {self.what.value}" if self.corner else self.what.value


def why(stand: Stand, vehicle: Vehicle) -> tuple[tuple[Reason, ...], ...]:
    """Return for each vehicle why it does not stand.

    Parameters
    ----------
    stand : Stand, shape () or (N,)
        Where the vehicles came to. [m]
    vehicle : Vehicle, shape () or (N,)
        The vehicles. [kg]

    Returns
    -------
    tuple of tuple of Reason, shape (N,)
        For each vehicle (one for a single one) at least one reason; none for one
        that stands. [1]
    """
    names = [corner.name for corner in vehicle.corners]
    stands = np.atleast_1d(stand.stands)
    found: list[tuple[Reason, ...]] = [()] * stands.size
    posed = np.isfinite(np.atleast_2d(stand.rises))
    each = (
        (Why.NOT_POSED, ~posed),
        (Why.LOCKS_IN_BUMP, np.atleast_2d(stand.locked) > 0),
        (Why.LOCKS_IN_DROOP, np.atleast_2d(stand.locked) < 0),
        (Why.TYRE_FLAT, np.atleast_2d(stand.flat)),
    )
    tipped = np.atleast_1d(stand.tipped)
    balanced = np.atleast_1d(stand.balanced)
    for car in np.flatnonzero(~stands):
        reasons = [Reason(Why.TIPS)] if tipped[car] else []
        for what, which in each:
            reasons += [Reason(what, names[i]) for i in np.flatnonzero(which[car])]
        if not reasons:
            last = Why.UNSTABLE if balanced[car] else Why.NOT_SETTLED
            reasons.append(Reason(last))
        found[car] = tuple(reasons)
    return tuple(found)


def remarks(stand: Stand, vehicle: Vehicle) -> tuple[tuple[Reason, ...], ...]:
    """Return for each vehicle which tyres are off the floor and which stops are met.

    Parameters
    ----------
    stand : Stand, shape () or (N,)
        Where the vehicles came to. [m]
    vehicle : Vehicle, shape () or (N,)
        The vehicles. [kg]

    Returns
    -------
    tuple of tuple of Reason, shape (N,)
        For each vehicle; none where all corners stand freely. [1]
    """
    each = (
        (Remark.LIFTED, np.atleast_2d(stand.lifted)),
        (Remark.ON_BUMP_STOP, np.atleast_2d(stand.on_stop) > 0),
        (Remark.ON_REBOUND_STOP, np.atleast_2d(stand.on_stop) < 0),
    )
    found: list[tuple[Reason, ...]] = [()] * np.atleast_1d(stand.stands).size
    busy = np.any([which.any(axis=-1) for _, which in each], axis=0)
    for car in np.flatnonzero(busy):
        found[car] = tuple(
            Reason(what, corner.name)
            for i, corner in enumerate(vehicle.corners)
            for what, which in each
            if which[car, i]
        )
    return tuple(found)
