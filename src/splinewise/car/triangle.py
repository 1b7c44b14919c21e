"""A length taped as one side of a triangle whose corner is the bar's axis."""

from __future__ import annotations

from splinewise.car.blame import Blame
from splinewise.car.keys import Bump
from splinewise.car.model import Figure
from splinewise.car.words import length_words
from splinewise.core.arm import Span

__all__ = ["taped_span"]

_KEYS = ("fixed_radius", "arm_radius", "drawn_length", "in_bump")


def taped_span(
    blame: Blame,
    fixed_radius: Figure | None,
    arm_radius: Figure | None,
    drawn_length: Figure | None,
    in_bump: Bump | None,
) -> Span | None:
    """Return the span of three taped lengths, or say which is missing or wrong."""
    given = (fixed_radius, arm_radius, drawn_length, in_bump)
    for key, value in zip(_KEYS, given, strict=True):
        if value is None:
            blame.say(
                key,
                "This is missing. A taped length needs fixed_radius, arm_radius, "
                "drawn_length and in_bump.",
            )
    if fixed_radius is None or arm_radius is None or drawn_length is None:
        return None
    if in_bump is None:
        return None
    p, q, s = fixed_radius.value, arm_radius.value, drawn_length.value
    if not abs(p - q) <= s <= p + q:
        low, high = (length_words(x, blame.system) for x in (abs(p - q), p + q))
        blame.say(
            "drawn_length",
            f'"{drawn_length.text}" does not close the triangle with '
            f'"{fixed_radius.text}" and "{arm_radius.text}"; it must be from {low} to '
            f"{high}.",
        )
        return None
    closing = 1.0 if in_bump == "shortens" else -1.0
    return Span.of_lengths(p, q, s, closing=closing)
