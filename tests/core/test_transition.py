"""Equivalent lengths of tapers, fillets and heads: closed forms against integrals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.integrate import quad

from cited import printed
from splinewise.core.bar import Bar, Segment, round_bar
from splinewise.core.section import round_section
from splinewise.core.transition import (
    fillet_equivalent_length,
    fillet_length,
    plain_equivalent_length,
    taper_equivalent_length,
)
from splinewise.errors import QuantityError

lengths = st.floats(1e-3, 0.5)
diameters = st.floats(0.01, 0.06)
growth = st.floats(1.0, 3.0)


def test_a_fillet_integrated_elsewhere():
    """20 mm to 26 mm on a radius of 40 mm: 15.1987 mm long, worth 11.0798 mm.

    Own derivation, worked once before by another program; the form of the length
    agrees with DIN 2091 from memory.
    """
    assert fillet_length(0.020, 0.026, 0.040) == printed("15.1987", 1e-3)
    found = fillet_equivalent_length(0.020, 0.026, 0.040)
    assert found == printed("11.0798", 1e-3)


@pytest.mark.parametrize(
    ("radius", "share"), [(1.0, "0.7328"), (2.0, "0.7290"), (3.0, "0.7278")]
)
def test_what_part_of_a_fillet_counts(radius, share):
    """Head 1.3 times the body, radius in diameters.  Own derivation, as above."""
    part = fillet_equivalent_length(1.0, 1.3, radius) / fillet_length(1.0, 1.3, radius)

    assert part == printed(share)


@pytest.mark.parametrize(
    ("ratio", "share"),
    [(1.1, "0.8290"), (1.2, "0.7022"), (1.3, "0.6054"), (1.5, "0.4691"), (2, "0.2917")],
)
def test_what_part_of_a_taper_counts(ratio, share):
    """Own derivation, as above; the last is a show-that problem's 7/24."""
    assert taper_equivalent_length(1.0, 1.0, ratio) == printed(share)


@pytest.mark.independent
@given(diameters, growth, st.floats(1.0, 100.0))
def test_the_fillet_against_adaptive_quadrature(d, grown, steepness):
    """∫ (d / D(x))⁴ dx with D(x) read off the circle, over x and not the angle."""
    D = d * (1.0 + 0.999 * (grown - 1.0) + 1e-3)
    r = steepness * (D - d) / 2.0
    end = fillet_length(d, D, r)

    def integrand(s):  # x = end (1 − s²) softens the vertical tangent of r = h
        x = end * (1.0 - s * s)
        inside = max(r * r - x * x, 0.0)
        return (d / (d + 2.0 * (r - np.sqrt(inside)))) ** 4 * 2.0 * end * s

    expected = quad(integrand, 0.0, 1.0, epsabs=0.0, epsrel=1e-11, limit=200)[0]

    assert_allclose(fillet_equivalent_length(d, D, r), expected, rtol=1e-9)


@pytest.mark.independent
@given(lengths, diameters, st.floats(0.4, 3.0))
def test_the_taper_against_a_staircase_of_plain_pieces(length, d, ratio):
    """Gauss-Legendre over plain pieces, whichever end is the thicker."""
    x, w = np.polynomial.legendre.leggauss(40)
    s = (x + 1.0) / 2.0
    pieces = plain_equivalent_length(w / 2.0 * length, d, d * (1.0 + (ratio - 1.0) * s))

    found = taper_equivalent_length(length, d, ratio * d)

    assert_allclose(found, np.sum(pieces), rtol=1e-10)


@given(lengths, diameters)
def test_no_change_of_diameter_changes_nothing(length, d):
    """A taper or a piece of the body's own diameter is so much body."""
    assert_allclose(taper_equivalent_length(length, d, d), length, rtol=1e-14)
    assert plain_equivalent_length(length, d, d) == length
    assert fillet_equivalent_length(d, d, length) == 0.0


@given(diameters, st.floats(1.01, 3.0), st.floats(1.0, 100.0))
def test_a_transition_counts_for_more_than_head_and_less_than_body(d, ratio, steepness):
    """Its equivalent length lies between that of all head and that of all body."""
    D = ratio * d
    r = steepness * (D - d) / 2.0
    length = fillet_length(d, D, r)
    head = plain_equivalent_length(length, d, D)

    assert head < fillet_equivalent_length(d, D, r) < length
    assert head < taper_equivalent_length(length, d, D) < length


@given(lengths, diameters, st.floats(1.0, 3.0))
def test_an_equivalent_length_is_worth_the_real_piece(length, d, ratio):
    """A head kept as a segment, or turned into so much body: one rate."""
    head = Segment(round_section(ratio * d), length)
    real = Bar((Segment(round_section(d), 1.0), head), 79e9)

    made = round_bar(1.0 + plain_equivalent_length(length, d, ratio * d), d, 79e9)

    assert_allclose(made.rate, real.rate, rtol=1e-12)


@pytest.mark.parametrize("d", [0.02, 0.0201, 0.0203, 0.03])
def test_a_quarter_circle_is_allowed(d):
    """The radius may equal the step, whatever D − d rounds to."""
    step = 0.0005
    length = fillet_length(d, d + 2.0 * step, step)

    assert_allclose(length, step, rtol=1e-9)
    assert 0.0 < fillet_equivalent_length(d, d + 2.0 * step, step) < length


def test_arguments_broadcast():
    """Radii down, heads across, and each as when alone."""
    radii, heads = [[0.02], [0.04]], [0.024, 0.026, 0.028]
    found = fillet_equivalent_length(0.02, heads, radii)

    assert found.shape == (2, 3)
    assert found[1, 1] == fillet_equivalent_length(0.02, 0.026, 0.04)
    assert taper_equivalent_length([[0.01], [0.02]], 0.02, heads).shape == (2, 3)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: fillet_length(0.02, 0.019, 0.04), "head_diameter must be no smaller"),
        (
            lambda: fillet_length(0.02, 0.03, 0.004),
            "radius must be at least the height",
        ),
        (lambda: fillet_length(0.02, 0.03, 0.00499), "radius .*; got 0.00499 m"),
        (lambda: fillet_length(0.02, 0.03, 0.0), "radius must be positive; got 0 m"),
        (lambda: fillet_equivalent_length(np.nan, 0.03, 0.04), "diameter must be fin"),
        (lambda: taper_equivalent_length(-1.0, 0.02, 0.03), "length .*; got -1 m"),
        (lambda: taper_equivalent_length(1.0, 0.02, 0.0), "other_diameter must be pos"),
        (lambda: plain_equivalent_length(0.0, 0.02, 0.03), "length must be positive"),
    ],
)
def test_impossible_transitions_are_refused_by_name(make, message):
    """The message says which number, what it was, and what would do."""
    with pytest.raises(QuantityError, match=message):
        make()
