"""Layouts of suspension: arm angle in, pose out, one file each."""

from splinewise.core.linkages.base import (
    Linkage,
    Pose,
    contact_below,
    locking_angle,
    solve,
)
from splinewise.core.linkages.double_wishbone import DoubleWishbone, WishbonePoints
from splinewise.core.linkages.planar_arm import PlanarArm
from splinewise.core.linkages.sweep import Travel, travel

__all__ = [
    "DoubleWishbone",
    "Linkage",
    "PlanarArm",
    "Pose",
    "Travel",
    "WishbonePoints",
    "contact_below",
    "locking_angle",
    "solve",
    "travel",
]
