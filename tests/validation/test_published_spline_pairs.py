"""Pairs of tooth counts that are in print, and what is printed of them.

Sources
-------
Service text
    Porsche 911 (1984), "Torsion bar, adjust", myvehicle.help.  Read.
Rear-axle page
    flat4ever.com, Volkswagen rear axle.  Read.
Geometry page
    blacksleeper.blogspot.fr, 2011/08.  Read.
Transporter page
    type2.com, library/suspens/tmadj.htm.  Read.
Aprilia topic
    Lancia Motor Club forum, topic 9274, lancia.myzen.co.uk.  Read.
Bars of 1969
    wirehead.over-blog.com, page 4, Renault 4 front bars.  Read; only the counts are
    printed, the step is arithmetic.

The first four are of one family of designs, so there are three independent pairs.
They disagree on which end has 40 teeth, so nothing here depends on it: each is
checked both ways round.  24 and 25 teeth for 0.6°: common practice, no source.
27 and 28 teeth: the invented demo car's, own arithmetic.

Every figure is checked through `least_move`, whose turn is exact to rounding.
"""

import math

import pytest

from cited import DEGREE, printed
from splinewise.core.splines import Splines, least_move

MINUTE = DEGREE / 60


def both_ways(*counts):
    """Return the pair with either count at the arm."""
    a, b = counts
    return [Splines(a, b), Splines(b, a)]


def one_each_opposed(splines):
    """Return the turn of one tooth at each end, one way and the other."""
    return abs(splines.arm_step - splines.anchor_step)


@pytest.mark.cited
@pytest.mark.parametrize("splines", both_ways(40, 44))
def test_40_and_44_geometry_page(splines):
    """9°, 8.18° and, one tooth each opposed, 0.82°: the smallest step."""
    steps = sorted([splines.arm_step, splines.anchor_step])

    assert steps == [printed("8.18", DEGREE), printed("9", DEGREE)]
    assert one_each_opposed(splines) == printed("0.82", DEGREE)
    assert splines.index_step == printed("0.82", DEGREE)
    least = least_move(splines, 1)
    assert sorted([least.arm, least.anchor]) == [-1, 1]
    assert least.turn == printed("0.82", DEGREE)


@pytest.mark.cited
def test_40_and_44_service_text():
    """9° inner; 8 3/20° outer; 5/6° net, each to the fraction it is rounded to.

    8 3/20° is 8.15° where 360°/44 is 8.1818°, and 5/6° is 0.8333° where the
    difference is 0.8182°: both are rounded to some five minutes of arc, so they agree
    within half of that and no better.
    """
    splines = Splines(40, 44)
    five_minutes = 5 * MINUTE

    assert splines.arm_step == pytest.approx(9 * DEGREE, rel=1e-15)
    assert splines.anchor_step == pytest.approx(8.15 * DEGREE, abs=five_minutes / 2)
    assert splines.index_step == pytest.approx(5 / 6 * DEGREE, abs=five_minutes / 2)


@pytest.mark.cited
def test_40_and_44_rear_axle_page():
    """9°; 8° 10'; 0° 50', rounded to ten minutes: 44 times 8° 10' is 359° 20'."""
    splines = Splines(40, 44)
    ten_minutes = 10 * MINUTE

    outer = 8 * DEGREE + 10 * MINUTE
    assert splines.anchor_step == pytest.approx(outer, abs=ten_minutes / 2)
    assert splines.index_step == pytest.approx(50 * MINUTE, abs=ten_minutes / 2)
    assert 44 * outer == pytest.approx(359 * DEGREE + 20 * MINUTE)


@pytest.mark.cited
def test_44_and_40_transporter_page():
    """8.18° inner and 9.00° outer are right; "2/3 degree" opposed is not.

    ERRATUM: the page's own two figures differ by 0.82°.
    """
    splines = Splines(40, 44)

    assert splines.anchor_step == printed("8.18", DEGREE)
    assert splines.arm_step == printed("9.00", DEGREE)
    assert one_each_opposed(splines) == printed("0.82", DEGREE)
    assert one_each_opposed(splines) > 1.2 * (2 / 3) * DEGREE


@pytest.mark.cited
def test_one_index_step_of_40_and_44_at_a_425_mm_arm():
    """Geometry page: 6 mm for each combined step."""
    assert 425 * Splines(40, 44).index_step == printed("6")


@pytest.mark.cited
@pytest.mark.parametrize("splines", both_ways(42, 48))
def test_42_and_48_aprilia_topic(splines):
    """About 8.5° at one end, and the two together within 1°.

    The counts share a factor of 6: 336 places and 1.0714°, not 2016 and 0.179°.
    The source says "about", so its own rounding is taken as 0.1°.
    """
    assert max(splines.arm_step, splines.anchor_step) == pytest.approx(
        8.5 * DEGREE, abs=0.1 * DEGREE
    )
    assert splines.index_step == pytest.approx(1.0 * DEGREE, abs=0.1 * DEGREE)
    assert splines.positions == 336
    assert splines.index_step == pytest.approx(360 / 336 * DEGREE, rel=1e-15)
    assert one_each_opposed(splines) == pytest.approx(splines.index_step)


@pytest.mark.cited
@pytest.mark.parametrize("splines", both_ways(20, 21))
def test_20_and_21_bars_of_1969(splines):
    """420 places, 0.857142857°: one tooth each way."""
    assert splines.positions == 20 * 21
    assert splines.index_step == printed("0.857142857", DEGREE)
    assert one_each_opposed(splines) == pytest.approx(splines.index_step)


@pytest.mark.parametrize("splines", both_ways(24, 25))
def test_24_and_25_give_six_tenths_of_a_degree(splines):
    """Common practice, no source."""
    assert splines.index_step == printed("0.6", DEGREE)
    assert splines.index_step == pytest.approx(0.6 * DEGREE, rel=1e-15)
    least = least_move(splines, 1)
    assert abs(least.arm) == abs(least.anchor) == 1


@pytest.mark.parametrize("splines", both_ways(27, 28))
def test_27_and_28(splines):
    """Own arithmetic: 756 places, 0.47619°, one tooth each way."""
    assert splines.positions == 756
    assert splines.index_step == printed("0.47619", DEGREE)
    assert abs(least_move(splines, 1).turn) == pytest.approx(2 * math.pi / 756)
    assert least_move(splines, 1).teeth == 2


@pytest.mark.independent
def test_one_tooth_each_opposed_is_the_index_step_only_for_neighbours():
    """The rule of the trade holds where |N₁ − N₂| is the greatest common divisor.

    Own rule, here over all pairs 10 to 60; it holds for all three pairs in print.
    """
    for a in range(10, 61):
        for b in range(a + 1, 61):
            same = math.isclose(one_each_opposed(s := Splines(a, b)), s.index_step)
            assert same == (b - a == math.gcd(a, b)), (a, b)
