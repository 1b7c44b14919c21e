"""Where a network lies: given coordinates, and inner constraints for the rest.

References
----------
.. [1] P. Meissl, inner constraints of a free network; as told in G. Strang and
   K. Borre, *Linear algebra, geodesy, and GPS*, 1997, chapter 12 (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from splinewise.core.fit_rows import Constraints
from splinewise.core.network_ties import TieModel
from splinewise.core.quantities import Array
from splinewise.errors import TaskError

__all__ = ["datum", "datum_freedoms", "refuse_loose"]


def datum_freedoms(points: Array) -> Array:
    """Shifts and small turns of all points together, as orthonormal columns.

    Parameters
    ----------
    points : ndarray, shape (p, d)
        Coordinates. [m]

    Returns
    -------
    ndarray, shape (p d, k)
        One column for each shift and turn that really moves a point. [1]
    """
    p, d = points.shape
    about = points - points.mean(axis=0)
    columns = [np.tile(axis, p) for axis in np.eye(d)]
    for i in range(d):
        for j in range(i + 1, d):
            turn = np.zeros((p, d))
            turn[:, i], turn[:, j] = -about[:, j], about[:, i]
            columns.append(turn.ravel())
    u, s, _ = np.linalg.svd(np.column_stack(columns), full_matrices=False)
    return np.asarray(u[:, s > 1e-9 * s[0]])


def refuse_loose(model: TieModel, fixed: Array, names: Sequence[str]) -> None:
    """Refuse a network in which a point has too few readings to be fixed.

    Parameters
    ----------
    model : TieModel
        The readings.
    fixed : ndarray, shape (p, d)
        Given coordinates, NaN where free. [m]
    names : sequence of str, shape (p,)
        What the points are called.

    Returns
    -------
    None
        Nothing. [1]

    Raises
    ------
    TaskError
        Naming the first such point.
    """
    p, d = fixed.shape
    enough = np.isfinite(fixed).sum(axis=1)
    np.add.at(enough, model.second, 1)
    np.add.at(enough, model.first, (model.single > 0).astype(int))
    loose = np.flatnonzero(enough < min(d, p - 1 + int(model.single.min() == 0)))
    if loose.size:
        i = int(loose[0])
        msg = (
            f"The readings do not fix {names[i]}: {int(enough[i])} concern it, "
            f"and in {d} dimensions a point needs at least {d}."
        )
        raise TaskError(msg)


def datum(model: TieModel, points: Array, fixed: Array) -> tuple[Constraints, int]:
    """Hold the given coordinates, and the freedoms that they leave by their mean.

    Parameters
    ----------
    model : TieModel
        The readings.
    points : ndarray, shape (p, d)
        Where the shape lies, to which the datum keeps. [m]
    fixed : ndarray, shape (p, d)
        Given coordinates, NaN where free. [m]

    Returns
    -------
    constraints : Constraints
        What the coordinates must meet. [m]
    defect : int
        How many shifts and turns the inner constraints had to hold. [1]
    """
    size = points.size
    known = np.isfinite(fixed.ravel())
    rows = np.eye(size)[known]
    values = fixed.ravel()[known]
    G = datum_freedoms(points)
    seen = np.vstack([model.slopes(points.ravel()), rows]) @ G
    _, s, vt = np.linalg.svd(seen, full_matrices=True)
    rank = int(np.sum(s > 1e-8 * max(1.0, float(s.max(initial=0.0)))))
    open_ways = (G @ vt[rank:].T).T
    matrix = np.vstack([rows, open_ways])
    value = np.concatenate([values, open_ways @ points.ravel()])
    return Constraints(matrix, value), open_ways.shape[0]
