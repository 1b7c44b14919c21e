"""The unit that was perhaps meant by one that is not known."""

from __future__ import annotations

from collections.abc import Sequence

from splinewise.units.table import units_of

__all__ = ["nearest"]

_LONGEST = 20  # letters; beyond them there is nothing near


def nearest(spelling: str, kinds: Sequence[str]) -> str:
    """Return the spelling of the fewest slips away, two at the most; or nothing."""
    key = spelling.casefold()
    if len(key) > _LONGEST:
        return ""
    known = [s for kind in kinds for s in units_of(kind) if s]
    best = min(known, key=lambda s: _slips(key, s.casefold()))
    return best if _slips(key, best.casefold()) <= min(2, len(key) // 2) else ""


def _slips(a: str, b: str) -> int:
    """Count the letters to change, add or drop to make `b` of `a`."""
    row = list(range(len(b) + 1))
    for i, x in enumerate(a, 1):
        above, row = row, [i]
        for j, y in enumerate(b, 1):
            row.append(min(above[j] + 1, row[-1] + 1, above[j - 1] + (x != y)))
    return row[-1]
