"""One corner of a road-vehicle benchmark: leaf, lower arm, damper, tyre.

S. Frik, G. Leister and W. Schwartz, "Simulation of the IAVSD Road Vehicle Benchmark
Bombardier Iltis", Vehicle System Dynamics 22 (1993) 215-253.  The paper was not seen:
data and results were read in a public repository of a multibody program (ovankerm/
IAVSD_ILTIS, commit 18c4286), whose report quotes the paper's nominal forces beside its
own and gives its own equilibrium.

Axes are the body's, y outboard on the left; the links turn about lines along x.
"""

import numpy as np
import pytest

from cited import printed
from splinewise.core.linkages import DoubleWishbone, WishbonePoints
from splinewise.core.other_springs import LinearSpring
from splinewise.core.table_spring import TableSpring
from splinewise.core.tyre import Tyre

LEAF_RATE, LEAF_FREE, LEAF_SEAT = 35906.0, 0.152, 0.037
TYRE_RATE, RADIUS = 460000.0, {"front": 0.364325, "rear": 0.363812}
CENTRE = 0.57  # m, of the body above the ground as drawn
NOMINAL_LINK = np.arctan(0.069 / 0.3295)  # rad, of the leaf's link below level
X = {"front": (0.970, 0.830, 1.045), "rear": (-1.047, -0.907, -1.122)}
# The damper's bolt: 0.0728438 m from the ball joint towards the inner pivot, 0.0046671 m
# off that line; the table that rounds it gives (0.500, −0.329).
BALL, PIVOT = np.array([0.572, -0.341]), np.array([0.259, -0.268])
ALONG = (PIVOT - BALL) / np.linalg.norm(PIVOT - BALL)
DAMPER_ON_ARM = BALL + 0.0728438 * ALONG - 0.0046671 * np.array([ALONG[1], -ALONG[0]])
LEAF = LinearSpring(LEAF_RATE, LEAF_RATE * (LEAF_FREE - 0.076))


def damper_force(length):
    """The benchmark's cubic, positive where the damper's spring pulls."""
    return -4.0092e6 + length * (2.8397e7 + length * (-6.7061e7 + length * 5.2796e7))


def corner(axle):
    """The corner as drawn; the arm that is turned is the leaf's link, above."""
    x, rod, damper = X[axle]
    ahead = np.array([0.1, 0.0, 0.0])

    def at(x, y, z):
        return np.array([x, y, z])

    link, arm = at(x, 0.1585, 0.030), at(x, 0.259, -0.268)
    return DoubleWishbone.build(
        WishbonePoints(
            lower_front=arm + ahead,
            lower_rear=arm - ahead,
            lower_ball=at(x, 0.572, -0.341),
            upper_front=link + ahead,
            upper_rear=link - ahead,
            upper_ball=at(x, 0.488, -0.039),
            rod_inner=at(rod, 0.070, 0.030),
            rod_outer=at(rod, 0.448, -0.039),
            wheel_centre=at(x, 0.615, -0.214),
            spindle=at(0.0, 1.0, 0.0),
            tyre_radius=0.35,
            damper_body=at(damper, 0.297, 0.062),
            damper_arm=at(damper, *DAMPER_ON_ARM),
        ),
        outboard=1.0,
        bar_on="upper",
    )


def leaf_length(pose):
    """From the leaf's seat down to the link's outer end."""
    return LEAF_SEAT - pose.steering[1].z


@pytest.mark.cited
def test_nominal_leaf_force():
    """−2728.9 N, compressed by 76 mm."""
    pose = corner("front").pose(0.0)

    assert leaf_length(pose) == pytest.approx(0.076)
    assert -LEAF.push(0.0).force == printed("-2728.9")


@pytest.mark.cited
def test_nominal_damper_spring():
    """0.44055648 m long, −128.0 N; the program's own run prints −128.03."""
    length = corner("front").pose(0.0).damper

    assert length == printed("0.44055648")
    assert damper_force(length) == printed("-128.0")
    assert damper_force(length) == printed("-128.03")


@pytest.mark.cited
@pytest.mark.parametrize(
    ("axle", "newton", "own_run"),
    [("front", "3829.6", "3829.50"), ("rear", "3593.6", "3593.52")],
)
def test_nominal_tyre_load(axle, newton, own_run):
    """Front and rear, wheel centre 356 mm above the ground.

    The paper's figures are 0.1 N more than those of its own data, which the program's
    run prints; a micrometre of the radius, its last digit, is worth 0.46 N.
    """
    height = CENTRE + corner(axle).pose(0.0).wheel.z
    load = Tyre(RADIUS[axle], TYRE_RATE).push(height).force

    assert load == printed(own_run)
    assert load == pytest.approx(float(newton), abs=0.15)


@pytest.mark.cited
@pytest.mark.parametrize(
    ("axle", "link_angle", "leaf", "damper"),
    [
        ("front", "0.177789", "-3068.62", "-335.29"),
        ("rear", "0.193202", "-2885.51", "-241.64"),
    ],
)
def test_springs_at_the_equilibrium(axle, link_angle, leaf, damper):
    """The link's printed angle gives the leaf's and the damper's printed forces.

    Half a microradian, to which the angle is printed, is worth 0.006 N of the leaf and
    0.01 N of the damper's spring.
    """
    linkage = corner(axle)
    drawn = linkage.pose(0.0)

    pose = linkage.pose(NOMINAL_LINK - float(link_angle))
    shortened = leaf_length(drawn) - leaf_length(pose)

    assert -LEAF.push(shortened).force == pytest.approx(float(leaf), abs=0.005 + 0.006)
    assert damper_force(pose.damper) == pytest.approx(float(damper), abs=0.005 + 0.01)


@pytest.mark.cited
def test_the_damper_spring_as_a_table():
    """The cubic tabled at every 2 mm keeps −128.0 N at the nominal length.

    Pushing apart is positive here and lengthening negative, both against the source.
    """
    lengths = np.arange(0.46, 0.4199, -0.002)
    spring = TableSpring.from_forces(0.44055648 - lengths, -damper_force(lengths))

    assert -spring.push(0.0).force == pytest.approx(-128.0, abs=0.2)
    rate = 2.8397e7 - 2 * 6.7061e7 * 0.44055648 + 3 * 5.2796e7 * 0.44055648**2
    assert spring.push(0.0).rate == pytest.approx(rate, rel=0.02)
