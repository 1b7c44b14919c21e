"""A whole road vehicle of a benchmark comes to rest: every printed digit.

S. Frik, G. Leister and W. Schwartz, "Simulation of the IAVSD Road Vehicle Benchmark
Bombardier Iltis", Vehicle System Dynamics 22 (1993) 215-253.  The paper was not seen:
data and results were read in a public repository of a multibody program (ovankerm/
IAVSD_ILTIS, commit 18c4286, its data, equilibrium report and last line of animation).

Four equal corners: a leaf spring that guides as a link above, an arm below, a damper
with a spring in it, a rod that steers.  The corner is written down here once more, as
a linkage of the test's own; nothing of the product's linkages is in it.
"""

from dataclasses import dataclass

import numpy as np
import pytest

from cited import printed
from splinewise.core.geometry import Vec
from splinewise.core.jet import arccos, arctan2, cos, sin, sqrt, value
from splinewise.core.linkages import Pose
from splinewise.core.other_springs import LinearSpring, Push
from splinewise.core.vehicle import (
    Body,
    Corner,
    MassAt,
    SpringAt,
    Vehicle,
    modes,
    stand,
)

# y outboard and z up, in the body's axes, whose origin is 0.57 m above the ground.
LINK_INNER, LINK_OUTER = (0.1585, 0.030), (0.488, -0.039)
ARM_INNER, ARM_OUTER = (0.259, -0.268), (0.572, -0.341)
WHEEL = (0.615, -0.214)
RACK, ROD_ON_CARRIER = (0.070, 0.030), (0.448, -0.039)
DAMPER_BODY = (0.297, 0.062)
DAMPER_ALONG, DAMPER_BELOW = 0.0728438, 0.0046671
NOMINAL = np.arctan(0.069 / 0.3295)  # of the link, below level
LEAF_RATE, LEAF_FREE, LEAF_SEAT = 35906.0, 0.152, 0.037
TYRE_RATE, RADIUS = 460000.0, {"front": 0.364325, "rear": 0.363812}
AXLE_X, ROD_X, DAMPER_X = (
    {"front": 0.970, "rear": -1.047},
    {"front": 0.830, "rear": -0.907},
    {"front": 1.045, "rear": -1.122},
)


@dataclass(frozen=True, slots=True, eq=False)
class BenchmarkPose(Pose):
    """A pose with the link's tip, the arm's middle and the carrier's steer."""

    tip: Vec | None = None
    middle: Vec | None = None
    steer: object = None


@dataclass(frozen=True)
class BenchmarkCorner:
    """One corner; the angle that is turned is the link's, positive in bump."""

    axle: str
    side: float

    @property
    def outboard(self):
        """+1 on the left."""
        return self.side

    def pose(self, angle, *, rack=0.0):
        """Two circles for the carrier's plane, then its turn by the rod."""
        del rack
        slope = NOMINAL - angle
        reach = np.hypot(*np.subtract(LINK_OUTER, LINK_INNER))
        ty = LINK_INNER[0] + reach * cos(slope)
        tz = LINK_INNER[1] - reach * sin(slope)
        # The arm's end: on its own circle, as far from the link's tip as drawn.
        arm = np.hypot(*np.subtract(ARM_OUTER, ARM_INNER))
        upright = np.hypot(*np.subtract(LINK_OUTER, ARM_OUTER))
        dy, dz = ty - ARM_INNER[0], tz - ARM_INNER[1]
        d2 = dy * dy + dz * dz
        along = 0.5 * (arm**2 - upright**2 + d2) / d2
        off = sqrt(arm**2 / d2 - along * along)
        by = ARM_INNER[0] + along * dy + off * dz
        bz = ARM_INNER[1] + along * dz - off * dy
        axis = ((ty - by) / upright, (tz - bz) / upright)  # from the arm to the link
        frame = _Carrier((by, bz), axis)
        turned = frame.steer(self.axle)
        wheel = frame.place(WHEEL, 0.0, turned)
        ry, rz = (ARM_INNER[0] - by) / arm, (ARM_INNER[1] - bz) / arm
        damper_y = by + DAMPER_ALONG * ry + DAMPER_BELOW * -rz
        damper_z = bz + DAMPER_ALONG * rz + DAMPER_BELOW * ry
        length = sqrt(
            (damper_y - DAMPER_BODY[0]) * (damper_y - DAMPER_BODY[0])
            + (damper_z - DAMPER_BODY[1]) * (damper_z - DAMPER_BODY[1])
        )
        x, s = AXLE_X[self.axle], self.side
        centre = Vec(wheel[0] + x, s * wheel[1], wheel[2])
        return BenchmarkPose(
            contact=centre,
            twist=angle,
            wheel=centre,
            damper=length,
            tip=Vec(x + 0.0 * ty, s * ty, tz),
            middle=Vec(
                x + 0.0 * by,
                s * 0.5 * (by + ARM_INNER[0]),
                0.5 * (bz + ARM_INNER[1]),
            ),
            steer=turned,
        )


@dataclass(frozen=True)
class _Carrier:
    """The carrier's plane: the arm's end, and the way from there to the link's."""

    end: tuple
    axis: tuple

    def parts(self, point):
        """A drawn point along the axis and outboard of it."""
        drawn = np.subtract(LINK_OUTER, ARM_OUTER)
        drawn = drawn / np.hypot(*drawn)
        away = np.subtract(point, ARM_OUTER)
        return away @ drawn, away[0] * drawn[1] - away[1] * drawn[0]

    def place(self, point, ahead, turn):
        """Where a point is when the carrier is turned about the axis."""
        up, out = self.parts(point)
        across = out * cos(turn) - ahead * sin(turn)
        return (
            ahead * cos(turn) + out * sin(turn),
            self.end[0] + up * self.axis[0] + across * self.axis[1],
            self.end[1] + up * self.axis[1] - across * self.axis[0],
        )

    def steer(self, axle):
        """The turn at which the rod has its length: a cos δ + b sin δ = c."""
        x = ROD_X[axle] - AXLE_X[axle]
        length = np.hypot(*np.subtract(ROD_ON_CARRIER, RACK))
        up, out = self.parts(ROD_ON_CARRIER)
        ky = self.end[0] + up * self.axis[0] - RACK[0]
        kz = self.end[1] + up * self.axis[1] - RACK[1]
        # |k + e (out cos δ − x sin δ)|² + (x cos δ + out sin δ − x)² = length²
        e = ky * self.axis[1] - kz * self.axis[0]
        a = 2.0 * (e * out - x * x)
        b = -2.0 * (e * x + x * out)
        c = length**2 - ky * ky - kz * kz - out * out - x * x - x * x
        return arctan2(b, a) + _side(a, b) * arccos(c / sqrt(a * a + b * b))


def _side(a, b):
    """Which of the two roots is near no steer."""
    return np.where(value(arctan2(b, a)) > 0.0, -1.0, 1.0)


@dataclass(frozen=True)
class DamperSpring:
    """The benchmark's cubic in the damper's length; it pulls where it is positive."""

    drawn: float

    def push(self, shortening):
        """Force apart, and its rate."""
        z = self.drawn - np.asarray(shortening)
        pull = -4.0092e6 + z * (2.8397e7 + z * (-6.7061e7 + z * 5.2796e7))
        return Push(-pull, 2.8397e7 + z * (-2 * 6.7061e7 + z * 3 * 5.2796e7))


def benchmark(packed=(0.0, 0.0, 0.0, 0.0)):
    """The vehicle; `packed` is what is added to the free length of each leaf."""
    corners = []
    for (axle, side), more in zip(
        ((a, s) for a in ("front", "rear") for s in (1.0, -1.0)), packed, strict=True
    ):
        linkage = BenchmarkCorner(axle, side)
        preload = LEAF_RATE * (LEAF_FREE + more - (LEAF_SEAT - LINK_OUTER[1]))
        leaf = SpringAt(
            LinearSpring(LEAF_RATE, preload), lambda pose: LEAF_SEAT - pose.tip.z
        )
        drawn = float(linkage.pose(0.0).damper)
        corners.append(
            Corner(
                f"{axle} {side:+.0f}",
                linkage,
                None,
                TYRE_RATE,
                RADIUS[axle],
                unsprung=57.35,
                others=(leaf, SpringAt(DamperSpring(drawn), "damper")),
                masses=(MassAt(6.0, lambda pose: pose.middle),),
            )
        )
    origin = Vec(*np.zeros(3))
    return Vehicle(Body(1260.0, origin), tuple(corners), gravity=9.81)


@pytest.fixture(scope="module")
def at_rest():
    """The vehicle, where it stands, and the poses of its corners."""
    vehicle = benchmark()
    found = stand(vehicle)
    assert found.stands
    poses = [
        corner.linkage.pose(angle)
        for corner, angle in zip(vehicle.corners, found.arm_angles, strict=True)
    ]
    return vehicle, found, poses


@pytest.mark.cited
def test_drop_and_pitch(at_rest):
    """The body drops by 7.083 mm and its nose by 0.1465°."""
    _, found, _ = at_rest

    assert (found.attitude.z - 0.57) * 1e3 == printed("-7.083")
    assert np.degrees(found.attitude.pitch) == printed("0.1465")
    assert found.attitude.roll == pytest.approx(0.0, abs=1e-12)


@pytest.mark.cited
@pytest.mark.parametrize(
    ("corner", "tyre", "leaf", "damper", "link_angle", "steer"),
    [
        (0, "3831.31", "-3068.62", "-335.29", "0.177789", "0.00186081"),
        (1, "3831.31", "-3068.62", "-335.29", "0.177789", "0.00186081"),
        (2, "3591.91", "-2885.51", "-241.64", "0.193202", "0.000899979"),
        (3, "3591.91", "-2885.51", "-241.64", "0.193202", "0.000899979"),
    ],
)
def test_forces_and_angles(at_rest, corner, tyre, leaf, damper, link_angle, steer):
    """Tyre, leaf and damper spring in newtons, link and steer in radians.

    The source counts a pull positive and gives the steer its side's sign.  Its lengths
    are given to 10⁻⁸ m or 10⁻⁷ m: half of the last digit of the damper's bolt is worth
    0.003 N of the damper's spring, that of the rod and of the carrier's points some
    10⁻⁷ of steer.
    """
    vehicle, found, poses = at_rest
    pose, others = poses[corner], vehicle.corners[corner].others
    drawn = vehicle.corners[corner].linkage.pose(0.0)

    assert found.loads[corner] == printed(tyre)
    assert NOMINAL - found.arm_angles[corner] == printed(link_angle)
    assert -others[0].law.push(pose.tip.z - drawn.tip.z).force == printed(leaf)
    pull = -others[1].law.push(drawn.damper - pose.damper).force
    assert pull == pytest.approx(float(damper), abs=0.005 + 0.003)
    assert abs(float(pose.steer)) == pytest.approx(float(steer), abs=1.5e-7)


def test_the_corner_is_drawn_as_the_data_say():
    """At no turn the points are where the table has them."""
    pose = BenchmarkCorner("front", 1.0).pose(0.0)

    assert pose.wheel.array == pytest.approx([0.970, *WHEEL], abs=1e-12)
    assert pose.tip.array == pytest.approx([0.970, *LINK_OUTER], abs=1e-12)
    assert pose.steer == pytest.approx(0.0, abs=1e-12)


@pytest.mark.independent
def test_one_leaf_packed_by_ten_millimetres():
    """Own derivation on the benchmark's data: least energy, by a program of its own."""
    base, found = stand(benchmark()), stand(benchmark((0.010, 0.0, 0.0, 0.0)))

    expected = ("3910.084", "3749.932", "3510.741", "3675.698")
    for load, text in zip(found.loads, expected, strict=True):
        assert load == printed(text)
    assert (found.attitude.z - base.attitude.z) * 1e3 == printed("1.976")
    turned = found.attitude.pitch - base.attitude.pitch
    assert np.degrees(turned) == printed("-0.1112")
    assert np.degrees(found.attitude.roll) == printed("0.1707")
    cross = (found.loads[0] + found.loads[3]) / found.loads.sum()
    assert 100 * cross == printed("51.0949")


@pytest.mark.independent
def test_one_leaf_packed_by_a_millimetre_and_wheel_rates():
    """Own derivation as above: +8.139, −8.406, −8.403, +8.670 N; 44470, 48733 N/m."""
    vehicle = benchmark()
    base, found = stand(vehicle), stand(benchmark((0.001, 0.0, 0.0, 0.0)))

    expected = ("8.139", "-8.406", "-8.403", "8.670")
    for change, text in zip(found.loads - base.loads, expected, strict=True):
        assert change == printed(text)
    rates = modes(vehicle, base).wheel_rates
    assert rates[0] == pytest.approx(44470.0, rel=2e-4)
    assert rates[2] == pytest.approx(48733.0, rel=2e-4)
