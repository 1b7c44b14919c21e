"""Another bar for a corner: what diameter, and what comes of it beside the old one.

The linkage, the length that twists and the steel stay; the bar becomes a plain round
one.  At the arm angle of the wanted height its rate follows from the wanted wheel
rate in closed form, and its diameter from the rate; the stock sizes below and above
are then planned like any other bar.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from splinewise import show
from splinewise.car.model import Bar, Car, CarBar, Corner, Figure, StressLimit, System
from splinewise.core.bar import round_bar
from splinewise.core.heights import angle_at_rise
from splinewise.core.jet import curvature, slope
from splinewise.core.linkages import solve
from splinewise.core.quantities import GRAVITY
from splinewise.errors import QuantityError, TaskError
from splinewise.tasks.cautions import cautions
from splinewise.tasks.plan import plan
from splinewise.tasks.plan_result import Plan
from splinewise.tasks.slack import corner_of
from splinewise.tasks.values import Value

__all__ = ["STOCK", "BarChoice", "NewBar", "new_bar"]

STOCK: dict[System, float] = {"inch": 0.0254 / 32.0, "metric": 0.5e-3}
"""Step between stock diameters: common practice, no source. [m]"""


@dataclass(frozen=True, slots=True)
class BarChoice:
    """One bar that could be fitted.

    Attributes
    ----------
    name : str
        "as fitted", "exact", "stock size below" or "stock size above". [1]
    diameter : Value
        Outside diameter; NaN for an old bar that is not plain and round. [m]
    plan : Plan or None
        What comes of it at the wanted height; None if it cannot stand there. [1]
    allowed : bool
        Whether linkage, stops and stress limit allow it. [1]
    why : str
        What does not allow it; empty where nothing stands against it. [1]
    """

    name: str
    diameter: Value
    plan: Plan | None
    allowed: bool
    why: str


@dataclass(frozen=True, slots=True)
class NewBar:
    """A new bar for a corner, beside the one that is fitted.

    Attributes
    ----------
    car, corner, side : str
        Which corner. [1]
    height : Value
        Ride height wanted. [m]
    wheel_rate : Value
        Rate at the wheel wanted. [N/m]
    load : Value
        Sprung load that the bar is for. [N]
    length : Value
        Length that twists, kept from the old bar. [m]
    shear_modulus : Value
        Shear modulus used, kept from the old bar. [Pa]
    stock : str
        What the stock sizes are steps of, and where that is from. [1]
    choices : tuple of BarChoice
        As fitted, exact, and the stock sizes beside it. [1]
    allowed : bool
        Whether any new bar is allowed. [1]
    cautions : tuple of str
        Safety sentences. [1]
    """

    car: str
    corner: str
    side: str
    height: Value
    wheel_rate: Value
    load: Value
    length: Value
    shear_modulus: Value
    stock: str
    choices: tuple[BarChoice, ...]
    allowed: bool
    cautions: tuple[str, ...]


def new_bar(
    car: Car,
    corner: str,
    *,
    height: Figure | None = None,
    wheel_rate: float | None = None,
    frequency: float | None = None,
    load: Figure | None = None,
    limit: Figure | None = None,
    bump_left: float | None = None,
) -> NewBar:
    """Find the diameter of a new bar, and plan it beside the old one.

    Parameters
    ----------
    car : Car
        The car.
    corner : str
        Its corner, by name or side.
    height : Figure, optional
        Ride height wanted; the file's wanted one if left out. [m]
    wheel_rate, frequency : float, optional
        Rate at the wheel, or ride frequency, wanted: one of the two. [N/m, Hz]
    load : Figure, optional
        Sprung load; the file's if left out. [N]
    limit : Figure, optional
        Stress limit of the new bar; the old one's if left out. [Pa]
    bump_left : float, optional
        Wheel travel that must be left in bump. [m]

    Returns
    -------
    NewBar
        The bars side by side.

    Raises
    ------
    TaskError
        If the goal is not clear, or no round bar gives it.
    """
    here = corner_of(car, corner)
    wanted = height or (here.ride_height.wanted if here.ride_height else None)
    if here.ride_height is None or wanted is None:
        msg = (
            f"Say at what ride height {here.name} shall stand: a height, and a "
            "[ride_height] table that says where it is measured."
        )
        raise TaskError(msg)
    if (wheel_rate is None) == (frequency is None):
        msg = "Say how stiff it shall be: a rate at the wheel, or a ride frequency."
        raise TaskError(msg)
    loaded = here if load is None else replace(here, load=load)
    if wheel_rate is None:
        mass = loaded.load.value / GRAVITY
        wheel_rate = mass * (2.0 * math.pi * (frequency or 0.0)) ** 2
    diameter = _diameter(loaded, _angle(loaded, wanted), wheel_rate)
    step = STOCK[car.system]
    below = math.floor(diameter / step + 1e-9) * step
    sizes = [("exact", diameter), ("stock size below", below)]
    sizes.append(("stock size above", below + step))
    asked = _Asked(car, wanted, bump_left)
    choices = [asked.choice("as fitted", math.nan, loaded)]
    choices += [
        asked.choice(name, d, _fitted(loaded, d, limit, car.system))
        for name, d in sizes
        if d > 0.0
    ]
    old = here.bar.bar
    return NewBar(
        car=car.name,
        corner=here.name,
        side=here.side,
        height=Value(wanted.value, "m", None, "wanted"),
        wheel_rate=Value(wheel_rate, "N/m", None, "wanted"),
        load=Value(loaded.load.value, "N", None, loaded.load.standing),
        length=Value(float(old.active_length), "m"),
        shear_modulus=Value(float(old.shear_modulus), "Pa", None, "assumed"),
        stock=(
            f"Steps of {'1/32 in' if car.system == 'inch' else '0.5 mm'}: common "
            "practice, no source. Ask what your maker holds."
        ),
        choices=tuple(choices),
        allowed=any(c.allowed for c in choices[1:]),
        cautions=cautions(["twisted bar", "stress", "handed bar"]),
    )


def _angle(corner: Corner, wanted: Figure) -> float:
    """Return the arm angle at which the corner stands at the wanted height."""
    height = corner.ride_height
    rise = (height.drawn.value if height else 0.0) - wanted.value
    at = angle_at_rise(corner.linkage, rise, low=corner.low, high=corner.high)
    if not math.isfinite(float(at)):
        msg = f"{corner.name} cannot stand at that height between its stops."
        raise TaskError(msg)
    return float(at)


def _diameter(corner: Corner, angle: float, wheel_rate: float) -> float:
    """Return the diameter that gives a wheel rate at an arm angle.

    Turned round, K = (k τ'² + k_b + T τ'' − F z'')/z'² with T = (F z' − T_b)/τ' gives
    the bar's rate k, and k = π G d⁴/(32 L) the diameter.
    """
    pose = solve(corner.linkage, np.asarray(angle))
    t1, t2 = float(slope(pose.twist)), float(curvature(pose.twist))
    z1, z2 = float(slope(pose.contact.z)), float(curvature(pose.contact.z))
    bush, load = corner.bush, corner.load.value
    held = float(np.asarray(bush.rate * (angle - bush.tightened_at)))
    torque = (load * z1 - held) / t1
    rest = float(np.asarray(bush.rate)) + torque * t2 - load * z2
    rate = (wheel_rate * z1 * z1 - rest) / (t1 * t1)
    if not rate > 0.0:
        msg = (
            "No bar is needed for so soft a wheel: at that height the linkage under "
            "its load, and the bushes, are as stiff already. Ask for more."
        )
        raise TaskError(msg)
    bar = corner.bar.bar
    return float(
        (32.0 * rate * bar.active_length / (math.pi * bar.shear_modulus)) ** 0.25
    )


def _fitted(
    corner: Corner, diameter: float, limit: Figure | None, system: System
) -> Corner:
    """Return the corner with a plain round bar of this diameter."""
    old = corner.bar
    length, modulus = float(old.bar.active_length), float(old.bar.shear_modulus)
    try:
        bar: Bar = round_bar(length, diameter, modulus)
        rate = float(bar.rate)
    except QuantityError as error:
        msg = f"No bar of that size can be: {error}."
        raise TaskError(msg) from error
    words = f"{show.length(diameter, system=system, fine=True)} round"
    # The steel is as little known as before; a new bar's size is taken as it is named.
    doubt = old.rate.doubt
    share = 0.0 if doubt is None else doubt / old.rate.value
    return replace(
        corner,
        bar=CarBar(
            bar=bar,
            rate=Figure(rate, share * rate or None, "computed", "from the new size"),
            steel=old.steel,
            limit=old.limit if limit is None else StressLimit(limit, old.limit.preset),
            words=words,
        ),
    )


@dataclass(frozen=True, slots=True)
class _Asked:
    """What every bar is planned for."""

    car: Car
    height: Figure
    bump_left: float | None

    def choice(self, name: str, diameter: float, corner: Corner) -> BarChoice:
        """Plan one bar and say whether it is allowed."""
        size = Value(diameter, "m")
        others: Sequence[tuple[str, Corner]] = list(self.car.corners.items())
        corners = MappingProxyType(dict(others) | {corner.name: corner})
        try:
            found = plan(
                replace(self.car, corners=corners),
                corner.name,
                ride_height=self.height,
            )
        except TaskError as error:
            return BarChoice(name, size, None, allowed=False, why=str(error))
        why = list(found.breaks)
        if self.bump_left is not None and found.bump_left.value < self.bump_left:
            why.append("Less travel is left in bump than you asked for.")
        if found.stresses[2].torque.value < 0.0:
            why.append("It would be twisted backwards at the rebound stop.")
        return BarChoice(name, size, found, allowed=not why, why=" ".join(why))
