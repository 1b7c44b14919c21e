"""The rows of a corner: dimensions, and what was published and read of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from splinewise.car.blame import Blame
from splinewise.car.faults import nearest
from splinewise.car.layouts import Built
from splinewise.car.model import Dimension, Figure, Observation, RideHeight
from splinewise.car.tables import DimensionRow, PublishedRow, ReadingRow
from splinewise.car.triangle import taped_span
from splinewise.car.words import either, length_words
from splinewise.core.arm import Span
from splinewise.core.jet import value

__all__ = ["OWN_NAMES", "Seen", "build_dimensions", "build_published", "build_readings"]

OWN_NAMES = ("ride height", "arm slope", "gap")
_LEAST_SWING = 1e-3
"""A length that the arm changes by less than this tells nothing. [m]"""


def build_dimensions(
    rows: Sequence[DimensionRow | None], built: Built, blame: Blame
) -> Mapping[str, Dimension]:
    """Return the dimensions by name, leaving out those in which a fault was found."""
    found: dict[str, Dimension] = {}
    names: set[str] = set()
    for n, row in enumerate(rows):
        if row is None:
            continue
        at = blame.below(n)
        if row.name in OWN_NAMES:
            at.say(
                "name", f'"{row.name}" has a meaning of its own. Choose another name.'
            )
            continue
        if row.name in names:
            at.say("name", f'There is a dimension "{row.name}" already.')
            continue
        names.add(row.name)
        span = _span(row, built, at)
        if span is not None and _tells(span, at):
            found[row.name] = Dimension(
                row.name, row.fixed, row.moving, span, tuple(row.bolts or ())
            )
    return MappingProxyType(found)


def _span(row: DimensionRow, built: Built, blame: Blame) -> Span | None:
    taped = (row.fixed_radius, row.arm_radius, row.drawn_length)
    if any(taped) or row.in_bump or not built.body:
        return taped_span(blame, *taped, row.in_bump)
    fixed, moving = built.body.get(row.fixed), built.arm.get(row.moving)
    if fixed is None:
        _no_point("from", row.fixed, built.body, "the body", blame)
    if moving is None:
        _no_point("to", row.moving, built.arm, "the arm that holds the bar", blame)
    if fixed is None or moving is None:
        return None
    return built.linkage.arm.span(fixed, moving)


def _no_point(
    key: str, name: str, points: Mapping[str, object], of: str, blame: Blame
) -> None:
    near = nearest(name, points)
    guess = f'Did you mean "{near}"? ' if near else ""
    blame.say(
        key,
        f'"{name}" is no point of {of}. {guess}Its points are {either(list(points))}; '
        "or tape the length as a triangle: fixed_radius, arm_radius, drawn_length "
        "and in_bump.",
    )


def _tells(span: Span, blame: Blame) -> bool:
    if float(span.longest - span.shortest) >= _LEAST_SWING:
        return True
    blame.say(
        "to",
        "The length hardly changes as the arm turns: one of its points lies on the "
        "arm's axis. Choose another.",
    )
    return False


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """What a row may be of.

    Attributes
    ----------
    dimensions : mapping of str to Dimension
        Those without fault. [m]
    named : frozenset of str
        The names of all, faulty ones too. [1]
    ride_height : RideHeight or None
        Where the height is measured. [m]
    has_height : bool
        Whether the file has such a table, faulty or not. [1]
    heights : tuple of float or None
        Least and greatest ride height that the linkage can give. [m]
    """

    dimensions: Mapping[str, Dimension]
    named: frozenset[str]
    ride_height: RideHeight | None
    has_height: bool
    heights: tuple[float, float] | None


def build_published(
    rows: Sequence[PublishedRow | None],
    seen: Seen,
    lines: Sequence[int],
    blame: Blame,
) -> tuple[Observation, ...]:
    """Return what print says, leaving out rows in which a fault was found."""
    found = []
    for n, row in enumerate(rows):
        if row is None:
            continue
        at = blame.below(n)
        if row.of == "gap":
            at.say("of", "A gap is read on the car; it cannot be published.")
            continue
        figure = _observed(row, seen, at)
        if figure is None:
            continue
        found.append(
            Observation(
                of=row.of,
                figure=_sourced(figure, row.source),
                state=row.state,
                name=row.name or row.of,
                for_this_car={"yes": True, "no": False}.get(row.for_this_car),
                line=lines[n],
            )
        )
    return tuple(found)


def build_readings(
    rows: Sequence[ReadingRow | None],
    seen: Seen,
    lines: Sequence[int],
    blame: Blame,
) -> tuple[Observation, ...]:
    """Return what was read, leaving out rows in which a fault was found."""
    found = []
    for n, row in enumerate(rows):
        if row is None:
            continue
        at = blame.below(n)
        figure = _gap(row, seen, at) if row.of == "gap" else _plain(row, seen, at)
        if figure is None:
            continue
        found.append(
            Observation(
                of=row.of,
                figure=figure,
                state=row.state,
                name=row.name or (f"gap to {row.of_gap}" if row.of_gap else row.of),
                instrument=row.instrument or "",
                of_gap=row.of_gap or "",
                gauge=row.gauge,
                opens=row.opens or "",
                taken=row.taken or "",
                by=row.by or "",
                line=lines[n],
            )
        )
    return tuple(found)


def _sourced(figure: Figure, source: str) -> Figure:
    return Figure(
        figure.value, figure.doubt, figure.standing, source, figure.text, figure.step
    )


def _plain(row: ReadingRow, seen: Seen, blame: Blame) -> Figure | None:
    for key in ("of_gap", "gauge", "opens"):
        if getattr(row, key) is not None:
            blame.say(key, 'This is for a gap only. Write of = "gap" or leave it out.')
            return None
    return _observed(row, seen, blame)


def _observed(
    row: PublishedRow | ReadingRow, seen: Seen, blame: Blame
) -> Figure | None:
    """Return the figure of a row, or None where a fault was found."""
    if row.of == "arm slope":
        return row.value
    if row.of == "ride height":
        return _height(row, seen, blame)
    if row.of not in seen.named:
        own = OWN_NAMES if isinstance(row, ReadingRow) else OWN_NAMES[:2]
        words = {*seen.named, *own}
        near = nearest(row.of, words)
        guess = f'Did you mean "{near}"? ' if near else ""
        blame.say(
            "of",
            f'There is no dimension "{row.of}". {guess}It must be '
            f"{either(sorted(words))}.",
        )
        return None
    dimension = seen.dimensions.get(row.of)
    if dimension is None:
        return None
    reached = _reached(row.value.value, dimension, "value", blame)
    return row.value if reached else None


def _height(row: PublishedRow | ReadingRow, seen: Seen, blame: Blame) -> Figure | None:
    if not seen.has_height:
        blame.say(
            "of",
            "The corner has no [ride_height] table that says where the height is "
            "measured and what it is at the drawn position.",
        )
        return None
    if row.state == "bare arm":
        blame.say(
            "state",
            "With the arm bare there is no ride height. The car is "
            '"standing" or "hanging".',
        )
        return None
    figure = row.value
    if seen.heights is None:
        return None
    low, high = seen.heights
    if low <= figure.value <= high:
        return figure
    words = [length_words(x, blame.system) for x in (low, high)]
    blame.say(
        "value",
        f'"{figure.text}" is far out of the travel, even with a quarter of it more '
        f"at each end: from {words[0]} to {words[1]}.",
    )
    return None


def _reached(length: float, dimension: Dimension, key: str, blame: Blame) -> bool:
    low, high = float(dimension.span.shortest), float(dimension.span.longest)
    if low <= length <= high:
        return True
    said = length_words(length, blame.system)
    words = [length_words(x, blame.system) for x in (low, high)]
    drawn = length_words(float(value(dimension.span.length(0.0))), blame.system)
    blame.say(
        key,
        f"{said} is out of the arm's reach: from {dimension.fixed} to "
        f"{dimension.moving} it can give from {words[0]} to {words[1]}, and {drawn} at "
        "the drawn position.",
    )
    return False


def _gap(row: ReadingRow, seen: Seen, blame: Blame) -> Figure | None:
    """Return a gap's figure after seeing that its gauge and the sum are in reach."""
    worse = blame.mark()
    for key, words in (
        ("of_gap", "Say whose gauge does not reach: a dimension's name."),
        ("gauge", "Say the centre distance of the gauge."),
        ("opens", 'Say whether the arm hangs "low" or stands "high" of the gauge.'),
    ):
        if getattr(row, key) is None:
            blame.say(key, f"This is missing. {words}")
    if row.of_gap is not None and row.of_gap not in seen.named:
        blame.say(
            "of_gap",
            f'There is no dimension "{row.of_gap}". It must be '
            f"{either(sorted(seen.named))}."
            if seen.named
            else f'There is no dimension "{row.of_gap}"; the corner has none.',
        )
    figure = row.value
    dimension = seen.dimensions.get(row.of_gap or "")
    if worse() or dimension is None or row.gauge is None:
        return None
    if not _reached(row.gauge.value, dimension, "gauge", blame):
        return None
    longer = (float(dimension.span.slope(0.0)) < 0.0) == (row.opens == "low")
    whole = row.gauge.value + (figure.value if longer else -figure.value)
    return figure if _reached(whole, dimension, "value", blame) else None
