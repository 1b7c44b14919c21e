"""Many vehicles as one: how many there are, and picking some of them.

A vehicle is a tree of frozen dataclasses and tuples; a number in it is either alike
for all cars or an array with one entry a car along its first axis.  What is none of
these (a callable, a class of another kind) is taken as alike for all.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from splinewise.core.table_spring import TableSpring
from splinewise.errors import QuantityError

__all__ = ["batch_size", "pick"]

T = TypeVar("T")

# Records whose arrays are rows of a table, not cars.
_TABLES = (TableSpring,)


def batch_size(vehicle: object) -> int | None:
    """Return how many cars a vehicle stands for.

    Parameters
    ----------
    vehicle : Vehicle, shape () or (N,)
        The vehicles. [1]

    Returns
    -------
    int or None, shape ()
        N; None for a single one. [1]

    Raises
    ------
    QuantityError
        If its arrays are not all of one length.
    """
    sizes = {array.shape for array in _arrays(vehicle) if array.ndim}
    if not sizes:
        return None
    if len(sizes) > 1:
        sizes.discard((1,))
    if len(sizes) > 1 or len(next(iter(sizes))) != 1:
        worst = float(max(size[0] for size in sizes))
        rule = "arrays of one length, one entry for each car"
        name = "vehicle"
        raise QuantityError(name, worst, "cars", rule)
    return int(next(iter(sizes))[0])


def _arrays(thing: object) -> Iterator[NDArray[Any]]:
    if isinstance(thing, np.ndarray):
        yield thing
    elif isinstance(thing, tuple):
        for item in thing:
            yield from _arrays(item)
    elif isinstance(thing, _TABLES):
        return
    elif is_dataclass(thing) and not isinstance(thing, type):
        for field in fields(thing):
            yield from _arrays(getattr(thing, field.name))


def pick(thing: T, which: NDArray[np.int64], count: int) -> T:
    """Return the same vehicles, some of them only.

    Parameters
    ----------
    thing : Vehicle, shape (N,)
        The vehicles. [1]
    which : ndarray of int, shape (M,)
        Their places. [1]
    count : int, shape ()
        N, how many there are. [1]

    Returns
    -------
    Vehicle, shape (M,)
        Those picked. [1]
    """
    found: Any = thing
    if isinstance(thing, np.ndarray):
        found = thing[which] if thing.shape[:1] == (count,) else thing
    elif isinstance(thing, tuple):
        found = tuple(pick(item, which, count) for item in thing)
    elif is_dataclass(thing) and not isinstance(thing, (type, *_TABLES)):
        changes = {
            field.name: pick(getattr(thing, field.name), which, count)
            for field in fields(thing)
        }
        found = replace(thing, **changes)
    picked: T = found
    return picked
