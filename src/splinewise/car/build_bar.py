"""The bar of a corner: from its rows in the file to segments, rate and limit."""

from __future__ import annotations

import math
from collections.abc import Mapping

from splinewise.car.blame import Blame
from splinewise.car.faults import nearest
from splinewise.car.model import CarBar, Figure, StressLimit
from splinewise.car.tables import BarTable, PieceTable, SegmentRow
from splinewise.car.words import length_words
from splinewise.core.bar import Bar, Segment
from splinewise.core.limits import STRESS_LIMITS
from splinewise.core.section import (
    Section,
    hexagon_section,
    leaf_pack_section,
    round_section,
    square_section,
)
from splinewise.core.steel import STEELS
from splinewise.core.transition import (
    fillet_equivalent_length,
    fillet_length,
    taper_equivalent_length,
)
from splinewise.errors import QuantityError

__all__ = ["SIZES", "build_bar"]

SIZES: Mapping[str, tuple[str, ...]] = {
    "round": ("diameter",),
    "tube": ("diameter", "bore"),
    "square": ("side",),
    "hexagon": ("across_flats",),
    "leaf pack": ("width", "thickness", "leaves"),
    "taper": ("diameter", "far_diameter"),
    "fillet": ("diameter", "head_diameter", "radius"),
}
"""Which sizes each shape wants, besides its length."""

_ALL = tuple(dict.fromkeys(size for sizes in SIZES.values() for size in sizes))

Sizes = dict[str, Figure]


def build_bar(table: BarTable, blame: Blame) -> CarBar | None:
    """Return the bar, or None where a fault was found."""
    worse = blame.mark()
    pieces = _pieces(table, blame)
    modulus = _modulus(table, blame)
    if modulus is None or worse():
        return None
    for shape, sizes, at in pieces:
        _check_piece(shape, sizes, at)
    if worse():
        return None
    try:
        bar = _bar(pieces, modulus.value)
        rate = table.measured_rate or _rate(pieces, modulus)
        _check_slender(pieces, blame)
    except QuantityError as error:
        blame.take(None, error)
    if worse():
        return None
    return CarBar(bar, rate, table.steel or "", _limit(table), _words(table))


Pieces = list[tuple[str, Sizes, Blame]]


def _pieces(table: BarTable, blame: Blame) -> Pieces:
    """Return shape, sizes and place of each piece, whether in rows or not."""
    own = [n for n in (*_ALL, "shape", "active_length") if _said(table, n) is not None]
    if table.segment is None:
        shape = table.shape or "round"
        sizes = _sizes(table, shape, blame)
        if table.active_length is None:
            blame.say("active_length", "This is missing. A bar needs it.")
            return []
        return [(shape, sizes | {"length": table.active_length}, blame)]
    if own:
        blame.say(
            own[0],
            "The bar has segments, and this is a size of a bar that is the same all "
            "along. Give one or the other.",
        )
    if not table.segment:
        blame.say("segment", "A bar needs at least one segment.")
    rows: Pieces = []
    for n, row in enumerate(table.segment):
        at = blame.below("segment", n)
        rows.append((row.shape, _sizes(row, row.shape, at) | _length(row, at), at))
    return rows


def _said(table: PieceTable, name: str) -> object:
    return getattr(table, name, None)


def _length(row: SegmentRow, blame: Blame) -> Sizes:
    if (row.length is None) == (row.shape == "fillet"):
        return {} if row.length is None else {"length": row.length}
    if row.length is None:
        blame.say("length", f'This is missing. The shape "{row.shape}" needs a length.')
    else:
        blame.say("length", "A fillet's length follows from its radius. Leave it out.")
    return {}


def _sizes(table: PieceTable, shape: str, blame: Blame) -> Sizes:
    sizes = {}
    for name in _ALL:
        value, wanted = _said(table, name), name in SIZES[shape]
        if value is None and wanted:
            needs = _and(SIZES[shape])
            blame.say(name, f'This is missing. The shape "{shape}" needs {needs}.')
        elif value is not None and not wanted:
            blame.say(
                name,
                f'The shape "{shape}" has no {name}; it takes {_and(SIZES[shape])}. '
                "Change the shape or leave this out.",
            )
        elif isinstance(value, Figure):
            sizes[name] = value
        elif isinstance(value, int):
            sizes[name] = Figure(float(value), step=0.0)
    return sizes


def _and(names: tuple[str, ...]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]] if names[1:] else names)


def _check_piece(shape: str, sizes: Sizes, blame: Blame) -> None:
    if shape == "tube" and sizes["bore"].value >= sizes["diameter"].value:
        blame.say(
            "bore",
            f'The bore "{sizes["bore"].text}" must be smaller than the diameter '
            f'"{sizes["diameter"].text}".',
        )
    if shape == "fillet":
        step = (sizes["head_diameter"].value - sizes["diameter"].value) / 2.0
        if step < 0.0:
            blame.say(
                "head_diameter",
                f'The head "{sizes["head_diameter"].text}" must be no thinner than the '
                f'body "{sizes["diameter"].text}".',
            )
        elif sizes["radius"].value < step:
            least = length_words(step, blame.system)
            blame.say(
                "radius",
                f'"{sizes["radius"].text}" does not reach the head; it must be at '
                f"least the height of the step, {least}.",
            )


def _check_slender(pieces: Pieces, blame: Blame) -> None:
    """Find a bar as thick as long, for which no formula here holds."""
    long = thick = 0.0
    for shape, sizes, _ in pieces:
        v = {name: figure.value for name, figure in sizes.items()}
        if shape == "fillet":
            v["length"] = float(
                fillet_length(v["diameter"], v["head_diameter"], v["radius"])
            )
        long += v["length"]
        if shape != "fillet":
            pack = v.get("thickness", 0.0) * v.get("leaves", 0.0)
            sides = ("diameter", "side", "across_flats", "width")
            thick = max(thick, pack, *(v.get(name, 0.0) for name in sides))
    if thick >= long:
        words = (length_words(x, blame.system) for x in (thick, long))
        blame.say(
            "active_length" if len(pieces) == 1 else "segment",
            "The bar is as thick as it is long ({} and {}). Look at both, and at their "
            "units.".format(*words),
        )


def _modulus(table: BarTable, blame: Blame) -> Figure | None:
    if (table.steel is None) == (table.shear_modulus is None):
        blame.say(
            None if table.steel is None else "shear_modulus",
            'Give the steel once: steel = "unknown spring steel", or another name '
            "that is known, or its shear_modulus.",
        )
        return None
    if table.shear_modulus is not None:
        return table.shear_modulus
    name = table.steel or ""
    steel = STEELS.get(name)
    if steel is None:
        near = nearest(name, STEELS)
        guess = f'Did you mean "{near}"? ' if near else ""
        known = ", ".join(f'"{known}"' for known in STEELS)
        blame.say("steel", f'"{name}" is not known. {guess}Known are {known}.')
        return None
    return Figure(
        steel.shear_modulus,
        # A steel's doubt is a standard one, a figure's the half-width of a rectangle.
        steel.doubt * math.sqrt(3.0),
        "assumed",
        f"{steel.source} ({steel.standing})",
    )


def _bar(pieces: Pieces, modulus: float) -> Bar:
    rows = [(s, {n: f.value for n, f in sizes.items()}) for s, sizes, _ in pieces]
    return Bar(tuple(_segment(shape, v) for shape, v in rows), modulus)


def _segment(shape: str, v: Mapping[str, float]) -> Segment:
    if shape == "taper":
        thin, thick = sorted((v["diameter"], v["far_diameter"]))
        length = taper_equivalent_length(v["length"], thin, thick)
        return Segment(round_section(thin), length)
    if shape == "fillet":
        d = v["diameter"]
        length = fillet_equivalent_length(d, v["head_diameter"], v["radius"])
        return Segment(round_section(d), length)
    return Segment(_section(shape, v), v["length"])


def _section(shape: str, v: Mapping[str, float]) -> Section:
    if shape == "square":
        return square_section(v["side"])
    if shape == "hexagon":
        return hexagon_section(v["across_flats"])
    if shape == "leaf pack":
        return leaf_pack_section(v["width"], v["thickness"], v["leaves"])
    return round_section(v["diameter"], bore=v.get("bore", 0.0))


def _rate(pieces: Pieces, modulus: Figure) -> Figure:
    """Return the rate that the sizes give, with what they leave it doubtful by.

    Each size is moved by its own doubt, or by half of its last step where none was
    typed, and the changes are added as squares (JCGM 100:2008, 5.1.2, from memory).
    """
    rate = float(_bar(pieces, modulus.value).rate)
    changes = [rate * _half(modulus) / modulus.value]
    for n, (shape, sizes, at) in enumerate(pieces):
        for name, figure in sizes.items():
            half = _half(figure)
            if half:
                moved = Figure(figure.value + half)
                other = [
                    *pieces[:n],
                    (shape, sizes | {name: moved}, at),
                    *pieces[n + 1 :],
                ]
                changes.append(_rate_of(other, modulus.value, rate) - rate)
    doubt = math.sqrt(math.fsum(c * c for c in changes))
    source = "from the bar's sizes and the steel's shear modulus"
    if modulus.source:
        source += f"; {modulus.source}"
    return Figure(rate, doubt, "computed", source)


def _rate_of(pieces: Pieces, modulus: float, otherwise: float) -> float:
    try:
        return float(_bar(pieces, modulus).rate)
    except QuantityError:  # a bore moved past its diameter: all of the rate is doubtful
        return 2.0 * otherwise


def _half(figure: Figure) -> float:
    return figure.step / 2.0 if figure.doubt is None else figure.doubt


def _limit(table: BarTable) -> StressLimit:
    preset = {"yes": True, "no": False}.get(table.preset)
    if table.stress_limit is not None:
        given = table.stress_limit
        source = given.source or "given in the car file without a source"
        figure = Figure(
            given.value, given.doubt, given.standing, source, given.text, given.step
        )
        return StressLimit(figure, preset)
    row = STRESS_LIMITS["preset" if preset else "not preset"]
    return StressLimit(
        Figure(row.stress, None, "assumed", f"{row.source} ({row.standing})"), preset
    )


def _words(table: BarTable) -> str:
    if table.segment is not None:
        parts = [_piece_words(row, row.shape) for row in table.segment]
        return "; ".join(parts)
    shape = table.shape or "round"
    active = table.active_length.text if table.active_length else ""
    return f"{_piece_words(table, shape)}, {active} active"


def _piece_words(table: PieceTable, shape: str) -> str:
    sizes = [_said(table, name) for name in SIZES[shape]]
    texts = [s.text if isinstance(s, Figure) else f"{s} leaves" for s in sizes]
    length = _said(table, "length")
    along = f", {length.text} long" if isinstance(length, Figure) else ""
    return f"{' × '.join(texts)} {shape}{along}"
