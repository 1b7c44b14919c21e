"""The layouts that a car file may name: one row each.

A further layout is a module here with its tables and its builder, and one row below.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from splinewise.car.layouts.base import Built, CornerTable, Layout
from splinewise.car.layouts.double_wishbone import DOUBLE_WISHBONE
from splinewise.car.layouts.lever_and_link import LEVER_AND_LINK
from splinewise.car.layouts.planar_arm import PLANAR_ARM
from splinewise.car.layouts.strut import STRUT
from splinewise.car.layouts.strut_rod_link import STRUT_ROD_LINK
from splinewise.car.layouts.trailing_arm import TRAILING_ARM

__all__ = ["LAYOUTS", "Built", "CornerTable", "Layout"]

LAYOUTS: Mapping[str, Layout] = MappingProxyType(
    {
        row.name: row
        for row in (
            DOUBLE_WISHBONE,
            STRUT_ROD_LINK,
            STRUT,
            TRAILING_ARM,
            LEVER_AND_LINK,
            PLANAR_ARM,
        )
    }
)
"""Every layout, by the name that the file gives it."""
