"""Figures in the words of a message about the file."""

from __future__ import annotations

import math

from splinewise.car.model import System

__all__ = ["angle_words", "either", "length_words"]


def length_words(metres: float, system: System) -> str:
    """Return a length in the car's own unit, to a hundredth of a millimetre or so."""
    if system == "inch":
        return f"{_rounded(metres / 0.0254, 3)} in"
    return f"{_rounded(metres * 1e3, 2)} mm"


def angle_words(radians: float) -> str:
    """Return an angle in degrees, to a hundredth."""
    return f"{_rounded(math.degrees(radians), 2)}°"


def either(words: list[str]) -> str:
    """Return `"a", "b" or "c"`."""
    quoted = [f'"{word}"' for word in words]
    return " or ".join([", ".join(quoted[:-1]), quoted[-1]] if quoted[1:] else quoted)


def _rounded(number: float, digits: int) -> str:
    text = f"{number:.{digits}f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text).replace("-", "−")
