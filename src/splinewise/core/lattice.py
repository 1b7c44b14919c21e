"""Two splined ends as a vernier: the places they give, and the move to each.

A bar has one spline in the arm and one in the anchor.  Moving the arm `i` teeth on
the bar and the bar `j` teeth in the anchor turns the arm, with the bar slack, by

    2π (i/Nₐ + j/N_c),

Nₐ and N_c being the counts of teeth.  The turns that can be had are the multiples of
the index step, 2π / lcm(Nₐ, N_c): never 2π / (Nₐ N_c) unless the counts share no
factor.

What counts on the car is where the arm stands against the anchor, so a turn is what
it is modulo a whole turn; and since a spline meets itself again after its N teeth,
`i` and `i ± Nₐ` are one and the same mating, as are `j` and `j ± N_c`.  Of all the
pairs that bring the arm to one place, the move of least labour is taken.  Where its
teeth, counted out, go a whole turn past the turn meant, `Move.whole_turns` says so.

Labour is teeth moved, |i| + |j|, unless weights are given.  Where two moves cost the
same, the one that works fewer ends is taken, then the one whose teeth do not go a
whole turn past, then the one that moves fewer teeth at the arm.

Places are counted in whole numbers, so their arithmetic is exact.  Bump is positive.
All of it is own derivation; the tests hold it to published pairs and to a search
through every move.  No NumPy here: a small command has to start at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import lcm, pi
from operator import index
from typing import Literal

from splinewise.errors import QuantityError

__all__ = [
    "MOST_TEETH",
    "PER_TOOTH",
    "End",
    "Labour",
    "Move",
    "Sense",
    "Splines",
    "Step",
    "least_move",
    "steps",
]

End = Literal["arm", "anchor"]
Sense = Literal["bump", "droop"]

MOST_TEETH = 1000
"""More teeth than any spline has: a count above it is a slip of the pen. [1]"""


def _keep_whole(
    record: object,
    names: tuple[str, ...],
    unit: str,
    rule: str,
    least: int,
    most: int | None = None,
) -> None:
    """Make ints of the named attributes, or say what they should be."""
    for name in names:
        value = getattr(record, name)
        try:
            whole = index(value)
        except TypeError:
            raise QuantityError(name, float(value), unit, rule) from None
        if whole < least or (most is not None and whole > most):
            raise QuantityError(name, whole, unit, rule)
        object.__setattr__(record, name, whole)


@dataclass(frozen=True, slots=True)
class Splines:
    """The counts of teeth at the two ends of a bar.

    Attributes
    ----------
    arm : int, shape ()
        Nₐ, teeth at the arm end: 1 for an end that goes together one way only (a
        master tooth, or an end that is not to be touched), 6 for a hexagon. [1]
    anchor : int, shape ()
        N_c, teeth at the anchor end, counted likewise. [1]

    Raises
    ------
    QuantityError
        If a count is not a whole number from 1 to `MOST_TEETH`.

    Examples
    --------
    >>> Splines(42, 48).positions
    336
    """

    arm: int
    anchor: int

    def __post_init__(self) -> None:
        rule = f"a whole number from 1 to {MOST_TEETH}"
        _keep_whole(self, ("arm", "anchor"), "teeth", rule, 1, MOST_TEETH)

    @property
    def lcm(self) -> int:
        """Least common multiple of the counts. [1]"""
        return lcm(self.arm, self.anchor)

    @property
    def positions(self) -> int:
        """Places, all round, in which the arm can stand with the bar slack. [1]"""
        return self.lcm

    @property
    def index_step(self) -> float:
        """Smallest change of slack angle that the two ends can make. [rad]"""
        return 2.0 * pi / self.lcm

    @property
    def arm_step(self) -> float:
        """Turn of one tooth at the arm end alone. [rad]"""
        return 2.0 * pi / self.arm

    @property
    def anchor_step(self) -> float:
        """Turn of one tooth at the anchor end alone. [rad]"""
        return 2.0 * pi / self.anchor


@dataclass(frozen=True, slots=True)
class Labour:
    """What a move costs, in any unit of the person's own.

    The costs are whole numbers, so that two moves which cost the same are seen to;
    for one and a half against one, give 3 and 2.

    Attributes
    ----------
    arm, anchor : int, shape ()
        Cost of each tooth moved at that end. [1]
    end : int, shape ()
        Cost of working an end at all, besides its teeth. [1]

    Raises
    ------
    QuantityError
        If a cost is not a whole number of 0 or more.
    """

    arm: int = 1
    anchor: int = 1
    end: int = 0

    def __post_init__(self) -> None:
        rule = "a whole number, 0 or more"
        _keep_whole(self, ("arm", "anchor", "end"), "of labour", rule, 0)

    def of(self, arm: int, anchor: int) -> int:
        """Return the cost of moving so many teeth at each end. [1]"""
        ends = (arm != 0) + (anchor != 0)
        return self.arm * abs(arm) + self.anchor * abs(anchor) + self.end * ends


PER_TOOTH = Labour()
"""A tooth is a tooth at either end, and an end costs nothing beyond its teeth."""


@dataclass(frozen=True, slots=True)
class Move:
    """Teeth to move at each end, and what that does.

    Attributes
    ----------
    arm : int, shape ()
        i, teeth that the arm moves on the bar; positive turns the arm to bump. [1]
    anchor : int, shape ()
        j, teeth that the bar, and the arm with it, moves in the anchor; positive
        turns them to bump. [1]
    turn : float, shape ()
        What the slack angle gains, 2π (i/Nₐ + j/N_c − `whole_turns`). [rad]
    left_over : float, shape ()
        Wanted turn less `turn`, before any adjuster. [rad]
    whole_turns : int, shape (), default 0
        Whole turns by which the teeth, counted out, pass `turn`: 0 in any ordinary
        move, 1 or −1 where going round the long way moves fewer teeth. [1]
    adjuster : float, shape (), default 0
        The part of `left_over` that the adjuster takes up. [rad]
    """

    arm: int
    anchor: int
    turn: float
    left_over: float
    whole_turns: int = 0
    adjuster: float = 0.0

    @property
    def teeth(self) -> int:
        """Teeth moved in all, |i| + |j|. [1]"""
        return abs(self.arm) + abs(self.anchor)

    @property
    def ends(self) -> int:
        """Ends that have to be worked: 0, 1 or 2. [1]"""
        return (self.arm != 0) + (self.anchor != 0)

    @property
    def remains(self) -> float:
        """What is still wanting when the adjuster has done its part. [rad]"""
        return self.left_over - self.adjuster


@dataclass(frozen=True, slots=True)
class Step:
    """One end's part of a move, as it is done on the car.

    Attributes
    ----------
    end : {"arm", "anchor"}, shape ()
        At "arm" the arm turns on the bar, which stays in the anchor; at "anchor" the
        bar turns in the anchor and takes the arm along. [1]
    teeth : int, shape ()
        Teeth to count, 1 or more. [1]
    sense : {"bump", "droop"}, shape ()
        Which way that part turns.  Where the arm is held still and the bar is turned
        in it instead, the bar goes the other way. [1]
    """

    end: End
    teeth: int
    sense: Sense


def least_move(splines: Splines, places: int, *, labour: Labour = PER_TOOTH) -> Move:
    """Return the move of least labour that turns the arm by so many index steps.

    With A = lcm/Nₐ and C = lcm/N_c, which share no factor, i A + j C ≡ k (mod lcm)
    settles i modulo C, and each such i of the arm's spline settles j.

    Parameters
    ----------
    splines : Splines, shape ()
        The counts. [1]
    places : int, shape ()
        k, index steps to turn, positive to bump; any whole number serves. [1]
    labour : Labour, shape ()
        What a move costs. [1]

    Returns
    -------
    Move, shape ()
        The move; its `turn` is k index steps and its `left_over` 0. [1]

    Examples
    --------
    >>> move = least_move(Splines(24, 25), 1)
    >>> move.arm, move.anchor
    (1, -1)
    """
    k, n = index(places), splines.lcm
    A, C = n // splines.arm, n // splines.anchor

    def rank(move: tuple[int, int]) -> tuple[int, ...]:
        i, j = move
        ends = (i != 0) + (j != 0)
        past = abs(i * A + j * C - k)
        return labour.of(i, j), ends, past, abs(i), abs(j)

    i, j = min(
        (
            (p, q)
            for i in range(k * pow(A, -1, C) % C, splines.arm, C)
            for p in _fewest(i, splines.arm)
            for q in _fewest((k - i * A) // C, splines.anchor)
        ),
        key=rank,
    )
    return Move(i, j, k * splines.index_step, 0.0, (i * A + j * C - k) // n)


def steps(move: Move) -> tuple[Step, ...]:
    """Return what is done at each end, in plain counts and senses.

    Parameters
    ----------
    move : Move, shape ()
        The move. [1]

    Returns
    -------
    tuple of Step, shape (0 to 2,)
        The arm's part, then the anchor's; an end that stays is left out. [1]

    Examples
    --------
    >>> for step in steps(least_move(Splines(24, 25), 1)):
    ...     print(step.end, step.teeth, step.sense)
    arm 1 bump
    anchor 1 droop
    """
    parts: tuple[tuple[End, int], ...] = (("arm", move.arm), ("anchor", move.anchor))
    return tuple(
        Step(end, abs(teeth), "bump" if teeth > 0 else "droop")
        for end, teeth in parts
        if teeth
    )


def _fewest(teeth: int, count: int) -> tuple[int, ...]:
    """Return the fewest teeth that make one mating; two where both ways are equal."""
    r = teeth % count
    if 2 * r == count:
        return (r, -r)
    return (r,) if 2 * r < count else (r - count,)
