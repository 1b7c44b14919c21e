"""Search for the shape that the readings describe, and for others that fit as well."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from splinewise.core.gauss_newton import Minimum, minimise
from splinewise.core.network_start import gross_starts, superpose
from splinewise.core.network_ties import Kind, Tie, TieModel
from splinewise.core.quantities import Array
from splinewise.core.robust import bounded
from splinewise.core.tails import chi_square_above

__all__ = ["Found", "search"]

COPIES = (10, 40)
"""Shaken copies tried at first, and when nothing that agrees has been found."""

AS_GOOD = 9.0
"""Rise of vᵀPv up to which another shape is not ruled out: 3² (own choice)."""


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """The best shape, placed.

    Attributes
    ----------
    points : ndarray, shape (p, d)
        Coordinates. [m]
    others : tuple of ndarray, shape (p, d)
        Shapes that agree about as well. [m]
    mirrored : bool
        Whether the mirror image agrees as well and nothing told them apart.
    agrees : bool
        Whether all readings agree on it; else it is the shape of most of them.
    """

    points: Array
    others: tuple[Array, ...]
    mirrored: bool
    agrees: bool


def search(
    ties: Sequence[Tie],
    model: TieModel,
    standard: Array,
    held: Array,
    near: Array,
    *,
    seed: int,
) -> Found:
    """Find the shape from starts of our own, and from the rough one if it is whole.

    Parameters
    ----------
    ties : sequence of Tie
        The readings. [m]
    model : TieModel
        The same, as a function of the coordinates.
    standard : ndarray, shape (m,)
        Standard uncertainties of the readings. [m]
    held, near : ndarray, shape (p, d)
        Given and rough coordinates, NaN where there are none. [m]
    seed : int
        Of the random starts. [1]

    Returns
    -------
    Found
        The shape nearest to the rough one among those that agree best. [m]
    """
    job = _Job.of(ties, model, standard, held)
    rough = np.where(np.isfinite(held), held, near)
    whole = bool(np.isfinite(rough).all())
    starts = gross_starts(ties, held, near, copies=COPIES[0], seed=seed)
    if whole:
        starts = np.concatenate([rough[None], starts])
    found = job.run(starts)
    if not job.agrees(found.cost.min()):
        # A few gross misreads bend the shape: look for the one that most agree on.
        most = job.agreed(found, starts)
        if not job.few_stand_out(most):
            more = gross_starts(ties, held, near, copies=COPIES[1], seed=seed + 1)
            found = job.join(found, job.run(more[4:]))
            most = job.agreed(found, starts)
        if not job.agrees(found.cost.min()):
            return job.choose(most, rough, agrees=False)
    found = job.join(found, job.run(job.turned_over(found)))
    return job.choose(found, rough, agrees=job.agrees(found.cost.min()))


@dataclass(frozen=True, slots=True, eq=False)
class _Job:
    """One search: what is read, what is held, and how a body may be moved."""

    model: TieModel
    read: Array
    standard: Array
    held: Array
    free: NDArray[np.bool_]
    upright: bool
    footed: bool  # heights fix the level of zero

    @classmethod
    def of(
        cls, ties: Sequence[Tie], model: TieModel, standard: Array, held: Array
    ) -> _Job:
        kinds = {tie.kind for tie in ties}
        read = np.array([tie.value for tie in ties])
        return cls(
            model,
            read,
            standard,
            held,
            ~np.isfinite(held.ravel()),
            bool(kinds & {Kind.LEVEL, Kind.HEIGHT}),
            Kind.HEIGHT in kinds,
        )

    def agrees(self, cost: float) -> bool:
        m, n = self.read.size, int(self.free.sum())
        return bool(chi_square_above(cost, max(m - n, 1)) > 1e-4)

    def agreed(self, found: Minimum, starts: Array) -> Minimum:
        """Search again with far-out readings given little weight."""
        best = found.point[np.argsort(found.cost)[:12]].reshape(-1, *self.held.shape)
        most = self.run(np.concatenate([starts[:12], best]), robust=True)
        return self.join(most, self.run(self.turned_over(most), robust=True))

    def few_stand_out(self, most: Minimum) -> bool:
        """Whether all but a few readings agree on the best shape."""
        x = most.point[np.argmin(most.cost)]
        v = np.sort(((self.model.values(x) - self.read) / self.standard) ** 2)
        spare = max(self.read.size - int(self.free.sum()), 1)
        return self.agrees(float(v[: self.read.size - max(spare // 4, 1)].sum()))

    def run(self, starts: Array, *, robust: bool = False) -> Minimum:
        """Let every start run down to its valley, given coordinates kept. [m]"""
        base = starts.reshape(len(starts), -1)
        free, u = self.free, self.standard

        def whole(y: Array, which: NDArray[np.intp]) -> Array:
            x = base[which].copy()
            x[:, free] = y
            return x

        def residual(y: Array, which: NDArray[np.intp]) -> Array:
            v = (self.model.values(whole(y, which)) - self.read) / u
            return bounded(v)[0] if robust else v

        def slope(y: Array, which: NDArray[np.intp]) -> Array:
            x = whole(y, which)
            J = self.model.slopes(x)[..., free] / u[:, None]
            if not robust:
                return J
            return bounded((self.model.values(x) - self.read) / u, J)[1]

        size = max(float(np.abs(self.read).max()), 1e-3)
        found = minimise(
            residual,
            slope,
            base[:, free],
            scale=np.full(int(free.sum()), size),
            noise=np.full(len(base), 1e-9 * np.linalg.norm(self.read / u)),
            floor=1e-9,
            limit=80,
        )
        everything = np.arange(len(base))
        points = whole(found.point, everything)
        return Minimum(points, found.cost, found.steps, found.converged)

    def join(self, one: Minimum, two: Minimum) -> Minimum:
        return Minimum(
            np.concatenate([one.point, two.point]),
            np.concatenate([one.cost, two.cost]),
            np.concatenate([one.steps, two.steps]),
            np.concatenate([one.converged, two.converged]),
        )

    def turned_over(self, found: Minimum) -> Array:
        """Turn over each point of the best shape, and all free points."""
        p, d = self.held.shape
        best = found.point[np.argmin(found.cost)].reshape(p, d)
        given = np.asarray(np.isfinite(self.held).all(axis=1))
        near = np.eye(p, dtype=bool)
        near[self.model.first, self.model.second] = True
        near[self.model.second, self.model.first] = True
        starts = []
        for i in np.flatnonzero(~given):
            around = best[near[i] & (np.arange(p) != i)]
            if len(around):
                one = best.copy()
                one[i] = _reflected(best[i : i + 1], around)[0]
                starts.append(one)
        if np.any(given):
            all_over = np.where(given[:, None], best, _reflected(best, best[given]))
            starts.append(all_over)
        return np.array(starts).reshape(-1, p, d)

    def choose(self, found: Minimum, rough: Array, *, agrees: bool) -> Found:
        """Place the shapes that agree as well as the best, and take the nearest."""
        order = np.argsort(found.cost, kind="stable")
        best = found.cost[order[0]]
        loose = not np.any(np.isfinite(self.held))
        shapes: list[Array] = []
        for k in order:
            if found.cost[k] > best + AS_GOOD:
                break
            points = found.point[k].reshape(self.held.shape)
            if loose:
                points = self._placed(points, rough)
            if not any(self._same(points, other, loose) for other in shapes):
                shapes.append(points)
        told = np.isfinite(rough).all(axis=1)
        if np.any(told):
            shapes.sort(key=lambda s: float(np.linalg.norm((s - rough)[told])))
        turned = self.held.shape[1] - int(self.upright)
        hand = int(told.sum()) > turned
        mirrored = loose and turned > 0 and not hand
        return Found(shapes[0], tuple(shapes[1:]), mirrored, agrees)

    def _placed(self, points: Array, rough: Array) -> Array:
        if np.any(np.isfinite(rough).all(axis=1)):
            moved = superpose(points, rough, upright=self.upright)
        else:
            moved = _own_frame(points, upright=self.upright)
        if self.footed:
            moved[:, -1] = points[:, -1]
        return moved

    def _same(self, one: Array, other: Array, loose: bool) -> bool:
        if loose:
            one = superpose(one, other, upright=self.upright)
        size = max(float(np.ptp(other)), 1e-3)
        return bool(np.abs(one - other).max() < 1e-4 * size + 3 * self.standard.max())


def _reflected(points: Array, mirror: Array) -> Array:
    """Points on the other side of the flat through those of `mirror`, or nearly so."""
    middle = mirror.mean(axis=0)
    _, s, vt = np.linalg.svd(mirror - middle)
    d = points.shape[1]
    rank = min(int(np.sum(s > 1e-6 * max(s.max(initial=0.0), 1e-12))), d - 1)
    flat = vt[:rank]
    along = (points - middle) @ flat.T @ flat
    return np.asarray(2.0 * (middle + along) - points)


def _own_frame(points: Array, *, upright: bool) -> Array:
    """First point at the origin, second along x, third on the left of it."""
    moved = np.asarray(points - points[0])
    turned = points.shape[1] - int(upright)
    if turned < 2 or len(points) < 2:
        return moved
    axes: list[Array] = []
    for row in moved[1:, :turned]:
        rest = row - sum((row @ axis) * axis for axis in axes)
        size = float(np.linalg.norm(rest))
        if size > 1e-6 * float(np.abs(moved).max()):
            axes.append(rest / size)
        if len(axes) == turned:
            break
    frame, _ = np.linalg.qr(np.column_stack([*axes, np.eye(turned)]))
    frame[:, : len(axes)] *= np.sign(
        np.sum(frame[:, : len(axes)] * np.column_stack(axes), axis=0)
    )
    moved[:, :turned] = moved[:, :turned] @ frame[:, :turned]
    return moved
