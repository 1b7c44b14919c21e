"""One invented corner from hard points to standing height, worked out twice.

The figures are our own derivation, printed to the digits below.  Here they are
checked against the product and against a second way that shares nothing with it: the
upright's constraint equations solved by SciPy (`wishbones.Upright`), bar and load
weighed up as energy, not as torque.  For the one figure that an earlier print of this
example had otherwise by a last digit, a third way decides, in extended precision.
"""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy import optimize

from cited import DEGREE, printed
from splinewise.core.corner import Spring, slack_for, standing_angle, wheel_force
from splinewise.core.geometry import vec
from splinewise.core.jet import value
from splinewise.core.linkages import DoubleWishbone, locking_angle, travel
from wishbones import EXAMPLE, Upright

MM = 1e-3
RATE = 78.5e9 * np.pi * 0.0225**4 / 32.0 / 1.0  # G J / L of a round bar
LOAD = 268.8 * 9.80665
SLACK = np.radians(-26.636199775923636)
LEFT = DoubleWishbone.build(EXAMPLE, outboard=1.0)
UPRIGHT = Upright(EXAMPLE, 1.0)
SETTING = LEFT.arm.span(vec(EXAMPLE.damper_body), vec(EXAMPLE.damper_arm))
SECOND = LEFT.arm.span(
    vec(np.array([200.0, 300.0, 520.0]) * MM), vec(EXAMPLE.lower_ball)
)


def solved(angle):
    """Return the six coordinates at an arm angle, on the drawn branch."""
    steps = np.linspace(0.0, angle, 2 + int(abs(angle) / 0.1))[1:]
    return UPRIGHT.sweep(steps)[-1]


def rise(angle):
    """Return the rise of the contact point, from the constraints alone."""
    drawn = UPRIGHT.reading(np.zeros(6), 0.0)["z"]
    return UPRIGHT.reading(solved(angle), angle)["z"] - drawn


def resting(slack):
    """Return the arm angle where energy is least: bar wound up less load let down."""

    def energy(angle):
        return 0.5 * RATE * (angle - slack) ** 2 - LOAD * rise(angle)

    def pull(angle):
        step = 1e-3
        one, two = (energy(angle + k) - energy(angle - k) for k in (step, 2 * step))
        return (8.0 * one - two) / (12.0 * step)

    return optimize.brentq(pull, -0.1, 0.4, xtol=1e-13)


def test_bar_rate():
    assert printed("1975.14791") == RATE


def test_slack_angle():
    """Torque at the drawn position over the rate: −26.63620°."""
    slack = slack_for(LEFT, angle=0.0, rate=RATE, load=LOAD)

    assert RATE * -slack == printed("918.22530")
    assert slack == printed("-26.63620", DEGREE)
    assert 16.0 * RATE * -slack / (np.pi * 0.0225**3) == printed("410.55544", 1e6)
    assert_allclose(slack, SLACK, rtol=1e-12)


@pytest.mark.independent
def test_slack_angle_by_virtual_work():
    """The second way: load times the solved change of height, over the rate."""
    by_work = -LOAD * UPRIGHT.slope(np.zeros(6), 0.0)["z"] / RATE
    assert by_work == printed("-26.63620", DEGREE)


def test_setting_lengths():
    """The gauge between the damper's bolts, and the second dimension, bar slack."""
    assert SETTING.length(SLACK) == printed("479.75948", MM)
    assert SETTING.length(0.0) == printed("393.98604", MM)
    assert SETTING.slope(SLACK) == printed("-2.78299", MM / DEGREE)
    assert SECOND.length(SLACK) == printed("551.64542", MM)
    assert SECOND.slope(SLACK) == printed("-2.99585", MM / DEGREE)


@pytest.mark.independent
def test_setting_lengths_by_turning_the_points():
    """The second way: the arm's points turned about the pivots, in three numbers."""
    for bolt, end, wanted, per_degree in (
        (EXAMPLE.damper_body, EXAMPLE.damper_arm, "479.75948", "-2.78299"),
        (np.array([0.2, 0.3, 0.52]), EXAMPLE.lower_ball, "551.64542", "-2.99585"),
    ):

        def length(angle, bolt=bolt, end=end):
            return np.linalg.norm(UPRIGHT.on_driven(end, angle) - bolt)

        assert length(SLACK) == printed(wanted, MM)
        change = (length(SLACK + 1e-5) - length(SLACK - 1e-5)) / 2e-5
        assert change == printed(per_degree, MM / DEGREE)


STANDING = [(0.6, "4.06921"), (-0.6, "-4.08165"), (15.0, "98.82481")]


@pytest.mark.parametrize(("turned", "wanted"), STANDING)
def test_standing_height(turned, wanted):
    """One index step of 0.6° either way, and one tooth of 24 at one end alone."""
    spring = Spring(RATE, SLACK + turned * DEGREE)

    angle = standing_angle(LEFT, spring, LOAD, low=-0.5, high=1.0)

    assert travel(LEFT, angle).rise == printed(wanted, MM)
    assert wheel_force(LEFT, spring, angle).force == pytest.approx(LOAD, rel=1e-12)


@pytest.mark.independent
@pytest.mark.parametrize(("turned", "wanted"), STANDING)
def test_standing_height_by_energy(turned, wanted):
    """The second way: where the energy of bar and load is least."""
    assert rise(resting(SLACK + turned * DEGREE)) == printed(wanted, MM)


@pytest.mark.independent
def test_the_last_digit_of_the_lower_height():
    """−4.08165 mm, not −4.08166: 64-bit mantissas, constraints, energy's slope.

    An earlier print of this example gave −4.08166 for the slack angle turned by
    −0.6°.  Worked in extended precision with nothing rounded on the way it is
    −4.08165369 mm, which rounds to −4.08165.
    """
    lowered = Extended().standing_rise("-0.6")

    assert float(lowered) == printed("-4.08165369", MM)
    assert float(lowered) != printed("-4.08166", MM)
    assert float(Extended().standing_rise("0.6")) == printed("4.06921030", MM)


def test_wheel_rate():
    """With and without the geometric term, at the drawn position."""
    at = wheel_force(LEFT, Spring(RATE, SLACK), 0.0)

    assert at.wheel_rate == printed("14.57002", 1e3)
    assert at.spring_part == printed("16.27800", 1e3)


@pytest.mark.independent
def test_wheel_rate_by_differences():
    """The second way: force from solved slopes, its change over the change of height."""

    def force(angle):
        return RATE * (angle - SLACK) / UPRIGHT.slope(solved(angle), angle)["z"]

    steps = [(8.0, 1e-3), (-1.0, 2e-3)]
    pushed = sum(w * (force(h) - force(-h)) for w, h in steps)
    raised = sum(w * (rise(h) - rise(-h)) for w, h in steps)
    assert pushed / raised == printed("14.57002", 1e3)
    slope = UPRIGHT.slope(np.zeros(6), 0.0)["z"]
    assert RATE / slope**2 == printed("16.27800", 1e3)


POSES = [
    # arm angle °, camber °, toe °, caster °, contact travel mm
    (-10.0, "0.440", "2.054", "3.577", "-59.28"),
    (0.0, "0.498", "0.086", "4.138", "0.00"),
    (8.0, "-0.388", "-0.958", "4.596", "49.27"),
    (12.0, "-1.150", "-1.341", "4.826", "74.24"),
]


@pytest.mark.parametrize(("angle", "camber", "toe", "caster", "travelled"), POSES)
def test_pose(angle, camber, toe, caster, travelled):
    got = travel(LEFT, angle * DEGREE)

    assert got.camber == printed(camber, DEGREE)
    assert got.toe == printed(toe, DEGREE)
    assert got.caster == printed(caster, DEGREE)
    assert got.rise == printed(travelled, MM)


@pytest.mark.independent
@pytest.mark.parametrize(("angle", "camber", "toe", "caster", "travelled"), POSES)
def test_pose_by_constraints(angle, camber, toe, caster, travelled):
    """The second way."""
    got = UPRIGHT.reading(solved(angle * DEGREE), angle * DEGREE)

    assert got["camber"] == printed(camber, DEGREE)
    assert got["toe"] == printed(toe, DEGREE)
    assert got["caster"] == printed(caster, DEGREE)
    assert rise(angle * DEGREE) == printed(travelled, MM)


def test_where_it_locks():
    """It cannot be assembled much below −34.4°; the bare arm turns on.

    A little before, at −33.8°, the arm goes over centre: there bump of the arm no
    longer lifts the wheel, and that is where the usable travel ends.
    """
    ends = np.radians([-34.0, -34.4, -34.5])
    assert list(np.isnan(travel(LEFT, ends).rise)) == [False, False, True]
    over = locking_angle(LEFT, -1.0)
    assert over == printed("-33.78", DEGREE)
    around = travel(LEFT, over + np.array([-1e-4, 1e-4])).rise_slope
    assert around[0] < 0.0 < around[1]
    assert value(SETTING.length(np.radians(-40.0))) > SETTING.length(SLACK)


def test_the_bar_on_the_upper_arm_makes_another_car_of_it():
    """The same points, the bar on the other arm: same wheel, another slack angle."""
    upper = DoubleWishbone.build(EXAMPLE, outboard=1.0, bar_on="upper")
    turned = standing_angle(
        upper,
        Spring(RATE, slack_for(upper, angle=0.0, rate=RATE, load=LOAD)),
        LOAD,
        low=-0.4,
        high=0.4,
    )
    assert_allclose(turned, 0.0, atol=1e-12)
    assert_allclose(travel(upper, 0.0).camber, travel(LEFT, 0.0).camber, rtol=1e-12)
    no_damper = replace(EXAMPLE, damper_body=None, damper_arm=None)
    assert travel(DoubleWishbone.build(no_damper, outboard=1.0), 0.0).damper is None


class Extended:
    """The left corner in extended precision, by Newton's method on three lengths.

    On x86 a long double has a mantissa of 64 bits; where it is no longer than a
    double, the nine digits asked for still stand.  Slopes are differences of solved heights,
    extrapolated twice.
    """

    def __init__(self):
        self.pi = np.longdouble("3.14159265358979323846264338327950288")
        mm = {
            "front": (120, 230, 240), "rear": (-180, 230, 235), "ball": (5, 575, 205),
            "upper_front": (60, 330, 455), "upper_rear": (-120, 330, 445),
            "upper": (-12, 560, 440), "inner": (-110, 245, 262),
            "outer": (-115, 590, 250), "hub": (0, 640, 305),
        }  # fmt: skip
        self.p = {k: np.array(v, np.longdouble) / 1000 for k, v in mm.items()}
        spindle = np.array([15, 10000, -87], np.longdouble)
        self.spindle = spindle / np.sqrt(np.sum(spindle * spindle))
        self.radius = np.longdouble(305) / 1000
        axis = self.p["front"] - self.p["rear"]
        self.axis = axis / np.sqrt(np.sum(axis * axis))
        diameter = np.longdouble("0.0225")
        self.rate = np.longdouble("78.5e9") * self.pi * diameter**4 / 32
        self.load = np.longdouble("268.8") * np.longdouble("9.80665")

    def ball(self, angle):
        """Return the lower ball joint."""
        arm = self.p["ball"] - self.p["rear"]
        c, s = np.cos(angle), np.sin(angle)
        along = self.axis * np.sum(self.axis * arm) * (1 - c)
        return self.p["rear"] + arm * c + product(self.axis, arm) * s + along

    def turned(self, g, v):
        """Return a direction of the upright, turned by a Gibbs vector."""
        once = product(g, v)
        return v + (once + product(g, once)) * (2 / (1 + np.sum(g * g)))

    def misfit(self, g, angle):
        """Return by how much the other arm's and the rod's lengths are missed."""
        p, out = self.p, []
        for end, held in (("upper_front", "upper"), ("upper_rear", "upper"),
                          ("inner", "outer")):  # fmt: skip
            now = self.ball(angle) + self.turned(g, p[held] - p["ball"]) - p[end]
            drawn = p[held] - p[end]
            out.append(np.sum(now * now) - np.sum(drawn * drawn))
        return np.array(out)

    def height(self, angle):
        """Return the height of the contact point."""
        g = np.zeros(3, np.longdouble)
        steps = np.eye(3, dtype=np.longdouble) * np.longdouble(1e-6)
        for _ in range(20):
            columns = [
                (self.misfit(g + e, angle) - self.misfit(g - e, angle)) / 2e-6
                for e in steps
            ]
            change = cramer(columns, self.misfit(g, angle))
            g = g - change
            if np.max(np.abs(change)) < 1e-18:
                break
        hub = self.ball(angle) + self.turned(g, self.p["hub"] - self.p["ball"])
        lean = self.turned(g, self.spindle)[2]
        return hub[2] - self.radius * np.sqrt(1 - lean * lean)

    def slope(self, angle):
        """Return the change of height with arm angle."""
        step = np.longdouble(2e-3)
        a, b, c = (
            (self.height(angle + h) - self.height(angle - h)) / (2 * h)
            for h in (step, step / 2, step / 4)
        )
        first, second = (4 * b - a) / 3, (4 * c - b) / 3
        return (16 * second - first) / 15

    def standing_rise(self, degrees):
        """Return the rise with the slack angle turned by so much, by the secant rule."""
        turn = np.longdouble(degrees) * self.pi / 180
        slack = -self.load * self.slope(np.longdouble(0)) / self.rate + turn

        def excess(angle):
            return self.rate * (angle - slack) - self.load * self.slope(angle)

        before, now = np.longdouble(0), turn
        low = excess(before)
        for _ in range(8):
            high = excess(now)
            if high == low or abs(now - before) < 1e-17:
                break
            before, now = now, now - high * (now - before) / (high - low)
            low = high
        return self.height(now) - self.height(np.longdouble(0))


def product(a, b):
    """Return the vector product, as NumPy's but quick on three numbers."""
    return np.array(
        [
            a[1] * b[2] - a[2] * b[1],
            a[2] * b[0] - a[0] * b[2],
            a[0] * b[1] - a[1] * b[0],
        ]
    )


def cramer(columns, right):
    """Solve three equations; NumPy's solver does not take long doubles."""
    a, b, c = columns
    whole = np.sum(a * product(b, c))
    parts = (product(b, c), product(c, a), product(a, b))
    return np.array([np.sum(right * part) for part in parts]) / whole
