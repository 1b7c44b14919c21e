"""Which teeth to move for a wanted turn: the useful moves, ranked.

What the two splined ends can do, and what a move is, stands in `core.lattice`; its
names are offered here too, since whoever wants the one wants the other.  No NumPy
here either.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from math import ceil, floor, isfinite, pi

from splinewise.core.lattice import (
    MOST_TEETH,
    PER_TOOTH,
    End,
    Labour,
    Move,
    Sense,
    Splines,
    Step,
    least_move,
    steps,
)
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
    "alone",
    "least_move",
    "moves",
    "steps",
]

# Angles nearer than this share of an index step are one angle: it is far above what
# rounding does to them and far below what any instrument sees.
_SAME = 1e-6

_ENDS: tuple[End, End] = ("arm", "anchor")


def alone(
    splines: Splines,
    wanted: float,
    end: End,
    *,
    adjuster: tuple[float, float] = (0.0, 0.0),
) -> Move:
    """Return the best that one end can do by itself.

    Parameters
    ----------
    splines : Splines, shape ()
        The counts. [1]
    wanted : float, shape ()
        Turn wanted, positive to bump. [rad]
    end : {"arm", "anchor"}, shape ()
        The end that moves. [1]
    adjuster : tuple of float, shape (2,)
        As in `moves`. [rad]

    Returns
    -------
    Move, shape ()
        The move; of no teeth where that comes nearest. [1]

    Raises
    ------
    QuantityError
        As in `moves`.

    Examples
    --------
    >>> alone(Splines(24, 25), 0.3, "arm").arm
    1
    """
    aim = _aim(wanted, adjuster)
    teeth = {"arm": splines.arm, "anchor": splines.anchor}[end]
    way = 1 if aim > 0.0 else -1
    # Half a tooth goes to the lesser move, whichever way it points.
    n = ceil(abs(aim) * teeth / (2.0 * pi) - 0.5 - _SAME)
    past = n % teeth if 2 * (n % teeth) <= teeth else n % teeth - teeth
    i, j = (way * past, 0) if end == "arm" else (0, way * past)
    turn = way * n * (splines.lcm // teeth) * splines.index_step
    move = Move(i, j, turn, 0.0, way * (past - n) // teeth)
    return _finished(move, wanted, adjuster)


def moves(
    splines: Splines,
    wanted: float,
    *,
    most: int = 8,
    reach: float | None = None,
    labour: Labour = PER_TOOTH,
    adjuster: tuple[float, float] = (0.0, 0.0),
    tolerance: float = 0.0,
) -> tuple[Move, ...]:
    """Return the useful moves for a wanted turn, best first.

    They are ranked by what is left over, then by labour.  A move is useful where none
    leaves less over for the same labour or less.  The two places on either side of
    the turn wanted, and the best that each end can do alone, are always among the
    answers, as far as `most` allows, so that a person can see what is given up.

    With an adjuster, what counts is how far it ends from the middle of its range.

    Parameters
    ----------
    splines : Splines, shape ()
        The counts. [1]
    wanted : float, shape ()
        Turn wanted, new slack angle less the present one, positive to bump. [rad]
    most : int, shape (), default 8
        Answers to return at most. [1]
    reach : float or None, shape ()
        How far from the turn wanted to look; half the coarser of the two teeth where
        None, so that no tooth at one end alone is out of sight. [rad]
    labour : Labour, shape ()
        What a move costs. [1]
    adjuster : tuple of float, shape (2,)
        Least and greatest turn that the adjuster can still give from where it stands,
        positive to bump; both 0 where there is none. [rad]
    tolerance : float, shape (), default 0
        What is left over up to this counts as nothing, so that labour decides. [rad]

    Returns
    -------
    tuple of Move, shape (M,)
        The moves, best first; at least one. [1]

    Raises
    ------
    QuantityError
        If `wanted` is over half a turn (the arm gets there sooner the other way), if
        `most` is below 1, if `reach` or `tolerance` is negative, if the adjuster's
        least turn is above its greatest, or if any of them is not finite.

    Examples
    --------
    >>> best = moves(Splines(27, 28), 0.025)[0]
    >>> best.arm, best.anchor, f"{best.left_over:+.4f} rad"
    (3, -3, '+0.0001 rad')
    """
    aim = _aim(wanted, adjuster)
    if reach is None:
        counts = (c for c in (splines.arm, splines.anchor) if c > 1)
        reach = pi / min(counts, default=1)
    for name, value in (("reach", reach), ("tolerance", tolerance)):
        if not 0.0 <= value < float("inf"):
            raise QuantityError(name, value, "rad", "0 or more, and finite")
    _refuse(most < 1, "most", most, "moves", "1 or more")
    step = splines.index_step

    def cost(move: Move) -> int:
        return labour.of(move.arm, move.anchor)

    def rank(move: Move) -> tuple[int, ...]:
        off = abs(aim - move.turn)
        # Rounded, so that rounding in the last place does not outrank labour.
        far = round(off / step / _SAME) if off > tolerance else 0
        return far, cost(move), move.ends, round(abs(move.turn) / step), abs(move.arm)

    def reached(places: Iterable[int]) -> list[Move]:
        found = (least_move(splines, k, labour=labour) for k in places)
        return sorted((_finished(m, wanted, adjuster) for m in found), key=rank)

    x, near, half = aim / step, reach / step, splines.lcm / 2
    around = _between(x, min(near, half))
    beside = reached(k for k in _beside(x) if abs(k - x) <= half + _SAME)
    single = [alone(splines, wanted, e, adjuster=adjuster) for e in _ENDS]
    single.sort(key=rank)
    ranked = sorted({*reached(around), *beside, *single}, key=rank)
    useful = _unbeaten(ranked, cost)
    # One answer for one mating: a whole turn of the arm does not make another.
    chosen: dict[tuple[int, int], Move] = {}
    for move in [useful[0], *beside, *single, *useful]:
        chosen.setdefault((move.arm, move.anchor), move)
    return tuple(sorted(list(chosen.values())[:most], key=rank))


def _aim(wanted: float, adjuster: tuple[float, float]) -> float:
    """Return the turn that would leave the adjuster in the middle of its range."""
    low, high = adjuster
    for value in adjuster:
        _refuse(not isfinite(value), "adjuster", value, "rad", "finite")
    rule = f"from its least turn to its greatest, here {high:g} rad"
    _refuse(low > high, "adjuster", low, "rad", rule)
    # Written so that NaN is refused as well.
    within = abs(wanted) <= pi * (1.0 + _SAME)
    _refuse(not within, "wanted", wanted, "rad", "within half a turn either way")
    return wanted - (low + high) / 2.0


def _refuse(bad: bool, name: str, value: float, unit: str, rule: str) -> None:
    """Raise `QuantityError` where `bad` holds."""
    if bad:
        raise QuantityError(name, value, unit, rule)


def _between(x: float, near: float) -> range:
    """Return the whole numbers no farther than `near` from `x`."""
    return range(ceil(x - near - _SAME), floor(x + near + _SAME) + 1)


def _beside(x: float) -> tuple[int, ...]:
    """Return the whole numbers on either side of `x`, or the one that it is."""
    nearest = round(x)
    return (nearest,) if abs(x - nearest) <= _SAME else (floor(x), ceil(x))


def _finished(move: Move, wanted: float, adjuster: tuple[float, float]) -> Move:
    """Return the move with what it leaves over and what the adjuster does of that."""
    left_over = wanted - move.turn
    low, high = adjuster
    taken_up = min(max(left_over, low), high)
    return replace(move, left_over=left_over, adjuster=taken_up)


def _unbeaten(ranked: Iterable[Move], cost: Callable[[Move], int]) -> list[Move]:
    """Return the moves that cost less than every move ranked before them."""
    kept: list[Move] = []
    for move in ranked:
        if not kept or cost(move) < cost(kept[-1]):
            kept.append(move)
    return kept
