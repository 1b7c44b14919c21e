"""The band of heights in which camber, caster and toe all stay inside their limits.

From where the car stands the search goes up and down to the first arm angle at which
an angle meets a limit.  Between the angles that are looked at a curve may dip over a
limit and come back; where its exact slope changes sign, its turning point is found and
looked at as well.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from splinewise.core.alignment.targets import NAMES, angles_at
from splinewise.core.jet import curvature, seed, slope, value
from splinewise.core.linkages import Linkage, locking_angle
from splinewise.core.quantities import Array, finite
from splinewise.core.travel import refuse
from splinewise.errors import ReachError

__all__ = ["AngleLimits", "HeightWindow", "height_window"]

_LOOKS = 129


@dataclass(frozen=True, slots=True)
class AngleLimits:
    """Least and greatest angle that is allowed; None where nothing is asked.

    Attributes
    ----------
    camber, caster, toe : tuple of float or None, default None
        The two limits; either may be infinite. [rad]

    Raises
    ------
    QuantityError
        If a lower limit is not below the upper one.
    """

    camber: tuple[float, float] | None = None
    caster: tuple[float, float] | None = None
    toe: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        for name in NAMES:
            pair = getattr(self, name)
            if pair is not None and not pair[0] < pair[1]:
                refuse(f"{name} lower limit", pair[0], "rad", f"below {pair[1]:g} rad")

    @property
    def rows(self) -> list[tuple[int, float, float, str]]:
        """Which angle, sense, limit and words of every limit. [rad]"""
        out = []
        for at, name in enumerate(NAMES):
            low, high = getattr(self, name) or (-np.inf, np.inf)
            if np.isfinite(low):
                out.append((at, 1.0, float(low), f"{name} at its lower limit"))
            if np.isfinite(high):
                out.append((at, -1.0, float(high), f"{name} at its upper limit"))
        return out


@dataclass(frozen=True, slots=True)
class HeightWindow:
    """How far the wheel may go down and up.

    Attributes
    ----------
    low, high : float
        Arm angles between which all angles are inside; NaN where they are not even
        where the car stands. [rad]
    low_rise, high_rise : float
        Rise of the wheel there, counted from where the car stands. [m]
    low_reason, high_reason : str
        What ends the band.
    outside : tuple of str
        The limits that are broken where the car stands.
    """

    low: float
    high: float
    low_rise: float
    high_rise: float
    low_reason: str
    high_reason: str
    outside: tuple[str, ...]

    @property
    def span(self) -> float:
        """Height of the whole band. [m]"""
        return self.high_rise - self.low_rise


def height_window(
    linkage: Linkage,
    limits: AngleLimits,
    *,
    angle: float,
    low: float,
    high: float,
) -> HeightWindow:
    """Return the band of heights round a standing position.

    Parameters
    ----------
    linkage : Linkage
        One corner, not a batch. [m]
    limits : AngleLimits
        What is allowed. [rad]
    angle : float, shape ()
        Arm angle at which the car stands. [rad]
    low, high : float, shape ()
        Ends of the travel as arm angles, in droop and in bump. [rad]

    Returns
    -------
    HeightWindow
        Both ends of the band and what makes them. [rad]

    Raises
    ------
    QuantityError
        If the travel does not hold the standing position.
    ReachError
        If an angle that is limited does not exist there.
    """
    for name, number in (("angle", angle), ("low", low), ("high", high)):
        finite(name, number, "rad")
    if not low <= angle <= high:
        refuse("angle", angle, "rad", f"inside the travel, {low:g} to {high:g} rad")
    looked = _Looked(linkage, limits)
    now = looked.room(np.full(len(looked.which), angle))[0]
    if np.any(np.isnan(now)):
        msg = (
            "The linkage cannot be assembled where it shall stand, or has no steering "
            "axis that could have a caster."
        )
        raise ReachError(msg)
    broken = tuple(
        words for words, left in zip(looked.words, now, strict=True) if not left >= 0.0
    )
    if broken:
        nan = np.nan
        return HeightWindow(nan, nan, nan, nan, "", "", broken)
    ends = [_end(looked, angle, stop) for stop in (low, high)]
    angles = np.array([angle, *(end for end, _ in ends)])
    z = value(linkage.pose(angles).contact.z)
    return HeightWindow(
        ends[0][0],
        ends[1][0],
        float(z[1] - z[0]),
        float(z[2] - z[0]),
        ends[0][1],
        ends[1][1],
        (),
    )


class _Looked:
    """What is left to each limit, with slope and bend, at any arm angles."""

    def __init__(self, linkage: Linkage, limits: AngleLimits) -> None:
        rows = limits.rows
        self.linkage = linkage
        self.which = np.array([row[0] for row in rows], dtype=np.intp)
        self.sense = np.array([row[1] for row in rows])
        self.limit = np.array([row[2] for row in rows])
        self.words = [row[3] for row in rows]

    def room(
        self, angle: Array, row: NDArray[np.intp] | None = None
    ) -> tuple[Array, Array, Array]:
        """Return room, slope and bend of one limit at each angle of the last axis."""
        at = np.arange(len(self.which)) if row is None else row
        with np.errstate(invalid="ignore", divide="ignore"):
            found = angles_at(self.linkage, seed(angle))
        out = []
        for part in (value, slope, curvature):
            three = np.stack([np.broadcast_to(part(f), angle.shape) for f in found])
            out.append(
                np.take_along_axis(three, self.which[at][None, :], axis=0)[0]
                * self.sense[at]
            )
        out[0] = out[0] - self.sense[at] * self.limit[at]
        return out[0], out[1], out[2]


def _end(looked: _Looked, start: float, stop: float) -> tuple[float, str]:
    """Return the first arm angle toward `stop` at which the band ends, and why."""
    sense = 1.0 if stop > start else -1.0
    locks = locking_angle(looked.linkage, sense, farthest=max(abs(stop), 1e-9))
    reason = "end of the travel"
    if sense * locks < sense * stop:
        stop, reason = locks, "the linkage locks"
    count = len(looked.which)
    if not count or stop == start:
        return stop, reason
    grid = np.linspace(start, stop, _LOOKS)
    every = np.tile(grid, count)
    rows = np.repeat(np.arange(count), _LOOKS)
    room, rate, _ = (x.reshape(count, _LOOKS) for x in looked.room(every, rows))
    rate = rate * sense
    before, after = room[:, :-1], room[:, 1:]
    # A dip between two looks: falling at the one, rising at the other.
    dips = np.argwhere((after >= 0.0) & (rate[:, :-1] < 0.0) & (rate[:, 1:] > 0.0))
    crossed = [
        (int(r), float(grid[k]), float(grid[k + 1]))
        for r, k in np.argwhere((before >= 0.0) & ~(after >= 0.0))
    ]
    if len(dips):
        which = dips[:, 0].astype(np.intp)
        turning = _roots(
            lambda x: looked.room(x, which)[1:], grid[dips[:, 1]], grid[dips[:, 1] + 1]
        )
        deep = looked.room(turning, which)[0] < 0.0
        crossed += [
            (int(r), float(grid[k]), float(x))
            for (r, k), x in zip(dips[deep], turning[deep], strict=True)
        ]
    if not crossed:
        return stop, reason
    which = np.array([row for row, _, _ in crossed], dtype=np.intp)
    ends = _roots(
        lambda x: looked.room(x, which)[:2],
        np.array([near for _, near, _ in crossed]),
        np.array([far for _, _, far in crossed]),
    )
    first = int(np.argmin(ends * sense))
    return float(ends[first]), looked.words[int(which[first])]


def _roots(
    function: Callable[[Array], tuple[Array, Array]], near: Array, far: Array
) -> Array:
    """Return roots of a function with its slope, one in each bracket.

    Newton's method kept inside brackets that shrink at every step.
    """
    a, b = near.copy(), far.copy()
    sign = np.sign(function(b)[0] - function(a)[0])
    x = 0.5 * (a + b)
    for _ in range(80):
        f, rate = function(x)
        past = f * sign > 0.0
        a, b = np.where(past, a, x), np.where(past, x, b)
        with np.errstate(invalid="ignore", divide="ignore"):
            step = x - f / rate
        inside = (step >= np.minimum(a, b)) & (step <= np.maximum(a, b))
        new = np.where(f == 0.0, x, np.where(inside, step, 0.5 * (a + b)))
        moved = float(np.max(np.abs(new - x)))
        x = new
        if moved < 1e-15:
            break
    return np.asarray(x)
