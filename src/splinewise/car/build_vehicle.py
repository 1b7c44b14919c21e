"""The vehicle's tables made into a body, loads, points and wheels on other springs."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Protocol, TypeVar

from splinewise.car.blame import Blame
from splinewise.car.model import Figure, Side
from splinewise.car.vehicle_model import (
    HeightPoint,
    NamedLoad,
    RollBar,
    TyreOf,
    VehicleOf,
    Wheel,
)
from splinewise.car.vehicle_tables import TyreTable, VehicleTable, WheelTable
from splinewise.core.quantities import GRAVITY
from splinewise.core.tyre_size import designation
from splinewise.errors import TextError

__all__ = [
    "build_load",
    "build_tyre",
    "build_vehicle",
    "build_wheel",
    "unfolded_wheels",
]


T = TypeVar("T")


def _read(rows: Sequence[T | None] | None) -> list[T]:
    """Return the rows that could be read; a faulty one is None."""
    return [row for row in rows or () if row is not None]


class Weighed(Protocol):
    """A table that says what a wheel carries."""

    @property
    def sprung_load(self) -> Figure | None: ...
    @property
    def scale_load(self) -> Figure | None: ...
    @property
    def unsprung(self) -> Figure | None: ...


def build_tyre(table: TyreTable | None, blame: Blame) -> TyreOf | None:
    """Return a tyre, its radius worked out where a size was given."""
    if table is None:
        return None
    if table.size is None or table.unloaded_radius is not None:
        if table.size is not None:
            blame.say("size", "Give the tyre once: size, or unloaded_radius.")
        return TyreOf(table.rate, table.unloaded_radius)
    try:
        size = designation(table.size)
    except TextError as error:
        blame.say("size", str(error))
        return TyreOf(table.rate, None)
    radius = Figure(
        size.unloaded_radius,
        0.5 * size.half_range,
        "computed",
        f"a new tyre of size {table.size}",
    )
    return TyreOf(table.rate, radius)


def build_load(table: Weighed, blame: Blame) -> Figure | None:
    """Return the sprung load, given or what the scales leave. [N]"""
    sprung, scale, unsprung = table.sprung_load, table.scale_load, table.unsprung
    if sprung is not None and scale is None and unsprung is None:
        return sprung
    if sprung is not None or scale is None or unsprung is None:
        given = {"scale_load": scale, "unsprung": unsprung, "sprung_load": sprung}
        first = next((key for key, f in given.items() if f is not None), None)
        blame.say(
            first,
            "Give the load once: sprung_load, or both scale_load and unsprung.",
        )
        return None
    left = scale.value - unsprung.value
    if left <= 0.0:
        blame.say(
            "scale_load",
            f'"{scale.text}" on the scales leaves nothing for the bar to carry: '
            f'"{unsprung.text}" of it is unsprung.',
        )
        return None
    halves = [f.step / 2.0 if f.doubt is None else f.doubt for f in (scale, unsprung)]
    return Figure(
        left,
        math.hypot(*halves) or None,
        scale.standing,
        scale.source,
        f"{scale.text} less {unsprung.text}",
    )


def build_wheel(
    name: str, side: Side, table: WheelTable, bad: frozenset[str], blame: Blame
) -> Wheel | None:
    """Return a wheel on another spring, or None where a fault was found."""
    worse = blame.mark()
    loads = {"sprung_load", "scale_load", "unsprung"}
    load = None if bad & loads else build_load(table, blame)
    rates = tuple((row.travel.value, row.rate.value) for row in _read(table.rate))
    ways = (table.wheel_rate is not None, table.spring_rate is not None, bool(rates))
    if not bad & {"wheel_rate", "spring_rate", "rate", "ratio"}:
        if sum(ways) != 1:
            blame.say(
                "wheel_rate" if ways[0] else None,
                "Give the spring once: wheel_rate, spring_rate with ratio, or rows of "
                "rate.",
            )
        elif (table.spring_rate is None) != (table.ratio is None):
            blame.say(
                "ratio",
                "A coil needs spring_rate and ratio both; a rate at the wheel needs no "
                "ratio.",
            )
        elif rates and (len(rates) < 2 or not _grows(rates)):
            blame.say(
                "rate", "A table needs two rows or more, their travel always growing."
            )
    tyre = build_tyre(table.tyre, blame.below("tyre"))
    if worse() or bad or load is None:
        return None
    across = table.half_track.value * (1.0 if side == "left" else -1.0)
    return Wheel(
        name=name,
        side=side,
        at=(table.axle_x.value, across, 0.0),
        load=load,
        unsprung=table.unsprung,
        rate=table.wheel_rate or table.spring_rate,
        ratio=1.0 if table.ratio is None else table.ratio,
        rates=rates,
        tyre=tyre,
        floor=0.0 if table.floor is None else table.floor.value,
        friction=0.0 if table.friction is None else table.friction.value,
    )


def _grows(rates: Sequence[tuple[float, float]]) -> bool:
    return all(a[0] < b[0] for a, b in pairwise(rates))


def build_vehicle(
    table: VehicleTable, wheels: Sequence[str], blame: Blame
) -> VehicleOf:
    """Return what the file says of the whole vehicle; `wheels` are all its wheels."""
    given = [table.sprung_mass, table.centre_x, table.centre_y]
    if any(given) and not all(given):
        blame.say(
            "sprung_mass" if table.sprung_mass is not None else None,
            "Give sprung_mass, centre_x and centre_y all three, or none of them.",
        )
    loads = _read(table.load)
    points = _read(table.point)
    bars = _read(table.roll_bar)
    _once("load", [row.name for row in loads], blame)
    _once("point", [row.name for row in points], blame)
    for n, row in enumerate(bars):
        ends = (f"{row.axle}-left", f"{row.axle}-right")
        if not set(ends) <= set(wheels):
            blame.below("roll_bar", n).say(
                "axle",
                f"There are no two wheels {ends[0]} and {ends[1]} in the file.",
            )
    return VehicleOf(
        centre_height=table.centre_height,
        sprung_mass=table.sprung_mass,
        centre_x=table.centre_x,
        centre_y=table.centre_y,
        level=table.level,
        loads=tuple(
            NamedLoad(row.name, row.mass.value / GRAVITY, row.at) for row in loads
        ),
        points=tuple(
            HeightPoint(row.name, row.at, row.wanted, row.tolerance) for row in points
        ),
        roll_bars=tuple(RollBar(row.axle, row.rate, row.ratio) for row in bars),
    )


def _once(key: str, names: Sequence[str], blame: Blame) -> None:
    for n, name in enumerate(names):
        if name in names[:n]:
            blame.below(key, n).say("name", f'There is one called "{name}" already.')


def unfolded_wheels(wheels: Mapping[str, object], blame: Blame) -> dict[str, object]:
    """Return the wheels with every mirror filled in, those that cannot be left out."""
    whole: dict[str, object] = {}
    for name, own in wheels.items():
        if not isinstance(own, Mapping) or "mirror" not in own:
            whole[name] = own
            continue
        other = wheels.get(str(own["mirror"]))
        if not isinstance(other, Mapping) or "mirror" in other or own["mirror"] == name:
            blame.below(name).say(
                "mirror", "Name the wheel across the car, which must be written out."
            )
            continue
        mine = {key: value for key, value in own.items() if key != "mirror"}
        taken = {key: value for key, value in other.items() if key != "floor"}
        weights = {"sprung_load", "scale_load", "unsprung"}
        if "sprung_load" in mine or "scale_load" in mine:
            keep = "unsprung" if "scale_load" in mine else ""
            taken = {k: v for k, v in taken.items() if k not in weights - {keep}}
        whole[name] = {**taken, **mine}
    return whole
