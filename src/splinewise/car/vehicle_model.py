"""What a car is besides its torsion-bar corners, as the file gives it."""

from __future__ import annotations

from dataclasses import dataclass

from splinewise.car.model import Figure, Side

__all__ = ["HeightPoint", "NamedLoad", "RollBar", "TyreOf", "VehicleOf", "Wheel"]

Place = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class TyreOf:
    """A tyre as the file gives it.

    Attributes
    ----------
    rate : Figure or None
        Vertical rate. [N/m]
    radius : Figure or None
        Unloaded radius; computed where a size designation was given. [m]
    """

    rate: Figure | None
    radius: Figure | None


@dataclass(frozen=True, slots=True)
class Wheel:
    """A wheel on another spring than a torsion bar.

    Attributes
    ----------
    name, side : str
        Its name and side. [1]
    at : tuple of float
        Where the tyre meets the ground at the drawn position. [m]
    load : Figure
        What its spring carries as drawn. [N]
    unsprung : Figure or None
        Weight that the scales see and the spring does not. [N]
    rate : Figure or None
        Rate of the spring; None where there is a table. [N/m]
    ratio : float
        Shortening of the spring over rise of the wheel. [1]
    rates : tuple of (float, float)
        Rises of the wheel and rates there. [m, N/m]
    tyre : TyreOf or None
        Its tyre. [m]
    floor, friction : float
        Height of the floor under it; dry friction, half of the band. [m, N]
    """

    name: str
    side: Side
    at: Place
    load: Figure
    unsprung: Figure | None
    rate: Figure | None
    ratio: float
    rates: tuple[tuple[float, float], ...]
    tyre: TyreOf | None
    floor: float
    friction: float


@dataclass(frozen=True, slots=True)
class NamedLoad:
    """A mass aboard that was not there when the wheels were weighed.

    Attributes
    ----------
    name : str
        What it is. [1]
    mass : float
        Its mass. [kg]
    at : tuple of float
        Its centre of gravity. [m]
    """

    name: str
    mass: float
    at: Place


@dataclass(frozen=True, slots=True)
class HeightPoint:
    """A point of the body whose height is told.

    Attributes
    ----------
    name : str
        What the person calls it. [1]
    at : tuple of float
        Where it is at the drawn position. [m]
    wanted, tolerance : Figure or None
        Height above the floor that is wanted, and how far off it may be. [m]
    """

    name: str
    at: Place
    wanted: Figure | None
    tolerance: Figure | None


@dataclass(frozen=True, slots=True)
class RollBar:
    """An anti-roll bar.

    Attributes
    ----------
    axle : str
        The axle whose wheels it joins. [1]
    rate : Figure
        Force at its ends per difference of their travel. [N/m]
    ratio : float
        Travel of its end over rise of the wheel. [1]
    """

    axle: str
    rate: Figure
    ratio: float


@dataclass(frozen=True, slots=True)
class VehicleOf:
    """The vehicle as a whole.

    Attributes
    ----------
    centre_height : Figure or None
        Height of the sprung centre of gravity. [m]
    sprung_mass : Figure or None
        Weight of the sprung body. [N]
    centre_x, centre_y : Figure or None
        Its centre of gravity, forward and to the left. [m]
    level : Figure or None
        How far the sides of an axle may differ in height. [m]
    loads, points, roll_bars : tuple
        What is aboard, points whose heights are told, anti-roll bars. [kg]
    """

    centre_height: Figure | None
    sprung_mass: Figure | None
    centre_x: Figure | None
    centre_y: Figure | None
    level: Figure | None
    loads: tuple[NamedLoad, ...]
    points: tuple[HeightPoint, ...]
    roll_bars: tuple[RollBar, ...]
