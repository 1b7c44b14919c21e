"""The two-spline lattice against a search through every move, and its laws.

The search is independent of ours: it lays out every pair of teeth and looks, where
ours solves a congruence.  Published pairs stand in `tests/validation`.
"""

import cmath
import doctest
import math
import subprocess
import sys
import time
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from cited import DEGREE
from splinewise.core.splines import (
    Labour,
    Move,
    Splines,
    Step,
    alone,
    least_move,
    moves,
    steps,
)
from splinewise.errors import QuantityError

PAGE = Path(__file__).parents[2] / "docs" / "explanation" / "teeth.md"

counts = st.integers(1, 60)
pairs = st.builds(Splines, counts, counts)
turns = st.floats(-math.pi, math.pi)
ENDS = ("arm", "anchor")
labours = st.builds(Labour, st.integers(0, 5), st.integers(0, 5), st.integers(0, 20))


def searched(arm, anchor, labour):
    """Return, for each place of a pair, the least key of all moves that reach it.

    Every pair of teeth over a whole turn both ways at each end is laid out, so no
    thought about folding or wrapping goes in.  The key is the order that is promised:
    cost, ends, teeth counted a whole turn past, teeth at the arm.
    """
    i, j = np.meshgrid(
        np.arange(-arm, arm + 1), np.arange(-anchor, anchor + 1), indexing="ij"
    )
    n = math.lcm(arm, anchor)
    counted = i * (n // arm) + j * (n // anchor)
    place = counted % n
    cost = labour.arm * abs(i) + labour.anchor * abs(j)
    ends = (i != 0).astype(int) + (j != 0)
    order = key(cost + labour.end * ends, ends, abs(counted - place) // n, abs(i))
    least = np.full(n, np.iinfo(np.int64).max)
    np.minimum.at(least, place.ravel(), order.ravel())
    return least


def key(cost, ends, past, arm):
    """Pack an order into one whole number."""
    return ((cost * 3 + ends) * 10 + past) * 1000 + arm


def check_against_search(arm, anchor, labour):
    """Hold each place of one pair to the search."""
    least = searched(arm, anchor, labour)
    splines = Splines(arm, anchor)
    n = splines.lcm

    found = [least_move(splines, k, labour=labour) for k in range(n)]

    for k, move in enumerate(found):
        place = (move.arm * (n // arm) + move.anchor * (n // anchor)) % n
        assert place == k, move
        cost = labour.of(move.arm, move.anchor)
        order = key(cost, move.ends, abs(move.whole_turns), abs(move.arm))
        assert order == least[k], move
    assert len({(move.arm, move.anchor) for move in found}) == n


@pytest.mark.independent
@pytest.mark.parametrize(
    ("arm", "anchor"),
    [
        *((1, 1), (1, 24), (6, 24), (10, 10), (12, 18), (24, 25), (27, 28), (30, 45)),
        *((36, 48), (40, 44), (42, 48), (48, 42), (57, 19), (59, 60), (60, 10)),
    ],
)
@pytest.mark.parametrize("labour", [Labour(), Labour(3, 1, 5)])
def test_every_place_is_reached_and_no_lesser_move_missed(arm, anchor, labour):
    check_against_search(arm, anchor, labour)


@pytest.mark.slow
@pytest.mark.independent
@pytest.mark.parametrize("arm", range(10, 61))
def test_all_pairs_from_10_to_60(arm):
    for anchor in range(10, 61):
        check_against_search(arm, anchor, Labour())


@pytest.mark.independent
@given(pairs, labours, st.integers(-5000, 5000))
def test_any_pair_any_labour_any_place(splines, labour, k):
    """The widest form: one place of a random pair, against the search."""
    least = searched(splines.arm, splines.anchor, labour)[k % splines.lcm]

    move = least_move(splines, k, labour=labour)

    assert labour.of(move.arm, move.anchor) == least // key(1, 0, 0, 0)
    turn = Fraction(move.arm, splines.arm) + Fraction(move.anchor, splines.anchor)
    assert turn - move.whole_turns == Fraction(k, splines.lcm)


@pytest.mark.independent
@given(pairs, st.integers(-300, 300))
def test_the_arm_ends_where_the_move_says(splines, k):
    """Two turns multiplied as complex numbers, which know nothing of whole turns."""
    move = least_move(splines, k)

    arm = cmath.exp(2j * math.pi * move.arm / splines.arm)
    bar = cmath.exp(2j * math.pi * move.anchor / splines.anchor)

    assert abs(arm * bar - cmath.exp(1j * move.turn)) < 1e-12


def test_index_step_is_a_turn_over_the_least_common_multiple():
    """42 and 48 share a factor of 6: 336 places, not 2016."""
    splines = Splines(42, 48)

    assert splines.positions == splines.lcm == 336
    assert splines.index_step == pytest.approx(360 / 336 * DEGREE, rel=1e-15)
    assert splines.arm_step == pytest.approx(360 / 42 * DEGREE, rel=1e-15)
    assert splines.anchor_step == pytest.approx(7.5 * DEGREE, rel=1e-15)


def test_one_tooth_each_opposed_is_not_always_the_smallest_step():
    """24 and 29 teeth: 2.586° for one tooth each way, 0.517° for the right move."""
    splines = Splines(24, 29)
    opposed = splines.arm_step - splines.anchor_step

    least = least_move(splines, 1)

    assert opposed == pytest.approx(5 * splines.index_step)
    assert (least.arm, least.anchor) == (5, -6)


@given(pairs, st.integers(-2000, 2000))
def test_a_move_and_its_opposite_cancel(splines, k):
    """Undoing it moves as many teeth the other way, and nothing is left."""
    there, back = least_move(splines, k), least_move(splines, -k)

    assert (there.arm + back.arm, there.anchor + back.anchor) == (0, 0)
    assert there.turn + back.turn == 0.0
    assert there.whole_turns == -back.whole_turns


@given(pairs, turns)
def test_moves_are_odd_in_the_turn_wanted(splines, wanted):
    """To droop instead of to bump is the same list with every sign changed."""
    there, back = moves(splines, wanted), moves(splines, -wanted)

    assert [(m.arm, m.anchor) for m in there] == [(-m.arm, -m.anchor) for m in back]
    assert [m.left_over for m in there] == [-m.left_over for m in back]


@given(pairs, st.integers(-2000, 2000))
def test_the_ends_are_alike(splines, k):
    """Exchanging the ends exchanges the teeth, where there is no tie to break."""
    move = least_move(splines, k)
    other = least_move(Splines(splines.anchor, splines.arm), k)

    assert (move.teeth, move.ends) == (other.teeth, other.ends)


@given(pairs, turns)
def test_the_best_move_leaves_no_more_than_half_an_index_step(splines, wanted):
    best, *rest = moves(splines, wanted)

    assert abs(best.left_over) <= splines.index_step / 2 * (1 + 1e-5)
    assert best.left_over == pytest.approx(wanted - best.turn, abs=1e-15)
    assert all(abs(best.left_over) <= abs(m.left_over) + 1e-6 for m in rest)


@given(pairs, turns)
def test_both_places_beside_the_turn_are_offered(splines, wanted):
    """One that goes too far and one not far enough, less than a step apart."""
    assume(splines.lcm > 2)
    left = [m.left_over for m in moves(splines, wanted)]
    step = splines.index_step

    exact = any(abs(x) <= 1.01e-6 * step for x in left)
    assert exact or any(0 < x < step for x in left)
    assert exact or any(-step < x < 0 for x in left)


@given(pairs, turns)
def test_what_one_end_alone_can_do_is_offered(splines, wanted):
    """Each end's best is within half its own tooth, and is in the list."""
    offered = {(m.arm, m.anchor) for m in moves(splines, wanted)}

    for end, step in (("arm", splines.arm_step), ("anchor", splines.anchor_step)):
        move = alone(splines, wanted, end)

        assert abs(move.left_over) <= step / 2 * (1 + 1e-5)
        assert (move.anchor if end == "arm" else move.arm) == 0
        assert (move.arm, move.anchor) in offered


@given(pairs, turns)
def test_no_useful_move_is_missed(splines, wanted):
    """Nothing in reach leaves less over than an answer for no more labour."""
    answers = moves(splines, wanted, most=1000)
    step = splines.index_step
    k = round(wanted / step)

    for other in range(k - 12, k + 13):
        move = least_move(splines, other)
        if abs(other * step - wanted) > math.pi / max(splines.arm, splines.anchor):
            continue  # past the default reach, whichever tooth is the coarser
        off = abs(wanted - move.turn)
        assert any(
            abs(m.left_over) <= off + 2e-6 * step and m.teeth <= move.teeth
            for m in answers
        )


@given(pairs, turns, st.integers(1, 6))
def test_most_is_a_limit_and_keeps_the_best(splines, wanted, most):
    few, all_ = moves(splines, wanted, most=most), moves(splines, wanted, most=99)

    assert 1 <= len(few) <= most
    assert few[0] == all_[0]
    assert set(few) <= set(all_)
    assert len({(m.arm, m.anchor) for m in all_}) == len(all_)


def test_labour_decides_within_the_tolerance():
    """0.3° on 27 and 28 teeth: one tooth each, or leave it if that is near enough."""
    splines = Splines(27, 28)

    assert (moves(splines, 0.3 * DEGREE)[0].teeth) == 2
    assert moves(splines, 0.3 * DEGREE, tolerance=0.3 * DEGREE)[0].teeth == 0


def test_the_best_within_the_tolerance_comes_first_even_if_it_is_the_only_one():
    """0.75° lies between one step and two; within 0.8° nothing need be moved."""
    close = moves(Splines(27, 28), 0.75 * DEGREE, tolerance=0.8 * DEGREE, most=1)
    assert [(m.arm, m.anchor) for m in close] == [(0, 0)]


@given(pairs, turns)
def test_each_further_answer_is_there_for_a_reason(splines, wanted):
    """It is cheaper than all before it, or beside the turn, or one end's best."""
    answers = moves(splines, wanted, most=1000)
    single = {(m.arm, m.anchor) for m in (alone(splines, wanted, e) for e in ENDS)}

    for n, move in enumerate(answers):
        beside = abs(move.left_over) < splines.index_step * (1 + 1e-5)
        cheaper = all(move.teeth < other.teeth for other in answers[:n])
        assert beside or cheaper or (move.arm, move.anchor) in single


def test_what_is_within_half_the_coarser_tooth_is_looked_at():
    """10 and 27 teeth, 21° wanted: one tooth at the anchor leaves 7.7°.

    That is over half its own tooth, 6.7°, but well inside half the other, 18°.
    """
    pair, wanted = Splines(10, 27), 21 * DEGREE
    offered = [(m.arm, m.anchor) for m in moves(pair, wanted)]
    nearer = [(m.arm, m.anchor) for m in moves(pair, wanted, reach=7 * DEGREE)]

    assert (0, 1) in offered
    assert (0, 1) not in nearer


def test_an_end_alone_may_go_the_long_way_for_the_adjusters_sake():
    """The adjuster can only give droop, so the spline is asked for over half a turn."""
    move = alone(Splines(24, 1), 3.1, "arm", adjuster=(-0.5, 0.0))

    assert (move.arm, move.whole_turns) == (-11, -1)
    assert move.turn == pytest.approx(13 * 15 * DEGREE)
    assert move.remains == pytest.approx(0.0, abs=1e-12)


def test_fewer_ends_before_fewer_teeth_at_the_arm():
    """Equal counts: two teeth at one end, not one at each."""
    assert least_move(Splines(24, 24), 2).ends == 1


def test_weights_can_spare_an_end():
    """An arm end that is hard to draw leaves the work to the anchor."""
    move = least_move(Splines(24, 24), 2, labour=Labour(arm=2))
    assert (move.arm, move.anchor) == (0, 2)
    move = least_move(Splines(24, 24), 2, labour=Labour(anchor=2))
    assert (move.arm, move.anchor) == (2, 0)


@pytest.mark.parametrize("wanted", [0.0, 0.3, -math.pi, math.pi])
def test_two_ends_of_one_position_can_only_stay(wanted):
    answers = moves(Splines(1, 1), wanted)

    assert [(m.arm, m.anchor, m.turn) for m in answers] == [(0, 0, 0.0)]
    assert answers[0].left_over == wanted


def test_one_end_of_one_position_moves_the_other_alone():
    answers = moves(Splines(1, 24), 20 * DEGREE)

    assert answers[0].anchor == 1
    assert all(m.arm == 0 for m in answers)
    assert answers[0].left_over == pytest.approx(5 * DEGREE)


def test_equal_counts_step_by_a_whole_tooth():
    answers = moves(Splines(24, 24), 40 * DEGREE)

    assert answers[0].turn == pytest.approx(45 * DEGREE)
    assert answers[0].teeth == 3


def test_the_long_way_round_is_owned_up_to():
    """13 teeth back at each end, on 27 and 28, are −340.5°: that is where 19.5° is.

    The shortest way that counts out to 19.5° itself is 14 and −13, a tooth more.
    """
    splines = Splines(27, 28)
    move = least_move(splines, 41)

    assert (move.arm, move.anchor, move.whole_turns) == (-13, -13, -1)
    assert move.turn == pytest.approx(19.5238 * DEGREE, abs=1e-4 * DEGREE)
    straight = 14 * splines.arm_step - 13 * splines.anchor_step
    assert straight == pytest.approx(move.turn)


def test_of_two_equal_ways_the_one_that_counts_out_straight_is_taken():
    """13 and 14 teeth, or 13 and −14: the same places, the same labour."""
    move = least_move(Splines(27, 28), -14)
    assert (move.arm, move.anchor, move.whole_turns) == (13, -14, 0)


def test_half_a_turn_goes_by_the_way_that_was_asked():
    """12 of 24 teeth are half a turn either way; the sign follows the wanted turn."""
    assert moves(Splines(24, 1), math.pi)[0].arm == 12
    assert moves(Splines(24, 1), -math.pi)[0].arm == -12
    assert alone(Splines(24, 1), -math.pi, "arm") == moves(Splines(24, 1), -math.pi)[0]


def test_the_adjuster_takes_up_what_is_left_and_is_kept_near_its_middle():
    """24 teeth, 10° wanted, a screw that can still give −2° to 8°."""
    reach = (-2 * DEGREE, 8 * DEGREE)

    best, other = moves(Splines(24, 1), 10 * DEGREE, adjuster=reach)[:2]

    # Its middle is 3° up: 10° of left-over is 7° from it, −5° is 8° from it.
    assert (best.arm, other.arm) == (0, 1)
    assert best.adjuster == 8 * DEGREE
    assert best.remains == pytest.approx(2 * DEGREE)
    assert other.adjuster == -2 * DEGREE
    assert other.remains == pytest.approx(-3 * DEGREE)


@given(pairs, turns, st.floats(0.0, 0.2))
def test_a_centred_adjuster_changes_no_move(splines, wanted, half):
    """What it takes up and what remains are what was left over."""
    plain = moves(splines, wanted)
    trimmed = moves(splines, wanted, adjuster=(-half, half))

    assert [(m.arm, m.anchor) for m in plain] == [(m.arm, m.anchor) for m in trimmed]
    for move in trimmed:
        assert abs(move.adjuster) <= half
        assert move.adjuster + move.remains == pytest.approx(move.left_over, abs=1e-15)
        assert abs(move.remains) <= abs(move.left_over)


def test_steps_say_end_teeth_and_sense():
    assert steps(Move(3, -2, 0.1, 0.0)) == (
        Step("arm", 3, "bump"),
        Step("anchor", 2, "droop"),
    )
    assert steps(Move(0, 4, 0.1, 0.0)) == (Step("anchor", 4, "bump"),)
    assert steps(Move(0, 0, 0.0, 0.0)) == ()


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Splines(0, 24), r"arm must be a whole number from 1 .*; got 0 teeth"),
        (lambda: Splines(24, -3), r"anchor must be .*; got -3 teeth"),
        (lambda: Splines(24, 1001), r"anchor must be .* to 1000; got 1001 teeth"),
        (lambda: Splines(24.5, 24), r"arm must be a whole number .*; got 24.5 teeth"),
        (lambda: Splines(24, math.nan), r"anchor must be .*; got nan teeth"),
        (lambda: Labour(arm=-1), r"arm must be a whole number, 0 or more; got -1"),
        (lambda: Labour(end=0.5), r"end must be a whole number, 0 or more; got 0.5"),
        (lambda: moves(Splines(24, 25), math.nan), r"wanted must be .*; got nan rad"),
        (lambda: moves(Splines(24, 25), 3.2), r"within half a turn .*; got 3.2 rad"),
        (lambda: moves(Splines(24, 25), 0.1, most=0), r"most must be 1 or more"),
        (lambda: moves(Splines(24, 25), 0.1, reach=-0.1), r"reach must be 0 or more"),
        (
            lambda: moves(Splines(24, 25), 0.1, tolerance=math.nan),
            r"tolerance must be 0 or more, and finite; got nan rad",
        ),
        (
            lambda: moves(Splines(24, 25), 0.1, adjuster=(0.1, 0.0)),
            r"adjuster must be from its least turn to its greatest, here 0 rad",
        ),
        (
            lambda: alone(Splines(24, 25), 0.1, "arm", adjuster=(0.0, math.inf)),
            r"adjuster must be finite; got inf rad",
        ),
    ],
)
def test_impossible_counts_and_turns_are_refused(make, message):
    with pytest.raises(QuantityError, match=message):
        make()


def test_counts_come_from_any_whole_number():
    """A count out of an array is a count, and is kept as a plain int."""
    splines = Splines(np.int64(24), np.int32(25))

    assert splines == Splines(24, 25)
    assert type(splines.lcm) is int


def test_every_pair_is_fast():
    """Under 5 ms for any pair up to 200, best of a few tries on a shared machine."""
    for arm, anchor in ((200, 199), (199, 200), (200, 200), (192, 168), (1, 200)):
        took = []
        for _ in range(5):
            start = time.perf_counter()
            moves(Splines(arm, anchor), 0.77)
            took.append(time.perf_counter() - start)
        assert min(took) < 5e-3, (arm, anchor)


def test_no_numpy_is_imported():
    """A plain question about teeth starts without it."""
    code = (
        "import sys, splinewise.core.splines, splinewise.core.direction; "
        "sys.exit('numpy' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_the_page_on_teeth_is_true():
    """Each example on the page gives what the page says."""
    failed, tried = doctest.testfile(str(PAGE), module_relative=False)

    assert tried > 0
    assert failed == 0
