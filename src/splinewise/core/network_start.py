"""A gross start for a network of distances, found without being asked for one.

Missing distances are filled in by the shortest way round, and the largest axes of
the table of squared distances give coordinates (classical scaling).  Copies of it,
shaken and turned over, and plainly random ones guard against a wrong valley.

References
----------
.. [1] W. S. Torgerson, *Multidimensional scaling: I. Theory and method*,
   Psychometrika 17(4), 1952, 401-419 (from memory).
.. [2] W. Kabsch, *A solution for the best rotation to relate two sets of vectors*,
   Acta Crystallographica A32, 1976, 922-923 (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from splinewise.core.network_ties import Kind, Tie
from splinewise.core.quantities import Array

__all__ = ["classical_scaling", "gross_starts", "shortest_ways", "superpose"]


def shortest_ways(ties: Sequence[Tie], count: int, held: Array) -> Array:
    """Distance of every pair of points, unread ones by the shortest way round.

    Parameters
    ----------
    ties : sequence of Tie
        The readings; level differences and heights say nothing here. [m]
    count : int
        Points. [1]
    held : ndarray, shape (p, d)
        Given coordinates, NaN where free. [m]

    Returns
    -------
    ndarray, shape (p, p)
        Distances; where no way leads, the largest that is known. [m]
    """
    D = np.full((count, count), np.inf)
    np.fill_diagonal(D, 0.0)
    for tie in ties:
        if tie.kind in (Kind.DISTANCE, Kind.PLAN):
            i, j = tie.first, tie.second
            D[i, j] = D[j, i] = min(D[i, j], tie.value)
    given = np.flatnonzero(np.isfinite(held).all(axis=1))
    between = np.linalg.norm(held[given][:, None] - held[given], axis=-1)
    D[np.ix_(given, given)] = between
    for k in range(count):
        D = np.minimum(D, D[:, k, None] + D[None, k, :])
    known = D[np.isfinite(D)]
    return np.where(np.isfinite(D), D, max(float(known.max()), 1e-3))


def classical_scaling(distances: Array, dimensions: int) -> Array:
    """Coordinates whose distances come near a table's ([1]_).

    Parameters
    ----------
    distances : ndarray, shape (p, p)
        Distance of every pair. [m]
    dimensions : int
        Coordinates wanted of a point. [1]

    Returns
    -------
    ndarray, shape (p, d)
        Coordinates about their middle, in any orientation. [m]
    """
    p = distances.shape[0]
    centre = np.eye(p) - 1.0 / p
    values, vectors = np.linalg.eigh(-0.5 * centre @ distances**2 @ centre)
    values, vectors = values[::-1], vectors[:, ::-1]
    found = np.zeros((p, dimensions))
    k = min(p, dimensions)
    found[:, :k] = vectors[:, :k] * np.sqrt(np.maximum(values[:k], 0.0))
    return found


def superpose(
    points: Array, onto: Array, *, upright: bool, mirror: bool | None = None
) -> Array:
    """Move points as one body as near as can be onto others ([2]_).

    Parameters
    ----------
    points : ndarray, shape (p, d)
        What to move. [m]
    onto : ndarray, shape (p, d)
        Where to; points with a NaN are not looked at. [m]
    upright : bool
        Whether the last axis must stay up.
    mirror : bool, optional
        Whether to turn the body over; by default whichever lies nearer.

    Returns
    -------
    ndarray, shape (p, d)
        The moved points. [m]
    """
    use = np.isfinite(onto).all(axis=1)
    if not np.any(use):
        return points
    a, b = points[use].mean(axis=0), onto[use].mean(axis=0)
    turned = points.shape[1] - int(upright)
    R = np.eye(points.shape[1])
    if turned > 0:
        H = ((points[use] - a).T @ (onto[use] - b))[:turned, :turned]
        u, _, vt = np.linalg.svd(H)
        hand = np.sign(np.linalg.det(u @ vt)) or 1.0
        if mirror is not None and (hand < 0.0) != mirror:
            u[:, -1] *= -1.0
        R[:turned, :turned] = u @ vt
    return np.asarray((points - a) @ R + b)


def _levelled(points: Array, ties: Sequence[Tie]) -> Array:
    """Turn points so that their last axis agrees with the levels that were read."""
    pairs = [tie for tie in ties if tie.kind is Kind.LEVEL]
    tops = [tie for tie in ties if tie.kind is Kind.HEIGHT]
    rows = [points[tie.second] - points[tie.first] for tie in pairs]
    rise = [tie.value for tie in pairs]
    if tops:
        middle = np.mean([points[tie.first] for tie in tops], axis=0)
        mean = float(np.mean([tie.value for tie in tops]))
        rows += [points[tie.first] - middle for tie in tops]
        rise += [tie.value - mean for tie in tops]
    if not rows:
        return points
    direction = np.linalg.lstsq(np.array(rows), np.array(rise), rcond=1e-6)[0]
    size = float(np.linalg.norm(direction))
    if size > 1e-9:
        # An orthogonal frame whose last axis is the direction up.
        frame, _ = np.linalg.qr(
            np.column_stack([direction / size, np.eye(points.shape[1])])
        )
        frame = np.roll(frame, -1, axis=1)
        frame[:, -1] *= np.sign(frame[:, -1] @ direction)
        points = points @ frame
    if tops:
        raised = np.mean([points[tie.first, -1] for tie in tops])
        points = points + np.eye(points.shape[1])[-1] * (mean - raised)
    return points


def gross_starts(
    ties: Sequence[Tie], held: Array, near: Array, *, copies: int, seed: int
) -> Array:
    """Propose starting coordinates, the likeliest first.

    Parameters
    ----------
    ties : sequence of Tie
        The readings. [m]
    held : ndarray, shape (p, d)
        Given coordinates, NaN where free. [m]
    near : ndarray, shape (p, d)
        Rough coordinates, NaN where unknown. [m]
    copies : int
        How many shaken copies, and as many random starts, to add. [1]
    seed : int
        Of the random numbers. [1]

    Returns
    -------
    ndarray, shape (b, p, d)
        Starts, with the given coordinates in place. [m]
    """
    p, d = held.shape
    rng = np.random.default_rng(seed)
    upright = any(tie.kind in (Kind.LEVEL, Kind.HEIGHT) for tie in ties)
    D = shortest_ways(ties, p, held)
    size = float(D.max())
    base = classical_scaling(D, d)
    shapes = [base]
    shapes += [base + rng.normal(0.0, 0.2 * size, (p, d)) for _ in range(copies)]
    shapes += [rng.normal(0.0, 0.5 * size, (p, d)) for _ in range(copies)]
    target = np.where(np.isfinite(held), held, near)
    starts = []
    for shape in shapes:
        stood = _levelled(shape, ties)
        for over in (False, True):
            placed = superpose(stood, target, upright=upright, mirror=over)
            starts.append(np.where(np.isfinite(target), target, placed))
            starts.append(np.where(np.isfinite(held), held, placed))
    return np.array(starts)
