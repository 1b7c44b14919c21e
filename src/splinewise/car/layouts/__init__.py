"""The layouts that a car file may name: one row each.

A further layout is a module here with its tables and its builder, and one row below.
A layout is imported when a file names it, so that no file pays for the others.
"""

from __future__ import annotations

import importlib
from collections.abc import Iterator, Mapping

from splinewise.car.layouts.base import Built, CornerTable, Layout

__all__ = ["LAYOUTS", "Built", "CornerTable", "Layout"]

# The name that the file gives it → the module here, and the row's name in it.
_ROWS = {
    "double wishbone": "double_wishbone",
    "strut rod link": "strut_rod_link",
    "strut": "strut",
    "trailing arm": "trailing_arm",
    "lever and link": "lever_and_link",
    "planar arm": "planar_arm",
}


class _Layouts(Mapping[str, Layout]):
    """Every layout by name, imported on demand."""

    def __getitem__(self, name: str) -> Layout:
        module = _ROWS[name]
        home = importlib.import_module(f"splinewise.car.layouts.{module}")
        row: Layout = getattr(home, module.upper())
        return row

    def __iter__(self) -> Iterator[str]:
        return iter(_ROWS)

    def __len__(self) -> int:
        return len(_ROWS)


LAYOUTS: Mapping[str, Layout] = _Layouts()
"""Every layout, by the name that the file gives it."""
