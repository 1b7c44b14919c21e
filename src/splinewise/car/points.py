"""How a point of a car file is read: [x, y, z], forward, to the left and up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, NoReturn

from splinewise.car.declare import Reader, refuse
from splinewise.car.keys import OFFSET, shown
from splinewise.errors import TextError
from splinewise.units import read_any

__all__ = ["Coordinates", "Direction", "Mirrored", "Point", "Triple"]

Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Mirrored:
    """A point taken over from the other side of the car.

    Attributes
    ----------
    given : object
        The point as the other side's table has it. [1]
    unit : object
        That table's unit. [1]
    """

    given: object
    unit: object


@dataclass(frozen=True, slots=True)
class Coordinates(Reader):
    """Reads [x, y, z] as metres, or as a bare direction.

    Attributes
    ----------
    bare : bool
        Whether it is a direction, in numbers without a unit. [1]
    """

    bare: bool = False

    def published(self) -> dict[str, Any]:
        """Return: three numbers, or texts with their units."""
        number: dict[str, Any] = {"type": "number"}
        item = number if self.bare else {"anyOf": [number, {"type": "string"}]}
        return {"type": "array", "items": item, "minItems": 3, "maxItems": 3}

    def read(self, given: object, data: Mapping[str, Any]) -> Triple:
        """Return x, y, z in metres, or refuse what was given.

        A bare number is in the table's own unit, which stands before the points.
        """
        if isinstance(given, Mirrored):
            x, y, z = self._numbers(given.given, given.unit)
            return x, -y, z
        return self._numbers(given, data.get("unit"))

    def _numbers(self, given: object, unit: object) -> Triple:
        if not isinstance(given, list) or len(given) != 3:
            example = "[0.0, 1.0, 0.0]" if self.bare else "[120, 230.5, 240]"
            msg = (
                f"{shown(given)} is not a point. Write its x (forward), y (to the "
                f"left) and z (up), as {example}."
            )
            refuse(msg)
        x, y, z = (
            self._number(item, unit, axis)
            for item, axis in zip(given, "xyz", strict=True)
        )
        return x, y, z

    def _number(self, item: object, unit: object, axis: str) -> float:
        if isinstance(item, str) and not self.bare:
            try:
                quantity = read_any(item, ("length",))
            except TextError as error:
                refuse(f"{axis}: {error}")
            if quantity.doubt is not None:
                msg = (
                    f'{axis}: "{item}" has a doubt, which a point cannot carry yet. '
                    "Leave the ± out."
                )
                refuse(msg)
            value = quantity.value
        elif isinstance(item, (int, float)) and not isinstance(item, bool):
            if not abs(item) <= 1e6:  # also what is not finite, or no float can hold
                self._far(item, axis)
            # Without a good unit, which is blamed by itself, any size will do.
            scale = {"mm": 1e-3, "in": 0.0254}.get(str(unit), 0.0)
            value = float(item) if self.bare else item * scale
        else:
            refuse(f"{axis}: {shown(item)} is not a number.")
        if not abs(value) <= OFFSET.high:
            self._far(item, axis)
        return value

    @staticmethod
    def _far(item: object, axis: str) -> NoReturn:
        refuse(
            f"{axis}: {shown(item)} cannot be right; a point must lie {OFFSET.words} of "
            "where the axes meet. Look at the unit."
        )


Point = Annotated[Triple, Coordinates()]
Direction = Annotated[Triple, Coordinates(bare=True)]
