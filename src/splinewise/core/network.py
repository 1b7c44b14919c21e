"""Coordinates of points from distances, levels and heights among them.

The datum comes from given coordinates; what they leave open is fixed by inner
constraints, the shift and turn that move the points least, so that no point is
favoured and the doubts are those of the shape.

References
----------
.. [1] P. Meissl, inner constraints of a free network; as told in G. Strang and
   K. Borre, *Linear algebra, geodesy, and GPS*, 1997, chapter 12 (from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.doubt import at_least
from splinewise.core.leastsquares import Constraints, Fit, fit
from splinewise.core.network_datum import datum, refuse_loose
from splinewise.core.network_search import Found, search
from splinewise.core.network_ties import Kind, Tie, TieModel
from splinewise.core.quantities import Array
from splinewise.core.robust import fit_about
from splinewise.errors import QuantityError, TaskError

__all__ = ["Network", "adjust", "square_sum_of"]


@dataclass(frozen=True, slots=True, eq=False)
class Network:
    """Points found from the readings among them.

    Attributes
    ----------
    coordinates : ndarray, shape (p, d)
        Adjusted coordinates. [m]
    covariance : ndarray, shape (p, d, p, d)
        Their covariance from the doubts of the readings as stated. [m²]
    fit : Fit
        The fit behind them, one row a reading, unknowns counted from `origin`.
    origin : ndarray, shape (d,)
        Local origin of the fit, which keeps the digits. [m]
    datum_defect : int
        Shifts and turns that no given coordinate and no reading fixes. [1]
    others : tuple of ndarray, shape (p, d)
        Other shapes that agree with the readings about as well. [m]
    mirrored : bool
        Whether the mirror image agrees exactly as well and nothing told them apart.
    agreed : ndarray, shape (p, d)
        Coordinates that most readings agree on; `coordinates`, unless the readings
        disagree by far (chance below 1 in 10,000). [m]
    tested : Fit
        The fit to judge the readings by: `fit`, or where they disagree by far the fit
        about `agreed`, whose tests a gross misread does not lead astray.
    model : TieModel
        The readings as a function of the coordinates, counted from `origin`.
    constraints : Constraints
        Given coordinates and datum, counted from `origin`.
    """

    coordinates: Array
    covariance: Array
    fit: Fit
    origin: Array
    datum_defect: int
    others: tuple[Array, ...]
    mirrored: bool
    agreed: Array
    tested: Fit
    model: TieModel
    constraints: Constraints

    @property
    def doubts(self) -> Array:
        """Standard uncertainty of each coordinate, shape (p, d). [m]"""
        return np.asarray(np.sqrt(np.einsum("ijij->ij", self.covariance)))

    @property
    def doubts_scaled(self) -> Array:
        """Standard uncertainty of each coordinate, scaled by s0, shape (p, d). [m]"""
        return self.doubts * self.fit.s0


def adjust(
    ties: Sequence[Tie],
    count: int,
    *,
    dimensions: int = 3,
    held: ArrayLike | None = None,
    near: ArrayLike | None = None,
    names: Sequence[str] = (),
    seed: int = 1,
) -> Network:
    """Find the points from the readings among them.

    Parameters
    ----------
    ties : sequence of Tie
        The readings. [m]
    count : int
        How many points there are. [1]
    dimensions : int, default 3
        Coordinates of a point, the last one up. [1]
    held : array_like, shape (p, d), optional
        Coordinates taken as exact, NaN where they are to be found. [m]
    near : array_like, shape (p, d), optional
        Rough coordinates, NaN where unknown: they choose between shapes that agree
        equally well, and place a network that nothing holds. [m]
    names : sequence of str, shape (p,), optional
        What the points are called in messages.
    seed : int, default 1
        Of the random starts. [1]

    Returns
    -------
    Network
        Coordinates, doubts, the fit with its tests, and what else would agree. [m]

    Raises
    ------
    TaskError
        If the readings do not fix all points.
    QuantityError
        If a reading names a point that is not there.

    Examples
    --------
    >>> from splinewise.core.network_ties import distance
    >>> sides = [(0, 1, 3.0), (1, 2, 4.0), (0, 2, 5.0)]
    >>> found = adjust([distance(*s, 1e-3) for s in sides], 3, dimensions=2)
    >>> bool(found.mirrored), found.datum_defect
    (True, 3)
    """
    at_least("count", count, 1)
    at_least("dimensions", dimensions, 1)
    for tie in ties:
        if max(tie.first, tie.second) >= count:
            name = "point"
            last = max(tie.first, tie.second)
            raise QuantityError(name, last, "", f"from 0 to {count - 1}")
    model = TieModel.of(ties, dimensions)
    fixed = _table(held, count, dimensions)
    rough = _table(near, count, dimensions)
    origin = _origin(fixed, rough)
    fixed, rough = fixed - origin, rough - origin
    read = np.array([tie.value for tie in ties])
    read = read - (1.0 - model.single) * origin[-1]
    u = np.array([tie.standard for tie in ties])
    points = [names[i] if i < len(names) else f"point {i + 1}" for i in range(count)]
    refuse_loose(model, fixed, points)
    found = _found(ties, model, read, u, fixed, rough, seed)
    constraints, defect = datum(model, found.points, fixed)
    labels = [
        f"{axis} of {points[i]}"
        for i in range(count)
        for axis in "xyz"[3 - dimensions :]
    ]

    def solve(how: Callable[..., Fit]) -> Fit:
        return how(
            model.values,
            found.points.ravel(),
            read,
            u,
            jacobian=model.slopes,
            constraints=constraints,
            scale=np.full(count * dimensions, max(float(np.ptp(found.points)), 1e-3)),
            names=labels,
        )

    tested = None
    if not found.agrees:
        with suppress(TaskError):
            tested = solve(fit_about)
    try:
        result = solve(fit)
    except TaskError:
        # A reading so far out that the bent shape has folded flat.
        if tested is None:
            raise
        result = tested
    shape = (count, dimensions)
    return Network(
        coordinates=result.parameters.reshape(shape) + origin,
        covariance=result.covariance.reshape(*shape, *shape),
        fit=result,
        origin=origin,
        datum_defect=defect,
        others=tuple(other + origin for other in found.others),
        mirrored=found.mirrored,
        tested=tested or result,
        model=model,
        constraints=constraints,
        agreed=found.points + origin
        if tested
        else result.parameters.reshape(shape) + origin,
    )


def square_sum_of(network: Network, observed: ArrayLike) -> float:
    """Sum of squares of a full fit with other readings, from the shape agreed on.

    Parameters
    ----------
    network : Network
        As found.
    observed : array_like, shape (m,)
        Readings as in `network.fit.observed`, some of them corrected. [m]

    Returns
    -------
    float
        vᵀPv; infinite where they are so far out that no shape settles. [1]
    """
    start = (network.agreed - network.origin).ravel()
    try:
        again = fit(
            network.model.values,
            start,
            observed,
            network.fit.standard,
            jacobian=network.model.slopes,
            constraints=network.constraints,
            scale=np.full(start.size, max(float(np.ptp(start)), 1e-3)),
        )
    except TaskError:
        return float("inf")
    return float(again.square_sum)


def _table(given: ArrayLike | None, count: int, dimensions: int) -> Array:
    if given is None:
        return np.full((count, dimensions), np.nan)
    table = np.asarray(given, dtype=np.float64)
    if table.shape != (count, dimensions):
        msg = (
            f"Coordinates must come as {count} points of {dimensions} numbers; "
            f"got the shape {table.shape}."
        )
        raise TaskError(msg)
    return table


def _origin(fixed: Array, rough: Array) -> Array:
    origin = np.zeros(fixed.shape[1])
    for table in (rough, fixed):
        known = np.isfinite(table)
        some = known.any(axis=0)
        total = np.where(known, table, 0.0).sum(axis=0)
        origin = np.where(some, total / np.maximum(known.sum(axis=0), 1), origin)
    return origin


def _found(
    ties: Sequence[Tie],
    model: TieModel,
    read: Array,
    u: Array,
    fixed: Array,
    rough: Array,
    seed: int,
) -> Found:
    if all(tie.kind in (Kind.LEVEL, Kind.HEIGHT) for tie in ties):
        # Linear: any start will do.
        start = np.where(np.isfinite(rough), rough, 0.0)
        start = np.where(np.isfinite(fixed), fixed, start)
        return Found(start, (), mirrored=False, agrees=True)
    shifted = [
        Tie(tie.kind, tie.first, tie.second, float(value), tie.standard)
        for tie, value in zip(ties, read, strict=True)
    ]
    return search(shifted, model, u, fixed, rough, seed=seed)
