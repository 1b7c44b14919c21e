"""Toe, camber and thrust line against wheels put down in space, print and chance."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from cited import DEGREE, printed
from splinewise.core.alignment.camber_readings import (
    camber_from_gauge,
    camber_from_plumb_line,
    camber_to_floor,
)
from splinewise.core.alignment.known import Known, propagated
from splinewise.core.alignment.thrust import wheel_lines
from splinewise.core.alignment.toe_readings import (
    string_angle,
    toe_angle,
    toe_length,
    total_toe,
    wheel_toe,
)
from splinewise.core.derivatives import central_difference
from splinewise.errors import QuantityError

MM = 1e-3
MINUTE = DEGREE / 60.0
small = st.floats(-0.06, 0.06)


def spindle(camber, toe, side):
    """Unit vector along the wheel's axis, outboard."""
    s = [np.cos(camber) * np.sin(toe), np.cos(camber) * np.cos(toe), -np.sin(camber)]
    return np.array(s) * [1.0, side, 1.0]


def level_points(hub, camber, toe, side, diameter):
    """Return the points of a rim ahead of and behind its hub, at the hub's height."""
    level = np.cross(spindle(camber, toe, side), [0.0, 0.0, side])
    level = level / np.linalg.norm(level)
    return hub + level * diameter / 2.0, hub - level * diameter / 2.0


@pytest.mark.cited
@pytest.mark.parametrize(
    ("length", "diameter", "degrees"),
    [("4", "727.7", "0.31")],
)
def test_toe_of_a_worked_line(length, diameter, degrees):
    """4 mm over 727.7 mm is 0.31 degrees: a line of a workshop note that was read."""
    angle = toe_angle(float(length) * MM, float(diameter) * MM)

    assert angle == printed(degrees, DEGREE)


@pytest.mark.parametrize(
    ("length", "diameter", "minutes"),
    [(3.0, 381.0, "27.07"), (2.0, 381.0, "18.05"), (3.2, 406.4, "27.07")],
)
def test_toe_in_minutes(length, diameter, minutes):
    """asin(t/D), own derivation, worked out apart from the product."""
    assert toe_angle(length * MM, diameter * MM) == printed(minutes, MINUTE)


@given(small, st.floats(0.2, 0.9))
def test_toe_goes_there_and_back(angle, diameter):
    """Length and angle of a toe are each other's inverse."""
    assert_allclose(toe_angle(toe_length(angle, diameter), diameter), angle, atol=1e-15)


@given(small, small, small, st.sampled_from([1.0, -1.0]))
def test_a_string_reads_the_toe_of_a_wheel_in_space(toe, camber, skew, side):
    """The rim's points, put down in space, and a string that is not parallel."""
    hub, D = np.array([1.2, side * 0.65, 0.31]), 0.38
    ahead, behind = level_points(hub, camber, toe, side, D)
    # The string passes 0.2 m outboard of the hub and opens outward ahead.
    along = np.array([np.cos(skew), side * np.sin(skew), 0.0])
    across = np.array([-side * np.sin(skew), np.cos(skew), 0.0]) * side
    beside = hub + np.array([0.0, side * 0.2, 0.0])
    from_string = [across @ (beside - p) for p in (ahead, behind)]
    assert abs(along @ across) < 1e-15

    found = wheel_toe(from_string[0], from_string[1], D, string=skew)

    assert_allclose(found.value, toe, atol=1e-12)


@given(small, small, st.floats(1.2, 1.6), st.floats(1.2, 1.6))
def test_the_string_s_own_angle(skew, middle, front_track, rear_track):
    """A string through two points, told by its distances to the hubs."""
    base, out = 2.5, 1.0 + middle
    front = out + base * np.tan(skew) - front_track / 2.0
    rear = out - rear_track / 2.0

    found = string_angle(
        front, rear, front_track=front_track, rear_track=rear_track, wheelbase=base
    )

    assert_allclose(found.value, skew, atol=1e-14)


@given(small, st.floats(0.0, 1.0), small)
def test_total_toe_of_two_wheels_in_space(total, share, camber):
    """Exact with all toe on one wheel; for other shares up to T³/8 too great."""
    D, hub = 0.38, np.array([0.0, 0.7, 0.3])
    left = level_points(hub, camber, share * total, 1.0, D)
    right = level_points(hub * [1, -1, 1], camber, (1 - share) * total, -1.0, D)
    front, rear = (a[1] - b[1] for a, b in zip(left, right, strict=True))

    found = total_toe(front, rear, D).value
    lone = total_toe(1.4 - D * np.sin(total), 1.4, D).value

    assert_allclose(lone, total, atol=1e-13)
    over = np.abs(found) - np.abs(total)
    assert -1e-13 < over < 1.01 * np.abs(total) ** 3 / 8.0 + 1e-13


@pytest.mark.parametrize("degrees", ["0.3008"])
def test_camber_from_a_plumb_line(degrees):
    """2 mm over lips 381 mm apart, rule read to 0.25 mm (own derivation)."""
    found = camber_from_plumb_line(
        Known(0.050, 0.25 * MM), Known(0.052, 0.25 * MM), 0.381
    )

    assert found.value == printed(degrees, DEGREE)
    assert found.doubt == printed("0.053", DEGREE)


@given(small, small, st.sampled_from([1.0, -1.0]))
def test_a_plumb_line_reads_a_wheel_in_space(camber, toe, side):
    """Upper and lower lip of the rim, and a line hung outboard of the wheel."""
    s, h = spindle(camber, toe, side), 0.36
    up = np.array([0.0, 0.0, 1.0]) - s * s[2]
    up = up / np.linalg.norm(up)
    # The line hangs in the upright plane of the spindle, 0.3 m out from the hub.
    outward = np.array([s[0], s[1], 0.0]) / np.hypot(s[0], s[1])
    top, bottom = (0.3 - outward @ (sign * up * h / 2.0) for sign in (1.0, -1.0))

    found = camber_from_plumb_line(top, bottom, h)

    assert_allclose(found.value, camber, atol=1e-14)


@given(small, small, st.sampled_from([1.0, -1.0]))
def test_camber_on_a_floor_that_slopes(camber, slope, side):
    """The car leans with the floor; the spindle is turned about its length."""
    level = spindle(camber, 0.0, side)
    c, s = np.cos(slope), np.sin(slope)
    leaned = np.array([[1, 0, 0], [0, c, -s], [0, s, c]]) @ level

    seen = -np.arcsin(leaned[2])

    found = camber_to_floor(seen, slope, outboard=side)
    assert_allclose(found.value, camber, atol=1e-14)


def test_a_gauge_turned_end_for_end_loses_its_zero():
    """True lean 1.2 degrees, zero out by 0.4: one reading more, the other less."""
    both = camber_from_gauge(
        Known(1.6 * DEGREE, 0.1), reversed_lean=Known(0.8 * DEGREE, 0.1)
    )
    one = camber_from_gauge(1.6 * DEGREE, zero=Known(0.4 * DEGREE, 0.05))

    assert_allclose([both.value, one.value], 1.2 * DEGREE, rtol=1e-14)
    assert_allclose([both.doubt, one.doubt], [0.1 / np.sqrt(2.0), 0.05], rtol=1e-14)


@given(small, small, small, small, st.floats(8.0, 25.0))
def test_running_straight_all_wheels_head_one_way(fl, fr, rl, rr, ratio):
    """Steered as said, the front pair heads along the thrust line."""
    lines = wheel_lines((fl, fr), (rl, rr), steering_ratio=ratio)
    steer = lines.steering_wheel.value / ratio

    front = np.array([-fl, fr]) + steer
    rear = np.array([-rl, rr])

    assert_allclose(front.mean(), rear.mean(), atol=1e-15)
    assert_allclose(lines.thrust.value, rear.mean(), atol=1e-15)
    assert_allclose(lines.front_total.value, fl + fr, atol=1e-15)
    assert_allclose(lines.rear_total.value, rl + rr, atol=1e-15)


@given(small, small, small, small, small)
def test_a_skew_of_the_strings_drops_out(fl, fr, rl, rr, skew):
    """A box of strings that is askew to the car does not move the steering wheel."""
    square = wheel_lines((fl, fr), (rl, rr), steering_ratio=15.0)
    askew = wheel_lines(
        (fl - skew, fr + skew), (rl - skew, rr + skew), steering_ratio=15.0
    )

    for name in ("front_total", "rear_total", "steer_needed", "steering_wheel"):
        one, two = getattr(square, name), getattr(askew, name)
        assert_allclose(one.value, two.value, atol=1e-14)


def test_doubts_against_chance():
    """First-order doubts are those of a hundred thousand readings with scatter."""
    rng = np.random.default_rng(5)
    n = 100_000
    read = {"front": (0.1030, 0.3), "rear": (0.1004, 0.3), "diameter": (0.381, 1.0)}
    known = {k: Known(v, u * MM) for k, (v, u) in read.items()}

    found = wheel_toe(**known)
    seen = wheel_toe(**{k: rng.normal(v, u * MM, n) for k, (v, u) in read.items()})

    assert_allclose(found.doubt, np.std(seen.value), rtol=0.01)
    assert_allclose(found.value, np.mean(seen.value), atol=0.02 * found.doubt)


def test_parts_give_the_covariance():
    """Total toe and thrust from one set of toes: the parts add up by hand."""
    u = np.array([0.1, 0.2, 0.3, 0.4]) * DEGREE
    toes = [Known(0.0, x) for x in u]
    lines = wheel_lines((toes[0], toes[1]), (toes[2], toes[3]), steering_ratio=16.0)

    assert_allclose(lines.rear_total.doubt, np.hypot(u[2], u[3]))
    shared = np.sum(lines.rear_total.parts * lines.thrust.parts)
    assert_allclose(shared, 0.5 * (u[3] ** 2 - u[2] ** 2))


def test_derivatives_are_exact():
    """Parts of the doubt over the doubts, against differences of fourth order."""
    at = np.array([0.1030, 0.1004, 0.381, 0.004])

    def toes(x):
        return wheel_toe(x[..., 0], x[..., 1], x[..., 2], string=x[..., 3]).value[
            ..., None
        ]

    found = wheel_toe(*(Known(v, 1.0) for v in at[:3]), string=Known(at[3], 1.0))
    by_steps = central_difference(toes, at)

    assert_allclose(found.parts, by_steps.jacobian[0], rtol=1e-9)


def test_a_result_that_no_reading_moves_has_no_doubt():
    """A constant comes out as itself, with nought beside it."""
    (one,) = propagated(lambda _: [np.asarray(2.0)], Known(1.0, 0.1))

    assert (one.value, one.doubt) == (2.0, 0.0)


def test_rows_of_readings():
    """Readings may be arrays; each has its own answer."""
    found = wheel_toe([0.103, 0.104], 0.1004, Known(0.381, [[1e-3], [2e-3], [3e-3]]))

    assert found.value.shape == found.doubt.shape == (3, 2)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: toe_angle(0.4, 0.38), "length must be less than the diameter"),
        (lambda: toe_angle(0.004, 0.0), "diameter must be positive"),
        (lambda: total_toe(1.0, 1.5, 0.38), "front less rear must be less than"),
        (lambda: wheel_toe(np.nan, 0.1, 0.38), "front must be finite"),
        (
            lambda: wheel_toe(Known(0.1, -1.0), 0.1, 0.38),
            "its doubt, must be 0 or more",
        ),
        (lambda: camber_from_plumb_line(0.05, 0.5, 0.38), "bottom less top must be"),
        (
            lambda: string_angle(
                0.1, 0.1, front_track=1.4, rear_track=1.4, wheelbase=0.0
            ),
            "wheelbase must be positive",
        ),
        (
            lambda: wheel_lines((0, 0), (0, 0), steering_ratio=-3.0),
            "steering_ratio must be positive",
        ),
    ],
)
def test_impossible_readings_are_refused(call, message):
    """The message names the reading."""
    with pytest.raises(QuantityError, match=message):
        call()
