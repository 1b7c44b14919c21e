"""Layouts of suspension: arm angle in, pose out, one file each.

A layout is imported when it is asked for, so that no car pays for the others.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from splinewise.core.linkages.base import (
        Linkage,
        Pose,
        contact_below,
        locking_angle,
        solve,
    )
    from splinewise.core.linkages.double_wishbone import DoubleWishbone, WishbonePoints
    from splinewise.core.linkages.lever_and_link import LeverAndLink, LeverPoints
    from splinewise.core.linkages.planar_arm import PlanarArm
    from splinewise.core.linkages.strut import Strut, StrutPoints
    from splinewise.core.linkages.strut_rod_link import StrutRodLink, StrutRodPoints
    from splinewise.core.linkages.sweep import Travel, travel
    from splinewise.core.linkages.trailing import TrailingArm, TrailingPoints

__all__ = [
    "DoubleWishbone",
    "LeverAndLink",
    "LeverPoints",
    "Linkage",
    "PlanarArm",
    "Pose",
    "Strut",
    "StrutPoints",
    "StrutRodLink",
    "StrutRodPoints",
    "TrailingArm",
    "TrailingPoints",
    "Travel",
    "WishbonePoints",
    "contact_below",
    "locking_angle",
    "solve",
    "travel",
]

_HOMES = {
    "base": ("Linkage", "Pose", "contact_below", "locking_angle", "solve"),
    "double_wishbone": ("DoubleWishbone", "WishbonePoints"),
    "lever_and_link": ("LeverAndLink", "LeverPoints"),
    "planar_arm": ("PlanarArm",),
    "strut": ("Strut", "StrutPoints"),
    "strut_rod_link": ("StrutRodLink", "StrutRodPoints"),
    "sweep": ("Travel", "travel"),
    "trailing": ("TrailingArm", "TrailingPoints"),
}
_WHERE = {name: module for module, names in _HOMES.items() for name in names}


def __getattr__(name: str) -> Any:
    if name in _WHERE:
        home = importlib.import_module(f"splinewise.core.linkages.{_WHERE[name]}")
        return getattr(home, name)
    msg = f"module 'splinewise.core.linkages' has no attribute {name!r}"
    raise AttributeError(msg)
