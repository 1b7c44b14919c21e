"""Invented vehicles: double wishbones in front, trailing arms behind.

All measures are made up around those of a light car; no figure is taken from one.
Metres, kilograms, newtons, radians; `rng` stirs every number, `count` makes many cars.
"""

from dataclasses import dataclass, replace

import numpy as np

from layouts import DAMPER, ROD, SHARED, STRUT, TRAILING, UPPER, points
from splinewise.core.corner import Bush, Spring, slack_for
from splinewise.core.geometry import Vec
from splinewise.core.linkages import DoubleWishbone, Pose, WishbonePoints
from splinewise.core.linkages.trailing import TrailingArm, TrailingPoints
from splinewise.core.other_springs import LinearSpring
from splinewise.core.roll_bar import AntiRollBar
from splinewise.core.stops import Stop
from splinewise.core.vehicle import Body, Corner, Joined, Load, SpringAt, Vehicle

G = 9.80665
WHEELBASE = 2.4
LOWER = {name: STRUT[name] for name in ("lower_front", "lower_rear", "lower_ball")}
WISHBONE = {**SHARED, **UPPER, **ROD, **DAMPER, **LOWER}
ARM = {**SHARED, **TRAILING}
NAMES = ("front-left", "front-right", "rear-left", "rear-right")


class Dice:
    """Numbers in the middle of their ranges, or stirred, one or one for each car."""

    def __init__(self, rng=None, count=None):
        self.rng, self.shape = rng, () if count is None else (count,)

    def between(self, low, high):
        """A number from low to high; the middle where nothing stirs."""
        if self.rng is None:
            return np.full(self.shape, 0.5 * (low + high))
        return self.rng.uniform(low, high, self.shape)

    def place(self, middle, spread):
        """Points around a middle, shape (..., 3)."""
        return np.stack([self.between(m - spread, m + spread) for m in middle], axis=-1)


def corner_points(kind, drawn, dice, *, behind=0.0, mirrored=False, spread=0.0):
    """Hard points of one corner, mirrored for the right-hand side."""
    made = points(kind, drawn)
    for name in drawn:
        p = np.array(drawn[name])
        stirred = dice.place(p, spread if name != "spindle" else 0.5 * spread)
        if name != "spindle":
            stirred = stirred - [behind, 0.0, 0.0]
        made = replace(made, **{name: stirred * ([1, -1, 1] if mirrored else 1)})
    return made


def build(kind, drawn, dice, *, behind=0.0, mirrored=False, spread=0.0):
    """One corner's linkage and its hard points."""
    given = corner_points(
        kind, drawn, dice, behind=behind, mirrored=mirrored, spread=spread
    )
    make = DoubleWishbone if kind is WishbonePoints else TrailingArm
    return given, make.build(given, outboard=-1.0 if mirrored else 1.0)


def vec(point):
    """A vector from an array whose last axis is x, y, z."""
    p = np.asarray(point, dtype=float)
    return Vec(p[..., 0], p[..., 1], p[..., 2])


def car(
    rng=None,
    count=None,
    *,
    spread=0.01,
    stops=True,
    bars=True,
    off=0.03,
    points_too=None,
):
    """A car that can be built: its bars carry it near where it is drawn.

    `off` is by how much each slack angle may be missed; hard points go to the list
    `points_too`.
    """
    dice = Dice(rng, count)
    body, ahead = dice.between(700.0, 1300.0), dice.between(0.42, 0.58)
    shares = (ahead, ahead, 1.0 - ahead, 1.0 - ahead)
    corners = []
    for i, (name, share) in enumerate(zip(NAMES, shares, strict=True)):
        kind, drawn = (WishbonePoints, WISHBONE) if i < 2 else (TrailingPoints, ARM)
        behind = 0.0 if i < 2 else WHEELBASE
        given, linkage = build(
            kind, drawn, dice, behind=behind, mirrored=i % 2 == 1, spread=spread
        )
        if points_too is not None:
            points_too.append(given)
        load = 0.5 * share * body * G
        # A ride frequency of 1.1 to 1.7 Hz on an arm of about 0.345 m.
        rate = load / G * (2 * np.pi * dice.between(1.1, 1.7)) ** 2 * 0.345**2
        bush = Bush(dice.between(0.0, 60.0), dice.between(-0.05, 0.05))
        slack = slack_for(linkage, angle=0.0, rate=rate, load=load, bush=bush)
        buffers = (
            Stop.build(
                dice.between(0.05, 0.09),
                rate=dice.between(1e5, 4e5),
                depth=dice.between(0.01, 0.03),
                side=1.0,
            ),
            Stop.build(
                dice.between(-0.09, -0.05),
                rate=dice.between(1e5, 4e5),
                depth=dice.between(0.01, 0.03),
                side=-1.0,
            ),
        )
        helper = SpringAt(LinearSpring(dice.between(0.0, 4e3), 0.0), "damper")
        corners.append(
            Corner(
                name,
                linkage,
                Spring(rate, slack + dice.between(-off, off), bush),
                tyre_rate=dice.between(1.2e5, 2.6e5),
                tyre_radius=dice.between(0.30, 0.33),
                unsprung=dice.between(15.0, 40.0),
                floor=dice.between(-0.02, 0.02),
                others=(helper,),
                stops=buffers if stops else (),
                friction=dice.between(50.0, 150.0),
            )
        )
    roll = AntiRollBar(
        dice.between(5e3, 3e4),
        dice.between(0.5, 0.9),
        wind_up=dice.between(-2e-3, 2e-3),
    )
    x = (ahead - 1.0) * WHEELBASE
    centre = np.stack([x, dice.between(-0.03, 0.03), dice.between(0.45, 0.65)], axis=-1)
    return Vehicle(
        Body(body, vec(centre), dice.between(150, 300), dice.between(700, 1500)),
        tuple(corners),
        loads=(
            Load(
                "driver",
                dice.between(50.0, 100.0),
                vec(dice.place([-1.2, 0.35, 0.5], 0.05)),
            ),
            Load(
                "fuel",
                dice.between(5.0, 40.0),
                vec(dice.place([-2.6, 0.0, 0.45], 0.05)),
            ),
        ),
        joined=(Joined(0, 1, roll),) if bars else (),
    )


def mirrored_vehicle(vehicle):
    """The same car in a mirror along it: corners of a pair change their numbers."""
    corners = []
    for i, corner in enumerate(vehicle.corners):
        twin = vehicle.corners[i ^ 1]
        corners.append(replace(twin, name=corner.name, linkage=Mirror(twin.linkage)))
    return replace(
        vehicle,
        body=replace(vehicle.body, centre=flipped(vehicle.body.centre)),
        corners=tuple(corners),
        loads=tuple(replace(load, at=flipped(load.at)) for load in vehicle.loads),
        joined=tuple(
            replace(j, bar=replace(j.bar, wind_up=-j.bar.wind_up))
            for j in vehicle.joined
        ),
    )


def flipped(p):
    """A point on the other side."""
    return Vec(p.x, -p.y, p.z)


@dataclass(frozen=True, eq=False)
class Mirror:
    """A linkage seen in a mirror."""

    linkage: object

    @property
    def outboard(self):
        """The other side."""
        return -self.linkage.outboard

    def pose(self, angle, *, rack=0.0):
        """The mirrored pose."""
        pose = self.linkage.pose(angle, rack=-rack)
        return replace(
            pose,
            contact=flipped(pose.contact),
            wheel=flipped(pose.wheel),
            spindle=flipped(pose.spindle),
            steering=None,
        )


def changed_corner(vehicle, i, **changes):
    """The vehicle with something else at one corner."""
    corners = list(vehicle.corners)
    corners[i] = replace(corners[i], **changes)
    return replace(vehicle, corners=tuple(corners))


# Weights of differences of the eighth order, for steps 1 to 4 either side.
EIGHTH = np.array([4 / 5, -1 / 5, 4 / 105, -1 / 280])


def differences(function, at, step):
    """Derivatives of `function` by each coordinate, of the eighth order."""
    at = np.asarray(at, dtype=float)

    def one_by_one(points):
        return np.stack([np.asarray(function(at + p)) for p in points.T])

    return differences_at_once(one_by_one, at.size, step)


def differences_at_once(function, count, step):
    """The same for a function of changes, shape (count, M), to rows, shape (M, ...)."""
    h = np.broadcast_to(np.asarray(step, dtype=float), (count,))
    k = np.concatenate([np.arange(1, 5), -np.arange(1, 5)])
    shifts = h[:, None, None] * np.eye(count)[:, :, None] * k  # coordinate, by, step
    rows = function(shifts.reshape(count, -1, order="C"))
    rows = rows.reshape(count, 8, *rows.shape[1:])
    moved = np.tensordot(np.concatenate([EIGHTH, -EIGHTH]), rows, axes=(0, 1))
    return np.moveaxis(moved / h.reshape(-1, *[1] * (moved.ndim - 1)), 0, -1)


def world(found, vehicle):
    """Where wheels, masses and contact points are in the world, and their forces up.

    The world's x lies in the body's plane of symmetry; rows (force, x, y) a car.
    """
    q = found.state
    up = np.stack(found.attitude.up, axis=-1)
    ahead = np.array([1.0, 0.0, 0.0]) - q[..., 1:2] * up
    ahead /= np.linalg.norm(ahead, axis=-1, keepdims=True)
    left = np.cross(up, ahead)
    shape = q.shape[:-1]

    def row(force, point):
        p = np.broadcast_to(point.array, (*shape, 3))
        along, across = np.sum(p * ahead, axis=-1), np.sum(p * left, axis=-1)
        return np.stack([np.broadcast_to(force, shape), along, across], axis=-1)

    g = vehicle.gravity
    rows = [row(-g * vehicle.body.mass, vehicle.body.centre)]
    rows += [row(-g * load.mass, load.at) for load in vehicle.loads]
    for i, corner in enumerate(vehicle.corners):
        pose = corner.linkage.pose(found.arm_angles[..., i])
        rows.append(row(-g * corner.unsprung, pose.wheel))
        # Of the tyre's circle the lowest point in the world, not in the body.
        s, down = pose.spindle.array, -up
        down = down - np.sum(down * s, axis=-1, keepdims=True) * s
        down /= np.linalg.norm(down, axis=-1, keepdims=True)
        radius = np.asarray(corner.tyre_radius)[..., None]
        rows.append(row(found.loads[..., i], pose.wheel + vec(radius * down)))
    return np.stack(rows, axis=-2)


@dataclass(frozen=True, eq=False)
class Slider:
    """A wheel that goes straight up by a metre a radian."""

    x: float
    y: float
    outboard: float = 1.0

    def pose(self, angle, *, rack=0.0):
        """The pose."""
        del rack
        return Pose(vec([self.x, self.y, 0.0]) + vec([0, 0, 1.0]) * angle, angle)


def on_sliders(places, rates, loads, tyre, body, gravity=9.81):
    """A car on vertical springs that carry these loads where it is drawn level."""
    corners = []
    for i, ((x, y), k, F) in enumerate(zip(places, rates, loads, strict=True)):
        spring = SpringAt(LinearSpring(k, F))
        # As drawn the tyre is pressed by its load: its lowest point at no height.
        corners.append(
            Corner(
                f"wheel {i}",
                Slider(x, y),
                None,
                tyre,
                0.3,
                floor=F / tyre,
                others=(spring,),
            )
        )
    return Vehicle(body, tuple(corners), gravity=gravity)
