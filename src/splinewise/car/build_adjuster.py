"""The adjuster of a corner: what it is and where it stands."""

from __future__ import annotations

import math

from splinewise.car.blame import Blame
from splinewise.car.tables import (
    AdjusterTable,
    HoleRowTable,
    NoAdjusterTable,
    ScrewTable,
    SlotTable,
)
from splinewise.car.words import length_words
from splinewise.core.adjuster import Adjuster, HoleRow, Slot
from splinewise.core.screw import Screw
from splinewise.errors import QuantityError

__all__ = ["build_adjuster"]

Placed = tuple[Adjuster | None, float]

_NONE: Placed = (None, 0.0)


def build_adjuster(table: AdjusterTable, blame: Blame) -> Placed:
    """Return the adjuster and where it stands from the middle of its range."""
    if isinstance(table, NoAdjusterTable):
        return _NONE
    if isinstance(table, ScrewTable):
        return _screw(table, blame)
    if isinstance(table, SlotTable):
        return _slot(table, blame)
    return _holes(table, blame)


def _screw(table: ScrewTable, blame: Blame) -> Placed:
    worse = blame.mark()
    angle, turns = table.screw_angle.value, table.turns.value
    if not 0.0 < angle < math.pi:
        blame.say(
            "screw_angle",
            f'"{table.screw_angle.text}" must be between 0° and 180°: it is the corner '
            "between screw and lever.",
        )
    if turns <= 0.0:
        blame.say("turns", f'"{table.turns.text}" must be more than no turn.')
    elif abs(table.now.value) > turns / 2.0:
        blame.say(
            "now",
            f'"{table.now.text}" is past the end of the range: it is counted from the '
            f"middle, and the range is {table.turns.text} in all.",
        )
    if worse():
        return _NONE
    try:
        screw = Screw(
            radius=table.lever_radius.value,
            pitch=table.pitch.value,
            turns=turns,
            angle=angle,
            length=table.screw_length.value if table.screw_length else math.inf,
            sense=1 if table.longer == "bump" else -1,
        )
    except QuantityError:
        blame.say(
            "turns",
            f'"{table.turns.text}" would bring the lever in line with the screw. Look '
            "at pitch, lever_radius and screw_length, and at their units.",
        )
        return _NONE
    return screw, table.now.value


def _slot(table: SlotTable, blame: Blame) -> Placed:
    longest = 2.0 * table.radius.value
    if table.slot_length.value > longest:
        blame.say(
            "slot_length",
            f'"{table.slot_length.text}" is more than twice the radius, '
            f"{length_words(longest, blame.system)}.",
        )
        return _NONE
    slot = Slot(table.radius.value, table.slot_length.value, 1)
    if abs(table.now.value) > slot.half:
        blame.say(
            "now",
            f'"{table.now.text}" is past the end of the slot: it is taken from the '
            f"middle, and half the slot is {length_words(slot.half, blame.system)}.",
        )
        return _NONE
    return slot, table.now.value


def _holes(table: HoleRowTable, blame: Blame) -> Placed:
    if table.holes < 2:
        blame.say("holes", "A row has at least 2 holes.")
    elif table.hole > table.holes:
        blame.say("hole", f"The row has {table.holes} holes; there is no {table.hole}.")
    elif table.pitch.value > 2.0 * table.radius.value:
        blame.say(
            "pitch",
            f'"{table.pitch.text}" is more than twice the radius, '
            f"{length_words(2.0 * table.radius.value, blame.system)}.",
        )
    else:
        try:
            row = HoleRow(table.radius.value, table.pitch.value, table.holes, 1)
        except QuantityError:  # the one thing that is left
            blame.say("holes", f"{table.holes} such holes go more than once round.")
        else:
            return row, table.hole - (table.holes + 1) / 2.0
    return _NONE
