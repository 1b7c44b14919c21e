"""The layouts that a car file may name: one row each.

A further layout is a module here with its tables and its builder, and one row below.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from splinewise.car.layouts.base import Built, CornerTable, Layout
from splinewise.car.layouts.double_wishbone import DOUBLE_WISHBONE
from splinewise.car.layouts.planar_arm import PLANAR_ARM

__all__ = ["LAYOUTS", "Built", "CornerTable", "Layout"]

LAYOUTS: Mapping[str, Layout] = MappingProxyType(
    {row.name: row for row in (DOUBLE_WISHBONE, PLANAR_ARM)}
)
"""Every layout, by the name that the file gives it."""
