"""Alignment: what the wheels' angles are, what would change them, what travel does."""

from splinewise.core.alignment.bar_arm import bar_effect, settled_change
from splinewise.core.alignment.bump_steer import bump_curve, bump_steer
from splinewise.core.alignment.corners import (
    StrutCorner,
    StrutRodCorner,
    WishboneCorner,
)
from splinewise.core.alignment.height_window import AngleLimits, height_window
from splinewise.core.alignment.knobs import Shim
from splinewise.core.alignment.known import Known
from splinewise.core.alignment.means import means_of
from splinewise.core.alignment.reach import Cross, Side, Steering, reach, reach_both
from splinewise.core.alignment.rod_end_height import level_rod_end, rod_end_effect
from splinewise.core.alignment.rods import ScrewedRod, Thread
from splinewise.core.alignment.rounding import rounded, rounded_both
from splinewise.core.alignment.shims import EccentricBolt, ShimPacks, Slide
from splinewise.core.alignment.targets import Angles, Target, Wanted
from splinewise.core.alignment.thrust import wheel_lines

__all__ = [
    "AngleLimits",
    "Angles",
    "Cross",
    "EccentricBolt",
    "Known",
    "ScrewedRod",
    "Shim",
    "ShimPacks",
    "Side",
    "Slide",
    "Steering",
    "StrutCorner",
    "StrutRodCorner",
    "Target",
    "Thread",
    "Wanted",
    "WishboneCorner",
    "bar_effect",
    "bump_curve",
    "bump_steer",
    "height_window",
    "level_rod_end",
    "means_of",
    "reach",
    "reach_both",
    "rod_end_effect",
    "rounded",
    "rounded_both",
    "settled_change",
    "wheel_lines",
]
