"""Invented cars, each with a story, to try every command on."""

from __future__ import annotations

from importlib.resources import files

from splinewise.car.file import read_car
from splinewise.car.model import Car
from splinewise.errors import CarFileError, Fault

__all__ = ["demo_names", "demo_text", "load_demo"]

_SUFFIX = ".toml"


def demo_names() -> tuple[str, ...]:
    """Return the names of the invented cars, in order of the alphabet."""
    found = (entry.name for entry in files(__name__).iterdir())
    return tuple(
        sorted(name.removesuffix(_SUFFIX) for name in found if name.endswith(_SUFFIX))
    )


def demo_text(name: str) -> str:
    """Return the file of an invented car, word for word.

    Parameters
    ----------
    name : str
        One of `demo_names`.

    Raises
    ------
    CarFileError
        If there is no such car.
    """
    names, file = demo_names(), f"demo:{name}"
    if name not in names:
        why = f"There is no invented car of this name. There are {', '.join(names)}."
        raise CarFileError(file, [Fault(0, "", why)])
    return (files(__name__) / f"{name}{_SUFFIX}").read_text(encoding="utf-8")


def load_demo(name: str) -> Car:
    """Return an invented car, ready for the tasks.

    Parameters
    ----------
    name : str
        One of `demo_names`.

    Raises
    ------
    CarFileError
        If there is no such car.
    """
    return read_car(demo_text(name), file=f"demo:{name}")
