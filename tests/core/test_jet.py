"""Derivatives that jets carry, against exact series and a complex step.

Rational functions are checked in exact fractions: the coefficients of their power
series are found by long division, which shares no rule with the jets.  Where a function is
not rational, the slope is the imaginary part of the function itself a complex step
away, and the curvature that of the slope.
"""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from numpy.testing import assert_allclose, assert_array_equal

from splinewise.core import jet
from splinewise.core.jet import (
    Jet,
    curvature,
    implicit,
    mix,
    seed,
    slope,
    square,
    value,
)

STEP = 1e-30

small = st.integers(-6, 6)
angles = st.floats(-3.0, 3.0)
insides = st.floats(-0.99, 0.99)
positives = st.floats(0.01, 100.0)


def three(x):
    """Return value, slope and curvature."""
    return np.array([value(x), slope(x), curvature(x)], dtype=float)


def series(top, bottom):
    """Divide two power series, term by term."""
    out = []
    for n, term in enumerate(top):
        left = term - sum((out[k] * bottom[n - k] for k in range(n)), Fraction(0))
        out.append(left / bottom[0])
    return out


def sizes(top, bottom):
    """Return how large the numbers are from which `series` subtracts."""
    signs = [abs(bottom[0]), *(-abs(c) for c in bottom[1:])]
    return series([abs(c) for c in top], signs)


def recentred(polynomial, at):
    """Return the first three coefficients of a polynomial in powers of x − at."""
    rest, found = [Fraction(c) for c in polynomial], []
    for _ in range(3):
        for i in range(len(rest) - 2, -1, -1):
            rest[i] += rest[i + 1] * at
        found.append(rest[0] if rest else Fraction(0))
        rest = rest[1:]
    return found


def horner(polynomial, x):
    """Return a polynomial's value, coefficients from the constant up."""
    total = x * 0.0
    for c in reversed(polynomial):
        total = total * x + float(c)
    return total


@pytest.mark.independent
@given(
    st.lists(small, min_size=1, max_size=4),
    st.lists(small, min_size=1, max_size=4),
    st.fractions(-3, 3, max_denominator=16),
)
def test_ratios_of_polynomials_are_exact(numerator, denominator, at):
    """Sums, products and quotients against series divided in fractions."""
    top, bottom = recentred(numerator, at), recentred(denominator, at)
    assume(abs(bottom[0]) >= Fraction(1, 4))
    x = seed(float(at))

    got = three(horner(numerator, x) / horner(denominator, x))

    # Horner's sums lose digits as they cancel, by as much as their terms are large.
    terms = sum(abs(c) * abs(at) ** i for i, c in enumerate(numerator + denominator))
    wanted, size = series(top, bottom), sizes(top, bottom)
    for n, (g, w, s) in enumerate(zip(got, wanted, size, strict=True)):
        scale = float((1 + terms) * (1 + s)) * max(1, n)
        assert_allclose(g, float(w) * max(1, n), rtol=0.0, atol=3e-14 * scale)


@pytest.mark.parametrize(
    ("ours", "plain", "low", "high"),
    [
        (jet.sqrt, np.sqrt, 0.5, 9.0),
        (jet.square, np.square, -3.0, 3.0),
        (jet.sin, np.sin, -4.0, 4.0),
        (jet.cos, np.cos, -4.0, 4.0),
        (jet.arcsin, np.arcsin, -0.95, 0.95),
        (jet.arccos, np.arccos, -0.95, 0.95),
        (lambda x: jet.sincos(x)[0], np.sin, -4.0, 4.0),
        (lambda x: jet.sincos(x)[1], np.cos, -4.0, 4.0),
        (lambda x: 2.0 / x, lambda x: 2.0 / x, 0.2, 3.0),
        (lambda x: 1.0 - x * x / 3.0, lambda x: 1.0 - x * x / 3.0, -2.0, 2.0),
        (
            lambda x: jet.arctan2(jet.sin(x) + 2.0, x),
            lambda x: np.pi / 2 - np.arctan(x / (np.sin(x) + 2.0)),
            -2.0,
            2.0,
        ),
        (lambda x: jet.arctan2(x, 1.5), lambda x: np.arctan(x / 1.5), -2.0, 2.0),
        (lambda x: jet.arctan2(0.5, x), lambda x: np.arctan(0.5 / x), 0.1, 2.0),
    ],
)
@pytest.mark.independent
def test_functions_against_a_complex_step(ours, plain, low, high):
    """Value and slope of each function; the curvature is the slope's own slope."""
    x = np.linspace(low, high, 41)

    got = ours(seed(x))

    far = plain(x + 1j * STEP)
    assert_allclose(value(got), far.real, rtol=1e-14, atol=1e-15)
    assert_allclose(slope(got), far.imag / STEP, rtol=1e-12, atol=1e-14)
    # Sixth-order differences of slopes already proved; good to some ten digits.
    h = 2e-3 * (high - low)
    inner = slice(2, -2)
    weights = {-3: -1 / 60, -2: 3 / 20, -1: -3 / 4, 1: 3 / 4, 2: -3 / 20, 3: 1 / 60}
    bend = sum(w * slope(ours(seed(x + k * h, order=1))) for k, w in weights.items())
    assert_allclose(curvature(got)[inner], bend[inner] / h, rtol=2e-7, atol=2e-7)


@given(angles)
def test_sine_and_cosine_stay_on_the_circle(angle):
    """sin² + cos² is one, and neither rises nor bends."""
    s, c = jet.sincos(seed(angle))
    assert_allclose(three(s * s + c * c), [1.0, 0.0, 0.0], atol=1e-15)


@given(st.floats(-3.1, 3.1))
def test_arctan2_undoes_sine_and_cosine(angle):
    """The angle of (cos x, sin x) is x: slope one, no curvature."""
    s, c = jet.sincos(seed(angle))
    assert_allclose(three(jet.arctan2(s, c)), [angle, 1.0, 0.0], atol=1e-14)


@given(insides)
def test_sine_undoes_arcsine(x):
    """sin(arcsin x) is x, and cos(arccos x) too."""
    for there, back in ((jet.arcsin, jet.sin), (jet.arccos, jet.cos)):
        assert_allclose(three(back(there(seed(x)))), [x, 1.0, 0.0], atol=1e-11)


@given(positives)
def test_square_undoes_root(x):
    """(√x)² is x."""
    assert_allclose(three(square(jet.sqrt(seed(x)))), [x, 1.0, 0.0], atol=1e-12)


def test_square_is_a_product_with_itself():
    x = jet.sin(seed(np.linspace(-1.0, 1.0, 5)))
    assert_allclose(three(square(x)), three(x * x), rtol=1e-15)


def test_an_array_leaves_arithmetic_to_the_jet():
    """An array times a jet is one jet, not an array of jets."""
    x = seed([1.0, 2.0])

    for got in (np.array([3.0, 4.0]) * x, x * np.array([3.0, 4.0])):
        assert isinstance(got, Jet)
        assert_array_equal(got.v, [3.0, 8.0])
        assert_array_equal(got.d, [3.0, 4.0])
    assert_array_equal((np.array([3.0, 4.0]) - x).d, [-1.0, -1.0])
    assert_array_equal((np.array([4.0, 4.0]) / x).d, [-4.0, -1.0])
    assert_array_equal((np.array([4.0, 4.0]) + x).v, [5.0, 6.0])


def test_plain_numbers_stay_plain():
    """No jet in, no jet out."""
    for function in (jet.sqrt, jet.square, jet.sin, jet.cos, jet.arcsin, jet.arccos):
        assert not isinstance(function(0.5), Jet)
    assert not isinstance(jet.arctan2(0.5, 1.0), Jet)
    assert slope(3.0) == 0.0
    assert curvature(3.0) == 0.0
    assert value(3.0) == 3.0


def test_a_first_order_jet_carries_no_curvature():
    """Asking for it is an error, never a silent zero."""
    x = seed(0.3, order=1)

    for got in (
        x + 1.0, x - x, -x, x * x, 2.0 * x, x / x, 1.0 / x, 1.0 - x, jet.sin(x),
        jet.sqrt(x), jet.square(x), jet.arcsin(x), jet.arctan2(x, x), seed(0.3) + x,
        seed(0.3) * x,
    ):  # fmt: skip
        assert got.dd is None
        with pytest.raises(ValueError, match="seed it with order=2"):
            curvature(got)


def test_both_orders_agree():
    """The first derivative does not depend on whether the second is carried."""
    x = np.linspace(0.1, 0.9, 7)

    def f(t):
        return jet.arctan2(jet.sqrt(t), jet.cos(t) / t) * jet.arcsin(t) - t

    assert_array_equal(slope(f(seed(x))), slope(f(seed(x, order=1))))


def test_roots_and_arcs_out_of_range_are_nan():
    """What does not exist shows itself."""
    with np.errstate(invalid="ignore"):
        assert np.isnan(value(jet.sqrt(seed(-1.0))))
        assert np.isnan(value(jet.arcsin(seed(1.5))))
        assert np.isnan(slope(jet.arccos(seed(-1.5))))


def test_jets_broadcast():
    """A row of angles by a column of factors."""
    got = np.array([[1.0], [2.0]]) * jet.sin(seed([0.1, 0.2, 0.3]))

    assert value(got).shape == slope(got).shape == curvature(got).shape == (2, 3)
    assert_allclose(slope(got)[1], 2.0 * np.cos([0.1, 0.2, 0.3]))


@given(positives)
def test_implicit_root(x):
    """√p as what solves r² = p, from its rate r' = p'/2r alone."""
    p = seed(x) * seed(x) + 1.0

    def rates(found, inputs, change):
        del inputs
        return [change[0] / (2.0 * found[0])]

    (got,) = implicit([np.sqrt(value(p))], rates, [p])

    assert_allclose(three(got), three(jet.sqrt(p)), rtol=1e-9, atol=1e-15)


def test_implicit_leaves_plain_numbers_and_first_orders_as_they_are():
    def rates(found, inputs, change):
        del found, inputs
        return [change[0] * 2.0 + change[1]]

    (plain,) = implicit([np.array(7.0)], rates, [3.0, 1.0])
    (first,) = implicit([np.array(7.0)], rates, [seed(3.0, order=1), 1.0])
    (mixed,) = implicit([np.array(7.0)], rates, [seed(3.0), seed(1.0, order=1)])

    assert not isinstance(plain, Jet)
    assert (first.v, first.d, first.dd) == (7.0, 2.0, None)
    assert (mixed.v, mixed.d, mixed.dd) == (7.0, 3.0, None)


@pytest.mark.parametrize("order", [0, 3, None])
def test_other_orders_are_refused(order):
    with pytest.raises(ValueError, match="order must be 1 or 2"):
        seed(0.0, order=order)


kinds = st.lists(st.sampled_from(["plain", "first", "second"]), min_size=6, max_size=6)


@given(kinds, st.lists(st.floats(-3.0, 3.0), min_size=6, max_size=6), st.integers(0, 2))
def test_mix_is_the_sum_of_its_products(kinds, numbers, plus):
    """Whatever is a jet and whatever is not, as if it were written out."""

    def made(kind, number):
        x = np.array([number, 0.5])
        if kind == "plain":
            return x
        moved = seed(x, order=2 if kind == "second" else 1)
        return jet.sin(moved) * (number + 1.0)

    a, b, c, d, e, f = (made(k, n) for k, n in zip(kinds, numbers, strict=True))
    extra = (None, made("plain", 2.0), made("second", 2.0))[plus]

    got = mix((a, b), (c, d), plus=extra, less=[(e, f)])

    wanted = a * b + c * d - e * f
    wanted = wanted if extra is None else wanted + extra
    assert isinstance(got, Jet) == isinstance(wanted, Jet)
    assert_allclose(value(got), value(wanted), atol=1e-13)
    assert_allclose(slope(got), slope(wanted), atol=1e-13)
    if isinstance(wanted, Jet):
        assert (got.dd is None) == (wanted.dd is None)
        if wanted.dd is not None:
            assert_allclose(got.dd, wanted.dd, atol=1e-13)


def test_mix_changes_nothing_that_it_was_given():
    """It gathers in memory of its own."""
    x, y = jet.sin(seed([0.1, 0.2])), jet.cos(seed([0.3, 0.4]))
    before = [three(x), three(y)]

    mix((x, y), (x, x), plus=y, less=[(y, y)])
    mix((1.0, x), plus=y)
    mix((x.v, y.v), (x.v, 2.0), plus=y.v)

    assert_array_equal([three(x), three(y)], before)


def test_mix_broadcasts_and_takes_the_wider_type():
    """A sum may grow as it goes: in shape, and from real to complex."""
    row, column = np.arange(3.0), np.arange(2.0)[:, None]
    assert_array_equal(mix((row, 1.0), (column, 2.0)), row + 2.0 * column)
    assert_array_equal(mix((row, 1.0), less=[(column, 2.0)]), row - 2.0 * column)
    assert mix((row, 1.0), (row * 1j, 1.0)).dtype == complex
    assert mix() == 0.0
    assert_array_equal(mix(plus=row), row)
    assert_array_equal(mix(less=[(row, 2.0)]), -2.0 * row)
