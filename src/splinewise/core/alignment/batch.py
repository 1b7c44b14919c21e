"""Many settings of one corner at once: what they give, and the free knobs solved for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from splinewise.core.alignment.corners import knobs_of, limits_of
from splinewise.core.alignment.reach import Side
from splinewise.core.alignment.targets import angles_at
from splinewise.core.jet import Jet, Number, slope, value
from splinewise.core.quantities import Array

__all__ = ["Batch"]

_ROUNDS = 12
_SETTLED = 1e-11


@dataclass(frozen=True, slots=True, eq=False)
class Batch:
    """One side, its limits as arrays, and what it was found to be off by.

    Attributes
    ----------
    side : Side
        The corner and what is wanted.
    offset : ndarray, shape (3,)
        Measured angles less the model's. [rad]
    factors, most : ndarray, shape (k, n) and (k,)
        Limits of the knobs. [unit]
    rack : float
        How far the inner track-rod joints are moved to the left. [m]
    """

    side: Side
    offset: Array
    factors: Array
    most: Array
    rack: float

    @classmethod
    def of(cls, side: Side, rack: float) -> Batch:
        """Return the side made ready. [m]"""
        limits = limits_of(side.corner)
        count = len(knobs_of(side.corner))
        factors = np.array([limit.factors for limit in limits]).reshape(
            len(limits), count
        )
        return cls(
            side, side.offset, factors, np.array([limit.most for limit in limits]), rack
        )

    def span(self, knob: int) -> tuple[float, float]:
        """Return the range that one knob has, from the limits that name it alone. [unit]"""
        alone = np.count_nonzero(self.factors, axis=1) == 1
        factor, most = self.factors[alone, knob], self.most[alone]
        up, down = factor > 0.0, factor < 0.0
        high = np.min(most[up] / factor[up], initial=np.inf)
        low = np.max(most[down] / factor[down], initial=-np.inf)
        return float(low), float(high)

    def allowed(self, settings: Array) -> NDArray[np.bool_]:
        """Return which rows of settings keep every limit. [1]"""
        over = settings @ self.factors.T - self.most
        slack = 1e-9 * np.maximum(np.abs(self.most), 1e-3)
        return np.asarray(np.all(over <= slack, axis=-1))

    def angles(self, settings: Array) -> Array:
        """Return camber, caster and toe of rows of settings. [rad]"""
        out = np.full((len(settings), 3), np.nan)
        good = self._fits(settings)
        if np.any(good):
            found = self._look(list(settings[good].T))
            out[good] = np.stack(
                [np.broadcast_to(value(f), good.sum()) for f in found], -1
            )
        return out

    def misses(self, angles: Array) -> Array:
        """Return angles less those wanted, in tolerances; 0 for what is not asked. [1]"""
        wanted = self.side.wanted
        asked = np.isfinite(wanted.within)
        off = (angles - wanted.values) / wanted.within
        return np.where(asked, off, 0.0)

    def scores(self, angles: Array) -> Array:
        """Return the sum of the squares of the misses; infinite where nothing fits. [1]"""
        total = np.sum(self.misses(angles) ** 2, axis=-1)
        return np.where(np.isfinite(total), total, np.inf)

    def solved(self, settings: Array, free: Sequence[int]) -> Array:
        """Return rows of settings with the free knobs where the score is least. [unit]

        Gauss and Newton's steps, all rows at once, each knob kept in its own range.
        """
        out = settings.copy()
        good = np.flatnonzero(self._fits(settings))
        if not free or not len(good):
            return out
        worth = np.array([knobs_of(self.side.corner)[i].worth for i in free])
        spans = np.array([self.span(i) for i in free])
        asked = np.flatnonzero(np.isfinite(self.side.wanted.within))
        for _ in range(_ROUNDS):
            rows = out[good]
            jets: list[Number] = [column[:, None] for column in rows.T]
            for at, knob in enumerate(free):
                along = np.zeros(len(free))
                along[at] = worth[at]
                jets[knob] = Jet(rows[:, knob, None], along)
            found = self._look(jets)
            angles = np.stack([value(f)[:, 0] for f in found], axis=-1)
            shape = (len(rows), len(free))
            slopes = np.stack([np.broadcast_to(slope(f), shape) for f in found], axis=1)
            J = slopes[:, asked] / self.side.wanted.within[asked, None]
            r = self.misses(angles)[:, asked]
            step = -(np.linalg.pinv(J) @ r[..., None])[..., 0] * worth
            new = np.clip(rows[:, free] + step, spans[:, 0], spans[:, 1])
            moved = np.max(np.abs(new - rows[:, free]) / worth)
            rows[:, free] = new
            out[good] = rows
            if moved < _SETTLED:
                break
        return out

    def _fits(self, settings: Array) -> NDArray[np.bool_]:
        with np.errstate(invalid="ignore", divide="ignore"):
            good = self.side.corner.fits(list(settings.T))
        return np.broadcast_to(good, len(settings))

    def _look(self, settings: Sequence[Number]) -> list[Number]:
        with np.errstate(invalid="ignore", divide="ignore"):
            linkage = self.side.corner.linkage(settings)
            angles = angles_at(linkage, np.asarray(self.side.angle), rack=self.rack)
        return [a + float(o) for a, o in zip(angles, self.offset, strict=True)]
