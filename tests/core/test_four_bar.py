"""Two arms and a rod: the rod keeps its length, and the drawn position is a pose."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.testing import assert_allclose

from splinewise.core.four_bar import FourBar, Swing
from splinewise.core.geometry import Circle, Turned, length, turn, unit, vec
from splinewise.core.jet import curvature, seed, slope, value
from splinewise.errors import QuantityError

places = arrays(float, 3, elements=st.floats(-1.0, 1.0))


def arm(foot, axis, point):
    return Circle.about(vec(foot), unit(vec(axis)), vec(point))


def test_a_swing_is_its_three_numbers():
    got = Swing(1.0, 2.0, 3.0).at(Turned(0.5, -0.25))
    assert got == 1.0 - 0.5 + 1.5


@given(places, places, places, places, places, places, st.floats(-0.01, 0.01))
def test_the_rod_keeps_its_length(foot, axis, end, foot2, axis2, end2, angle):
    """Any two axes in space, near the drawn position: value, slope, curvature."""
    assume(np.linalg.norm(axis) > 0.3)
    assume(np.linalg.norm(axis2) > 0.3)
    driver, follower = arm(foot, axis, end), arm(foot2, axis2, end2)
    for circle in (driver, follower):
        assume(value(length(circle.start)) > 0.2)
    rod = end2 - end
    assume(np.linalg.norm(rod) > 0.2)
    # Well off dead centre: the rod pushes the following arm, not only its bearings.
    push = follower.ahead.array @ rod / np.linalg.norm(rod)
    assume(abs(push) > 0.3 * np.linalg.norm(follower.ahead.array))
    bar = FourBar.drawn(driver, follower)
    there = turn(seed(angle))

    followed = bar.follow(there)

    a = driver.at(there.sine, there.cosine)
    b = follower.at(followed.sine, followed.cosine)
    apart = length(b - a)
    assert_allclose(value(apart), np.linalg.norm(rod), rtol=1e-12)
    assert_allclose(slope(apart), 0.0, atol=1e-10)
    assert_allclose(curvature(apart), 0.0, atol=1e-8)
    drawn = bar.follow(turn(0.0))
    assert_allclose([value(drawn.sine), value(drawn.cosine)], [0.0, 1.0], atol=1e-12)


def test_beyond_its_lock_there_is_no_pose():
    """Arms of 1 and rod of 1 on pivots 1 apart lock before the driver is level."""
    bar = FourBar.drawn(
        arm([0, 0, 0], [0, 0, 1], [0, 1, 0]), arm([1, 0, 0], [0, 0, 1], [1, 1, 0])
    )
    with np.errstate(invalid="ignore"):
        got = bar.follow(turn(np.radians([30.0, 89.0, 170.0])))

    # Rod and following arm reach at most 2; the driver's end is 1.985 away at 170°.
    assert np.all(np.isfinite(got.sine))
    with np.errstate(invalid="ignore"):
        longer = FourBar.drawn(
            arm([0, 0, 0], [0, 0, 1], [0, 1.2, 0]), arm([1, 0, 0], [0, 0, 1], [1, 1, 0])
        ).follow(turn(np.radians([30.0, 90.0])))
    assert np.isfinite(longer.sine[0])
    assert np.isnan(longer.sine[1])


def test_a_rod_that_points_at_the_axis_is_refused():
    """Drawn at dead centre, either fold would do."""
    driver = arm([0, 0, 0], [0, 0, 1], [0, 1, 0])
    follower = arm([3, 1, 0], [0, 0, 1], [2, 1, 0])
    with pytest.raises(QuantityError, match="drop link must be off dead centre"):
        FourBar.drawn(driver, follower, "drop link")
    with pytest.raises(QuantityError, match="rod must be off dead centre"):
        FourBar.drawn(driver, driver)
