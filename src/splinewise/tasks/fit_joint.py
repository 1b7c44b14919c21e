"""One weighted least-squares fit of one corner, or of two that share a bar's rate."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from splinewise.car.model import Car, Corner
from splinewise.core.leastsquares import Fit, fit
from splinewise.core.quantities import Array
from splinewise.errors import TaskError
from splinewise.tasks.fit_model import (
    RATE,
    SLACK,
    CornerModel,
    LoadTest,
    Row,
    Unknown,
    prior_of,
    row_of,
)
from splinewise.tasks.slack import corner_of, slack_from

__all__ = ["Joint", "Solved", "joint_of", "solve_joint"]


@dataclass(frozen=True, slots=True, eq=False)
class Joint:
    """The readings of some corners as functions of one vector of unknowns.

    Attributes
    ----------
    models : tuple of CornerModel
        The corners. [SI]
    unknowns : tuple of Unknown
        The columns of the vector. [SI]
    owners : tuple of tuple of str
        The corners that each column belongs to. [1]
    columns : ndarray of int, shape (c, 4)
        Column of each corner's four figures; −1 where it is exact. [1]
    exact : ndarray, shape (c, 4)
        The figures as the file has them. [SI]
    left_out : tuple of str
        Readings that could not be used, and why. [1]
    """

    models: tuple[CornerModel, ...]
    unknowns: tuple[Unknown, ...]
    owners: tuple[tuple[str, ...], ...]
    columns: NDArray[np.intp]
    exact: Array
    left_out: tuple[str, ...]

    @property
    def rows(self) -> tuple[tuple[Corner, Row], ...]:
        """Each reading with its corner. [1]"""
        return tuple((m.corner, row) for m in self.models for row in m.rows)

    def full(self, x: Array, corner: int) -> Array:
        """Return the four figures of a corner, shape (..., n) → (..., 4). [SI]"""
        at = self.columns[corner]
        own = np.broadcast_to(self.exact[corner], (*x.shape[:-1], 4)).copy()
        own[..., at >= 0] = x[..., at[at >= 0]]
        return own

    def values(self, x: Array) -> Array:
        """Return what the readings would be, shape (..., n) → (..., m). [unit]"""
        found = [m.values(self.full(x, i)) for i, m in enumerate(self.models) if m.rows]
        return np.concatenate(found, axis=-1)

    def slopes(self, x: Array) -> Array:
        """Return their derivatives, shape (..., n) → (..., m, n). [unit]"""
        found = [
            self.spread(m.slopes(self.full(x, i)), i)
            for i, m in enumerate(self.models)
            if m.rows
        ]
        return np.concatenate(found, axis=-2)

    def spread(self, by_four: Array, corner: int) -> Array:
        """Return derivatives by a corner's figures as by the unknowns. [unit]"""
        found = np.zeros((*by_four.shape[:-1], len(self.unknowns)))
        for figure, column in enumerate(self.columns[corner]):
            if column >= 0:
                found[..., column] += by_four[..., figure]
        return found


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """A joint and its fit.

    Attributes
    ----------
    joint : Joint
        Readings and unknowns. [SI]
    fit : Fit
        Values, covariance and tests. [SI]
    """

    joint: Joint
    fit: Fit

    def figure(self, corner: int, which: int) -> tuple[float, float]:
        """Return one figure of a corner and its standard doubt. [SI]"""
        column = int(self.joint.columns[corner, which])
        if column < 0:
            return float(self.joint.exact[corner, which]), 0.0
        return (
            float(self.fit.parameters[column]),
            float(self.fit.doubts[column]),
        )

    def height(self, corner: int) -> tuple[float, Array]:
        """Return a ride height standing and its derivative by the unknowns. [m]"""
        model = self.joint.models[corner]
        x = self.joint.full(self.fit.parameters, corner)
        slopes = self.joint.spread(model.height_slope(x), corner)
        return float(model.height(x)), slopes

    def doubt_of(self, slopes: Array) -> float:
        """Return the standard doubt of what has these derivatives. [unit]"""
        return math.sqrt(max(float(slopes @ self.fit.covariance @ slopes), 0.0))


def joint_of(
    car: Car,
    corners: Sequence[str],
    *,
    same_bars: bool = False,
    load_tests: Mapping[str, LoadTest] | None = None,
) -> Joint:
    """Gather what was read of some corners.

    Parameters
    ----------
    car : Car
        The car. [SI]
    corners : sequence of str
        Names or sides of its corners. [1]
    same_bars : bool
        Whether their bars are known to be of one rate. [1]
    load_tests : mapping of str to LoadTest, optional
        By corner. [N]

    Returns
    -------
    Joint
        Readings and unknowns. [SI]

    Raises
    ------
    TaskError
        If a corner has no reading that says anything of its slack angle, or bars
        said to be the same are not so in the file.
    """
    models, left_out, starts = [], [], []
    for name in corners:
        here = corner_of(car, name)
        rows, out = _rows(here, (load_tests or {}).get(here.name))
        left_out += out
        fixing = [r for r in rows if r.spot is not None]
        if not fixing:
            msg = (
                f"Nothing was read of how {here.name} is set. Read a setting length "
                "or an arm slope with the bar slack, or the ride height, and write "
                "it into the car file."
            )
            raise TaskError(" ".join([msg, *out]))
        seen = [slack_from(here, r.spot) for r in fixing if r.spot is not None]
        starts.append(float(np.median([s.slack_angle.value for s in seen])))
        models.append(CornerModel(here, rows))
    if same_bars:
        _refuse_unlike(models)
    unknowns: list[Unknown] = []
    owners: list[tuple[str, ...]] = []
    columns = np.full((len(models), 4), -1, dtype=np.intp)
    exact = np.zeros((len(models), 4))
    for i, (model, start) in enumerate(zip(models, starts, strict=True)):
        for which, one in enumerate(model.unknowns(start)):
            exact[i, which] = one.start
            if one.standard == 0.0:
                continue
            if same_bars and which == RATE and i:
                columns[i, which] = columns[0, which]
                continue
            columns[i, which] = len(unknowns)
            unknowns.append(one)
            owners.append((model.corner.name,))
    if same_bars and columns[0, RATE] >= 0:
        owners[columns[0, RATE]] = tuple(m.corner.name for m in models)
    return Joint(
        tuple(models), tuple(unknowns), tuple(owners), columns, exact, tuple(left_out)
    )


def solve_joint(joint: Joint) -> Solved:
    """Fit the unknowns to the readings and to what is known beforehand.

    Parameters
    ----------
    joint : Joint
        Readings and unknowns. [SI]

    Returns
    -------
    Solved
        The same with its fit. [SI]

    Raises
    ------
    TaskError
        If the corner cannot stand with the figures of the file, or nothing settles.
    """
    rows = [row for _, row in joint.rows]
    return Solved(joint, fitted(joint, np.array([row.observed for row in rows])))


def fitted(joint: Joint, observed: Array) -> Fit:
    """Fit the unknowns to readings; leading axes of `observed` are a batch.

    Parameters
    ----------
    joint : Joint
        Doubts and unknowns. [SI]
    observed : ndarray, shape (..., m)
        The readings. [unit]

    Returns
    -------
    Fit
        Its fit. [SI]
    """
    rows = [row for _, row in joint.rows]
    start = np.array([u.start for u in joint.unknowns])
    return fit(
        joint.values,
        _standing_start(joint, start),
        observed,
        np.array([row.standard for row in rows]),
        jacobian=joint.slopes,
        prior=prior_of(joint.unknowns),
        scale=[
            0.1 if u.unit == "rad" else 0.1 * max(abs(u.start), 1e-3)
            for u in joint.unknowns
        ],
        names=[u.name for u in joint.unknowns],
    )


def _standing_start(joint: Joint, start: Array) -> Array:
    """Return a start at which every corner stands free of its stops."""
    if np.all(np.isfinite(joint.values(start))):
        return start
    found = start.copy()
    for i, model in enumerate(joint.models):
        column = joint.columns[i, SLACK]
        # Where the first guess puts the car on a stop, look nearer what it carries.
        for slack in found[column] + np.linspace(-0.35, 0.35, 141):
            tried = found.copy()
            tried[column] = slack
            if np.all(np.isfinite(model.values(joint.full(tried, i)))):
                found = tried
                break
    if np.all(np.isfinite(joint.values(found))):
        return found
    names = " and ".join(m.corner.name for m in joint.models)
    msg = (
        f"With the bar and the load of the file {names} cannot stand free of the "
        "stops as read. Look at the bar, the load, the readings and the load test."
    )
    raise TaskError(msg)


def _rows(
    corner: Corner, load_test: LoadTest | None
) -> tuple[tuple[Row, ...], list[str]]:
    found, out = [], []
    for seen in corner.readings:
        try:
            found.append(row_of(corner, seen))
        except TaskError as error:
            out.append(str(error))
    if load_test is not None:
        found.append(
            Row(
                "load test",
                "load test",
                "standing",
                load_test.drop.text,
                load_test.drop.value,
                load_test.standard,
                "m",
                "drop",
                added=load_test.added,
            )
        )
    names: dict[str, int] = {}
    for i, row in enumerate(found):
        names[row.name] = names.get(row.name, 0) + 1
        if names[row.name] > 1:
            found[i] = replace(row, name=f"{row.name} ({names[row.name]})")
    return tuple(found), out


def _refuse_unlike(models: Sequence[CornerModel]) -> None:
    first = models[0].corner.bar
    for model in models[1:]:
        bar = model.corner.bar
        if (bar.words, bar.rate.value) != (first.words, first.rate.value):
            msg = (
                f"The bars of {models[0].corner.name} and {model.corner.name} are not "
                f"the same in the file: {first.words} of {first.rate.value:.0f} N·m/rad, "
                f"and {bar.words} of {bar.rate.value:.0f} N·m/rad."
            )
            raise TaskError(msg)
