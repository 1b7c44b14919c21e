"""Points, axes and turns in space, on plain numbers or on jets.

A `Vec` keeps its three components apart: each is one contiguous array, which is what
makes a million poses cheap, and each may be a jet, which is what makes their
derivatives exact.  Axes are those of ISO 8855: x forward, y left, z up.
"""

from splinewise.core.geometry.meeting import (
    apex,
    circle_meets_sphere,
    three_spheres,
    wave_root,
)
from splinewise.core.geometry.turns import Circle, Turned, turn
from splinewise.core.geometry.vectors import (
    Vec,
    combine,
    cross,
    dot,
    length,
    squared,
    unit,
    vec,
)

__all__ = [
    "Circle",
    "Turned",
    "Vec",
    "apex",
    "circle_meets_sphere",
    "combine",
    "cross",
    "dot",
    "length",
    "squared",
    "three_spheres",
    "turn",
    "unit",
    "vec",
    "wave_root",
]
