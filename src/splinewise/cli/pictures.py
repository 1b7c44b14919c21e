"""Pictures made of characters: travel, rings of teeth, bars of doubt, an arm."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from splinewise.cli.terminal import WIDTH, cut, wide

__all__ = ["doubt_bars", "gauge_bar", "ring", "travel_line"]


def travel_line(
    marks: Sequence[tuple[float, str]], *, width: int = WIDTH - 8
) -> list[str]:
    """Draw named places along a line, lowest value at the left.

    Parameters
    ----------
    marks : sequence of (float, str)
        Value and name of each place; those not finite are left out. [unit]
    width : int
        Columns of the line. [1]

    Returns
    -------
    list of str
        Names above and below a ruled line.
    """
    found = sorted((v, n) for v, n in marks if math.isfinite(v))
    if len(found) < 2:
        return []
    low, high = found[0][0], found[-1][0]
    span = (high - low) or 1.0
    line = ["─"] * width
    rows: list[str] = []
    for i, (v, name) in enumerate(found):
        place = round((v - low) / span * (width - 1))
        line[place] = "●" if 0 < i < len(found) - 1 else "┼"
        start = min(max(place - wide(name) // 2, 0), WIDTH - 2 - wide(name))
        # Two names that would touch stand in different rows.
        free = [k for k, row in enumerate(rows) if wide(row) + 2 <= start or not row]
        k = free[0] if free else len(rows)
        rows += [""] * (k + 1 - len(rows))
        rows[k] += " " * (start - wide(rows[k])) + name
    above, *below = rows
    return [f"  {row}" for row in (above, "".join(line), *below)]


def ring(count: int, teeth: int, *, clockwise: str) -> list[str]:
    """Draw the top of a ring of teeth that a move runs over, laid out straight.

    Parameters
    ----------
    count : int
        Teeth in the ring. [1]
    teeth : int
        Teeth to move, positive to bump. [1]
    clockwise : str
        "bump" or "droop": the sense that is drawn to the right.

    Returns
    -------
    list of str
        The teeth, the marked one as ▲ and its new place as △.
    """
    way = teeth if clockwise == "bump" else -teeth
    room = max(abs(way) + 1, min(abs(way) + 3, (count - 1) // 2))
    if 2 * room + 1 > (WIDTH - 4) // 2:
        return [f"(too many teeth to draw: {abs(teeth)} of {count})"]
    upper = ["│"] * (2 * room + 1)
    lower = [" "] * len(upper)
    lower[room] = "▲"
    if way:
        lower[room + way] = "△"
        step = 1 if way > 0 else -1
        for k in range(room + step, room + way, step):
            lower[k] = "→" if way > 0 else "←"
    return [" ".join(upper), " ".join(lower)]


def gauge_bar(length: str, fixed: str, moving: str) -> list[str]:
    """Draw a gauge bar with its two holes.

    Parameters
    ----------
    length : str
        From centre to centre, in words.
    fixed, moving : str
        The points that the left and the right hole go on.

    Returns
    -------
    list of str
        The bar, not to scale, with its dimension line and the names of its ends.
    """
    inner = 64
    right = cut(moving, inner + 2)
    words = f" {length} "
    line = words.center(inner, "─") if wide(words) <= inner - 2 else "─" * inner
    return [
        f"  ┌────{'─' * inner}────┐",
        f"  │   ⊕{' ' * inner}⊕   │",
        f"  └───┼{'─' * inner}┼───┘",
        f"      ├{line}┤",
        *([] if wide(words) <= inner - 2 else [f"       {length}"]),
        f"      {cut(fixed, inner + 2)}",
        " " * (inner + 8 - wide(right)) + right,
    ]


def doubt_bars(
    rows: Sequence[tuple[str, float, float]],
    *,
    ends: Callable[[float], str] | None = None,
    width: int = WIDTH,
) -> list[str]:
    """Draw values with their doubt side by side on one scale.

    Parameters
    ----------
    rows : sequence of (str, float, float)
        Name, value and half-width of each bar. [unit]
    ends : callable, optional
        Writes the value at an end of the scale.
    width : int
        Columns to use. [1]

    Returns
    -------
    list of str
        A bar for each row.
    """
    found = [(n, v, u) for n, v, u in rows if math.isfinite(v)]
    if not found:
        return []
    label = min(max(wide(n) for n, _, _ in found), 34)
    room = width - label - 4
    low = min(v - u for _, v, u in found)
    high = max(v + u for _, v, u in found)
    span = (high - low) or max(abs(high), 1.0) * 1e-3
    drawn = []
    for name, v, u in found:
        line = [" "] * room
        a, m, b = (
            round((x - low) / span * (room - 1)) if span else 0
            for x in (v - u, v, v + u)
        )
        for k in range(a, b + 1):
            line[k] = "─"
        line[a], line[b] = "├", "┤"
        line[m] = "●"
        short = cut(name, label)
        pad = " " * (label - wide(short))
        drawn.append(f"  {short}{pad}  {''.join(line)}".rstrip())
    if ends is not None:
        left, right = ends(low), ends(high)
        gap = " " * max(room - wide(left) - wide(right), 1)
        drawn.append(f"  {' ' * label}  {left}{gap}{right}")
    return drawn
