"""Bars of one and of many segments: laws, energy, broadcasting, refusals.

The figures out of books are in `tests/validation/`, one file a source.
"""

import dataclasses

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from splinewise.core.bar import (
    Bar,
    Segment,
    round_bar,
    surface_stress,
    torsional_rate,
)
from splinewise.core.rate_doubt import rate_exponents
from splinewise.core.section import (
    hexagon_section,
    leaf_pack_section,
    round_section,
    square_section,
)
from splinewise.core.springs import rate_in_parallel, rate_in_series
from splinewise.errors import QuantityError

lengths = st.floats(0.05, 3.0)
diameters = st.floats(0.005, 0.1)
walls = st.floats(0.0, 0.95)
moduli = st.floats(2e10, 1e11)
rates = st.floats(1.0, 1e6)
torques = st.floats(-1e4, 1e4).filter(lambda t: t == 0.0 or abs(t) > 1e-250)
scales = st.floats(0.1, 10.0)
pieces = st.lists(st.tuples(lengths, diameters), min_size=1, max_size=5)


def stepped(sizes, shear_modulus=79e9):
    """Build a bar of solid round segments from (length, diameter) pairs."""
    segments = tuple(Segment(round_section(d), L) for L, d in sizes)
    return Bar(segments, shear_modulus)


def test_the_worked_example_of_a_front_corner():
    """Invented bar: 22.5 mm, 1 m, 78.5 GPa, 918.22530 N·m.

    The expected figures were worked twice by methods that share no code with this.
    """
    bar = round_bar(1.0, 0.0225, 78.5e9)

    assert bar.rate == pytest.approx(1975.14791, abs=5e-6)
    assert bar.stress(918.22530) == pytest.approx(410.55544e6, abs=5.0)


@given(lengths, diameters, walls, moduli, torques)
def test_a_bar_of_one_round_segment_is_the_round_formulas(L, d, wall, G, torque):
    """The object and the functions say the same."""
    bar = round_bar(L, d, G, bore=wall * d)
    rate = torsional_rate(L, d, G, bore=wall * d)

    assert_allclose(bar.rate, rate, rtol=1e-13)
    assert_allclose(bar.stress(torque), surface_stress(torque, d, bore=wall * d), 1e-13)
    assert_allclose(bar.twist(torque), torque / rate, rtol=1e-13)
    assert bar.active_length == L


@given(lengths, lengths, diameters, moduli)
def test_bars_end_to_end_add_their_compliances(a, b, d, G):
    """Cutting a bar in two and joining it again changes nothing."""
    whole = round_bar(a + b, d, G)
    joined = stepped([(a, d), (b, d)], G)

    assert_allclose(joined.rate, whole.rate, rtol=1e-12)
    apart = rate_in_series(torsional_rate(a, d, G), torsional_rate(b, d, G))
    assert_allclose(apart, whole.rate, rtol=1e-12)


@given(pieces)
def test_a_stepped_bar_is_its_pieces_in_series(sizes):
    """1/k = Σ 1/kᵢ, and each piece takes its share of the twist."""
    bar = stepped(sizes)
    parts = [torsional_rate(L, d, 79e9) for L, d in sizes]

    assert_allclose(bar.rate, rate_in_series(*parts), rtol=1e-12)
    assert_allclose(bar.shares, bar.rate / np.array(parts), rtol=1e-12)
    assert_allclose(sum(bar.shares), 1.0, rtol=1e-12)
    assert_allclose(bar.active_length, sum(L for L, _ in sizes), rtol=1e-12)


@given(pieces, torques)
def test_the_weakest_segment_governs(sizes, torque):
    """All segments carry one torque, so the thinnest is stressed most."""
    thinnest = min(d for _, d in sizes)

    got = stepped(sizes).stress(torque)

    assert_allclose(got, surface_stress(torque, thinnest), rtol=1e-12)


@given(pieces, torques)
def test_the_order_of_segments_does_not_matter(sizes, torque):
    """A bar put in the other way round is the same spring."""
    there, back = stepped(sizes), stepped(sizes[::-1])

    assert_allclose(back.rate, there.rate, rtol=1e-12)
    assert back.stress(torque) == there.stress(torque)


@given(pieces, st.floats(-1.5, 1.5))
def test_energy_is_the_integral_of_torque(sizes, twist):
    """U = ∫ T dθ from slack, by Gauss-Legendre, which is exact for a straight line."""
    bar = stepped(sizes)
    x, w = np.polynomial.legendre.leggauss(3)

    integral = twist / 2.0 * np.sum(w * bar.torque(twist * (x + 1.0) / 2.0))

    assert_allclose(bar.energy(twist), integral, rtol=1e-12, atol=1e-300)


@given(pieces, torques)
def test_twist_undoes_torque(sizes, torque):
    """There and back, and odd in its argument."""
    bar = stepped(sizes)

    assert_allclose(bar.torque(bar.twist(torque)), torque, rtol=1e-12)
    assert bar.twist(-torque) == -bar.twist(torque)
    assert bar.stress(-torque) == -bar.stress(torque)


@given(lengths, diameters, walls, moduli, scales)
def test_rate_grows_as_the_cube_of_size(L, d, wall, G, s):
    """A bar drawn s times as large is s³ times as stiff; s² less stressed by weight."""
    small = round_bar(L, d, G, bore=wall * d)
    large = round_bar(s * L, s * d, G, bore=wall * s * d)

    assert_allclose(large.rate, s**3 * small.rate, rtol=1e-11)
    assert_allclose(large.stress(1.0), small.stress(1.0) / s**3, rtol=1e-11)


@given(lengths, diameters, moduli)
def test_rate_is_straight_in_modulus_and_inverse_in_length(L, d, G):
    """Twice the modulus, twice the rate; twice the length, half."""
    rate = round_bar(L, d, G).rate

    assert_allclose(round_bar(L, d, 2.0 * G).rate, 2.0 * rate, rtol=1e-14)
    assert_allclose(round_bar(2.0 * L, d, G).rate, rate / 2.0, rtol=1e-14)


@given(diameters, walls)
def test_exponents_are_the_logarithmic_slopes(d, wall):
    """Against a complex step through the formula, which has no rounding to speak of."""
    b, grown = wall * d, 1.0 + 1e-30j

    def log_rate(d, b):
        return np.log(d**4 - b**4)

    by_diameter = log_rate(d * grown, b).imag / grown.imag
    by_bore = log_rate(d, b * grown).imag / grown.imag
    found = rate_exponents(d, bore=b)

    assert_allclose(found.diameter, by_diameter, rtol=1e-9)
    assert_allclose(found.bore, by_bore, rtol=1e-9, atol=1e-250)
    assert (found.length, found.shear_modulus) == (-1.0, 1.0)


def test_a_solid_bar_goes_as_the_fourth_power():
    """The exponent of the diameter is 4 and that of no bore is 0."""
    found = rate_exponents([0.02, 0.03])

    assert_allclose(found.diameter, [4.0, 4.0], rtol=0, atol=0)
    assert_allclose(found.bore, [0.0, 0.0], rtol=0, atol=0)


@pytest.mark.independent
def test_the_doubt_of_a_rate_against_sampling():
    """First-order doubt against the spread of 200,000 drawn bars; 1 % of it."""
    rng = np.random.default_rng(20260101)
    relative = {"diameter": 0.004, "bore": 0.01, "length": 0.003, "shear_modulus": 0.01}
    nominal = {"diameter": 0.03, "bore": 0.02, "length": 1.2, "shear_modulus": 78e9}
    drawn = {
        name: nominal[name] * (1.0 + u * rng.standard_normal(200_000))
        for name, u in relative.items()
    }

    rate = torsional_rate(**drawn)
    found = rate_exponents(0.03, bore=0.02).relative_doubt(**relative)

    assert_allclose(np.std(rate) / np.mean(rate), found, rtol=0.01)


@given(st.lists(rates, min_size=1, max_size=6))
def test_series_is_softer_and_parallel_stiffer_than_any_one(springs):
    """And n equal springs make n times, or one n-th, of one."""
    slack = 1.0 + 1e-12

    assert rate_in_series(*springs) <= min(springs) * slack
    assert rate_in_parallel(*springs) * slack >= max(springs)
    n = len(springs)
    assert_allclose(rate_in_series(*[springs[0]] * n), springs[0] / n, rtol=1e-12)
    assert_allclose(rate_in_parallel(*[springs[0]] * n), n * springs[0], rtol=1e-12)


def test_many_bars_at_once():
    """Lengths down, diameters across, moduli on a third axis; each as when alone."""
    L = np.array([0.8, 1.0, 1.2])[:, None, None]
    d = np.array([0.02, 0.022, 0.024, 0.026])[:, None]
    G = np.array([77e9, 79e9])
    head = Segment(square_section(0.03), 0.05)

    many = Bar((Segment(round_section(d), L), head), G)
    alone = Bar((Segment(round_section(0.024), 1.2), head), 77e9)

    assert many.rate.shape == (3, 4, 2)
    assert many.rate[2, 2, 0] == alone.rate
    assert many.energy(0.3).shape == (3, 4, 2)
    assert many.energy(0.3)[2, 2, 0] == alone.energy(0.3)
    assert many.stress(np.ones((3, 1, 1))).shape == (3, 4, 1)
    assert many.stress(500.0)[2, 0] == alone.stress(500.0)
    assert many.active_length.shape == (3, 1, 1)


def test_sections_of_any_kind_in_one_bar():
    """The governing segment is found by modulus, not by looks."""
    segments = (
        Segment(leaf_pack_section(0.04, 0.005, 6), 0.9),
        Segment(hexagon_section(0.03), 0.1),
        Segment(round_section(0.03, bore=0.01), 0.1),
    )
    bar = Bar(segments, 78e9)
    moduli = [s.section.torsion_modulus for s in segments]

    assert bar.torsion_modulus == min(moduli)
    assert bar.stress(300.0) == 300.0 / min(moduli)


def test_a_bar_cannot_be_changed():
    """Frozen, and a list of segments becomes a tuple."""
    bar = Bar([Segment(round_section(0.02), 1.0)], 79e9)

    assert isinstance(bar.segments, tuple)
    assert bar == round_bar(1.0, 0.02, 79e9)
    with pytest.raises(dataclasses.FrozenInstanceError):
        bar.shear_modulus = 1.0


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: torsional_rate(0.0, 0.024, 79e9), "length must be positive; got 0 m"),
        (lambda: torsional_rate(1.0, -0.024, 79e9), "diameter .*; got -0.024 m"),
        (lambda: torsional_rate(1.0, [0.02, np.nan], 79e9), "diameter must be finite"),
        (lambda: torsional_rate(1.0, 0.024, 0.0), "shear_modulus must be positive"),
        (lambda: torsional_rate(1.0, 0.024, 79e9, bore=0.024), "bore must be from 0"),
        (lambda: torsional_rate([1.0, -2.0], 0.024, 79e9), "length .*; got -2 m"),
        (lambda: surface_stress(np.inf, 0.024), "torque must be finite; got inf N·m"),
        (lambda: round_bar(1.0, 0.02, np.nan), "shear_modulus must be finite"),
        (lambda: Segment(round_section(0.02), 0.0), "length must be positive; got 0 m"),
        (lambda: Bar((), 79e9), "segments must be at least one; got 0"),
        (lambda: round_bar(1.0, 0.02, 79e9).twist(np.nan), "torque must be finite"),
        (lambda: round_bar(1.0, 0.02, 79e9).torque(np.inf), "twist must be finite"),
        (lambda: round_bar(1.0, 0.02, 79e9).energy(np.nan), "twist must be finite"),
        (lambda: round_bar(1.0, 0.02, 79e9).stress(np.nan), "torque must be finite"),
        (lambda: rate_in_series(1.0, 0.0), "rates must be positive; got 0 N·m/rad"),
        (lambda: rate_in_series(), "rates must be at least one; got 0 springs"),
        (lambda: rate_in_parallel(-1.0), "rates must be positive; got -1 N·m/rad"),
    ],
)
def test_impossible_bars_are_refused_by_name(make, message):
    """The message says which number, what it was, and what would do."""
    with pytest.raises(QuantityError, match=message):
        make()


def test_the_error_carries_the_number():
    """A form can point at the field without reading the sentence."""
    with pytest.raises(QuantityError) as caught:
        surface_stress(np.inf, 0.024)

    assert (caught.value.name, caught.value.unit) == ("torque", "N·m")
    assert caught.value.value == np.inf
