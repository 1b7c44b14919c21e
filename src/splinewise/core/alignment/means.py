"""What can be adjusted on each layout of suspension, and what cannot.

Common practice, no source: which of these a given car has, its manual says.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

__all__ = ["MEANS", "Means", "means_of"]


@dataclass(frozen=True, slots=True)
class Means:
    """One way to change the angles of a wheel.

    Attributes
    ----------
    what : str
        What is adjusted, in plain words.
    angles : tuple of str
        The angles that it is there for: "camber", "caster", "toe".
    also : tuple of str
        Those that it moves as well, so that they are set after it.
    part : str
        What it moves: a hard point, a length, or a pair of pivots.
    adjuster : str
        The kind of adjuster that models it; empty where the layout's model has none.
    moves_bar : bool, default False
        Whether it moves the axis of the arm that the bar usually holds, and with it
        the setting.
    """

    what: str
    angles: tuple[str, ...]
    also: tuple[str, ...]
    part: str
    adjuster: str
    moves_bar: bool = False


_CAMBER, _CASTER, _TOE = ("camber",), ("caster",), ("toe",)
_BOTH = ("camber", "caster")
_TRACK_ROD = Means("track rod screwed longer or shorter", _TOE, (), "rod", "ScrewedRod")
_UPPER = (
    Means("shim packs under the upper arm's shaft", _BOTH, _TOE, "upper", "ShimPacks"),
    Means(
        "eccentric bolts at the upper arm's pivots",
        _BOTH,
        _TOE,
        "upper_front, upper_rear",
        "EccentricBolt",
    ),
    Means(
        "slotted pivots of the upper arm",
        _BOTH,
        _TOE,
        "upper_front, upper_rear",
        "Slide",
    ),
    Means(
        "legs of the upper arm screwed longer or shorter",
        _BOTH,
        _TOE,
        "upper_front, upper_rear",
        "ScrewedRod",
    ),
)
_LOWER = (
    Means(
        "eccentric bolts at the lower arm's pivots",
        _BOTH,
        _TOE,
        "lower_front, lower_rear",
        "EccentricBolt",
        moves_bar=True,
    ),
    Means(
        "shim packs under the lower arm's shaft",
        _BOTH,
        _TOE,
        "lower",
        "ShimPacks",
        moves_bar=True,
    ),
)

MEANS: Mapping[str, tuple[Means, ...]] = MappingProxyType(
    {
        "double wishbone": (*_UPPER, *_LOWER, _TRACK_ROD),
        "lever and link": (*_UPPER, *_LOWER, _TRACK_ROD),
        "strut rod link": (
            Means(
                "strut rod screwed longer or shorter",
                _CASTER,
                ("camber", "toe"),
                "lower_front",
                "ScrewedRod",
            ),
            Means(
                "eccentric bolt at the link's inner bush",
                _CAMBER,
                ("caster", "toe"),
                "lower_rear",
                "EccentricBolt",
                moves_bar=True,
            ),
            *_UPPER,
            _TRACK_ROD,
        ),
        "strut": (
            Means("top mount slid or turned over", _BOTH, _TOE, "strut_top", "Slide"),
            Means(
                "eccentric bolt where the strut holds the upright",
                _CAMBER,
                _TOE,
                "upright",
                "",
            ),
            _TRACK_ROD,
        ),
        "trailing arm": (
            Means(
                "shims or slots at one pivot of the arm",
                _TOE,
                _CAMBER,
                "pivot_inner, pivot_outer",
                "",
                moves_bar=True,
            ),
            Means(
                "shims behind the stub axle's flange",
                ("camber", "toe"),
                (),
                "spindle",
                "",
            ),
        ),
        "planar arm": (),
    }
)
"""By layout, what can be adjusted; nothing where the model knows no wheel."""


def means_of(layout: str) -> tuple[Means, ...]:
    """Return what can be adjusted on a layout.

    Parameters
    ----------
    layout : str
        Name of the layout, as in the car file.

    Returns
    -------
    tuple of Means
        The ways; empty where there are none or the layout is not known.
    """
    return MEANS.get(layout, ())
