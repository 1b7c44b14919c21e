"""What a person can set on a corner: knobs, how far they go, and what they move."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

from splinewise.core.alignment.moves import Moves
from splinewise.core.geometry import Vec
from splinewise.core.jet import Number

__all__ = ["Adjuster", "Knob", "Limit", "Shim"]


@dataclass(frozen=True, slots=True)
class Shim:
    """A shim that can be had.

    Attributes
    ----------
    thickness : float
        Its thickness. [m]
    count : int or None, default None
        How many there are for the job; None for as many as wanted. [1]
    """

    thickness: float
    count: int | None = None


@dataclass(frozen=True, slots=True)
class Knob:
    """One number that a person sets.

    Attributes
    ----------
    name : str
        What it is, as "front pack of the upper arm".
    unit : str
        "m", "rad" or "turns".
    now : float
        How it is set now. [unit]
    worth : float
        Change that counts as one unit of movement where there is a choice. [unit]
    stock : tuple of Shim
        What it is made up from; empty for what is not.
    step : float, default 0
        Smallest change; 0 for none. [unit]
    """

    name: str
    unit: str
    now: float
    worth: float
    stock: tuple[Shim, ...] = ()
    step: float = 0.0


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit on the knobs of one adjuster, Σ cᵢ xᵢ ≤ most.

    Attributes
    ----------
    factors : tuple of float
        cᵢ, one for each knob. [1]
    most : float
        The greatest sum. [unit]
    words : str
        What stops there, as "the front pack is as thick as allowed".
    """

    factors: tuple[float, ...]
    most: float
    words: str


class Adjuster(Protocol):
    """Something on a corner that can be set."""

    @property
    def knobs(self) -> tuple[Knob, ...]:
        """What it lets a person set."""
        ...

    @property
    def limits(self) -> tuple[Limit, ...]:
        """How far."""
        ...

    def moves(self, place: Callable[[str], Vec], settings: Sequence[Number]) -> Moves:
        """Return what settings of its knobs do to the corner, against now.

        Parameters
        ----------
        place : callable
            Gives a hard point by its name, as drawn. [m]
        settings : sequence of Jet or array_like, shape (...)
            One for each knob. [unit]

        Returns
        -------
        Moves, shape (...)
            How far points move and parts grow. [m]
        """
        ...
