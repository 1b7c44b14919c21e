"""Pictures made of characters: travel, rings of teeth, bars of doubt, an arm."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from splinewise.cli.report import WIDTH, wide

__all__ = ["doubt_bars", "ring", "travel_line"]


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
    at = [round((v - low) / span * (width - 1)) for v, _ in found]
    line = ["─"] * width
    rows = [[" "] * (width + 8), [" "] * (width + 8)]
    ends = [-1, -1]
    for i, (place, (_, name)) in enumerate(zip(at, found, strict=True)):
        line[place] = "●" if 0 < i < len(found) - 1 else "┼"
        start = min(max(place - wide(name) // 2, 0), width + 8 - wide(name))
        # Two names that would touch stand on different sides of the line.
        row = 0 if start > ends[0] else 1
        start = max(start, ends[row] + 1)
        rows[row][start : start + len(name)] = list(name)
        ends[row] = start + wide(name) + 1
    return [
        "  " + "".join(rows[0]).rstrip(),
        "  " + "".join(line),
        *(["  " + "".join(rows[1]).rstrip()] if ends[1] >= 0 else []),
    ]


def ring(count: int, teeth: int, *, clockwise: str, words: str) -> list[str]:
    """Draw the part of a ring of teeth that a move runs over, laid out straight.

    Parameters
    ----------
    count : int
        Teeth in the ring. [1]
    teeth : int
        Teeth to move, positive to bump. [1]
    clockwise : str
        "bump" or "droop": the sense that is drawn to the right.
    words : str
        What the ring is, for its first line.

    Returns
    -------
    list of str
        The ring's name and its teeth, the marked one as ▲ and its new place as △.
    """
    way = teeth if clockwise == "bump" else -teeth
    room = max(abs(way) + 3, 6)
    if 2 * room + 1 > WIDTH // 2 - 2:
        return [words, f"(too many teeth to draw: {abs(teeth)} of {count})"]
    places = list(range(-room, room + 1))
    upper = ["│"] * len(places)
    lower = [" "] * len(places)
    lower[room] = "▲"
    if way:
        lower[room + way] = "△"
        step = 1 if way > 0 else -1
        for k in range(room + step, room + way, step):
            lower[k] = "→" if way > 0 else "←"
    return [words, " ".join(upper), " ".join(lower)]


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
        short = name if wide(name) <= label else name[: label - 1] + "…"
        pad = " " * (label - wide(short))
        drawn.append(f"  {short}{pad}  {''.join(line)}".rstrip())
    if ends is not None:
        left, right = ends(low), ends(high)
        gap = " " * max(room - wide(left) - wide(right), 1)
        drawn.append(f"  {' ' * label}  {left}{gap}{right}")
    return drawn
