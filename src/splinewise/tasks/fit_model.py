"""What every reading of a corner would be, and how it hangs on what is not known.

The unknowns of a corner are its slack angle, its bar rate, its sprung load and its
ride height as drawn.  Of the first nothing is known beforehand; the others are known
as the car file has them, with its doubt, and count as exact where it gives none.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from splinewise.car.model import Corner, Figure, Observation
from splinewise.core.corner import Spring, standing_angle, wheel_force
from splinewise.core.fit_rows import Prior, independent_prior
from splinewise.core.jet import seed, slope, value
from splinewise.core.linkages import solve
from splinewise.core.quantities import Array
from splinewise.errors import TaskError
from splinewise.tasks.doubts import observed_doubt, standard_doubt
from splinewise.tasks.slack import slack_from
from splinewise.tasks.turns import bar_turn

__all__ = ["CornerModel", "LoadTest", "Row", "Unknown", "row_of"]

SLACK, RATE, LOAD, DRAWN = range(4)
NAMES = (
    "slack angle",
    "bar rate",
    "sprung load",
    "ride height at the drawn position",
)
UNITS = ("rad", "N·m/rad", "N", "m")


@dataclass(frozen=True, slots=True)
class LoadTest:
    """A known weight laid over a wheel, and how far the car went down.

    Attributes
    ----------
    added : float
        The weight, its share on this wheel. [N]
    drop : Figure
        How far the ride height fell. [m]
    standard : float
        Standard doubt of the fall, that of the weight included. [m]
    """

    added: float
    drop: Figure
    standard: float


@dataclass(frozen=True, slots=True, eq=False)
class Row:
    """One reading as the fit takes it.

    Attributes
    ----------
    name, of, state, as_typed : str
        As the reading is called, what it is of, and how it was typed. [1]
    observed, standard : float
        The reading and its standard doubt. [unit]
    unit : str
        "m" or "rad". [1]
    kind : str
        "length", "slope", "height" or "drop". [1]
    spot : Observation or None
        The observation it came from. [1]
    length_of : str
        For a length, the dimension. [1]
    added : float
        For a load test, the weight. [N]
    """

    name: str
    of: str
    state: str
    as_typed: str
    observed: float
    standard: float
    unit: str
    kind: str
    spot: Observation | None = None
    length_of: str = ""
    added: float = 0.0


@dataclass(frozen=True, slots=True)
class Unknown:
    """One figure that the readings may change.

    Attributes
    ----------
    name : str
        What it is. [1]
    unit : str
        Its unit. [1]
    start : float
        Its value beforehand. [unit]
    standard : float
        Its standard doubt beforehand; infinite if nothing is known. [unit]
    """

    name: str
    unit: str
    start: float
    standard: float


def row_of(corner: Corner, seen: Observation) -> Row:
    """Return one observation as a row of a fit.

    Parameters
    ----------
    corner : Corner
        The corner it was made on. [m]
    seen : Observation
        The observation. [m or rad]

    Returns
    -------
    Row
        The row. [unit]

    Raises
    ------
    TaskError
        If it says nothing of the slack angle, or cannot be.
    """
    slack_from(corner, seen)  # refuses, in words, what cannot be taken
    read, _ = observed_doubt(seen)
    figure = seen.figure
    kind = {"arm slope": "slope", "ride height": "height"}.get(seen.of, "length")
    observed, of = figure.value, seen.of
    if seen.of == "gap" and seen.gauge is not None:
        of = seen.of_gap
        read = float(np.hypot(read, standard_doubt(seen.gauge)))
        observed = _past_gauge(corner, seen)
    unit = "rad" if kind == "slope" else "m"
    if read <= 0.0:
        msg = f"{seen.name!r} on {corner.name} has no doubt; write its ± beside it."
        raise TaskError(msg)
    return Row(
        seen.name,
        seen.of,
        seen.state,
        figure.text,
        observed,
        read,
        unit,
        kind,
        seen,
        of if kind == "length" else "",
    )


def _past_gauge(corner: Corner, seen: Observation) -> float:
    if seen.gauge is None:
        return float("nan")
    span = corner.dimensions[seen.of_gap].span
    lengthens = float(span.slope(span.angle(seen.gauge.value))) < 0.0
    way = 1.0 if (seen.opens == "low") == lengthens else -1.0
    return seen.gauge.value + way * seen.figure.value


def _key(row: Row) -> tuple[str, str, str, float]:
    return row.kind, row.state, row.length_of, row.added


@dataclass(frozen=True, slots=True, eq=False)
class CornerModel:
    """The readings of one corner as functions of its four unknowns.

    Attributes
    ----------
    corner : Corner
        The corner. [m]
    rows : tuple of Row
        Its readings. [unit]
    """

    corner: Corner
    rows: tuple[Row, ...]
    _found: dict[tuple[bytes, float], Array] = field(default_factory=dict, repr=False)

    def unknowns(self, start: float) -> tuple[Unknown, ...]:
        """Return the four unknowns as known beforehand, slack angle first.

        Parameters
        ----------
        start : float
            A slack angle to begin at. [rad]

        Returns
        -------
        tuple of Unknown
            Slack angle, bar rate, sprung load, ride height as drawn. [SI]
        """
        here = self.corner
        drawn = here.ride_height.drawn if here.ride_height else Figure(0.0, 0.0)
        known = [(start, np.inf)]
        known += [(f.value, standard_doubt(f)) for f in (here.bar.rate, here.load)]
        known.append((drawn.value, standard_doubt(drawn)))
        return tuple(
            Unknown(name, unit, *one)
            for name, unit, one in zip(NAMES, UNITS, known, strict=True)
        )

    @property
    def on_wheels(self) -> bool:
        """Whether any reading was taken with the car on its wheels. [1]"""
        return any(row.state == "standing" for row in self.rows)

    def values(self, x: Array) -> Array:
        """Return what the readings would be, shape (..., 4) → (..., m).

        Parameters
        ----------
        x : ndarray, shape (..., 4)
            The unknowns. [SI]

        Returns
        -------
        ndarray, shape (..., m)
            Readings; NaN where the corner cannot stand so. [unit]
        """
        slack = x[..., SLACK]
        theta = self.angle(x) if self.on_wheels else np.full_like(slack, np.nan)
        # Readings of one thing have one value, however often it was read.
        once = {
            _key(row): self._value(row, x, theta if row.state == "standing" else slack)
            for row in {_key(r): r for r in self.rows}.values()
        }
        found = [once[_key(row)] for row in self.rows]
        return np.stack(found, axis=-1)

    def angle(self, x: Array, added: float = 0.0) -> Array:
        """Return the arm angle standing, NaN on a stop; shape (..., 4) → (...). [rad]"""
        # Values and slopes are asked for at the same place, one after the other.
        key = (x.tobytes(), added)
        if key not in self._found:
            if len(self._found) > 3:
                self._found.clear()
            self._found[key] = self._angle(x, added)
        return self._found[key].reshape(x.shape[:-1])

    def _angle(self, x: Array, added: float) -> Array:
        here = self.corner
        turn = bar_turn(here, x[..., SLACK])
        good = np.isfinite(turn) & (x[..., RATE] > 0.0) & np.isfinite(x[..., LOAD])
        spring = Spring(
            np.where(good, x[..., RATE], 1.0), np.where(good, turn, 0.0), here.bush
        )
        load = np.where(good, x[..., LOAD] + added, 0.0)
        theta = standing_angle(here.linkage, spring, load, low=here.low, high=here.high)
        return np.where(good, theta, np.nan)

    def height(self, x: Array) -> Array:
        """Return the ride height standing, shape (..., 4) → (...). [m]"""
        return x[..., DRAWN] - self._risen(self.angle(x))

    def height_slope(self, x: Array) -> Array:
        """Return its derivative by the unknowns, shape (4,) → (4,). [m/unit]"""
        theta = self.angle(x)
        found = -self._rise_slope(theta)[..., None] * self._angle_slope(x, theta)
        found[..., DRAWN] = 1.0
        return np.asarray(found)

    def slopes(self, x: Array) -> Array:
        """Return the derivatives of the readings, shape (..., 4) → (..., m, 4).

        Parameters
        ----------
        x : ndarray, shape (..., 4)
            The unknowns. [SI]

        Returns
        -------
        ndarray, shape (..., m, 4)
            Derivatives. [unit]
        """
        slack = x[..., SLACK]
        bare = np.zeros(x.shape)
        bare[..., SLACK] = 1.0
        theta = turned = None
        if self.on_wheels:
            theta = self.angle(x)
            turned = self._angle_slope(x, theta)
        once: dict[tuple[str, str, str, float], Array] = {}
        for row in {_key(r): r for r in self.rows}.values():
            standing = theta is not None and row.state == "standing"
            at, by = (theta, turned) if standing else (slack, bare)
            once[_key(row)] = self._slope(row, x, np.asarray(at), np.asarray(by))
        found = [once[_key(row)] for row in self.rows]
        return np.stack(found, axis=-2)

    def _value(self, row: Row, x: Array, at: Array) -> Array:
        here = self.corner
        if row.kind == "slope":
            return at + here.drawn_slope
        if row.kind == "length":
            return np.asarray(value(here.dimensions[row.length_of].span.length(at)))
        if row.kind == "height":
            return x[..., DRAWN] - self._risen(at)
        return self._risen(self.angle(x, row.added)) - self._risen(at)

    def _slope(self, row: Row, x: Array, at: Array, by: Array) -> Array:
        here = self.corner
        if row.kind == "slope":
            return by
        if row.kind == "length":
            own = np.asarray(here.dimensions[row.length_of].span.slope(at))
            return own[..., None] * by
        own = -self._rise_slope(at)[..., None] * by
        if row.kind == "height":
            own = own.copy()
            own[..., DRAWN] = 1.0
            return np.asarray(own)
        lower = self.angle(x, row.added)
        loaded = self._angle_slope(x, lower)
        return np.asarray(self._rise_slope(lower)[..., None] * loaded + own)

    def _risen(self, theta: Array) -> Array:
        there = np.isfinite(theta)
        z = value(solve(self.corner.linkage, np.where(there, theta, 0.0)).contact.z)
        drawn = value(solve(self.corner.linkage, np.zeros(())).contact.z)
        return np.where(there, z - drawn, np.nan)

    def _rise_slope(self, theta: Array) -> Array:
        at = np.where(np.isfinite(theta), theta, 0.0)
        return np.asarray(slope(solve(self.corner.linkage, at).contact.z))

    def _angle_slope(self, x: Array, theta: Array) -> Array:
        """Return dθ by the unknowns where F(θ, τ₀, k) = load, shape (..., 4)."""
        here, k = self.corner, x[..., RATE]
        at = np.where(np.isfinite(theta), theta, 0.0)
        turn = here.linkage.bar_turn(seed(x[..., SLACK], order=1))
        good = np.isfinite(value(turn))
        spring = Spring(k, np.where(good, value(turn), 0.0), here.bush)
        held = wheel_force(here.linkage, spring, at)
        z1, t1 = held.rise_slope, slope(solve(here.linkage, at).twist)
        by_angle = held.wheel_rate * z1
        found = np.zeros(x.shape)
        found[..., SLACK] = k * t1 / z1 * slope(turn) / by_angle
        found[..., RATE] = -held.twist * t1 / z1 / by_angle
        found[..., LOAD] = 1.0 / by_angle
        return found


def prior_of(unknowns: Sequence[Unknown]) -> Prior:
    """Return what is known beforehand of the unknowns, for a fit.

    Parameters
    ----------
    unknowns : sequence of Unknown
        The unknowns. [SI]

    Returns
    -------
    Prior
        One entry for each that is known. [SI]
    """
    return independent_prior(
        [u.start for u in unknowns], [u.standard for u in unknowns]
    )
