"""Corners that can be adjusted: hard points, what can be set on them, the linkage after.

A corner of another layout needs three things: its hard points by name, the knobs, and
the linkage that the moved points make.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from itertools import accumulate
from typing import Literal, Protocol, cast

import numpy as np
from numpy.typing import NDArray

from splinewise.core.alignment.knobs import Adjuster, Knob, Limit
from splinewise.core.alignment.moves import Moves, added, reassembled
from splinewise.core.geometry import Vec, vec
from splinewise.core.jet import Number, value
from splinewise.core.linkages import (
    DoubleWishbone,
    Linkage,
    Strut,
    StrutPoints,
    StrutRodLink,
    StrutRodPoints,
    WishbonePoints,
)
from splinewise.core.quantities import Array
from splinewise.core.travel import refuse

__all__ = [
    "Corner",
    "StrutCorner",
    "StrutRodCorner",
    "WishboneCorner",
    "knobs_of",
    "limits_of",
    "moves_of",
]

Which = Literal["lower", "upper"]
_ARMS = tuple(f"{arm}_{end}" for arm in ("lower", "upper") for end in ("front", "rear"))
_RODS = ("rod_inner", "rod_outer")
_LENGTHS = ("rod", "lower", "upper", *_ARMS)


class Corner(Protocol):
    """One corner with what can be set on it."""

    @property
    def outboard(self) -> float:
        """+1 on the left of the vehicle, −1 on the right. [1]"""
        ...

    @property
    def adjusters(self) -> tuple[Adjuster, ...]:
        """What can be set."""
        ...

    def linkage(self, settings: Sequence[Number]) -> Linkage:
        """Return the linkage with its knobs set.

        Parameters
        ----------
        settings : sequence of Jet or array_like, shape (...)
            One for each knob, in the order of `knobs_of`. [unit]

        Returns
        -------
        Linkage, shape (...)
            The linkage. [m]

        Raises
        ------
        QuantityError
            If its parts no longer fit together; see `fits`.
        """
        ...

    def fits(self, settings: Sequence[Number]) -> NDArray[np.bool_]:
        """Return whether the parts still fit together with the knobs set so. [1]"""
        ...


def knobs_of(corner: Corner) -> tuple[Knob, ...]:
    """Return the knobs of all adjusters of a corner, in their order.

    Parameters
    ----------
    corner : Corner
        The corner. [m]

    Returns
    -------
    tuple of Knob
        The knobs. [unit]
    """
    return tuple(knob for one in corner.adjusters for knob in one.knobs)


def limits_of(corner: Corner) -> tuple[Limit, ...]:
    """Return the limits of all adjusters, each with a factor for every knob.

    Parameters
    ----------
    corner : Corner
        The corner. [m]

    Returns
    -------
    tuple of Limit
        The limits. [unit]
    """
    counts = [len(one.knobs) for one in corner.adjusters]
    starts = [0, *accumulate(counts)]
    out = []
    for one, start, count in zip(corner.adjusters, starts, counts, strict=False):
        before, after = (0.0,) * start, (0.0,) * (starts[-1] - start - count)
        for limit in one.limits:
            out.append(replace(limit, factors=(*before, *limit.factors, *after)))
    return tuple(out)


def moves_of(corner: Corner, points: object, settings: Sequence[Number]) -> Moves:
    """Return what settings of all knobs do to a corner.

    Parameters
    ----------
    corner : Corner
        The corner. [m]
    points : WishbonePoints or StrutPoints
        Its hard points as drawn. [m]
    settings : sequence of Jet or array_like, shape (...)
        One for each knob. [unit]

    Returns
    -------
    Moves, shape (...)
        How far points move and parts grow. [m]
    """

    def place(name: str) -> Vec:
        return vec(getattr(points, name))

    rest, parts = list(settings), []
    for one in corner.adjusters:
        count = len(one.knobs)
        parts.append(one.moves(place, rest[:count]))
        rest = rest[count:]
    return added(parts)


def _known(
    corner: Corner, points: object, shifts: Sequence[str], lengths: Sequence[str]
) -> None:
    """Refuse adjusters that work on what the layout does not have."""
    nought = [knob.now for knob in knobs_of(corner)]
    moves = moves_of(corner, points, nought)
    for kind, names, allowed in (
        ("moved", moves.shifts, shifts),
        ("lengthened", moves.lengths, lengths),
    ):
        for name in names:
            if name not in allowed:
                which = " or ".join(allowed)
                refuse(
                    f"adjuster of {name!r}", 1, "of them", f"of {which} to be {kind}"
                )


def _there(point: object) -> NDArray[np.bool_]:
    """Return where a point has a place."""
    return np.asarray(np.isfinite(vec(cast(Array, point)).array).all(axis=-1))


@dataclass(frozen=True, slots=True, eq=False)
class WishboneCorner:
    """A double wishbone and what can be set on it.

    Attributes
    ----------
    points : WishbonePoints
        Hard points as drawn, with everything set as it is now. [m]
    outboard : float, shape ()
        +1 on the left of the vehicle, −1 on the right. [1]
    adjusters : tuple of Adjuster
        What can be set.
    bar_on : str, default "lower"
        "lower" or "upper": the arm that the bar holds. [1]
    damper_on : str, default "lower"
        "lower" or "upper": the arm that carries the damper. [1]

    Raises
    ------
    QuantityError
        If an adjuster works on a part that the layout does not have.
    """

    points: WishbonePoints
    outboard: float
    adjusters: tuple[Adjuster, ...]
    bar_on: Which = "lower"
    damper_on: Which = "lower"

    def __post_init__(self) -> None:
        _known(self, self.points, (*_ARMS, *_RODS), _LENGTHS)

    def adjusted(self, settings: Sequence[Number]) -> WishbonePoints:
        """Return the hard points with the knobs set. [m]"""
        return reassembled(
            self.points,
            moves_of(self, self.points, settings),
            bar_on=self.bar_on,
            damper_on=self.damper_on,
        )

    def fits(self, settings: Sequence[Number]) -> NDArray[np.bool_]:
        """Return whether the parts still fit together; as in `Corner.fits`. [1]"""
        return _there(self.adjusted(settings).rod_outer)

    def linkage(self, settings: Sequence[Number]) -> DoubleWishbone:
        """Return the linkage with the knobs set; as in `Corner.linkage`. [m]"""
        return DoubleWishbone.build(
            self.adjusted(settings),
            outboard=self.outboard,
            bar_on=self.bar_on,
            damper_on=self.damper_on,
        )


@dataclass(frozen=True, slots=True, eq=False)
class StrutRodCorner:
    """A link with a strut rod and an upper arm, and what can be set on it.

    Its strut rod is the front leg of the lower arm, "lower_front", and the link the
    rear one.  The bar's own place stays.

    Attributes
    ----------
    points : StrutRodPoints
        Hard points as drawn, with everything set as it is now. [m]
    outboard : float, shape ()
        +1 on the left of the vehicle, −1 on the right. [1]
    adjusters : tuple of Adjuster
        What can be set.
    damper_on : str, default "lower"
        "lower" or "upper": the arm that carries the damper. [1]

    Raises
    ------
    QuantityError
        If an adjuster works on a part that the layout does not have.
    """

    points: StrutRodPoints
    outboard: float
    adjusters: tuple[Adjuster, ...]
    damper_on: Which = "lower"

    def __post_init__(self) -> None:
        _known(self, self._wishbones, (*_ARMS, *_RODS), _LENGTHS)

    @property
    def _wishbones(self) -> WishbonePoints:
        """The same corner with link and strut rod as its lower arm. [m]"""
        p = self.points
        own = {f.name for f in fields(WishbonePoints)} & {f.name for f in fields(p)}
        shared = {name: getattr(p, name) for name in own}
        return WishbonePoints(
            lower_front=p.strut_rod_body, lower_rear=p.link_inner, **shared
        )

    def adjusted(self, settings: Sequence[Number]) -> StrutRodPoints:
        """Return the hard points with the knobs set. [m]"""
        drawn = self._wishbones
        new = reassembled(
            drawn, moves_of(self, drawn, settings), damper_on=self.damper_on
        )
        shared = {f.name for f in fields(new)} & {f.name for f in fields(self.points)}
        return replace(
            self.points,
            strut_rod_body=new.lower_front,
            link_inner=new.lower_rear,
            **{name: getattr(new, name) for name in shared},
        )

    def fits(self, settings: Sequence[Number]) -> NDArray[np.bool_]:
        """Return whether the parts still fit together; as in `Corner.fits`. [1]"""
        return _there(self.adjusted(settings).rod_outer)

    def linkage(self, settings: Sequence[Number]) -> StrutRodLink:
        """Return the linkage with the knobs set; as in `Corner.linkage`. [m]"""
        return StrutRodLink.build(
            self.adjusted(settings), outboard=self.outboard, damper_on=self.damper_on
        )


@dataclass(frozen=True, slots=True, eq=False)
class StrutCorner:
    """A sliding strut and what can be set on it: its top mount and its track rod.

    Attributes
    ----------
    points : StrutPoints
        Hard points as drawn, with everything set as it is now. [m]
    outboard : float, shape ()
        +1 on the left of the vehicle, −1 on the right. [1]
    adjusters : tuple of Adjuster
        What can be set.

    Raises
    ------
    QuantityError
        If an adjuster works on a part that the layout does not have.
    """

    points: StrutPoints
    outboard: float
    adjusters: tuple[Adjuster, ...]

    def __post_init__(self) -> None:
        _known(self, self.points, ("strut_top", *_RODS), ("rod",))

    def fits(self, settings: Sequence[Number]) -> NDArray[np.bool_]:
        """Return whether the parts still fit together; as in `Corner.fits`. [1]"""
        pose = self.linkage(settings).pose(np.zeros(()))
        return np.asarray(np.isfinite(value(pose.contact.z)))

    def linkage(self, settings: Sequence[Number]) -> Strut:
        """Return the linkage with the knobs set; as in `Corner.linkage`. [m]"""
        moves = moves_of(self, self.points, settings)
        drawn = Strut.build(self.points, outboard=self.outboard)
        # The upright keeps the strut's axis and the track rod's lever; only what it
        # hangs on has moved.
        top, inner, lever = (
            start + moves.shifts[name] if name in moves.shifts else start
            for name, start in (
                ("strut_top", drawn.top),
                ("rod_inner", drawn.rod_inner),
                ("rod_outer", drawn.lever),
            )
        )
        rod = drawn.rod + moves.lengths.get("rod", cast(Array, 0.0))
        return replace(drawn, top=top, rod_inner=inner, lever=lever, rod=rod)
