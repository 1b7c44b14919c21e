"""Which way a turn goes, clockwise or anticlockwise, as seen from a stated place.

A turn is told by its axis: right-handed about that vector, which for an arm points so
that bump is positive.  Seen by someone who looks along the vector the turn is
clockwise; by someone at whom the vector points, anticlockwise.  Directions are in the
vehicle's axes (ISO 8855: x forward, y left, z up).

For a bar along the car the place is in front of it, looking rearward.  From there the
car's left is on the viewer's right, so the left arm points to the viewer's right and
rises anticlockwise, the right arm clockwise.  Own derivation, held by tests to points
moved in a picture.  No NumPy here.
"""

from __future__ import annotations

from math import acos, hypot, inf, radians
from typing import Literal

from splinewise.core.lattice import Sense
from splinewise.errors import QuantityError

__all__ = [
    "PLACES",
    "Direction",
    "Place",
    "Side",
    "Vector",
    "bump_axis",
    "stated_place",
    "turning",
]

Direction = Literal["clockwise", "anticlockwise"]
Place = Literal["front", "rear", "left", "right"]
Side = Literal["left", "right"]
Vector = tuple[float, float, float]

PLACES: dict[Place, Vector] = {
    "front": (-1.0, 0.0, 0.0),
    "rear": (1.0, 0.0, 0.0),
    "left": (0.0, -1.0, 0.0),
    "right": (0.0, 1.0, 0.0),
}
"""Where one stands, and which way one then looks.

"front" is in front of the car looking rearward, "rear" behind it looking forward,
"left" at its left side looking right, "right" at its right side looking left. [1]
"""

# Within this of square to the line of sight, a turn is seen edge on, and a person
# could not tell which way round it goes.
_EDGE_ON = radians(10.0)


def bump_axis(arm: Vector) -> Vector:
    """Return the level axis about which an arm turns to bump.

    Parameters
    ----------
    arm : tuple of float, shape (3,)
        From the bar to the wheel's end of the arm: (0, 1, 0) for the left arm of a
        bar along the car, (−1, 0, 0) for a trailing arm. [m]

    Returns
    -------
    tuple of float, shape (3,)
        arm × up, made a unit vector: a right-handed turn about it lifts the wheel's
        end. [1]

    Raises
    ------
    QuantityError
        If the arm points straight up or down, so that it lifts nothing.

    Examples
    --------
    >>> turning(bump_axis((0.0, -0.3, -0.1)), PLACES["front"])
    'clockwise'
    """
    x, y, _ = arm
    level = _length("arm", (x, y, 0.0), "m", "longer than 0 as seen from above")
    return (y / level, -x / level, 0.0)


def turning(axis: Vector, view: Vector, *, sense: Sense = "bump") -> Direction:
    """Return which way a turn goes for someone who looks along `view`.

    Parameters
    ----------
    axis : tuple of float, shape (3,)
        Axis about which a right-handed turn is bump; of any length. [1]
    view : tuple of float, shape (3,)
        The way the person looks; one of `PLACES`, or any other. [1]
    sense : {"bump", "droop"}, shape ()
        Sense of the turn. [1]

    Returns
    -------
    {"clockwise", "anticlockwise"}, shape ()
        The direction. [1]

    Raises
    ------
    QuantityError
        If the turn is seen within 10° of edge on, or a vector has no length.

    Examples
    --------
    >>> turning((1.0, 0.0, 0.0), PLACES["front"])
    'anticlockwise'
    """
    rule = "longer than 0, and finite"
    lengths = _length("axis", axis, "", rule) * _length("view", view, "", rule)
    along = sum(a * v for a, v in zip(axis, view, strict=True)) / lengths
    apart = acos(min(max(along, -1.0), 1.0))
    if abs(apart - radians(90.0)) < _EDGE_ON:
        name, rule = "view", "more than 10° from square to the axis"
        raise QuantityError(name, apart, "rad from the axis", rule)
    away = along > 0.0
    return "clockwise" if away == (sense == "bump") else "anticlockwise"


def stated_place(axis: Vector, side: Side) -> Place:
    """Return the place from which a turn of a bar is told.

    Parameters
    ----------
    axis : tuple of float, shape (3,)
        Axis of the bar, either way round. [1]
    side : {"left", "right"}, shape ()
        Side of the car that its wheel is on. [1]

    Returns
    -------
    {"front", "left", "right"}, shape ()
        "front" for a bar that lies more along the car than across it; the wheel's own
        side for one that lies across, since that is where one kneels. [1]
    """
    x, y, _ = axis
    return "front" if abs(x) >= abs(y) else side


def _length(name: str, vector: Vector, unit: str, rule: str) -> float:
    """Return a vector's length, or say that it has none."""
    length = hypot(*vector)
    if not 0.0 < length < inf:
        raise QuantityError(name, length, unit, rule)
    return length
