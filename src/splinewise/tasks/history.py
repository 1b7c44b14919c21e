"""What was done to this corner by whoever had it before?

The bar's turn as found, from all readings together, is compared with what every
published dimension asks for, in whole index steps of the splines, with and without a
bar that has settled.  What is taken for granted beforehand is part of the result.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from splinewise import show
from splinewise.car.model import Car, Corner
from splinewise.core.histories import place_likelihood, posterior
from splinewise.core.lattice import Splines, least_move
from splinewise.core.quantities import Array
from splinewise.errors import TaskError
from splinewise.tasks.cautions import cautions
from splinewise.tasks.fit_car import readings_from
from splinewise.tasks.fit_joint import joint_of, solve_joint
from splinewise.tasks.fit_model import SLACK
from splinewise.tasks.readings_result import Readings
from splinewise.tasks.slack import SlackEstimate, corner_of, estimates
from splinewise.tasks.turns import bar_turn, turn_per_angle
from splinewise.tasks.values import Value

__all__ = ["History", "Told", "history"]

SHOWN = 6
LEAST = 0.001
FAR = 4.0
"""Standard doubts beyond which a place explains nothing (own choice). [1]"""


@dataclass(frozen=True, slots=True)
class Told:
    """One explanation of where the corner is found.

    Attributes
    ----------
    figure : str
        The published dimension that was aimed at. [1]
    for_this_car : bool or None
        Whether it is known to be for this car. [1]
    places : int
        Whole index steps from there, positive to bump. [1]
    arm, anchor : int
        The least teeth at the two ends that make them. [1]
    settled : bool
        Whether the bar has settled as well. [1]
    left_over : Value
        What the steps leave unexplained, of the bar's turn. [rad]
    probability : float
        How likely, against all others that were weighed. [1]
    words : str
        The same as a sentence. [1]
    """

    figure: str
    for_this_car: bool | None
    places: int
    arm: int
    anchor: int
    settled: bool
    left_over: Value
    probability: float
    words: str


@dataclass(frozen=True, slots=True)
class History:
    """What was most likely done to a corner.

    Attributes
    ----------
    car, corner, side : str
        Which corner. [1]
    slack_angle : Value
        The slack angle as found, from all readings together. [rad]
    index_step : Value
        Smallest step of the bar's turn that the two ends can make. [rad]
    told : tuple of Told
        The explanations, the likeliest first. [1]
    rest : float
        Probability of all that are not listed. [1]
    beyond : bool
        Whether nothing that was weighed explains it. [1]
    readings_agree : bool
        Whether the readings behind it agree. [1]
    words : str
        The answer as a sentence. [1]
    beforehand : tuple of str
        What was taken for granted. [1]
    left_out, cautions : tuple of str
        What could not be used; safety sentences. [1]
    """

    car: str
    corner: str
    side: str
    slack_angle: Value
    index_step: Value
    told: tuple[Told, ...]
    rest: float
    beyond: bool
    readings_agree: bool
    words: str
    beforehand: tuple[str, ...]
    left_out: tuple[str, ...]
    cautions: tuple[str, ...]


def history(
    car: Car, corner: str, *, right: float, settled: float | None = None
) -> History:
    """Weigh what may have been done to a corner.

    Parameters
    ----------
    car : Car
        The car.
    corner : str
        Its corner, by name or side.
    right : float
        Chance beforehand that whoever set it to a figure came to the right place. [1]
    settled : float, optional
        Width of what the bar may have settled by, as turn of the bar; none if left
        out. [rad]

    Returns
    -------
    History
        The explanations with their probabilities.

    Raises
    ------
    TaskError
        If nothing was read or published of the slack angle, the splines have one
        place only, or a chance is not one.
    """
    here = corner_of(car, corner)
    if not 0.0 < right < 1.0:
        msg = "The chance of having been set right must lie between 0 and 1."
        raise TaskError(msg)
    if settled is not None and settled <= 0.0:
        msg = "What the bar may have settled by must be above 0; leave it out for none."
        raise TaskError(msg)
    if here.splines.positions < 2:
        msg = f"The splines of {here.name} go together one way only."
        raise TaskError(msg)
    solved = solve_joint(joint_of(car, [here.name]))
    figures, out = estimates(here, here.published)
    if not figures:
        msg = " ".join(
            [f"No published dimension says how {here.name} was to be set.", *out]
        )
        raise TaskError(msg)
    found, doubt = solved.figure(0, SLACK)
    return _history(
        car,
        here,
        Value(found, "rad", doubt),
        figures,
        right,
        settled,
        readings_from(car, solved),
        out,
    )


def _history(
    car: Car,
    here: Corner,
    found: Value,
    figures: Sequence[SlackEstimate],
    right: float,
    settled: float | None,
    read: Readings,
    out: Sequence[str],
) -> History:
    splines, step = here.splines, here.splines.index_step
    reach = _reach(splines)
    places = np.arange(-reach, reach + 1)
    share = _shares(places, right)
    widths = (0.0,) if settled is None else (0.0, settled)
    # An adjuster takes up what lies between two places.
    half = 0.0 if here.adjuster is not None else 0.5 * step
    likely, before, apart = [], [], []
    for figure in figures:
        d, u = _apart(here, found, figure)
        apart.append((d, u))
        for width in widths:
            likely.append(
                place_likelihood(
                    d, u, places, step=step, half_width=half, settled=width
                )
            )
            before.append(share)
    chance = posterior(np.concatenate(likely), np.concatenate(before))
    order = np.argsort(-chance, kind="stable")
    told = []
    top = divmod(int(order[0]), places.size)
    d, u = apart[top[0] // len(widths)]
    left = abs(d - float(places[top[1]]) * step) - half - 3.0 * (settled or 0.0)
    beyond = left > FAR * u
    for k in order[:SHOWN]:
        if beyond or chance[k] < LEAST:
            break
        which, place = divmod(int(k), places.size)
        figure = figures[which // len(widths)]
        d, u = apart[which // len(widths)]
        told.append(
            _told(
                splines,
                figure,
                int(places[place]),
                bool(which % len(widths)),
                Value(d - float(places[place]) * step, "rad", u),
                float(chance[k]),
            )
        )
    listed = math.fsum(t.probability for t in told)
    return History(
        car=car.name,
        corner=here.name,
        side=here.side,
        slack_angle=found,
        index_step=Value(step, "rad"),
        told=tuple(told),
        rest=max(0.0, 1.0 - listed) if told else 0.0,
        beyond=beyond,
        readings_agree=read.agrees,
        words=_words(here, told, read),
        beforehand=_beforehand(here, figures, reach, right, settled),
        left_out=(*out, *read.left_out),
        cautions=cautions(["on stands"]),
    )


def _reach(splines: Splines) -> int:
    """Return how many index steps the coarser of the two teeth is, at most half round."""
    coarse = max(
        step
        for step, count in (
            (splines.arm_step, splines.arm),
            (splines.anchor_step, splines.anchor),
        )
        if count > 1
    )
    return min(round(coarse / splines.index_step), max(1, (splines.positions - 1) // 2))


def _shares(places: NDArray[np.intp], right: float) -> Array:
    """Return the chance of each place beforehand: near slips are likelier."""
    size = np.abs(places)
    weight = np.where(size == 0, 0.0, 1.0 / np.maximum(size, 1))
    return np.where(size == 0, right, (1.0 - right) * weight / weight.sum())


def _apart(here: Corner, found: Value, figure: SlackEstimate) -> tuple[float, float]:
    """Return the bar's turn as found less that of a figure, and its doubt. [rad]"""
    ends = (found, figure.slack_angle)
    turns = bar_turn(here, [end.value for end in ends])
    doubt = math.hypot(
        *(turn_per_angle(here, end.value) * (end.doubt or 0.0) for end in ends)
    )
    return float(turns[0] - turns[1]), doubt


def _told(
    splines: Splines,
    figure: SlackEstimate,
    places: int,
    settled: bool,
    left_over: Value,
    probability: float,
) -> Told:
    move = least_move(splines, places)
    if places == 0:
        words = f"set by the published {figure.name}"
    else:
        steps = "1 index step" if abs(places) == 1 else f"{abs(places)} index steps"
        way = "bump" if places > 0 else "droop"
        words = (
            f"set by the published {figure.name}, and {steps} too far toward {way} "
            f"({_teeth(move.arm, move.anchor)})"
        )
    if settled:
        words += ", and the bar has settled since"
    if figure.for_this_car is not True:
        car = "another car" if figure.for_this_car is False else "maybe another car"
        words += f"; that figure is for {car}"
    return Told(
        figure.name,
        figure.for_this_car,
        places,
        move.arm,
        move.anchor,
        settled,
        left_over,
        probability,
        words,
    )


def _teeth(arm: int, anchor: int) -> str:
    ends = [
        f"{abs(n)} {'tooth' if abs(n) == 1 else 'teeth'} toward "
        f"{'bump' if n > 0 else 'droop'} at the {end} end"
        for n, end in ((arm, "arm"), (anchor, "anchor"))
        if n
    ]
    return " and ".join(ends)


def _words(here: Corner, told: Sequence[Told], read: Readings) -> str:
    doubtful = "" if read.agrees else " But the readings disagree: mend that first."
    if not told:
        return (
            f"Nothing that was weighed explains how {here.name} is set: it is farther "
            "from every published dimension than one tooth at one end." + doubtful
        )
    best = told[0]
    share = f"{min(100.0 * best.probability, 99.0):.0f} in 100"
    if best.probability < 0.5:
        return (
            f"It cannot be told what was done to {here.name}; likeliest, {share}, it "
            f"was {best.words}." + doubtful
        )
    return f"{here.name} was most likely, {share}, {best.words}." + doubtful


def _beforehand(
    here: Corner,
    figures: Sequence[SlackEstimate],
    reach: int,
    right: float,
    settled: float | None,
) -> tuple[str, ...]:
    names = " and ".join(f.name for f in figures)
    found = [
        f"That it was set by one of the published dimensions, each as likely: {names}.",
        (
            f"That it came to the right place {100.0 * right:.0f} times in 100, and "
            f"else to one of the other {2 * reach} places within one tooth, one twice "
            "as far off half as likely (own choice, no source; --right)."
        ),
    ]
    if here.adjuster is None:
        found.append(
            "That the figure may lie anywhere between two places, half an index step "
            "from the nearer at most."
        )
    else:
        found.append("That the adjuster took up what lies between two places.")
    if settled is None:
        found.append("That the bar has not settled (--set allows for it).")
    else:
        found.append(
            f"That the bar is as likely to have settled as not, and then toward bump by "
            f"less than {show.angle(settled)} two times in three."
        )
    return tuple(found)
