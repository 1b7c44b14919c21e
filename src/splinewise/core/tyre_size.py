"""What a tyre's size designation says of its diameter, and how surely.

D = rim + 2 · width · aspect.  A size that prints its aspect gives D to about 2 mm on
a new tyre.  One that prints none leaves the aspect to be known from its kind: those
aspects, and how far they may be out, are from memory unless said, so that such a
diameter serves until the tyre is measured.

References
----------
.. [1] A maker's table of six radial sizes, inches, quoted at forwardlook.net
   (msg08480), read: each within 0.08 in of the formula.
.. [2] UNECE Regulation 30, annex V (sections and overall diameters of cross-ply
   sizes); from memory, the annex was not seen.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from splinewise.core.standing import Standing
from splinewise.errors import TextError

__all__ = ["TyreSize", "designation"]

INCH = 0.0254
# How far a new tyre's diameter lies from the formula [1]_.
MAKER = 0.002

# Load and speed, ply rating and other words that follow a size and change no radius.
_SERVICE = r"""
    (?: C | LT )? (?: \s+ (?: C | LT | XL | RF | REINFORCED | TL | TT | M\+S
      | \d{1,2} \s? (?: PR | PLY )
      | \d{2,3} (?: / \d{2,3} )? \s? [A-Z]\d? ) )* \s* $
"""
_METRIC = re.compile(
    r"""^ \s* (?: P | LT )? \s? (?P<width> \d{3} )
    (?: \s? / \s? (?P<aspect> \d{2} ) )?
    \s? (?: [A-Z]? (?P<build> [RDB] ) | [A-Z]? \s? [-X] )
    \s? (?P<rim> \d{2} (?: \.5 )? | [345]\d{2} )"""
    + _SERVICE,
    re.VERBOSE,
)
_INCH = re.compile(
    r"""^ \s* (?P<width> \d{1,2} \. (?P<hundredths> \d{1,2} ) )
    \s? (?: [A-Z]? (?P<build> [RDB] ) | [A-Z]? \s? [-X] | [SHV] )
    \s? (?P<rim> \d{2} (?: \.5 )? )"""
    + _SERVICE,
    re.VERBOSE,
)
_INSTEAD = "Write it as on the sidewall: 205/65R15, P215/70R15, 165R15 or 7.60-15."


@dataclass(frozen=True, slots=True)
class TyreSize:
    """A tyre's size as its designation gives it.

    Attributes
    ----------
    width : float
        Nominal section width. [m]
    aspect : float
        Section height over nominal width. [1]
    rim : float
        Nominal rim diameter. [m]
    aspect_half_range : float
        How far the aspect may be out; 0 where it is printed. [1]
    standing : Standing
        What stands behind the aspect.
    """

    width: float
    aspect: float
    rim: float
    aspect_half_range: float
    standing: Standing

    @property
    def diameter(self) -> float:
        """Diameter of the new tyre off the ground. [m]"""
        return self.rim + 2.0 * self.width * self.aspect

    @property
    def half_range(self) -> float:
        """How far the diameter of a new tyre may be from that, either way. [m]"""
        return MAKER + 2.0 * self.width * self.aspect_half_range

    @property
    def unloaded_radius(self) -> float:
        """Radius of the new tyre off the ground. [m]"""
        return 0.5 * self.diameter


def designation(text: str) -> TyreSize:
    """Read a tyre's size designation.

    ISO metric sizes (205/65R15, P215/70 R 15 98S, 165R15, 165 SR 15, 165-400) and
    inch marks (7.60-15, 5,20-13, 6.00 x 16, 7.50R16) are read.

    Parameters
    ----------
    text : str
        The designation as on the sidewall; load, speed and ply marks may follow.

    Returns
    -------
    TyreSize
        The size.

    Raises
    ------
    TextError
        If it is no designation that can be read, or its numbers cannot be a car's.
    """
    plain = text.upper().replace("×", "X").replace(",", ".")
    if found := _METRIC.match(plain):
        size = _metric(found)
    elif found := _INCH.match(plain):
        size = _inch(found)
    else:
        why = f"{text.strip()!r} is not a tyre size that can be read."
        raise TextError(text, why, _INSTEAD)
    for name, number, low, high in (
        ("width", size.width, 0.09, 0.40),
        ("section height over width", size.aspect, 0.25, 1.2),
        ("rim", size.rim, 0.20, 0.66),
    ):
        if not low <= number <= high:
            why = f"{text.strip()!r} has a {name} that no car's tyre has."
            raise TextError(text, why, _INSTEAD)
    return size


def _metric(found: re.Match[str]) -> TyreSize:
    width = int(found["width"]) / 1000.0
    if found["aspect"] is not None:
        aspect, out, standing = int(found["aspect"]) / 100.0, 0.0, Standing.READ
    else:
        # Sizes that print no aspect are of the 80 to 82 series.
        aspect, out, standing = 0.81, 0.01, Standing.MEMORY
    return TyreSize(width, aspect, _rim(found["rim"]), out, standing)


def _inch(found: re.Match[str]) -> TyreSize:
    width, rim = float(found["width"]) * INCH, _rim(found["rim"])
    if found["hundredths"] not in {"0", "00", "5", "50"}:
        # 5.20, 5.60, 5.90, 6.40, 6.70, 7.10, 7.60, 8.20: low-pressure sizes.
        aspect, out = 0.935, 0.04
    elif rim < 14.5 * INCH:
        aspect, out = 0.89, 0.04
    else:
        # The oldest and the light-truck sizes, whose sections exceed their names.
        aspect, out = 1.03, 0.04
    return TyreSize(width, aspect, rim, out, Standing.MEMORY)


def _rim(text: str) -> float:
    """Return a rim's diameter: inches below 100, millimetres above. [m]"""
    number = float(text)
    return number * INCH if number < 100.0 else number / 1000.0
