"""What a fit of a corner, or of two, to all that was read says."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from splinewise.tasks.values import Value

__all__ = ["BookRow", "FittedValue", "Misread", "ReadRow", "Readings"]


@dataclass(frozen=True, slots=True)
class FittedValue:
    """One figure of a corner before and after the readings were taken in.

    Attributes
    ----------
    corner, name : str
        The corner, or both corners where they share it; what the figure is. [1]
    before, after : Value
        As known beforehand, NaN if nothing was; as known now. [SI]
    """

    corner: str
    name: str
    before: Value
    after: Value


@dataclass(frozen=True, slots=True)
class ReadRow:
    """One reading, or one figure of the car file, against all the others.

    Attributes
    ----------
    corner, name : str
        Where it was read and what it is called. [1]
    as_typed, state : str
        Its text; "bare arm" or "standing", empty for a figure of the file. [1]
    observed, fitted : Value
        As read, with its own doubt; as all readings together have it. [SI]
    off : Value
        Observed less what the other rows say; NaN if they say nothing. [SI]
    times : float
        The part of it that shows over its standard doubt, w; NaN if the others say
        nothing of this one. [1]
    noticeable : Value
        Smallest error that would be noticed four times in five; NaN if none would. [SI]
    slack_angle : Value
        The slack angle that this reading alone gives; NaN for a figure of the file and
        for a load test. [rad]
    verdict : str
        "agrees", "wrong", "suspect" or "cannot tell". [1]
    """

    corner: str
    name: str
    as_typed: str
    state: str
    observed: Value
    fitted: Value
    off: Value
    times: float
    noticeable: Value
    slack_angle: Value
    verdict: Literal["agrees", "wrong", "suspect", "cannot tell"]


@dataclass(frozen=True, slots=True)
class Misread:
    """What one reading, or two, may have been.

    Attributes
    ----------
    names : tuple of str
        The readings. [1]
    was, instead : tuple of str
        As typed, and as they would have been. [1]
    slip : str
        What would have gone wrong. [1]
    probability : float
        Share of belief against all other explanations that were weighed. [1]
    agrees : bool
        Whether everything then agrees. [1]
    words : str
        The same as a sentence. [1]
    """

    names: tuple[str, ...]
    was: tuple[str, ...]
    instead: tuple[str, ...]
    slip: str
    probability: float
    agrees: bool
    words: str


@dataclass(frozen=True, slots=True)
class BookRow:
    """A published dimension beside the car as read; it takes no part in the fit.

    Attributes
    ----------
    corner, name, source : str
        Where it belongs, what it is called, where it came from. [1]
    slack_angle : Value
        The slack angle that it asks for. [rad]
    apart : Value
        That less the slack angle as read. [rad]
    chance : float
        Chance that two equal angles would be found so far apart or farther. [1]
    for_this_car : bool or None
        Whether it is known to be for this car. [1]
    words : str
        The same as a sentence. [1]
    """

    corner: str
    name: str
    source: str
    slack_angle: Value
    apart: Value
    chance: float
    for_this_car: bool | None
    words: str


@dataclass(frozen=True, slots=True)
class Readings:
    """What all readings together say of a corner, or of two that share a bar's rate.

    Attributes
    ----------
    car, corner : str
        The car; the corner, or those that were fitted together, in words. [1]
    corners : tuple of str
        The corners that were fitted together. [1]
    values : tuple of FittedValue
        The unknowns, and the ride height that follows from them. [SI]
    rows : tuple of ReadRow
        Each reading, then each figure that was known beforehand. [SI]
    published : tuple of BookRow
        What print asks for, beside it. [rad]
    finding : str
        "agrees", "something is wrong", "this reading is wrong" or "nothing to
        compare". [1]
    words : str
        The finding as a sentence. [1]
    agrees : bool
        False where something is wrong. [1]
    chance : float
        Chance that good readings would lie as far apart or farther; NaN without
        anything to compare. [1]
    spare : int
        How many readings there are more than are needed. [1]
    misreads : tuple of Misread
        Slips that would explain what is wrong, the likeliest first. [1]
    left_out, notes, cautions : tuple of str
        What could not be used; how to read it; safety sentences. [1]
    """

    car: str
    corner: str
    corners: tuple[str, ...]
    values: tuple[FittedValue, ...]
    rows: tuple[ReadRow, ...]
    published: tuple[BookRow, ...]
    finding: Literal[
        "agrees", "something is wrong", "this reading is wrong", "nothing to compare"
    ]
    words: str
    agrees: bool
    chance: float
    spare: int
    misreads: tuple[Misread, ...]
    left_out: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
