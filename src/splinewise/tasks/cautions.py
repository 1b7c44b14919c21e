"""The cautions that belong to each step: the hazard, the act, the deference."""

from __future__ import annotations

from collections.abc import Iterable

__all__ = ["CAUTIONS", "cautions"]

_DEFER = "Where the maker's manual or local rules say otherwise, they stand."

CAUTIONS = {
    "twisted bar": (
        "A twisted bar stores enough energy to break bones. Unload the bar and "
        "support the arm before the last bolt comes out, and keep out of the arm's "
        "path. " + _DEFER
    ),
    "on stands": (
        "Never work under a car held by a jack alone. Chock the wheels that stay "
        "down, use rated stands on firm level ground, and rock the car before you "
        "go under it. " + _DEFER
    ),
    "stress": (
        "An over-stressed, nicked or rusted bar can break without warning. The limit "
        "used here is only as good as its source; the bar's maker has the last word. "
        "Do not fit a bar that is marked, bent or of unknown origin without having "
        "it inspected."
    ),
    "handed bar": (
        "A preset bar may carry load one way only. Keep left and right bars on their "
        "own sides and fit them the way their marks say. " + _DEFER
    ),
    "roadworthy": (
        "Steering and brakes are disturbed by this work. Have the finished car "
        "inspected where the law asks for it, and by someone licensed where you are "
        "not sure."
    ),
}


def cautions(names: Iterable[str]) -> tuple[str, ...]:
    """Return the sentences of the named cautions, in this order, each once.

    Parameters
    ----------
    names : iterable of str
        Keys of `CAUTIONS`.

    Returns
    -------
    tuple of str
        The sentences.
    """
    return tuple(CAUTIONS[name] for name in dict.fromkeys(names))
