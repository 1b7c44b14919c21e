"""What a gauge holds: holes, stock, what errors do, and the verdict on one as made."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from splinewise.tasks.values import Value

__all__ = ["Drilled", "Gauge", "HeightError", "Hole", "Verdict"]

Verdict = Literal["good enough", "not good enough", "cannot tell"]


@dataclass(frozen=True, slots=True)
class Hole:
    """One hole of the gauge.

    Attributes
    ----------
    at : str
        The point of the car that its bolt is. [1]
    bolt : Value
        Nominal diameter of the bolt; NaN if the car file does not give it. [m]
    drill : Value
        Clearance hole to drill; NaN if it is not known. [m]
    standard : str
        The table that the hole comes from, and how far to trust it. [1]
    """

    at: str
    bolt: Value
    drill: Value
    standard: str


@dataclass(frozen=True, slots=True)
class HeightError:
    """What an error of the gauge does to the ride height.

    Attributes
    ----------
    error : Value
        How much longer the gauge is. [m]
    words : str
        The same as a workshop says it. [1]
    angle : Value
        What the slack angle gains by it. [rad]
    height : Value
        What the ride height gains by it; up is positive. [m]
    """

    error: Value
    words: str
    angle: Value
    height: Value


@dataclass(frozen=True, slots=True)
class Drilled:
    """A gauge as it was made.

    Attributes
    ----------
    centres : Value
        Centre distance as measured. [m]
    error : Value
        Measured less wanted. [m]
    height_error : Value
        What that does to the ride height; up is positive. [m]
    how : str
        How the centre distance was found. [1]
    tolerance : Value
        Tolerance of ride height used; NaN if none is known. [m]
    inside : Value
        Chance that the height error is inside the tolerance; NaN if none is
        known. [1]
    outcome : str
        "good enough", "not good enough" or "cannot tell": a chance of at least 95 %,
        of at most 5 %, or between, or no tolerance. [1]
    good : bool
        Whether it is good enough. [1]
    """

    centres: Value
    error: Value
    height_error: Value
    how: str
    tolerance: Value
    inside: Value
    outcome: Verdict
    good: bool


@dataclass(frozen=True, slots=True)
class Gauge:
    """A gauge bar for one dimension of one corner.

    Attributes
    ----------
    car, corner, side : str
        Which corner. [1]
    dimension, fixed, moving : str
        The dimension and its two points. [1]
    goal : str
        What the gauge sets the car to. [1]
    centres : Value
        Distance between the hole centres. [m]
    holes : tuple of Hole
        The two holes, the fixed point's first. [m]
    stock : Value
        Least length of stock; NaN if the holes are not known. [m]
    play : Value
        Half-range by which the holes' play lets the distance stray. [m]
    play_height : Value
        The same as ride height. [m]
    errors : tuple of HeightError
        What small errors of the gauge do. [m]
    arm_drops : bool
        Whether a longer gauge holds the arm lower. [1]
    drilled : Drilled or None
        The gauge as made, if it was measured. [m]
    warnings, cautions : tuple of str
        What wants attention; safety sentences. [1]
    """

    car: str
    corner: str
    side: str
    dimension: str
    fixed: str
    moving: str
    goal: str
    centres: Value
    holes: tuple[Hole, ...]
    stock: Value
    play: Value
    play_height: Value
    errors: tuple[HeightError, ...]
    arm_drops: bool
    drilled: Drilled | None
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
