"""Rods that are screwed longer or shorter: track rods, legs of arms, strut rods."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from splinewise.core.alignment.knobs import Knob, Limit
from splinewise.core.alignment.moves import Moves
from splinewise.core.geometry import Vec
from splinewise.core.jet import Number
from splinewise.core.quantities import positive
from splinewise.core.travel import refuse

__all__ = ["ScrewedRod", "Thread"]


@dataclass(frozen=True, slots=True)
class Thread:
    """One threaded end of a rod.

    Attributes
    ----------
    name : str
        Which end it is, as "inner end".
    pitch : float
        Length that one turn gains here. [m]
    engaged : float
        Length of thread that holds now. [m]
    least : float
        Least length that must hold, by the maker or by your own rule. [m]
    most : float
        Greatest length that can be screwed in. [m]

    Raises
    ------
    QuantityError
        If a length is not positive, or what holds now is outside the range.
    """

    name: str
    pitch: float
    engaged: float
    least: float
    most: float

    def __post_init__(self) -> None:
        positive("pitch", self.pitch, "m")
        positive("least", self.least, "m")
        if not self.least <= self.engaged <= self.most:
            rule = f"from {self.least:g} to {self.most:g} m"
            refuse("engaged", self.engaged, "m", rule)


@dataclass(frozen=True, slots=True)
class ScrewedRod:
    """A rod whose length is set by turning it, or a sleeve of it.

    All its threads turn together: a sleeve with a left and a right one gains both
    pitches in a turn.  Ends that are screwed each for itself are two rods of one
    member.

    Attributes
    ----------
    member : str
        What grows: "rod", the track rod; "lower_front", the leg of that arm from that
        pivot to the ball joint, as a strut rod; "upper", the arm's reach.
    threads : tuple of Thread
        Its threads.
    step : float, default 0
        Smallest turn: 0.5 where an end must come round to its own face, 1/6 for flats
        of a locknut; 0 for none. [1]
    name : str
        What to call it; empty for its member's name.

    Raises
    ------
    QuantityError
        If there is no thread, or the step is below 0.
    """

    member: str
    threads: tuple[Thread, ...]
    step: float = 0.0
    name: str = ""

    def __post_init__(self) -> None:
        if not self.threads:
            refuse("threads", 0, "of them", "one or more")
        if not self.step >= 0.0:
            refuse("step", self.step, "turns", "0 or more")

    @property
    def called(self) -> str:
        """Its name, or one from its member."""
        known = {"rod": "track rod"}
        plain = known.get(self.member, f"rod, {self.member.replace('_', ' ')}")
        return self.name or plain

    @property
    def gain(self) -> float:
        """Length that a turn gains. [m]"""
        return sum(thread.pitch for thread in self.threads)

    @property
    def knobs(self) -> tuple[Knob]:
        """Turns from now, positive as the rod grows longer. [1]"""
        return (Knob(f"{self.called}, turns", "turns", 0.0, 1.0, step=self.step),)

    @property
    def limits(self) -> tuple[Limit, ...]:
        """Every thread keeps its least hold and has room to be screwed in."""
        out = []
        for end in self.threads:
            where = f"the {end.name} of the {self.called}"
            longer = (end.engaged - end.least) / end.pitch
            shorter = (end.most - end.engaged) / end.pitch
            out.append(Limit((1.0,), longer, f"{where} would hold by too few threads"))
            out.append(Limit((-1.0,), shorter, f"{where} is screwed fully in"))
        return tuple(out)

    def moves(self, place: Callable[[str], Vec], settings: Sequence[Number]) -> Moves:
        """Return by how much the rod grows; as in `Adjuster.moves`. [m]"""
        del place  # a turn gains as much wherever it is
        return Moves(lengths={self.member: settings[0] * self.gain})

    def engaged_after(self, turns: float) -> tuple[float, ...]:
        """Return the length of thread that holds at each end after turns. [m]"""
        return tuple(end.engaged - turns * end.pitch for end in self.threads)
