"""A bar wound past yield: inverses, integrals, limits, what unloading leaves."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.integrate import quad

from splinewise.core.bar import polar_moment, surface_stress, torsional_rate
from splinewise.core.yielding import (
    core_radius,
    overwind,
    plastic_torque,
    residual_stress,
    torque_at_core,
    torque_at_twist,
    twist_at_torque,
    yield_torque,
    yield_twist,
)
from splinewise.errors import QuantityError

lengths = st.floats(0.2, 3.0)
diameters = st.floats(0.005, 0.08)
moduli = st.floats(5e10, 1e11)
stresses = st.floats(1e8, 1.2e9)
beyond = st.floats(1.0, 20.0)  # twist over yield twist
ways = st.sampled_from([-1.0, 1.0])


@given(diameters, stresses, beyond)
def test_torque_is_the_integral_of_stress_over_the_section(d, stress, past):
    """T = ∫ 2π r² τ dr, straight up to the core and level beyond."""
    c = d / 2.0
    rho = c / past

    core = quad(lambda r: 2.0 * np.pi * r**3 * stress / rho, 0.0, rho)[0]
    shell = quad(lambda r: 2.0 * np.pi * r**2 * stress, rho, c)[0]

    assert_allclose(torque_at_core(rho, d, stress), core + shell, rtol=1e-9)


@given(diameters, stresses, st.floats(0.05, 1.0))
def test_core_undoes_torque(d, stress, part):
    """Core radius -> torque -> core radius."""
    rho = part * d / 2.0

    assert_allclose(core_radius(torque_at_core(rho, d, stress), d, stress), rho, 1e-9)


@given(st.floats(-8.0, 8.0), lengths, diameters, moduli, stresses)
def test_twist_undoes_torque(share, L, d, G, stress):
    """Twist -> torque -> twist, on both sides of yield and both ways."""
    twist = share * yield_twist(L, d, G, stress)
    torque = torque_at_twist(twist, L, d, G, stress)

    back = twist_at_torque(torque, L, d, G, stress)

    assert_allclose(back, twist, rtol=1e-9, atol=1e-15)


@given(st.floats(-1.0, 1.0), lengths, diameters, moduli, stresses)
def test_below_yield_it_is_the_plain_bar(share, L, d, G, stress):
    """Hooke's bar, no set, nothing left behind."""
    rate = torsional_rate(L, d, G)
    twist = share * yield_twist(L, d, G, stress)

    torque = torque_at_twist(twist, L, d, G, stress)
    assert_allclose(torque, rate * twist, rtol=1e-12, atol=1e-250)
    assert_allclose(core_radius(torque * (1.0 - 1e-12), d, stress), d / 2.0, rtol=1e-15)
    left = residual_stress([0.0, d / 4.0, d / 2.0], torque, d, stress)
    assert_allclose(left, 0.0, atol=1e-9 * stress)
    after = overwind(twist, L, d, G, stress)
    assert after.permanent_set == pytest.approx(0.0, abs=1e-12)
    assert after.surface_stress == pytest.approx(0.0, abs=1e-6 * stress)
    assert_allclose(after.core_radius, d / 2.0, rtol=1e-12)
    assert_allclose(
        np.abs(after.reverse_yield_torque), yield_torque(d, stress), rtol=1e-12
    )


@given(lengths, diameters, moduli, stresses)
def test_yield_begins_where_the_surface_reaches_the_stress(L, d, G, stress):
    """Both by torque and by twist."""
    torque = yield_torque(d, stress)

    assert_allclose(surface_stress(torque, d), stress, rtol=1e-13)
    assert_allclose(torque, torsional_rate(L, d, G) * yield_twist(L, d, G, stress))
    assert_allclose(plastic_torque(d, stress), torque * 4.0 / 3.0, rtol=1e-14)


@given(lengths, diameters, moduli, stresses, beyond)
def test_the_curve_has_no_corner_and_never_reaches_the_limit(L, d, G, stress, past):
    """At yield the slope is still k; after it falls as the fourth power of twist."""
    rate, limit = torsional_rate(L, d, G), plastic_torque(d, stress)
    twist = past * yield_twist(L, d, G, stress)
    h = 1e-5 * twist

    up, down = (torque_at_twist(twist + s, L, d, G, stress) for s in (h, -h))

    assert_allclose((up - down) / (2.0 * h), rate / past**4, rtol=1e-3)
    assert torque_at_twist(twist, L, d, G, stress) < limit


@given(lengths, diameters, moduli, stresses, st.floats(1.01, 20.0), ways)
def test_what_is_left_balances(L, d, G, stress, past, way):
    """With the torque gone the residual stresses carry no torque of their own."""
    c = d / 2.0
    twist = way * past * yield_twist(L, d, G, stress)
    after = overwind(twist, L, d, G, stress)

    def ring(r):
        return 2.0 * np.pi * r * r * residual_stress(r, after.torque, d, stress)

    rho = float(after.core_radius)
    torque = quad(ring, 0.0, rho)[0] + quad(ring, rho, c)[0]

    assert torque == pytest.approx(0.0, abs=1e-8 * yield_torque(d, stress))
    assert np.sign(after.surface_stress) == -way
    assert np.sign(after.core_stress) == way
    at_surface = residual_stress(c, after.torque, d, stress)
    assert_allclose(at_surface, after.surface_stress, rtol=1e-9)
    at_core = residual_stress(rho, after.torque, d, stress)
    assert_allclose(at_core, after.core_stress, rtol=1e-7)
    assert np.abs(after.surface_stress) <= stress / 3.0


@given(lengths, diameters, moduli, stresses, st.floats(1.01, 20.0), ways)
def test_what_a_set_is(L, d, G, stress, past, way):
    """Set = twist less what springs back; put back, the torque restores the twist."""
    rate = torsional_rate(L, d, G)
    twist = way * past * yield_twist(L, d, G, stress)

    after = overwind(twist, L, d, G, stress)

    assert_allclose(after.permanent_set, twist - after.torque / rate, rtol=1e-7)
    assert np.sign(after.permanent_set) == way
    # Unloading is elastic until the surface reaches the stress the other way.
    total = after.surface_stress + surface_stress(after.reverse_yield_torque, d)
    assert_allclose(total, -way * stress, rtol=1e-12)
    # And loading again is elastic up to the torque of the overwind.
    total = after.surface_stress + surface_stress(after.torque, d)
    assert_allclose(total, way * stress, rtol=1e-12)


def test_presetting_widens_the_range_one_way_and_narrows_it_the_other():
    """The sum of the two ranges stays twice the yield torque."""
    d, stress = 0.03, 600e6
    past = np.linspace(1.0, 6.0, 11)
    first = yield_torque(d, stress)
    after = overwind(past * yield_twist(1.0, d, 79e9, stress), 1.0, d, 79e9, stress)

    assert np.all(np.diff(after.torque) > 0.0)
    assert np.all(np.diff(after.reverse_yield_torque) > 0.0)
    assert_allclose(after.torque - after.reverse_yield_torque, 2.0 * first, rtol=1e-12)


def test_a_core_of_nothing_takes_the_plastic_torque():
    """The end of the curve, reached by radius and not by twist."""
    assert_allclose(torque_at_core(0.0, 0.02, 5e8), plastic_torque(0.02, 5e8), 1e-14)


def test_deep_overwind_keeps_its_core():
    """A thousand yield twists: the core is a thousandth, not lost in rounding."""
    twist = 1e3 * yield_twist(1.0, 0.02, 79e9, 5e8)

    after = overwind(twist, 1.0, 0.02, 79e9, 5e8)

    assert_allclose(after.core_radius, 0.01 / 1e3, rtol=1e-12)
    assert np.all(np.isfinite([after.permanent_set, after.core_stress]))


def test_arguments_broadcast():
    """Twists down, diameters across, each as when alone."""
    twists, widths = np.array([[0.2], [-0.9], [1.6]]), np.array([0.02, 0.03])

    many = overwind(twists, 1.2, widths, 79e9, 6e8)
    alone = overwind(-0.9, 1.2, 0.03, 79e9, 6e8)

    for name in ("torque", "permanent_set", "surface_stress", "core_radius"):
        assert getattr(many, name).shape == (3, 2)
        assert getattr(many, name)[1, 1] == getattr(alone, name)
    assert residual_stress([[0.0], [0.005]], 1e3, widths, 6e8).shape == (2, 2)
    assert twist_at_torque([[10.0], [20.0]], 1.0, widths, 79e9, 6e8).shape == (2, 2)


def test_a_hundred_sections_of_the_bar_agree_with_the_polar_moment():
    """Elastic residual: unloading is the polar moment's own stress, T r / J."""
    d, stress = 0.03, 500e6
    torque = 1.2 * yield_torque(d, stress)
    r = np.linspace(0.0, core_radius(torque, d, stress), 100)

    loaded = residual_stress(r, torque, d, stress) + torque * r / polar_moment(d)

    assert_allclose(loaded, stress * r / r[-1], rtol=1e-9, atol=1.0)


@given(diameters, stresses)
def test_no_torque_beyond_the_plastic_one(d, stress):
    """Just below it there is still a core; just above, the bar is refused."""
    limit = plastic_torque(d, stress)

    assert 0.0 < core_radius(0.999999 * limit, d, stress) < 0.02 * d
    for torque in (1.000001 * limit, -1.000001 * limit):
        with pytest.raises(QuantityError, match="less than 4/3 of the yield torque"):
            core_radius(torque, d, stress)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: yield_torque(0.0, 5e8), "diameter must be positive; got 0 m"),
        (lambda: yield_torque(0.02, -1.0), "yield_stress must be positive; got -1 Pa"),
        (lambda: yield_twist(0.0, 0.02, 79e9, 5e8), "length must be positive; got 0 m"),
        (lambda: core_radius(1e6, 0.02, 5e8), "torque must be less than 4/3 of the y"),
        (lambda: twist_at_torque(-1e6, 1.0, 0.02, 79e9, 5e8), "got -1e[+]06 N·m"),
        (lambda: torque_at_core(0.02, 0.02, 5e8), "core_radius must be from 0 to the"),
        (lambda: torque_at_core(-0.001, 0.02, 5e8), "core_radius .*; got -0.001 m"),
        (lambda: torque_at_twist(np.nan, 1.0, 0.02, 79e9, 5e8), "twist must be finite"),
        (lambda: residual_stress(0.02, 1.0, 0.02, 5e8), "radius must be from 0 to the"),
        (lambda: residual_stress(0.0, np.inf, 0.02, 5e8), "torque must be finite"),
        (lambda: overwind(np.inf, 1.0, 0.02, 79e9, 5e8), "twist must be finite"),
        (lambda: overwind(1.0, 1.0, 0.02, 79e9, 0.0), "yield_stress must be positive"),
    ],
)
def test_impossible_overwinds_are_refused_by_name(make, message):
    """The message says which number, what it was, and what would do."""
    with pytest.raises(QuantityError, match=message):
        make()
