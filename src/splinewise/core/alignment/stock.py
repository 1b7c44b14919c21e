"""Packs made up from the shims that can be had.

Thicknesses are counted in whole nanometres, so that sums in inch fractions or in
millimetres compare without rounding.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

import numpy as np

from splinewise.core.alignment.knobs import Shim
from splinewise.core.quantities import Array

__all__ = ["made_up", "pack_totals"]

_NM = 1e-9


def _whole(length: float) -> int:
    return round(length / _NM)


def pack_totals(stock: Sequence[Shim], most: float) -> Array:
    """Return every thickness that one pack can have.

    Parameters
    ----------
    stock : sequence of Shim
        The shims. [m]
    most : float, shape ()
        Thickest pack. [m]

    Returns
    -------
    ndarray, shape (n,)
        Thicknesses, from none upward. [m]
    """
    limit = _whole(most)
    sums = {0}
    for shim in stock:
        thick = _whole(shim.thickness)
        grown = set(sums)
        for start in sums:
            fits = (limit - start) // thick
            count = fits if shim.count is None else min(shim.count, fits)
            grown.update(start + thick * k for k in range(1, count + 1))
        sums = grown
    return np.array(sorted(sums)) * _NM


def made_up(
    stock: Sequence[Shim], packs: Sequence[float]
) -> tuple[tuple[int, ...], ...] | None:
    """Return how many of each shim go in each pack, with the fewest pieces.

    The packs share the stock, so that what one takes the others lack.

    Parameters
    ----------
    stock : sequence of Shim
        The shims. [m]
    packs : sequence of float, shape (p,)
        Thickness that each pack shall have. [m]

    Returns
    -------
    tuple of tuple of int, shape (p, s), or None
        Pieces of each shim in each pack; None where the stock cannot make them. [1]
    """
    kinds = tuple(stock)
    totals = [_whole(pack) for pack in packs]
    if all(shim.count is not None for shim in kinds):
        have = sum(_whole(shim.thickness) * (shim.count or 0) for shim in kinds)
        if sum(totals) > have:
            return None
    alone = [_fewest(kinds, total) for total in totals]
    # What is best for each by itself is best for all, if the stock bears it.
    best = tuple(way for way in alone if way is not None)
    if len(best) < len(totals) or _there(kinds, best):
        return best if len(best) == len(totals) else None
    order = sorted(range(len(totals)), key=lambda at: totals[at])
    middle = len(order) // 2
    half, rest = (
        _usages(kinds, tuple(totals[at] for at in some))
        for some in (order[:middle], order[middle:])
    )
    joint = [
        (one[0] + two[0], one[1] + two[1])
        for one in half
        for two in rest
        if _there(kinds, one[1] + two[1])
    ]
    if not joint:
        return None
    made = min(joint)[1]
    return tuple(made[order.index(at)] for at in range(len(totals)))


@lru_cache(maxsize=4096)
def _fewest(kinds: tuple[Shim, ...], total: int) -> tuple[int, ...] | None:
    """Return the way with the fewest pieces to make one pack."""
    return next(_ways(total, *_split(kinds)), None)


@lru_cache(maxsize=4096)
def _usages(
    kinds: tuple[Shim, ...], totals: tuple[int, ...]
) -> tuple[tuple[int, tuple[tuple[int, ...], ...]], ...]:
    """Return for every use of the shims that may run out its way with fewest pieces."""
    scarce = [i for i, shim in enumerate(kinds) if shim.count is not None]
    found: dict[tuple[int, ...], tuple[int, tuple[tuple[int, ...], ...]]] = {
        (0,) * len(scarce): (0, ())
    }
    for total in totals:
        grown: dict[tuple[int, ...], tuple[int, tuple[tuple[int, ...], ...]]] = {}
        for way in _ways(total, *_split(kinds)):
            for pieces, made in found.values():
                new = (pieces + sum(way), (*made, way))
                used = tuple(sum(pack[i] for pack in new[1]) for i in scarce)
                if _there(kinds, new[1]) and (used not in grown or new < grown[used]):
                    grown[used] = new
        found = grown
    return tuple(found.values())


def _there(kinds: Sequence[Shim], made: Sequence[tuple[int, ...]]) -> bool:
    """Whether there are as many shims as some packs take together."""
    return all(
        shim.count is None or sum(pack[i] for pack in made) <= shim.count
        for i, shim in enumerate(kinds)
    )


def _split(kinds: Sequence[Shim]) -> tuple[list[int], list[int | None]]:
    return [_whole(shim.thickness) for shim in kinds], [shim.count for shim in kinds]


def _ways(
    total: int, thick: Sequence[int], left: Sequence[int | None]
) -> Iterator[tuple[int, ...]]:
    """Return the ways to make a total, those with few pieces first."""
    order = sorted(range(len(thick)), key=lambda i: -thick[i])

    def within(rest: int, at: int, pieces: int) -> Iterator[dict[int, int]]:
        """Give the ways with no more than so many pieces, and no fewer."""
        if at == len(order):
            if rest == 0 and pieces == 0:
                yield {}
            return
        i = order[at]
        most = min(pieces, rest // thick[i])
        if left[i] is not None:
            most = min(most, int(left[i] or 0))
        for count in range(most, -1, -1):
            # The thinner shims that follow cannot fill more than this.
            follow = pieces - count
            after = rest - count * thick[i]
            thicker = thick[order[at + 1]] if at + 1 < len(order) else 0
            if after > follow * thicker:
                break
            for tail in within(after, at + 1, follow):
                yield {i: count, **tail}

    if total == 0:
        yield (0,) * len(thick)
        return
    if not thick:
        return
    low = -(-total // max(thick))
    for pieces in range(low, total // min(thick) + 1):
        for way in within(total, 0, pieces):
            yield tuple(way.get(i, 0) for i in range(len(thick)))
