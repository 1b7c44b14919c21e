"""Rates, frequencies and modes about the stand."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from cited import printed
from splinewise.core.corner import wheel_force
from splinewise.core.geometry import Vec
from splinewise.core.vehicle import Body, Load, stand
from splinewise.core.vehicle.batch import pick
from splinewise.core.vehicle.modes import axle_frequency, modes, sprung_centre
from splinewise.core.vehicle.sensitivity import sensitivities
from vehicles import car, changed_corner, on_sliders, vec

PLACES = ((1.2, 0.7), (1.2, -0.7), (-1.3, 0.7), (-1.3, -0.7))


def test_a_body_on_four_springs_in_closed_form():
    """Heave, roll and pitch of a body on springs and tyres in series, with its weight
    above the floor as an upside-down pendulum.
    """
    W, h, kt = 1000.0 * 9.81, 0.55, 1.8e5
    b, a = 1.3, 1.2
    loads = [0.5 * W * b / (a + b)] * 2 + [0.5 * W * a / (a + b)] * 2
    k = np.array([18e3, 18e3, 24e3, 24e3])
    body = Body(1000.0, vec([0.0, 0.0, h]), 350.0, 1300.0)
    vehicle = on_sliders(PLACES, k, loads, kt, body)

    found = stand(vehicle)
    got = modes(vehicle, found)

    assert_allclose(found.loads, loads, rtol=1e-9)
    series = k * kt / (k + kt)
    x, y = np.array(PLACES).T
    # A pitch is positive nose down, so that what is ahead goes down by x.
    expected = np.array(
        [
            [series.sum(), (series * y).sum(), -(series * x).sum()],
            [
                (series * y).sum(),
                (series * y * y).sum() - W * h,
                -(series * x * y).sum(),
            ],
            [-(series * x).sum(), 0.0, (series * x * x).sum() - W * h],
        ]
    )
    assert_allclose(got.stiffness, expected, rtol=1e-9, atol=1e-4)
    assert_allclose(got.wheel_rates, k, rtol=1e-9)
    assert_allclose(got.ride_rates, series, rtol=1e-9)
    assert got.heave_rate == got.stiffness[0, 0]
    assert got.roll_rate == got.stiffness[1, 1]
    assert got.pitch_rate == got.stiffness[2, 2]
    sprung = np.array(loads) / 9.81
    assert_allclose(
        got.ride_frequencies, np.sqrt(series / sprung) / (2 * np.pi), rtol=1e-9
    )
    alone = [got.heave_frequency, got.roll_frequency, got.pitch_frequency]
    inertias = [1000.0, 350.0, 1300.0]
    assert_allclose(
        alone, np.sqrt(np.diag(expected) / inertias) / (2 * np.pi), rtol=1e-9
    )
    # The coupled modes swing against each other: each meets K s = ω² M s.
    for w, s in zip(2 * np.pi * got.frequencies, got.shapes.T, strict=True):
        assert_allclose(expected @ s, w**2 * np.array(inertias) * s, atol=1e-4)
        assert s @ (np.array(inertias) * s) == pytest.approx(1.0)


@pytest.mark.cited
def test_ride_of_a_coursework_car():
    """3 and 3.6 Hz, preloads 3740.4 and 3960.4 N, from axle rates of 1.3547·10⁵ and
    2.0656·10⁵ N/m.

    T. Webster, motorsport coursework, Suspension_design_assignment.pdf (github.com/
    TomWebster98/Motorsport-Engineering-Notes); read.  The frequencies are what the
    coursework asks for; five printed digits of the rates give four of them.
    """
    sprung, base, front = 850.0 - 30.0 - 35.0, 3.5, 1.8
    rates = np.array([1.3547e5, 1.3547e5, 2.0656e5, 2.0656e5]) / 2
    places = ((front, 0.7), (front, -0.7), (front - base, 0.7), (front - base, -0.7))
    # What each spring carries is not told to the car: its weight sorts it out.
    body = Body(sprung, vec([0.0, 0.0, 0.0]))
    vehicle = on_sliders(places, rates, [1900.0] * 4, 1e11, body)

    found = stand(vehicle)
    got = modes(vehicle, found)

    assert found.loads[:2].sum() == printed("3740.4")
    assert found.loads[2:].sum() == printed("3960.4")
    assert axle_frequency(vehicle, found, got, (0, 1)) == pytest.approx(3.0, abs=5e-4)
    assert axle_frequency(vehicle, found, got, (2, 3)) == pytest.approx(3.6, abs=5e-4)
    assert got.roll_frequency is None
    assert got.pitch_frequency is None
    assert got.frequencies.shape == (1,)
    assert got.frequencies[0] == pytest.approx(float(got.heave_frequency))


def test_the_stiffness_is_what_small_loads_meet():
    """A kilogram at the centre of gravity, and the weight moved aside and ahead, by
    the implicit function theorem on all unknowns.
    """
    base = car(np.random.default_rng(2))
    feather = Load("feather", 0.0, sprung_centre(base))
    vehicle = replace(base, loads=(*base.loads, feather))
    found = stand(vehicle)
    got, effects = (
        modes(vehicle, found),
        sensitivities(vehicle, found, [sprung_centre(base)]),
    )

    g, w = vehicle.gravity, found.attitude.up[2]
    weight = vehicle.body.mass * g
    u, v = found.attitude.u, found.attitude.v
    # Heave of the centre, roll and pitch: dv = w p, du = −w q.
    for effect, column, force in (
        (effects.mass, 3, np.array([-g, 0.0, 0.0])),
        (effects.place, 0, weight * np.array([0.0, 0.0, w])),
        (effects.place, 1, weight * np.array([0.0, -w, 0.0])),
        (effects.place, 2, weight * np.array([0.0, v, -u])),
    ):
        moved = effect.state[:, column]
        turn = np.array([effect.heights[0, column], moved[2] / w, -moved[1] / w])
        assert_allclose(got.stiffness @ turn, force, atol=1e-7 * np.abs(weight))


def test_wheel_rates_are_those_of_the_corners_alone():
    """A level body and nothing but a bar: the rate of `wheel_force` at the same load."""
    vehicle = car(np.random.default_rng(3), bars=False, stops=False)
    for i in range(4):
        corner = vehicle.corners[i]
        linkage = replace(corner.linkage, tyre_radius=corner.tyre_radius)
        vehicle = changed_corner(
            vehicle, i, others=(), unsprung=0.0, linkage=linkage, floor=0.0
        )
    found = stand(vehicle)
    got = modes(vehicle, found)

    for i, corner in enumerate(vehicle.corners):
        at = wheel_force(corner.linkage, corner.spring, found.arm_angles[i])
        # The body leans by a degree or so.
        assert at.force == pytest.approx(found.loads[i], rel=5e-3)
        assert got.wheel_rates[i] == pytest.approx(float(at.wheel_rate), rel=2e-2)
    low = got.wheel_rates * np.array([c.tyre_rate for c in vehicle.corners])
    high = got.wheel_rates + np.array([c.tyre_rate for c in vehicle.corners])
    assert_allclose(got.ride_rates, low / high, rtol=1e-2)
    assert got.ride_rates.sum() == pytest.approx(float(got.heave_rate), rel=1e-9)


def test_inertias_are_shifted_to_the_common_centre():
    """A load beside the body adds its own by Steiner's theorem."""
    body = Body(1000.0, vec([0.0, 0.0, 0.5]), 300.0, 1200.0)
    vehicle = on_sliders(PLACES, [2e4] * 4, [2600.0] * 4, 2e5, body)
    vehicle = replace(vehicle, loads=(Load("box", 50.0, vec([-1.5, 0.2, 0.6])),))
    centre = sprung_centre(vehicle)

    got = modes(vehicle, stand(vehicle))

    m = np.array([1000.0, 50.0])
    p = np.array([[0.0, 0.0, 0.5], [-1.5, 0.2, 0.6]])
    c = (m @ p) / m.sum()
    assert_allclose(centre.array, c, atol=1e-12)
    away = p - c
    roll = 300.0 + m @ (away[:, 1] ** 2 + away[:, 2] ** 2)
    pitch = 1200.0 + m @ (away[:, 0] ** 2 + away[:, 2] ** 2)
    for name, rate, inertia in (
        ("roll", got.roll_rate, roll),
        ("pitch", got.pitch_rate, pitch),
    ):
        expected = np.sqrt(rate / inertia) / (2 * np.pi)
        assert getattr(got, f"{name}_frequency") == pytest.approx(float(expected))


def test_only_one_inertia_known():
    """Heave and pitch couple; roll is not in the modes, and not asked for."""
    base = car(np.random.default_rng(4))
    whole = modes(base, stand(base))
    vehicle = replace(base, body=replace(base.body, roll_inertia=None))
    got = modes(vehicle, stand(vehicle))

    assert got.roll_frequency is None
    assert got.frequencies.shape == (2,)
    assert np.all(got.shapes[1] == 0.0)
    assert got.pitch_frequency == pytest.approx(float(whole.pitch_frequency))


def test_a_batch_and_what_does_not_stand():
    """Each car's modes are those of it alone; a car that tips has none."""
    vehicle = car(np.random.default_rng(6), 4)
    z = np.where(np.arange(4) == 2, 9.0, vehicle.body.centre.z)
    centre = replace(vehicle.body.centre, z=z)
    vehicle = replace(vehicle, body=replace(vehicle.body, centre=centre))
    found = stand(vehicle)
    got = modes(vehicle, found)

    for i in range(4):
        one = pick(vehicle, np.array([i]), 4)
        alone = modes(one, stand(one))
        for name in ("stiffness", "wheel_rates", "ride_frequencies", "frequencies"):
            whole, single = getattr(got, name)[i], getattr(alone, name)[0]
            if i == 2:
                assert np.all(np.isnan(whole)), name
            else:
                size = np.abs(single).max()
                assert_allclose(whole, single, rtol=1e-7, atol=1e-8 * size)


def test_a_softer_axle_rides_slower():
    """The axle's frequency lies between those of its two corners."""
    vehicle = car(np.random.default_rng(8))
    found = stand(vehicle)
    got = modes(vehicle, found)
    for axle in ((0, 1), (2, 3)):
        some = got.ride_frequencies[list(axle)]
        assert some.min() <= axle_frequency(vehicle, found, got, axle) <= some.max()


def test_sprung_centre_of_body_and_loads():
    """Weighted by their masses."""
    vehicle = car()
    c = sprung_centre(vehicle)
    assert isinstance(c, Vec)
    moment = vehicle.body.mass * vehicle.body.centre.array
    moment = moment + sum(load.mass * load.at.array for load in vehicle.loads)
    assert_allclose(c.array * vehicle.sprung_mass, moment)
