"""Layouts of suspension: arm angle in, pose out, one file each."""

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
