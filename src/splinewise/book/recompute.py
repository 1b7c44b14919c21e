"""What a kept result gives when it is computed again by this version.

One row a task: its name and what turns a car and the inputs as typed into a result.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from splinewise.errors import BookError

if TYPE_CHECKING:
    from splinewise.car.model import Car, Figure, Standing
    from splinewise.tasks.plan import Plan

__all__ = ["RECOMPUTE", "Inputs", "recomputed"]

Inputs = Mapping[str, Any]
"""What was asked, by the names of the command's options, as typed."""


def recomputed(task: str, text: str, inputs: Inputs) -> dict[str, Any]:
    """Compute a result again.

    Parameters
    ----------
    task : str
        One of `RECOMPUTE`.
    text : str
        The car's file that it came from.
    inputs : mapping
        What was asked, as typed.

    Returns
    -------
    dict
        The result as plain data, as `--json` shows it.

    Raises
    ------
    SplinewiseError
        If it can no longer be computed; the message says why.
    """
    if task not in RECOMPUTE:
        known = ", ".join(RECOMPUTE)
        msg = f"No task of this version is called {task!r}. It has: {known}."
        raise BookError(msg)
    from splinewise.car.file import read_car
    from splinewise.tasks.values import as_json

    return as_json(RECOMPUTE[task](read_car(text), inputs))


def _check(car: Car, asked: Inputs) -> object:
    from splinewise.tasks.check import check

    return check(car, asked["corner"])


def _plan(car: Car, asked: Inputs) -> Plan:
    from splinewise.tasks.plan import plan

    return plan(
        car,
        asked["corner"],
        published=asked.get("published"),
        ride_height=_figure(asked.get("height"), "wanted"),
        match=asked.get("match"),
    )


def _teeth(car: Car, asked: Inputs) -> object:
    from splinewise.tasks.teeth_of_car import teeth

    return teeth(car, _plan(car, asked))


def _gauge(car: Car, asked: Inputs) -> object:
    from splinewise.tasks.gauge import gauge, measured

    span, land = _figure(asked.get("span")), _figure(asked.get("land"))
    holes = [_figure(text) for text in asked.get("holes") or ()]
    made, how = None, ""
    if span is not None or land is not None or holes:
        two = (holes[0], holes[1]) if len(holes) == 2 and all(holes) else None
        made, how = measured(span=span, land=land, holes=two)  # type: ignore[arg-type]
    return gauge(
        car,
        _plan(car, asked),
        dimension=asked.get("dimension"),
        fit=("close", "middle", "wide").index(asked.get("fit") or "close"),
        made=made,
        how=how,
        tolerance=_figure(asked.get("tolerance")),
    )


def _figure(text: str | None, standing: Standing = "measured") -> Figure | None:
    from splinewise.car.model import Figure
    from splinewise.units import read

    if text is None:
        return None
    typed = read(text, "length")
    return Figure(typed.value, typed.doubt, standing, "", typed.text, typed.step)


RECOMPUTE: dict[str, Callable[[Car, Inputs], object]] = {
    "check": _check,
    "plan": _plan,
    "gauge": _gauge,
    "teeth": _teeth,
}
"""Task → what computes it.  A new task that can be kept is a row here."""
