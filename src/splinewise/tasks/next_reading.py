"""Which reading is worth taking next, and which few together are enough?

Every reading that a person could take with the instruments at hand is weighed by how
far it would cut the doubt of what is wanted, beside all that is known already.  None
of them needs to be taken for that: its doubt and the geometry are enough.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from splinewise.car.model import Car, Corner
from splinewise.core.corner import slack_for
from splinewise.core.design import Candidates, cheapest_plan, doubt_after
from splinewise.core.instruments import INSTRUMENTS, reading_doubt
from splinewise.core.quantities import Array
from splinewise.errors import QuantityError, TaskError
from splinewise.tasks.cautions import cautions
from splinewise.tasks.fit_joint import joint_of, solve_joint
from splinewise.tasks.fit_model import SLACK, CornerModel, Row
from splinewise.tasks.slack import corner_of, estimates
from splinewise.tasks.turns import arm_angle
from splinewise.tasks.values import Value

__all__ = ["GOALS", "NextReading", "Offer", "next_reading"]

Goal = Literal["slack angle", "ride height"]
GOALS: tuple[Goal, ...] = ("slack angle", "ride height")

UNKNOWN = 1.0
"""Doubt of a slack angle of which nothing was read. [rad]"""

TROUBLE = {"standing": 1.0, "bare arm": 3.0, "load test": 2.0}
"""Trouble of a reading; the bare arm needs the bar slack (own choice, no source). [1]"""

TWICE = math.sqrt(2.0)


@dataclass(frozen=True, slots=True)
class Offer:
    """One reading that could be taken.

    Attributes
    ----------
    of, state : str
        The dimension, "ride height", "arm slope" or "load test"; "bare arm" or
        "standing". [1]
    instrument, words : str
        Its key in the table of instruments, and what it is. [1]
    expected : Value
        What it should read, with the instrument's own standard doubt. [m or rad]
    after : Value
        Standard doubt of what is wanted, were this reading alone added. [m or rad]
    share : float
        That over the doubt now. [1]
    trouble : float
        How much trouble it is, a reading on the wheels being 1. [1]
    """

    of: str
    state: str
    instrument: str
    words: str
    expected: Value
    after: Value
    share: float
    trouble: float


@dataclass(frozen=True, slots=True)
class NextReading:
    """What to measure next at a corner.

    Attributes
    ----------
    car, corner, side : str
        Which corner. [1]
    wanted : str
        "slack angle" or "ride height". [1]
    now : Value
        Its value and standard doubt now. [rad or m]
    offers : tuple of Offer
        The readings that cut it most, best first. [1]
    weighed : int
        How many were weighed. [1]
    goal : Value
        Standard doubt to reach; NaN if none was asked for. [rad or m]
    set : tuple of Offer
        The cheap set that reaches it, in the order in which to take them; `after` is
        the doubt once it and those before it are taken. [1]
    reached : bool
        Whether the set reaches the goal; true where none was asked for. [1]
    words : str
        The answer as a sentence. [1]
    notes, cautions : tuple of str
        How to read it; safety sentences. [1]
    """

    car: str
    corner: str
    side: str
    wanted: Goal
    now: Value
    offers: tuple[Offer, ...]
    weighed: int
    goal: Value
    set: tuple[Offer, ...]
    reached: bool
    words: str
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


def next_reading(
    car: Car,
    corner: str,
    *,
    wanted: Goal,
    instruments: Sequence[str] = (),
    goal: float | None = None,
    weight: float | None = None,
    most: int = 6,
) -> NextReading:
    """Weigh the readings that could be taken at a corner.

    Parameters
    ----------
    car : Car
        The car.
    corner : str
        Its corner, by name or side.
    wanted : str
        "slack angle" or "ride height".
    instruments : sequence of str
        Keys of the instruments at hand; those of the corner's readings if left out.
    goal : float, optional
        Standard doubt to reach. [rad or m]
    weight : float, optional
        Weight at hand for a load test. [N]
    most : int
        Readings to list at most. [1]

    Returns
    -------
    NextReading
        The readings worth taking.

    Raises
    ------
    TaskError
        If no instrument is at hand, or none of them serves.
    """
    here = corner_of(car, corner)
    owned = _owned(here, instruments)
    if wanted == "ride height" and here.ride_height is None:
        msg = f"The file does not say where the ride height of {here.name} is read."
        raise TaskError(msg)
    if goal is not None and not goal > 0.0:
        msg = "A doubt to reach must be above 0."
        raise TaskError(msg)
    x, Q, read = _known(car, here)
    model = CornerModel(here, _candidates(here, x, owned, weight))
    if not model.rows:
        msg = f"No reading of {here.name} can be taken with what is at hand."
        raise TaskError(msg)
    expected, slopes = model.values(x), model.slopes(x)
    usable = np.isfinite(expected) & np.all(np.isfinite(slopes), axis=-1)
    rows = [row for row, good in zip(model.rows, usable, strict=True) if good]
    candidates = Candidates.of(
        slopes[usable],
        [row.standard for row in rows],
        [TROUBLE["load test" if r.kind == "drop" else r.state] for r in rows],
    )
    c, value = np.zeros(4), float(x[SLACK])
    c[SLACK] = 1.0
    if wanted == "ride height":
        c, value = model.height_slope(x), float(model.height(x))
        if not math.isfinite(value):
            msg = f"As it is set {here.name} sits on a stop; its height is the stop's."
            raise TaskError(msg)
    unit = "rad" if wanted == "slack angle" else "m"
    now = float(np.sqrt(c @ Q @ c))
    after = doubt_after(Q, candidates, c)
    offers = [
        _offer(row, float(e), unit, float(u), now, float(t))
        for row, e, u, t in zip(
            rows, expected[usable], after, candidates.cost, strict=True
        )
    ]
    order = sorted(range(len(offers)), key=lambda k: (after[k], offers[k].trouble))
    chosen, reached = _set(Q, candidates, c, goal, offers)
    best = [offers[k] for k in order[:most] if offers[k].share < 1.0 - 1e-6]
    return NextReading(
        car=car.name,
        corner=here.name,
        side=here.side,
        wanted=wanted,
        now=Value(value, unit, now),
        offers=tuple(best),
        weighed=len(offers),
        goal=Value(math.nan if goal is None else goal, unit),
        set=chosen,
        reached=reached,
        words=_words(here, wanted, best, goal, chosen, reached),
        notes=_notes(here, read),
        cautions=cautions(["on stands"]),
    )


def _owned(here: Corner, instruments: Sequence[str]) -> tuple[str, ...]:
    known = ", ".join(INSTRUMENTS)
    for key in instruments:
        if key not in INSTRUMENTS:
            msg = f"No instrument is called {key!r}. Known are {known}."
            raise TaskError(msg)
    used = [r.instrument for r in here.readings if r.instrument in INSTRUMENTS]
    found = tuple(dict.fromkeys(instruments or used))
    if not found:
        msg = f"Say what you can measure with: --with and one of {known}."
        raise TaskError(msg)
    return found


def _known(car: Car, here: Corner) -> tuple[Array, Array, bool]:
    """Return the four figures of a corner, their covariance, and whether it was read."""
    found, _ = estimates(here, here.readings)
    if found:
        solved = solve_joint(joint_of(car, [here.name]))
        at = solved.joint.columns[0]
        Q = np.zeros((4, 4))
        free = np.flatnonzero(at >= 0)
        Q[np.ix_(free, free)] = solved.fit.covariance[np.ix_(at[free], at[free])]
        return solved.joint.full(solved.fit.parameters, 0), Q, True
    published, _ = estimates(here, here.published)
    if published:
        slack = published[0].slack_angle.value
    else:
        turn = slack_for(
            here.linkage,
            angle=0.0,
            rate=here.bar.rate.value,
            load=here.load.value,
            bush=here.bush,
        )
        slack = arm_angle(here, float(turn))
    unknowns = CornerModel(here, ()).unknowns(slack)
    u = [UNKNOWN if math.isinf(k.standard) else k.standard for k in unknowns]
    return np.array([k.start for k in unknowns]), np.diag(np.square(u)), False


def _candidates(
    here: Corner, x: Array, owned: Sequence[str], weight: float | None
) -> tuple[Row, ...]:
    kinds = [("length", name, s, name) for name in here.dimensions for s in TROUBLE]
    kinds += [("slope", "arm slope", s, "") for s in TROUBLE]
    kinds = [k for k in kinds if k[2] != "load test"]
    if here.ride_height is not None:
        kinds.append(("height", "ride height", "standing", ""))
    if weight is not None:
        kinds.append(("drop", "load test", "standing", ""))
    found = []
    for kind, of, state, dimension in kinds:
        unit = "rad" if kind == "slope" else "m"
        bare = Row(
            of, of, state, "", 0.0, 1.0, unit, kind, None, dimension, weight or 0
        )
        reads = float(CornerModel(here, (bare,)).values(x)[0])
        for key in owned:
            if INSTRUMENTS[key].unit != unit or not math.isfinite(reads):
                continue
            try:
                u = float(reading_doubt(key, reads).standard)
            except QuantityError:
                continue
            # A fall is the difference of two readings.
            u *= TWICE if kind == "drop" else 1.0
            found.append(replace(bare, name=key, standard=u))
    return tuple(found)


def _offer(
    row: Row, expected: float, unit: str, after: float, now: float, trouble: float
) -> Offer:
    return Offer(
        row.of,
        row.state,
        row.name,
        INSTRUMENTS[row.name].words,
        Value(expected, row.unit, row.standard),
        Value(after, unit),
        after / now if now else 1.0,
        trouble,
    )


def _set(
    Q: Array,
    candidates: Candidates,
    c: Array,
    goal: float | None,
    offers: Sequence[Offer],
) -> tuple[tuple[Offer, ...], bool]:
    if goal is None:
        return (), True
    plan = cheapest_plan(Q, candidates, c, goal)
    chosen = tuple(
        replace(offers[k], after=replace(offers[k].after, value=float(u)))
        for k, u in zip(plan.chosen, plan.doubts[1:], strict=True)
    )
    return chosen, plan.reached


def _told(offer: Offer) -> str:
    state = "with the bar slack" if offer.state == "bare arm" else "standing"
    return f"the {offer.of} {state}, with a {offer.words}"


def _words(
    here: Corner,
    wanted: Goal,
    best: Sequence[Offer],
    goal: float | None,
    chosen: Sequence[Offer],
    reached: bool,
) -> str:
    if not best:
        return (
            f"Nothing that can be read with what is at hand makes the {wanted} of "
            f"{here.name} any surer."
        )
    told = (
        f"At {here.name}, read {_told(best[0])}: of all single readings it makes the "
        f"{wanted} surest, to {100.0 * best[0].share:.0f} % of its doubt now."
    )
    if goal is None:
        return told
    if reached and not chosen:
        return f"The {wanted} of {here.name} is as sure as you want it already."
    if not reached:
        return f"{told} The doubt that you want is out of reach with what is at hand."
    count = "One reading is" if len(chosen) == 1 else f"{len(chosen)} readings are"
    return f"{told} {count} enough for the doubt that you want."


def _notes(here: Corner, read: bool) -> tuple[str, ...]:
    found = [
        (
            "Each doubt of a reading is its instrument's, and readings with one "
            "instrument are taken to be independent. Errors of the car's own points "
            "are not in it."
        ),
        (
            "A reading with the bar slack is taken as three times the trouble of one on "
            "the wheels, a load test as twice (own choice, no source). The set is cheap "
            "and enough, and not proved to be the cheapest."
        ),
    ]
    if not read:
        found.insert(
            0,
            f"Nothing that serves was read at {here.name} yet, so its slack angle is "
            "taken as not known at all.",
        )
    return tuple(found)
