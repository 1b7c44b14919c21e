"""From exact settings to shims that can be had and turns that can be made.

Every combination of packs that the stock can make is tried; for each, the knobs that
are not made up are solved for again, and those with steps are tried at the step on
either side.  So the order of the first few is proved, not guessed, unless the search
had to be cut (`Rounding.whole`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from splinewise.core.alignment.batch import Batch
from splinewise.core.alignment.knobs import Knob, Shim
from splinewise.core.alignment.reach import Cross, Reached, Side
from splinewise.core.alignment.stock import made_up, pack_totals
from splinewise.core.alignment.targets import Angles
from splinewise.core.quantities import Array
from splinewise.errors import ReachError

__all__ = ["Rounded", "Rounding", "rounded", "rounded_both"]

IntArray = NDArray[np.intp]

# Combinations of packs tried at most; beyond it the ones farthest off are left out.
_MOST = 20_000
# Rows of each side that are paired with those of the other.
_PAIRED = 400


@dataclass(frozen=True, slots=True, eq=False)
class Rounded:
    """Settings of one side that can be made, and what they leave.

    Attributes
    ----------
    knobs : tuple of Knob
        What is set.
    settings : ndarray, shape (n,)
        Where each knob goes. [unit]
    pieces : tuple
        For each knob, how many of each shim of its stock make it up; empty for what
        is not made up, and for a pack left as it is that the stock could not make. [1]
    angles : Angles
        What the wheel then has. [rad]
    remainder : Angles
        That less what was wanted; NaN for what was not asked. [rad]
    score : float
        Sum of the squares of the remainders, each over its tolerance. [1]
    inside : bool
        Whether all that was asked is inside its tolerance.
    """

    knobs: tuple[Knob, ...]
    settings: Array
    pieces: tuple[tuple[int, ...], ...]
    angles: Angles
    remainder: Angles
    score: float
    inside: bool


@dataclass(frozen=True, slots=True, eq=False)
class Rounding:
    """The best settings that can be made.

    Attributes
    ----------
    best : tuple
        The best first: a `Rounded`, or one for each side.
    tried : int
        Combinations looked at. [1]
    whole : bool
        Whether no combination was left out, so that the first is the best there is.
    """

    best: tuple[tuple[Rounded, ...], ...]
    tried: int
    whole: bool


@dataclass(frozen=True, slots=True, eq=False)
class _Rows:
    """All candidates of one side, the best first."""

    batch: Batch
    knobs: tuple[Knob, ...]
    settings: Array
    angles: Array
    scores: Array
    whole: bool


def rounded(side: Side, exact: Reached, *, keep: int = 3) -> Rounding:
    """Return the best settings of one side that can be made.

    Parameters
    ----------
    side : Side
        The corner and what is wanted.
    exact : Reached
        What `reach` found for it.
    keep : int, shape (), default 3
        How many to return. [1]

    Returns
    -------
    Rounding
        The best, each a tuple of one `Rounded`.

    Raises
    ------
    ReachError
        If nothing that can be made up fits together.
    """
    return _chosen([_rows(side, exact)], None, keep)


def rounded_both(
    left: Side,
    right: Side,
    exact: tuple[Reached, Reached],
    *,
    cross: Cross | None = None,
    keep: int = 3,
) -> Rounding:
    """Return the best settings of both sides together that can be made.

    The sides share the stock where their packs name the same one, and `cross` weighs
    the difference between them.

    Parameters
    ----------
    left, right : Side
        The corners and what is wanted of each.
    exact : tuple of Reached
        What `reach_both` found for them.
    cross : Cross or None
        How much a difference between left and right weighs.
    keep : int, shape (), default 3
        How many to return. [1]

    Returns
    -------
    Rounding
        The best, each a tuple of the left `Rounded` and the right one.

    Raises
    ------
    ReachError
        If nothing that can be made up fits together.
    """
    rows = [_rows(side, one) for side, one in zip((left, right), exact, strict=True)]
    return _chosen(rows, cross, keep)


def _rows(side: Side, exact: Reached) -> _Rows:
    """Return every candidate of one side with its score."""
    batch, knobs = Batch.of(side, exact.rack), exact.knobs
    packs = [i for i, knob in enumerate(knobs) if knob.stock]
    stepped = [i for i, knob in enumerate(knobs) if knob.step and not knob.stock]
    free = [i for i in range(len(knobs)) if i not in packs and i not in stepped]
    choices, whole = _choices(batch, exact, packs)
    grid = np.array(list(product(*choices))).reshape(-1, len(packs))
    settings = np.tile(exact.settings, (len(grid), 1))
    settings[:, packs] = grid
    # The packs alone must keep their limits; what is free finds its own place.
    own = np.all(batch.factors[:, [*stepped, *free]] == 0.0, axis=1)
    over = settings @ batch.factors[own].T - batch.most[own]
    settings = settings[np.all(over <= 1e-12, axis=1)]
    settings = batch.solved(settings, [*stepped, *free])
    # One free knob at its end is where it is best; of several, the others might move.
    if len(stepped) + len(free) > 1 and _at_an_end(batch, settings, [*stepped, *free]):
        whole = False
    if stepped:
        settings = batch.solved(_steps(settings, knobs, stepped), free)
    settings = settings[batch.allowed(settings)]
    angles = batch.angles(settings)
    scores = batch.scores(angles)
    order = np.argsort(scores, kind="stable")
    order = order[np.isfinite(scores[order])]
    return _Rows(batch, knobs, settings[order], angles[order], scores[order], whole)


def _at_an_end(batch: Batch, settings: Array, free: Sequence[int]) -> bool:
    """Whether any row has a free knob at an end of its range."""
    ends = np.array([batch.span(i) for i in free])
    return bool(np.any(settings[:, free, None] == ends))


def _choices(
    batch: Batch, exact: Reached, packs: Sequence[int]
) -> tuple[list[Array], bool]:
    """Return what each pack may measure, cut to the nearest if there are too many."""
    choices = []
    for i in packs:
        knob = exact.knobs[i]
        totals = pack_totals(knob.stock, batch.span(i)[1])
        # A pack may stay as it is, even if the stock could not make it.
        if np.min(np.abs(totals - knob.now)) > 1e-9:
            totals = np.sort(np.append(totals, knob.now))
        choices.append(totals)
    if np.prod([float(len(c)) for c in choices]) <= _MOST:
        return choices, True
    each = int(_MOST ** (1.0 / len(packs)))
    cut = []
    for i, totals in zip(packs, choices, strict=True):
        near = np.argsort(np.abs(totals - exact.settings[i]), kind="stable")[:each]
        cut.append(np.sort(totals[near]))
    return cut, False


def _steps(settings: Array, knobs: Sequence[Knob], stepped: Sequence[int]) -> Array:
    """Return the settings with each stepped knob at the step below and above."""
    out = []
    for sides in product((np.floor, np.ceil), repeat=len(stepped)):
        row = settings.copy()
        for i, way in zip(stepped, sides, strict=True):
            knob = knobs[i]
            # A solution that rounding puts a hair past a step is on it.
            count = (row[:, i] - knob.now) / knob.step
            nearest = np.round(count)
            count = np.where(np.abs(count - nearest) < 1e-9, nearest, way(count))
            row[:, i] = knob.now + count * knob.step
        out.append(row)
    return np.unique(np.concatenate(out), axis=0)


def _chosen(rows: Sequence[_Rows], cross: Cross | None, keep: int) -> Rounding:
    """Return the best combinations of the sides that the stock can make."""
    total, index = _combined(rows, cross)
    best: list[tuple[float, int, float, tuple[Rounded, ...]]] = []
    worst = np.inf
    for score, at in zip(total, index, strict=True):
        # Those that score alike are ranked by pieces, so look a hair further.
        if len(best) >= keep and score > worst + 1e-9 * (1.0 + worst):
            break
        pieces = _pieces(rows, at)
        if pieces is None:
            continue
        made = tuple(
            _made(side, row, some)
            for side, row, some in zip(rows, at, pieces, strict=True)
        )
        used = sum(sum(pack) for some in pieces for pack in some)
        move = sum(
            float(np.sum(np.abs(one.settings - _now(one)) / _worth(one)))
            for one in made
        )
        best.append((round(float(score), 9), used, move, made))
        best.sort(key=lambda entry: entry[:3])
        if len(best) >= keep:
            worst = best[keep - 1][0]
    if not best:
        msg = "Nothing that can be made up fits together inside the limits."
        raise ReachError(msg)
    tried = sum(len(side.scores) for side in rows)
    whole = all(side.whole for side in rows) and best[:keep][-1][0] < _sure_below(rows)
    return Rounding(tuple(entry[3] for entry in best[:keep]), tried, whole)


def _now(one: Rounded) -> Array:
    return np.array([knob.now for knob in one.knobs])


def _worth(one: Rounded) -> Array:
    return np.array([knob.worth for knob in one.knobs])


def _combined(rows: Sequence[_Rows], cross: Cross | None) -> tuple[Array, IntArray]:
    """Return scores of the sides together, the least first, and their rows."""
    if len(rows) == 1:
        scores = rows[0].scores
        return scores, np.arange(len(scores))[:, None]
    left, right = rows
    total = left.scores[:_PAIRED, None] + right.scores[None, :_PAIRED]
    for at, name in enumerate(("camber", "caster")):
        within = getattr(cross, name, None)
        if within is not None:
            one, other = (side.batch.side.wanted.values[at] for side in rows)
            want = np.nan_to_num(one - other)
            gap = left.angles[:_PAIRED, at, None] - right.angles[None, :_PAIRED, at]
            total = total + ((gap - want) / within) ** 2
    order = np.argsort(total, axis=None, kind="stable")
    pairs = np.stack(np.unravel_index(order, total.shape), axis=-1)
    return total.ravel()[order], pairs


def _sure_below(rows: Sequence[_Rows]) -> float:
    """Return the score below which no pair was left out: a side alone scores that."""
    if len(rows) == 1:
        return np.inf
    out = [side.scores[_PAIRED] for side in rows if len(side.scores) > _PAIRED]
    return float(min(out, default=np.inf))


def _pieces(
    rows: Sequence[_Rows], at: Sequence[int]
) -> list[tuple[tuple[int, ...], ...]] | None:
    """Return what makes up every pack, each stock being shared; None if it lacks."""
    wanted: dict[tuple[Shim, ...], list[tuple[int, int, float]]] = {}
    out: list[list[tuple[int, ...]]] = [[()] * len(side.knobs) for side in rows]
    for which, (side, row) in enumerate(zip(rows, at, strict=True)):
        for i, knob in enumerate(side.knobs):
            if knob.stock:
                size = float(side.settings[row, i])
                wanted.setdefault(knob.stock, []).append((which, i, size))
    for stock, packs in wanted.items():
        own = [p for p in packs if not _left_alone(rows, at, p)]
        made = made_up(stock, [size for _, _, size in own])
        if made is None:
            return None
        for (which, i, _), pieces in zip(own, made, strict=True):
            out[which][i] = pieces
    return [tuple(some) for some in out]


def _left_alone(
    rows: Sequence[_Rows], at: Sequence[int], pack: tuple[int, int, float]
) -> bool:
    """Whether a pack stays as it is and the stock could not make it."""
    which, i, size = pack
    knob = rows[which].knobs[i]
    return size == knob.now and made_up(knob.stock, [size]) is None


def _made(side: _Rows, row: int, pieces: tuple[tuple[int, ...], ...]) -> Rounded:
    wanted = side.batch.side.wanted
    angles = side.angles[row]
    off = angles - wanted.values
    return Rounded(
        side.knobs,
        side.settings[row],
        pieces,
        Angles(*angles),
        Angles(*off),
        float(side.scores[row]),
        bool(np.all(np.abs(off[np.isfinite(off)]) <= wanted.within[np.isfinite(off)])),
    )
