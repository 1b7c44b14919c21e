"""Invented double wishbones, and their pose by a way of its own.

`Upright` knows nothing of the product's formulas: it writes down what holds the
upright (six equations in its six coordinates, three of place and three of turn) and
lets a general solver find it.  Everything in it also takes complex numbers, so that
a complex step gives derivatives to full precision.
"""

from dataclasses import replace

import numpy as np
from scipy import optimize

from splinewise.core.linkages import DoubleWishbone, WishbonePoints

MM = 1e-3
STEP = 1e-30  # of a complex step: nothing is subtracted, so it cannot be too small

# The cross product as a matrix: (g × v) is SPIN contracted with g, then times v.
SPIN = np.zeros((3, 3, 3))
SPIN[[0, 1, 2], [1, 2, 0], [2, 0, 1]] = -1.0
SPIN[[0, 1, 2], [2, 0, 1], [1, 2, 0]] = 1.0

# An invented front left corner.
EXAMPLE = WishbonePoints(
    lower_front=np.array([120.0, 230.0, 240.0]) * MM,
    lower_rear=np.array([-180.0, 230.0, 235.0]) * MM,
    lower_ball=np.array([5.0, 575.0, 205.0]) * MM,
    upper_front=np.array([60.0, 330.0, 455.0]) * MM,
    upper_rear=np.array([-120.0, 330.0, 445.0]) * MM,
    upper_ball=np.array([-12.0, 560.0, 440.0]) * MM,
    rod_inner=np.array([-110.0, 245.0, 262.0]) * MM,
    rod_outer=np.array([-115.0, 590.0, 250.0]) * MM,
    wheel_centre=np.array([0.0, 640.0, 305.0]) * MM,
    spindle=np.array([0.0015, 1.0, -0.0087]),
    tyre_radius=305.0 * MM,
    damper_body=np.array([20.0, 290.0, 560.0]) * MM,
    damper_arm=np.array([10.0, 480.0, 215.0]) * MM,
)

# What has a place, in contrast to a direction or a length.
PLACES = [
    name for name in WishbonePoints.__slots__ if name not in {"spindle", "tyre_radius"}
]


def changed(points, change):
    """Return the points with `change` applied to each place and to the spindle."""
    new = {name: change(getattr(points, name)) for name in PLACES}
    origin = change(np.zeros(3))
    return replace(points, spindle=change(points.spindle) - origin, **new)


def mirrored(points):
    """Return the points as seen in a mirror along the vehicle."""
    return changed(points, lambda p: p * [1.0, -1.0, 1.0])


def some_points(rng):
    """Return an invented corner: (points, outboard).

    Every coordinate of the example is off by up to 50 mm, the track rod may run
    ahead of the wheel, the size varies, and the corner may be a right one.
    """
    points = changed(EXAMPLE, lambda p: p + rng.uniform(-0.05, 0.05, 3))
    points = replace(
        points,
        spindle=np.array([0.0, 1.0, 0.0]) + rng.uniform(-0.05, 0.05, 3),
        tyre_radius=rng.uniform(0.24, 0.36),
    )
    if rng.random() < 0.5:
        points = changed(points, lambda p: p * [-1.0, 1.0, 1.0])
    size = rng.uniform(0.6, 1.6)
    points = changed(points, lambda p: p * size)
    if rng.random() < 0.5:
        return mirrored(points), -1.0
    return points, 1.0


class Upright:
    """The upright of a double wishbone, by its six coordinates.

    The first three are the way of the wheel centre from where it is drawn, the other
    three a Gibbs vector: axis times tangent of half the turn.  Coordinates may have
    leading axes.
    """

    def __init__(self, points, outboard, bar_on="lower", damper_on="lower"):
        self.points, self.outboard = points, outboard
        self.bar_on, self.damper_on = bar_on, damper_on
        other = "upper" if bar_on == "lower" else "lower"
        self.driven, self.follower = self.arm(bar_on), self.arm(other)
        spindle = points.spindle / np.sqrt(np.sum(points.spindle**2))
        self.spindle = spindle * np.sign(spindle[1] * outboard)
        self.held = np.array([self.driven[2], self.follower[2], points.rod_outer])
        # Ends of three lengths that stay: two from the follower's ball, one the rod.
        self.ends = np.array([*self.follower[:2], points.rod_inner])
        self.kept = np.sum((self.held[[1, 1, 2]] - self.ends) ** 2, axis=-1)

    def arm(self, which):
        """Return an arm's front and rear pivot and its ball joint."""
        ends = ("front", "rear", "ball")
        return [getattr(self.points, f"{which}_{end}") for end in ends]

    def on_driven(self, point, angle):
        """Return where a point of the bar's arm is at an arm angle."""
        front, rear, ball = self.driven
        axis = (front - rear) / np.sqrt(np.sum((front - rear) ** 2))
        if np.cross(axis, ball - rear)[2] < 0:
            axis = -axis
        arm = point - rear
        c, s = np.cos(angle), np.sin(angle)
        return rear + arm * c + np.cross(axis, arm) * s + axis * (axis @ arm) * (1 - c)

    def turned(self, x, directions):
        """Return where directions of the upright point."""
        g = x[..., 3:]
        one, gg = np.eye(3), np.sum(g * g, axis=-1)[..., None, None]
        spin = np.einsum("ijk,...j->...ik", SPIN, g)
        turn = (1.0 - gg) * one + 2.0 * (g[..., :, None] * g[..., None, :] + spin)
        return directions @ np.swapaxes(turn / (1.0 + gg), -1, -2)

    def on_upright(self, x, points):
        """Return where points of the upright are."""
        hub = self.points.wheel_centre
        return hub + x[..., None, :3] + self.turned(x, np.atleast_2d(points) - hub)

    def misfit(self, x, angle):
        """Return by how much the six equations are not met."""
        now = self.on_upright(x, self.held)
        held = now[..., 0, :] - self.on_driven(self.driven[2], angle)
        lengths = np.sum((now[..., [1, 1, 2], :] - self.ends) ** 2, axis=-1)
        return np.concatenate([held, lengths - self.kept], axis=-1)

    def slopes(self, x, angle):
        """Return the derivatives of the misfit by the coordinates."""
        return self.misfit(x + 1j * STEP * np.eye(6), angle).imag.T / STEP

    def rates(self, x, angle):
        """Return the change of the coordinates with arm angle."""
        force = self.misfit(x + 0j, angle + 1j * STEP).imag / STEP
        return -np.linalg.solve(self.slopes(x, angle), force)

    def solve(self, angle, start):
        """Return the coordinates at an arm angle, near `start`."""
        found = optimize.root(
            self.misfit, start, args=(angle,), jac=self.slopes, options={"xtol": 1e-15}
        )
        assert np.max(np.abs(found.fun)) < 1e-14, found
        return found.x

    def sweep(self, angles):
        """Return the coordinates at angles that lead away from the drawn position."""
        rows, x, before = [], np.zeros(6), 0.0
        for angle in angles:
            # A first guess along the path keeps the solver on the drawn branch.
            x = self.solve(angle, x + self.rates(x, before) * (angle - before))
            rows.append(x)
            before = angle
        return np.array(rows)

    def reading(self, x, angle):
        """Return every output of the corner, by name."""
        p, side = self.points, self.outboard
        wheel, low, high = self.on_upright(
            x, [p.wheel_centre, p.lower_ball, p.upper_ball]
        )
        axis = high - low
        # The tyre's circle by two radii that ride with the upright; where it is lowest.
        radius = np.cross(self.spindle, [1.0, 0.0, 0.0])
        radius = radius / np.sqrt(radius @ radius)
        spindle, first, second = self.turned(
            x, np.array([self.spindle, radius, np.cross(self.spindle, radius)])
        )
        down = np.sqrt(first[2] ** 2 + second[2] ** 2)
        lowest = (first * first[2] + second * second[2]) / down
        contact = wheel - p.tyre_radius * lowest
        ground = low + axis * ((contact[2] - low[2]) / axis[2])
        out = {
            "x": contact[0],
            "y": contact[1],
            "z": contact[2],
            "camber": -np.arcsin(spindle[2]),
            "toe": np.arctan(spindle[0] / (spindle[1] * side)),
            "caster": np.arctan(-axis[0] / axis[2]),
            "inclination": np.arctan(-axis[1] * side / axis[2]),
            "scrub_radius": (contact[1] - ground[1]) * side,
            "trail": ground[0] - contact[0],
        }
        if p.damper_arm is not None:
            apart = self.damper_bolt(x, angle) - p.damper_body
            out["damper"] = np.sqrt(apart @ apart)
        return out

    def damper_bolt(self, x, angle):
        """Return where the damper's bolt on its arm is."""
        p = self.points
        if self.damper_on == self.bar_on:
            return self.on_driven(p.damper_arm, angle)
        # On the other arm: by its place among that arm's pivots and ball joint.
        front, rear, ball = self.follower
        line = rear - front
        drawn = np.array([line, ball - front, np.cross(line, ball - front)])
        parts = np.linalg.solve(drawn.T, p.damper_arm - front)
        out = self.on_upright(x, ball)[0] - front
        return front + parts @ np.array([line, out, np.cross(line, out)])

    def slope(self, x, angle):
        """Return the change of every output with arm angle, by a complex step."""
        ahead = x + 1j * STEP * self.rates(x, angle)
        moved = self.reading(ahead, angle + 1j * STEP)
        return {name: value.imag / STEP for name, value in moved.items()}

    def linkage(self):
        """Return the product's linkage on the same points."""
        return DoubleWishbone.build(
            self.points,
            outboard=self.outboard,
            bar_on=self.bar_on,
            damper_on=self.damper_on,
        )
