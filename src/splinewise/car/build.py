"""A corner's table made into the mechanics' own objects, and what cannot be refused."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from splinewise.car.blame import Blame
from splinewise.car.build_adjuster import build_adjuster
from splinewise.car.build_bar import build_bar
from splinewise.car.build_rows import (
    OWN_NAMES,
    Seen,
    build_dimensions,
    build_published,
    build_readings,
)
from splinewise.car.build_vehicle import build_load, build_tyre
from splinewise.car.keys import kind_of
from splinewise.car.layouts import Built, CornerTable, Layout
from splinewise.car.model import Corner, Figure, RideHeight, Side
from splinewise.car.tables import (
    BushTable,
    DimensionRow,
    RideHeightTable,
    StopsTable,
)
from splinewise.car.words import angle_words, length_words
from splinewise.core.corner import Bush
from splinewise.core.geometry import Vec, dot
from splinewise.core.heights import angle_at_rise
from splinewise.core.jet import value
from splinewise.core.linkages import Linkage, locking_angle
from splinewise.core.splines import Splines
from splinewise.errors import QuantityError, ReachError

__all__ = ["Rows", "build_corner"]

_LEAST_TRAVEL = math.radians(0.5)
"""A linkage that locks nearer than this to the drawn position is no linkage. [rad]"""


_MARGIN = 0.25
"""Part of the travel by which a height that was read may lie outside it: the rubber of
a stop gives, and where the stops come is seldom known well. [1]"""


@dataclass(frozen=True, slots=True)
class Rows:
    """What is known of a corner's rows, those with a fault included.

    Attributes
    ----------
    published, reading : sequence of int
        Line of each row. [1]
    dimensions : frozenset of str
        Names of the dimensions. [1]
    """

    published: Sequence[int]
    reading: Sequence[int]
    dimensions: frozenset[str]


@dataclass(frozen=True, slots=True, eq=False)
class _Travel:
    """How far a linkage goes: arm angles, and rises of the wheel."""

    linkage: Linkage
    low: float
    high: float
    fall: float
    rise: float

    @classmethod
    def of(cls, linkage: Linkage) -> _Travel:
        """Return the travel to where the linkage locks."""
        low, high = locking_angle(linkage, -1.0), locking_angle(linkage, 1.0)
        return cls.between(linkage, low, high)

    @classmethod
    def between(cls, linkage: Linkage, low: float, high: float) -> _Travel:
        """Return the travel between two arm angles."""
        with np.errstate(invalid="ignore", divide="ignore"):
            z = value(linkage.pose(np.array([0.0, low, high])).contact.z)
        return cls(linkage, low, high, float(z[1] - z[0]), float(z[2] - z[0]))

    def angle(self, rise: float) -> float:
        """Return the arm angle at a rise of the wheel; NaN past the lock."""
        return float(angle_at_rise(self.linkage, rise, low=self.low, high=self.high))


def build_corner(
    name: str,
    side: Side,
    layout: Layout,
    table: CornerTable,
    bad: frozenset[str],
    rows: Rows,
    blame: Blame,
) -> Corner | None:
    """Return a corner, or None where a fault was found.

    Parameters
    ----------
    name, side : str
        The corner's name and side.
    layout : Layout
        Its row of the registry.
    table : CornerTable
        What the file says; None in place of what could not be read.
    bad : frozenset of str
        Names of what could not be read.
    rows : Rows
        What is known of its rows.
    blame : Blame
        What gathers the faults.
    """
    worse = blame.mark()
    bar = None if "bar" in bad else build_bar(table.bar, blame.below("bar"))
    splines = None if "splines" in bad else table.splines
    adjuster, now = (None, 0.0)
    if "adjuster" not in bad:
        adjuster, now = build_adjuster(table.adjuster, blame.below("adjuster"))
    loads = {"sprung_load", "scale_load", "unsprung"}
    load = None if bad & loads else build_load(table, blame)
    built = None
    if not bad.intersection(layout.needs):
        try:
            built = layout.build(table, side, blame)
        except (QuantityError, ReachError) as error:
            blame.take(layout.place, error)
    travel = None if built is None else _travel(built, blame.below(layout.place))
    if built is None or travel is None:
        return None
    low, high = _stops(table.stops, travel, blame.below("stops"))
    bush = _bush(table.bush, travel, blame.below("bush"))
    between = _Travel.between(built.linkage, low, high)
    height = _ride_height(table.ride_height, between, blame.below("ride_height"))
    _check_damper(table, travel, blame.below("damper"))
    # A row that could not be read is None here, which the table's type does not tell.
    given: Sequence[DimensionRow | None] = table.dimension or ()
    dimensions = build_dimensions(given, built, blame.below("dimension"))
    seen = Seen(
        dimensions,
        rows.dimensions - set(OWN_NAMES),
        height,
        table.ride_height is not None or "ride_height" in bad,
        None if height is None else _heights(height, between, _MARGIN),
    )
    published = build_published(
        table.published or (), seen, rows.published, blame.below("published")
    )
    readings = build_readings(
        table.reading or (), seen, rows.reading, blame.below("reading")
    )
    tyre = build_tyre(table.tyre, blame.below("tyre"))
    if worse() or bad or bar is None or splines is None or load is None:
        return None
    slope, radius = _slope_and_radius(built)
    stops, damper = table.stops, table.damper
    return Corner(
        name=name,
        side=side,
        layout=layout.name,
        linkage=built.linkage,
        drawn_slope=slope,
        arm_radius=radius,
        bar_along=_bar_along(built),
        bar=bar,
        splines=Splines(splines.arm_teeth, splines.anchor_teeth),
        adjuster=adjuster,
        adjuster_at=now,
        load=load,
        ride_height=height,
        bush=bush,
        bush_known=table.bush is not None,
        low=low,
        high=high,
        stops_known=(
            stops is not None and stops.rebound is not None,
            stops is not None and stops.bump is not None,
        ),
        dimensions=dimensions,
        published=published,
        readings=readings,
        counted=splines.counted,
        damper_open=None if damper is None else damper.open,
        damper_closed=None if damper is None else damper.closed,
        tyre=tyre,
        unsprung=table.unsprung,
        tyre_radius=getattr(table, "tyre_radius", None),
        # A plain arm is placed by its track; hard points are by themselves.
        placed=getattr(table, "half_track", table) is not None,
        floor=0.0 if table.floor is None else table.floor.value,
        friction=0.0 if table.friction is None else table.friction.value,
    )


def _bar_along(built: Built) -> tuple[float, float, float]:
    if built.bar_along is not None:
        return built.bar_along
    x, y, z = built.linkage.arm.axis.array
    return float(x), float(y), float(z)


def _travel(built: Built, blame: Blame) -> _Travel | None:
    travel = _Travel.of(built.linkage)
    for way, angle, moved in (
        ("droop", -travel.low, travel.fall),
        ("bump", travel.high, travel.rise),
    ):
        if not (angle >= _LEAST_TRAVEL and math.isfinite(moved)):
            blame.say(
                None,
                f"The linkage cannot move to {way} from the drawn position: it cannot "
                "be assembled there, or it is locked. Look at the points and sizes, "
                "and at their units.",
            )
            return None
    return travel


def _stops(
    stops: StopsTable | None, travel: _Travel, blame: Blame
) -> tuple[float, float]:
    if stops is None:
        return travel.low, travel.high
    return (
        _stop("rebound", stops.rebound, -1.0, travel, blame),
        _stop("bump", stops.bump, 1.0, travel, blame),
    )


def _stop(
    key: str, stop: Figure | None, way: float, travel: _Travel, blame: Blame
) -> float:
    """Return the arm angle at a stop, or where the linkage locks if none is given."""
    lock, wheel = (
        (travel.low, -travel.fall) if way < 0.0 else (travel.high, travel.rise)
    )
    if stop is None:
        return lock
    verb = "fall" if way < 0.0 else "rise"
    if stop.value <= 0.0:
        blame.say(
            key,
            f'"{stop.text}" is the wrong way round. Say how far the wheel can {verb} '
            "from the drawn position, above zero for either stop.",
        )
        return lock
    is_angle = kind_of(stop, "length", "angle") == "angle"
    angle = way * stop.value if is_angle else travel.angle(way * stop.value)
    if math.isfinite(angle) and abs(angle) <= abs(lock):
        return angle
    locks = length_words(wheel, blame.system)
    blame.say(
        key,
        f'"{stop.text}" is past where the linkage locks, when the wheel has to {verb} '
        f"{locks} (arm {angle_words(abs(lock))}). Look at it and at the points.",
    )
    return lock


def _bush(bush: BushTable | None, travel: _Travel, blame: Blame) -> Bush:
    if bush is None:
        return Bush()
    at = bush.tightened_at
    is_angle = kind_of(at, "length", "angle") == "angle"
    angle = at.value if is_angle else travel.angle(at.value)
    if not travel.low <= angle <= travel.high:
        blame.say("tightened_at", f'"{at.text}" is out of the linkage\'s travel.')
        return Bush()
    return Bush(bush.rate.value, angle)


def _ride_height(
    height: RideHeightTable | None, travel: _Travel, blame: Blame
) -> RideHeight | None:
    if height is None:
        return None
    whole = RideHeight(height.where, height.drawn, height.wanted, height.tolerance)
    low, high = _heights(whole, travel)
    if height.wanted is not None and not low <= height.wanted.value <= high:
        words = [length_words(x, blame.system) for x in (low, high)]
        blame.say(
            "wanted",
            f'"{height.wanted.text}" is out of the travel, which gives from '
            f"{words[0]} to {words[1]}.",
        )
    return whole


def _heights(
    height: RideHeight, travel: _Travel, margin: float = 0.0
) -> tuple[float, float]:
    drawn, more = height.drawn.value, margin * (travel.rise - travel.fall)
    return drawn - travel.rise - more, drawn - travel.fall + more


def _check_damper(table: CornerTable, travel: _Travel, blame: Blame) -> None:
    if table.damper is None:
        return
    longest, shortest = table.damper.open, table.damper.closed
    if longest and shortest and shortest.value >= longest.value:
        blame.say(
            "closed", f'"{shortest.text}" must be shorter than "{longest.text}" open.'
        )
        return
    length = travel.linkage.pose(np.zeros(())).damper
    if length is None:
        return
    drawn = float(value(length))
    words = length_words(drawn, blame.system)
    if longest and drawn > longest.value:
        blame.say(
            "open",
            f'"{longest.text}" is less than its {words} at the drawn position.',
        )
    if shortest and drawn < shortest.value:
        blame.say(
            "closed",
            f'"{shortest.text}" is more than its {words} at the drawn position.',
        )


def _slope_and_radius(built: Built) -> tuple[float, float]:
    """Return the arm's angle above level at the drawn position, and its length.

    The angle is taken in the plane in which the arm turns, so that the arm angle adds
    to it exactly.
    """
    arm = built.linkage.arm
    start = arm.path(built.outer).start
    # The level direction of that plane, and the steepest one, across each other.
    x, y = float(value(arm.axis.x)), float(value(arm.axis.y))
    flat = math.hypot(x, y)
    out = Vec(np.asarray(-y / flat), np.asarray(x / flat), np.asarray(0.0))
    along = float(value(dot(start, out)))
    radius = float(np.linalg.norm(start.array))
    up = float(value(start.z)) / flat
    return math.atan2(up, abs(along)), radius
