"""Cars for the tests of tasks and commands, and their figures by ways of their own.

`wishbone` and `planar` know nothing of the product's mechanics: the one solves the
upright's constraint equations (`wishbones.Upright`), the other is trigonometry of a
plain arm.  Both find where a corner stands as the place of least energy.
"""

from dataclasses import replace
from fractions import Fraction
from functools import cache
from types import MappingProxyType

import numpy as np
from scipy import optimize

from splinewise.car.demos import demo_text
from splinewise.car.file import read_car
from splinewise.car.model import Figure, Observation
from splinewise.core.linkages import WishbonePoints
from wishbones import Upright

INCH = 0.0254

EXAMPLE = """
format = 1

[car]
name = "Worked example"
units = "metric"
invented = true

[corner.front-left]
layout = "double wishbone"
bar_on = "lower"
tyre_radius = "305 mm"
spindle = [0.0015, 1.0, -0.0087]
sprung_load = "268.8 kg"

[corner.front-left.points]
unit = "mm"
lower_front = [120, 230, 240]
lower_rear = [-180, 230, 235]
lower_ball = [5, 575, 205]
upper_front = [60, 330, 455]
upper_rear = [-120, 330, 445]
upper_ball = [-12, 560, 440]
rod_inner = [-110, 245, 262]
rod_outer = [-115, 590, 250]
wheel_centre = [0, 640, 305]
damper_body = [20, 290, 560]
damper_arm = [10, 480, 215]

[corner.front-left.points.body]
gauge_boss = [200, 300, 520]

[corner.front-left.damper]
on = "lower"

[corner.front-left.bar]
shear_modulus = "78.5 GPa"
diameter = "22.5 mm"
active_length = "1000 mm"
preset = "unknown"

[corner.front-left.splines]
arm_teeth = 24
anchor_teeth = 25

[corner.front-left.adjuster]
kind = "none"

[corner.front-left.ride_height]
where = "hub centre to wing edge"
drawn = "400 mm"
wanted = "400 mm"
tolerance = "5 mm"

[[corner.front-left.dimension]]
name = "setting length"
from = "damper_body"
to = "damper_arm"

[[corner.front-left.dimension]]
name = "second dimension"
from = "gauge_boss"
to = "lower_ball"
"""


@cache
def demo(name):
    """Return an invented car; the same one each time."""
    return read_car(demo_text(name), file=f"demo:{name}")


@cache
def example():
    """Return the worked example as a car."""
    return read_car(EXAMPLE, file="example.toml")


def edited(text, *changes):
    """Return a text with each (old, new) put in once; the old must be there."""
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def with_corner(car, name, **changes):
    """Return a car of which one corner is changed."""
    corners = dict(car.corners)
    corners[name] = replace(corners[name], **changes)
    return replace(car, corners=MappingProxyType(corners))


def figure(value, doubt=None, **more):
    """Return a figure as if it had been typed."""
    return Figure(value, doubt, text=more.pop("text", f"{value:g} typed"), **more)


def length(corner, name, angle):
    """Return a dimension of a corner at an arm angle. [m]"""
    d = corner.dimensions[name]
    return float(d.span.length(angle))


def reading(of, value, doubt=None, *, state="bare arm", name="", **more):
    """Return an observation that was read."""
    standing = more.pop("standing", "measured")
    told = figure(value, doubt, standing=standing, text=more.pop("text", "as typed"))
    return Observation(of=of, figure=told, state=state, name=name or of, **more)


class Independent:
    """A corner by a way of its own: rise, lengths, and where it stands."""

    def __init__(self, rate, load, low, high):
        self.rate, self.load, self.low, self.high = rate, load, low, high

    def rise(self, angle):
        """Return the rise of the contact point from the drawn position. [m]"""
        raise NotImplementedError

    def stands(self, slack, *, rate=None, load=None):
        """Return the arm angle of least energy: bar wound up less load let down."""
        k, load = rate or self.rate, load or self.load

        def energy(angle):
            return 0.5 * k * (angle - slack) ** 2 - load * self.rise(angle)

        def pull(angle):
            step = 1e-3
            one, two = (energy(angle + h) - energy(angle - h) for h in (step, 2 * step))
            return (8.0 * one - two) / (12.0 * step)

        return optimize.brentq(pull, self.low, self.high, xtol=1e-12)

    def slack(self, rise):
        """Return the slack angle with which the wheel stands so high."""
        angle = optimize.brentq(
            lambda a: self.rise(a) - rise, self.low, self.high, xtol=1e-13
        )
        step = 1e-3
        one, two = (
            self.rise(angle + h) - self.rise(angle - h) for h in (step, 2 * step)
        )
        return angle - self.load * (8.0 * one - two) / (12.0 * step) / self.rate


class Wishbone(Independent):
    """A double wishbone, the upright's six equations solved by SciPy."""

    def __init__(self, points, outboard, **more):
        super().__init__(**more)
        self.upright = Upright(points, outboard)
        self._known = {}

    def _solved(self, angle):
        # A place already found nearby is a start that keeps to the branch.
        near = min(self._known, key=lambda a: abs(a - angle), default=None)
        if near is None or abs(near - angle) > 0.05:
            steps = np.linspace(0.0, angle, 2 + int(abs(angle) / 0.05))[1:]
            for step, x in zip(steps, self.upright.sweep(steps), strict=True):
                self._known[float(step)] = x
            return self._known[float(angle)]
        return self.upright.solve(angle, self._known[near])

    def rise(self, angle):  # noqa: D102  as in Independent
        drawn = self.upright.reading(np.zeros(6), 0.0)["z"]
        return self.upright.reading(self._solved(angle), angle)["z"] - drawn

    def length(self, fixed, moving, angle):
        """Return how far a point of the arm is from one of the body. [m]"""
        return np.linalg.norm(self.upright.on_driven(moving, angle) - fixed)


class Planar(Independent):
    """A plain arm: a bar's end that swings, and triangles by the law of cosines."""

    def __init__(self, arm, slope, ratio, **more):
        super().__init__(**more)
        self.arm, self.slope, self.ratio = arm, slope, ratio

    def rise(self, angle):  # noqa: D102  as in Independent
        return self.arm * self.ratio * (np.sin(self.slope + angle) - np.sin(self.slope))

    def length(self, fixed, moving, drawn, angle):
        """Return a triangle's third side, which bump shortens. [m]"""
        at_axis = np.arccos((fixed**2 + moving**2 - drawn**2) / (2 * fixed * moving))
        return np.sqrt(
            fixed**2 + moving**2 - 2 * fixed * moving * np.cos(at_axis - angle)
        )


def inches(text):
    """Return mixed inches in metres: "18 19/32" → 0.4722… m."""
    return float(sum(Fraction(part) for part in text.split())) * INCH


def tourer_left():
    """Return the left front corner of the invented tourer, its figures retyped."""
    points = WishbonePoints(
        lower_front=np.array([4.75, 8.75, 9.0]) * INCH,
        lower_rear=np.array([-6.5, 8.75, 8.75]) * INCH,
        lower_ball=np.array([0.125, 21.5, 7.625]) * INCH,
        upper_front=np.array([2.5, 12.375, 17.25]) * INCH,
        upper_rear=np.array([-4.375, 12.375, 16.875]) * INCH,
        upper_ball=np.array([-0.5, 20.875, 16.75]) * INCH,
        rod_inner=np.array([-4.25, 9.375, 9.75]) * INCH,
        rod_outer=np.array([-4.5, 22.0, 9.25]) * INCH,
        wheel_centre=np.array([0.0, 24.0, 11.5]) * INCH,
        # Camber 0.5° top out and toe 0.1° in, both positive.
        spindle=np.array([np.tan(np.radians(0.1)), 1.0, -np.tan(np.radians(0.5))]),
        tyre_radius=11.5 * INCH,
        damper_body=np.array([0.75, 10.875, 21.25]) * INCH,
        damper_arm=np.array([0.375, 17.875, 7.875]) * INCH,
    )
    # G from the middle of the figures for spring steels that the car's file takes.
    rate = 77.75e9 * np.pi * (0.9 * INCH) ** 4 / 32.0 / (40.0 * INCH)
    load = (640.0 - 78.0) * 0.45359237 * 9.80665
    corner = Wishbone(points, 1.0, rate=rate, load=load, low=-0.24, high=0.19)
    bracket = np.array([7.5, 11.5, 20.25]) * INCH
    corner.spans = {
        "setting length": (points.damper_body, points.damper_arm),
        "check dimension": (bracket, points.lower_ball),
    }
    return corner


def van_left():
    """Return the left front corner of the invented van, its figures retyped."""
    corner = Planar(
        0.342,
        -np.arcsin(38.0 / 342.0),
        1.14,
        rate=41.0 * 180.0 / np.pi,
        load=(332.0 - 34.0) * 9.80665,
        low=-0.21,
        high=0.19,
    )
    corner.triangle = (0.288, 0.236, 0.352)
    return corner
