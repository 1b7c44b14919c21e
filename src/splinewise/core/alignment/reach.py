"""Settings that bring camber, caster and toe to target, on one side or on both.

The angles are taken at a stated arm angle: where the wheel will stand once the car has
settled, not where it happens to hang.  If the wheel's angles were measured, the
difference between them and the model's is taken to stay as the knobs move.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from splinewise.core.alignment.corners import Corner, knobs_of, limits_of
from splinewise.core.alignment.knobs import Knob, Limit
from splinewise.core.alignment.nearest import nearest
from splinewise.core.alignment.targets import NAMES, Angles, Wanted, angles_at
from splinewise.core.jet import Number, value
from splinewise.core.quantities import Array, finite
from splinewise.core.travel import refuse

__all__ = ["Cross", "Reached", "Side", "Steering", "reach", "reach_both"]

# What counts as reached, far below what any gauge shows. [rad]
_MET = 1e-10


@dataclass(frozen=True, slots=True, eq=False)
class Side:
    """One corner, what is wanted of it, and where it will stand.

    Attributes
    ----------
    corner : Corner
        The corner with what can be set on it.
    wanted : Wanted
        The angles that it shall have.
    angle : float
        Arm angle at which it shall have them. [rad]
    found : Angles or None, default None
        Angles measured with everything set as it is now. [rad]
    found_at : float or None, default None
        Arm angle at which they were measured; None for `angle`. [rad]
    """

    corner: Corner
    wanted: Wanted
    angle: float
    found: Angles | None = None
    found_at: float | None = None

    def angles(
        self,
        settings: Sequence[Number],
        *,
        angle: Number | None = None,
        rack: Number = 0.0,
    ) -> tuple[Number, Number, Number]:
        """Return camber, caster and toe with the knobs set, as measured. [rad]"""
        at = self.angle if angle is None else angle
        linkage = self.corner.linkage(settings)
        model = angles_at(
            linkage, np.asarray(at) if isinstance(at, float) else at, rack=rack
        )
        camber, caster, toe = (
            m + float(off) for m, off in zip(model, self.offset, strict=True)
        )
        return camber, caster, toe

    @property
    def offset(self) -> Array:
        """Measured angles less the model's, as everything is set now. [rad]"""
        if self.found is None:
            return np.zeros(3)
        at = self.angle if self.found_at is None else self.found_at
        now = [knob.now for knob in knobs_of(self.corner)]
        model = angles_at(self.corner.linkage(now), np.asarray(at))
        found = finite("found", self.found.array, "rad")
        return np.asarray(found - np.array([float(value(m)) for m in model]))


@dataclass(frozen=True, slots=True)
class Cross:
    """How far the difference between the two sides may be off, where targets are missed.

    Attributes
    ----------
    camber, caster : float or None
        Tolerance of left less right; None where it is of no account. [rad]

    Raises
    ------
    QuantityError
        If a tolerance is not positive.
    """

    camber: float | None = None
    caster: float | None = None

    def __post_init__(self) -> None:
        for name in ("camber", "caster"):
            within = getattr(self, name)
            if within is not None and not within > 0.0:
                refuse(name, within, "rad", "positive")


@dataclass(frozen=True, slots=True)
class Steering:
    """How far the inner track-rod joints can be moved together, both to the left.

    A car with one track rod that can be set needs it: a steering box whose link can be
    set, or a steering wheel that may go to another spline.

    Attributes
    ----------
    low, high : float
        Range from where it is with the steering wheel in its middle. [m]

    Raises
    ------
    QuantityError
        If the range does not hold nought.
    """

    low: float
    high: float

    def __post_init__(self) -> None:
        if not self.low <= 0.0 <= self.high:
            refuse("low", self.low, "m", "0 or below, and high 0 or above")


@dataclass(frozen=True, slots=True, eq=False)
class Reached:
    """What the knobs can do for one wheel.

    Attributes
    ----------
    knobs : tuple of Knob
        What was set.
    settings : ndarray, shape (n,)
        Where each knob goes. [unit]
    angles : Angles
        What the wheel then has. [rad]
    remainder : Angles
        That less what was wanted; NaN for what was not asked. [rad]
    binding : tuple of str
        The limits that keep the target away; empty where it is met, or where there
        is no knob for it.
    rack : float, default 0
        How far the inner track-rod joints go to the left. [m]
    """

    knobs: tuple[Knob, ...]
    settings: Array
    angles: Angles
    remainder: Angles
    binding: tuple[str, ...]
    rack: float = 0.0

    @property
    def met(self) -> bool:
        """Whether all that was asked is had, before rounding to stock."""
        return bool(np.nanmax(np.abs(self.remainder.array)) < _MET)

    @property
    def changes(self) -> Array:
        """How far each knob moves. [unit]"""
        return np.asarray(self.settings - np.array([knob.now for knob in self.knobs]))


def reach(side: Side) -> Reached:
    """Return the settings that bring one wheel to its target, or nearest to it.

    Parameters
    ----------
    side : Side
        The corner and what is wanted.

    Returns
    -------
    Reached
        Settings, angles, what is left over and which limit binds.

    Raises
    ------
    ReachError
        If the linkage cannot be assembled as it is set now.
    """
    return _solved([side], None, None)[0]


def reach_both(
    left: Side,
    right: Side,
    *,
    cross: Cross | None = None,
    steering: Steering | None = None,
) -> tuple[Reached, Reached]:
    """Return the settings that bring both wheels of an axle to target together.

    Where all can be met, each side is what `reach` gives.  Where not, `cross` weighs
    a difference between the sides against the misses of each, and `steering` adds the
    one knob that the two sides share.

    Parameters
    ----------
    left, right : Side
        The corners and what is wanted of each.
    cross : Cross or None
        How much a difference between left and right weighs.
    steering : Steering or None
        How far the inner joints can move together; None for not at all.

    Returns
    -------
    left, right : Reached
        Settings, angles [rad], what is left over and which limits bind.

    Raises
    ------
    ReachError
        If a linkage cannot be assembled as it is set now.
    """
    one, other = _solved([left, right], cross, steering)
    return one, other


def _solved(
    sides: Sequence[Side], cross: Cross | None, steering: Steering | None
) -> list[Reached]:
    knobs = [knobs_of(side.corner) for side in sides]
    counts = [len(some) for some in knobs]
    flat = [knob for some in knobs for knob in some]
    limits, rows = _limits(sides, counts, steering)
    start = [knob.now for knob in flat] + ([0.0] if steering else [])
    worth = [knob.worth for knob in flat] + ([1e-3] if steering else [])
    offsets = [side.offset for side in sides]

    def misses(settings: Sequence[Number]) -> list[Number]:
        out: list[Number] = []
        found = []
        for side, some, offset in zip(
            sides, _split(settings, counts), offsets, strict=True
        ):
            rack = settings[-1] if steering else 0.0
            linkage = side.corner.linkage(some)
            angles = angles_at(linkage, np.asarray(side.angle), rack=rack)
            have = [a + float(o) for a, o in zip(angles, offset, strict=True)]
            found.append(have)
            for a, want, within in zip(
                have, side.wanted.values, side.wanted.within, strict=True
            ):
                if np.isfinite(within):
                    out.append((a - float(want)) / float(within))
        for at, name in enumerate(NAMES[:2]):
            within = getattr(cross, name, None)
            if within is not None and len(sides) == 2:
                want = sides[0].wanted.values[at] - sides[1].wanted.values[at]
                gap = found[0][at] - found[1][at] - (0.0 if np.isnan(want) else want)
                out.append(gap / within)
        return out

    result = nearest(
        misses,
        np.array(start),
        factors=np.array([limit.factors for limit in limits]).reshape(
            len(limits), len(start)
        ),
        most=np.array([limit.most for limit in limits]),
        worth=np.array(worth),
    )
    rack = float(result.settings[-1]) if steering else 0.0
    split = _split(list(result.settings), counts)
    out = []
    for at, (side, some) in enumerate(zip(sides, split, strict=True)):
        have = side.angles([float(value(x)) for x in some], rack=rack)
        angles = Angles(*(value(a) for a in have))
        left_over = angles.array - side.wanted.values
        binding = tuple(
            limits[row].words for row in result.binding if rows[row] in (at, -1)
        )
        out.append(
            Reached(
                knobs[at],
                np.array([float(value(x)) for x in some]),
                angles,
                Angles(*left_over),
                binding,
                rack,
            )
        )
    return out


def _split(settings: Sequence[Number], counts: Sequence[int]) -> list[list[Number]]:
    """Return the settings of each side."""
    out, start = [], 0
    for count in counts:
        out.append(list(settings[start : start + count]))
        start += count
    return out


def _limits(
    sides: Sequence[Side], counts: Sequence[int], steering: Steering | None
) -> tuple[list[Limit], list[int]]:
    """Return all limits over all knobs, and the side of each; −1 for the steering."""
    tail = (0.0,) if steering else ()
    limits, rows = [], []
    for at, side in enumerate(sides):
        before, after = (0.0,) * sum(counts[:at]), (0.0,) * sum(counts[at + 1 :])
        for limit in limits_of(side.corner):
            factors = (*before, *limit.factors, *after, *tail)
            limits.append(Limit(factors, limit.most, limit.words))
            rows.append(at)
    if steering:
        nought = (0.0,) * sum(counts)
        words = "the inner track-rod joints can go no further to the"
        limits.append(Limit((*nought, 1.0), steering.high, f"{words} left"))
        limits.append(Limit((*nought, -1.0), -steering.low, f"{words} right"))
        rows += [-1, -1]
    return limits, rows
