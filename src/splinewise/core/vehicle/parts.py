"""What a vehicle is made of: a rigid body, its corners, and what joins them.

The body's axes are those of the hard points (ISO 8855: x forward, y left, z up).  Any
number of corners hangs on it; all arrays may carry leading axes, one entry a car, so
that thousands of different cars stand at once.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from splinewise.core.corner import Spring
from splinewise.core.geometry import Vec
from splinewise.core.jet import Number
from splinewise.core.linkages.base import Linkage, Pose
from splinewise.core.other_springs import SpringLaw
from splinewise.core.quantities import GRAVITY, Array
from splinewise.core.roll_bar import AntiRollBar
from splinewise.core.stops import Stop

__all__ = ["Body", "Corner", "Joined", "Load", "MassAt", "SpringAt", "Vehicle"]


@dataclass(frozen=True, slots=True, eq=False)
class Load:
    """A mass at a place of the body: a person, fuel, luggage.

    Attributes
    ----------
    name : str
        What it is. [1]
    mass : ndarray, shape (...)
        Mass; below 0 for something taken out. [kg]
    at : Vec, shape (...)
        Its centre of gravity in the body's axes. [m]
    """

    name: str
    mass: Array | float
    at: Vec


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """The sprung body.

    Attributes
    ----------
    mass : ndarray, shape (...)
        Sprung mass without the loads. [kg]
    centre : Vec, shape (...)
        Its centre of gravity in the body's axes. [m]
    roll_inertia, pitch_inertia : ndarray or None, shape (...)
        Moments of inertia about x and y through the centre of gravity; None where
        they are not known. [kg·m²]
    """

    mass: Array | float
    centre: Vec
    roll_inertia: Array | float | None = None
    pitch_inertia: Array | float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class SpringAt:
    """Another spring of a corner, and the length that works it.

    Attributes
    ----------
    law : SpringLaw
        Force against shortening since the drawn position. [N]
    on : str or callable, default "rise"
        "rise": shortened by the wheel's rise; "damper": by the damper's; else what
        gives a length that the spring shortens with, from a pose. [m]
    """

    law: SpringLaw
    on: Literal["rise", "damper"] | Callable[[Pose], Number] = "rise"


@dataclass(frozen=True, slots=True, eq=False)
class MassAt:
    """A mass that moves with a linkage, but not as the wheel centre does: an arm.

    Attributes
    ----------
    mass : ndarray, shape (...)
        Mass. [kg]
    at : callable
        What gives its centre of gravity from a pose, in the body's axes. [m]
    """

    mass: Array | float
    at: Callable[[Pose], Vec]


@dataclass(frozen=True, slots=True, eq=False)
class Corner:
    """One wheel with its linkage, springs, tyre and unsprung mass.

    Attributes
    ----------
    name : str
        What the corner is called. [1]
    linkage : Linkage
        Its linkage; the tyre radius in it is not used here but `tyre_radius`. [m]
    spring : Spring or None
        Its torsion bar and bushes; None where other springs alone carry it. [N·m]
    tyre_rate : ndarray, shape (...)
        Vertical rate of the tyre. [N/m]
    tyre_radius : ndarray, shape (...)
        Unloaded radius of the tyre.  Where the layout knows no spindle the wheel is
        taken as upright. [m]
    unsprung : ndarray, shape (...), default 0
        Mass that moves with the wheel, taken at the wheel centre (at the contact
        point where the layout knows no wheel centre). [kg]
    floor : ndarray, shape (...), default 0
        Height of the floor under the tyre. [m]
    others : tuple of SpringAt
        Its other springs. [N]
    stops : tuple of Stop
        Rebound and bump stops, on the wheel's rise. [N]
    masses : tuple of MassAt
        What else of its mass is not sprung. [kg]
    friction : ndarray, shape (...), default 0
        Dry friction at the wheel, half of the band. [N]
    drawn_radius : ndarray or None, shape (...)
        For a layout that knows no wheel centre: the unloaded radius of the tyre whose
        lowest point its contact point is; None if that is `tyre_radius`. [m]
    """

    name: str
    linkage: Linkage
    spring: Spring | None
    tyre_rate: Array | float
    tyre_radius: Array | float
    unsprung: Array | float = 0.0
    floor: Array | float = 0.0
    others: tuple[SpringAt, ...] = ()
    stops: tuple[Stop, ...] = ()
    masses: tuple[MassAt, ...] = ()
    friction: Array | float = 0.0
    drawn_radius: Array | float | None = None

    @property
    def carried(self) -> Array:
        """All of its mass that is not sprung. [kg]"""
        mass = np.asarray(self.unsprung, dtype=np.float64)
        for part in self.masses:
            mass = mass + part.mass
        return np.asarray(mass)


@dataclass(frozen=True, slots=True, eq=False)
class Joined:
    """An anti-roll bar between two corners.

    Attributes
    ----------
    left, right : int
        Places of the two corners in the vehicle's row. [1]
    bar : AntiRollBar
        The bar, on the rises of the two wheels. [N]
    """

    left: int
    right: int
    bar: AntiRollBar


@dataclass(frozen=True, slots=True, eq=False)
class Vehicle:
    """A rigid body on any number of corners.

    Attributes
    ----------
    body : Body
        The sprung body. [kg]
    corners : tuple of Corner
        Its corners. [m]
    loads : tuple of Load
        People, fuel, luggage. [kg]
    joined : tuple of Joined
        Anti-roll bars. [N]
    gravity : float, shape (), default 9.80665
        Acceleration of free fall; the default is the standard one. [m/s²]
    """

    body: Body
    corners: tuple[Corner, ...]
    loads: tuple[Load, ...] = ()
    joined: tuple[Joined, ...] = ()
    gravity: float = GRAVITY

    @property
    def sprung_mass(self) -> Array:
        """Mass of the body and the loads. [kg]"""
        mass = np.asarray(self.body.mass, dtype=np.float64)
        for load in self.loads:
            mass = mass + load.mass
        return np.asarray(mass)

    @property
    def mass(self) -> Array:
        """Mass of the whole vehicle. [kg]"""
        mass = self.sprung_mass
        for corner in self.corners:
            mass = mass + corner.carried
        return np.asarray(mass)
