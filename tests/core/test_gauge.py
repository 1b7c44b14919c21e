"""The two-hole gauge: figures worked by hand, and gauges drawn at random.

No printed example was found; what is worked by hand here is own derivation.  The
calliper's errors are DIN 862's, read in a one-page extract: outside 30 µm and inside
20 µm more at 250 mm, 20 µm and 20 µm more at a hole; digital step 10 µm.
"""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from cited import printed
from splinewise.core.gauge import (
    STEEL_EXPANSION,
    centre_from_edges,
    centre_from_land,
    centre_from_span,
    centre_play,
    hole_play,
    length_when_warmer,
    seated_centre,
    stock_length,
)
from splinewise.core.holes import ISO_273, reamed_hole, reamed_pin
from splinewise.errors import QuantityError

MM = 1e-3

centres = st.floats(0.1, 1.0)
holes = st.floats(0.005, 0.03)
plays = st.floats(0.0, 0.003)


def calliper(limit):
    """Standard uncertainty of a digital calliper with a 10 µm step."""
    return math.hypot(limit / math.sqrt(3), 10e-6 / math.sqrt(12))


def test_m12_bolts_in_medium_holes():
    """±1.50 mm and 0.612 mm: own derivation, half-range over √6 for equal plays."""
    hole = ISO_273.hole(12 * MM, "medium")

    play = centre_play(hole, 12 * MM, hole, 12 * MM)

    assert play.half_range == printed("1.50", MM)
    assert play.uncertainty == printed("0.612", MM)
    assert play.uncertainty == pytest.approx(1.5 * MM / math.sqrt(6))


def test_12_h7_h6_dowels():
    """±0.029 mm and 0.0118 mm at the loosest the fit allows: own derivation."""
    hole, pin = reamed_hole(12 * MM).greatest, reamed_pin(12 * MM).least

    play = centre_play(hole, pin, hole, pin)

    assert play.half_range == printed("0.029", MM)
    assert play.uncertainty == printed("0.0118", MM)


@pytest.mark.independent
def test_play_against_bolts_dropped_at_random():
    """200,000 pairs of pins, each anywhere along the bar, unequal holes."""
    rng = np.random.default_rng(20)
    a1, a2 = 0.75 * MM, 0.2 * MM
    strays = rng.uniform(-a1, a1, 200_000) + rng.uniform(-a2, a2, 200_000)

    play = centre_play(13.5 * MM, 12 * MM, 10.4 * MM, 10 * MM)

    assert_allclose(play.uncertainty, strays.std(), rtol=0.01)
    assert np.abs(strays).max() <= play.half_range
    assert_allclose(play.half_range, np.abs(strays).max(), rtol=0.01)


@pytest.mark.independent
@given(centres, holes, plays, holes, plays, st.sampled_from([1, -1]), st.booleans())
def test_seated_pins_touch_their_holes(L, h1, play1, h2, play2, way, pulled):
    """Each pin, laid on the side it is pressed to, touches the hole's edge there."""
    p1, p2 = h1 - play1, h2 - play2
    o1, o2 = (1, 1) if pulled else (way, -way)

    got = seated_centre(L, h1, p1, h2, p2, outward_1=o1, outward_2=o2)

    # Hole 1 at 0, hole 2 at L: the pins' centres from the edges they touch.
    edge1, edge2 = -o1 * h1 / 2, L + o2 * h2 / 2
    pin1, pin2 = edge1 + o1 * p1 / 2, edge2 - o2 * p2 / 2
    assert got == pytest.approx(pin2 - pin1, abs=1e-15)
    stray = centre_play(h1, p1, h2, p2).half_range
    assert abs(got - L) <= stray + 1e-15


def test_a_pulled_gauge_is_longer_and_one_lying_across_is_not():
    """M12 in medium holes: 1.5 mm longer, pulled; nothing, with both pins one way."""
    fixed = (0.480, 13.5 * MM, 12 * MM, 13.5 * MM, 12 * MM)

    assert seated_centre(*fixed, outward_1=1, outward_2=1) == pytest.approx(0.4815)
    assert seated_centre(*fixed, outward_1=-1, outward_2=-1) == pytest.approx(0.4785)
    assert seated_centre(*fixed, outward_1=1, outward_2=-1) == pytest.approx(0.480)
    assert seated_centre(*fixed, outward_1=0, outward_2=0) == pytest.approx(0.480)


@pytest.mark.independent
@given(centres, holes, holes)
def test_three_ways_to_one_centre_distance(L, d1, d2):
    """Two circles are drawn; edges are read off; each way gives the centres back."""
    far = (L + d2 / 2) - (0.0 - d1 / 2)
    near = (L - d2 / 2) - (0.0 + d1 / 2)

    both = centre_from_edges(far, near, span_uncertainty=0.0, land_uncertainty=0.0)

    assert both.centre == pytest.approx(L)
    assert both.hole_sum == pytest.approx(d1 + d2)
    assert centre_from_span(far, d1, d2) == pytest.approx(L)
    assert centre_from_land(near, d1, d2) == pytest.approx(L)


def test_doubt_of_a_calliper_at_250_mm():
    """0.0170 mm from both edges; 0.024 mm from the land and two measured holes.

    Own derivation from the limits above; that is why the two edges are better, and
    why no hole need be measured except as a check.
    """
    outside, inside = calliper(30e-6), calliper(50e-6)
    assert outside == printed("0.0176", MM)
    assert inside == printed("0.0290", MM)

    both = centre_from_edges(
        0.260, 0.236, span_uncertainty=inside, land_uncertainty=outside
    )

    assert both.uncertainty == printed("0.0170", MM)
    at_a_hole = calliper(40e-6)
    by_land = math.hypot(outside, at_a_hole / math.sqrt(2))
    assert by_land == printed("0.024", MM)
    assert both.uncertainty < by_land
    assert both.hole_sum_uncertainty == pytest.approx(2 * both.uncertainty)


@pytest.mark.independent
def test_doubt_against_readings_drawn_at_random():
    rng = np.random.default_rng(7)
    u_S, u_N = 29e-6, 18e-6
    S, N = 0.2735 + rng.normal(0, u_S, 100_000), 0.2465 + rng.normal(0, u_N, 100_000)

    drawn = centre_from_edges(S, N, span_uncertainty=u_S, land_uncertainty=u_N)

    assert_allclose(drawn.centre.std(), drawn.uncertainty, rtol=0.02)
    assert_allclose(drawn.hole_sum.std(), drawn.hole_sum_uncertainty, rtol=0.02)


def test_stock_is_the_centres_and_a_margin_at_each_end():
    assert stock_length(0.480, 0.015, 0.020) == pytest.approx(0.515)


@pytest.mark.cited
def test_steel_expansion_is_that_of_gum_h_1():
    """11.5e-6 a kelvin: read in the documentation of GTC (GUM_H1), not on the page."""
    assert printed("11.5", 1e-6) == STEEL_EXPANSION


def test_a_metre_of_steel_ten_kelvin_warmer():
    """0.115 mm: own arithmetic."""
    warm = length_when_warmer(1.0, 10.0, expansion=STEEL_EXPANSION)
    assert warm - 1.0 == pytest.approx(0.115 * MM)
    cold = length_when_warmer(1.0, -10.0, expansion=STEEL_EXPANSION)
    assert cold - 1.0 == pytest.approx(-0.115 * MM)


def test_arguments_broadcast():
    play = centre_play([[13.0 * MM], [13.5 * MM]], 12 * MM, 13 * MM, [11 * MM, 12 * MM])

    assert play.half_range.shape == (2, 2)
    alone = centre_play(0.0135, 0.012, 0.013, 0.011)
    assert_allclose(play.half_range[1, 0], alone.half_range, rtol=1e-14)
    assert_allclose(play.uncertainty[1, 0], alone.uncertainty, rtol=1e-14)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: hole_play(0.012, 0.0121), r"pin must be no larger than its hole"),
        (lambda: hole_play(-0.012, 0.011), r"hole must be positive; got -0.012 m"),
        (lambda: hole_play([0.012, math.nan], 0.011), r"hole must be finite; got nan"),
        (
            lambda: seated_centre(
                0.4, 0.013, 0.012, 0.013, 0.012, outward_1=2, outward_2=1
            ),
            r"outward_1 must be from −1 to 1; got 2",
        ),
        (lambda: centre_from_span(0.02, 0.012, 0.012), r"span must be longer than the"),
        (lambda: centre_from_land(0.0, 0.012, 0.012), r"land must be positive"),
        (
            lambda: centre_from_edges(0.2, 0.2, span_uncertainty=0, land_uncertainty=0),
            r"land must be shorter than the span; got 0.2 m",
        ),
        (
            lambda: centre_from_edges(
                0.3, 0.2, span_uncertainty=-1e-5, land_uncertainty=0
            ),
            r"span_uncertainty must be 0 or more; got -1e-05 m",
        ),
        (lambda: stock_length(0.4, 0.0, 0.02), r"margin_1 must be positive; got 0 m"),
        (
            lambda: length_when_warmer(0.4, math.inf, expansion=1e-5),
            r"warmer_by must be finite; got inf K",
        ),
    ],
)
def test_impossible_gauges_are_refused(make, message):
    with pytest.raises(QuantityError, match=message):
        make()
