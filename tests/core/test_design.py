"""What to measure next: identities, refits, and the cheapest set."""

import itertools
import time

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from cited import printed
from splinewise.core.design import (
    Candidates,
    cheapest_plan,
    doubt_after,
    information_gain,
    updated,
    variance_drop,
)
from splinewise.core.network import adjust
from splinewise.core.network_ties import distance
from splinewise.core.optimal import efficiency, exchange, standardized_variance
from splinewise.errors import QuantityError, TaskError

seeds = st.integers(0, 2**32 - 1)


def problem(seed, n=5, k=12):
    rng = np.random.default_rng(seed)
    F = rng.normal(size=(n + 3, n))
    return np.linalg.inv(F.T @ F), Candidates.of(
        rng.normal(size=(k, n)), rng.uniform(0.3, 2.0, k), rng.integers(1, 4, k)
    )


@given(seeds)
def test_every_figure_is_that_of_a_refit(seed):
    """Gain, drop and doubt against the information matrix with the row added."""
    Q, offered = problem(seed)
    c = np.random.default_rng(seed + 1).normal(size=5)
    gain = information_gain(Q, offered)
    drop = variance_drop(Q, offered, c)
    left = doubt_after(Q, offered, c)

    for i in range(12):
        a, u = offered.gradient[i], offered.standard[i]
        after = np.linalg.inv(np.linalg.inv(Q) + np.outer(a, a) / u**2)
        assert_allclose(updated(Q, offered.only([i])), after, rtol=1e-7, atol=1e-9)
        grown = -np.linalg.slogdet(after)[1] + np.linalg.slogdet(Q)[1]
        assert gain[i] == pytest.approx(grown, rel=1e-6, abs=1e-9)
        assert drop[i] == pytest.approx(c @ Q @ c - c @ after @ c, rel=1e-6, abs=1e-9)
        assert left[i] == pytest.approx(np.sqrt(c @ after @ c), rel=1e-6)


@given(seeds)
def test_the_order_of_readings_does_not_matter(seed):
    """Taken one after another in any order, the doubt is the same."""
    Q, offered = problem(seed)
    one = updated(Q, offered.only([3, 7, 7, 1]))
    two = updated(Q, offered.only([7, 1, 3, 7]))
    assert_allclose(one, two, rtol=1e-9, atol=1e-12)


@given(seeds, st.floats(0.3, 0.9))
@example(914, 0.375)  # an exchange had left an idle reading
def test_a_plan_reaches_what_it_says(seed, share):
    """The last doubt is within the target, and no reading of the plan is idle."""
    Q, offered = problem(seed)
    c = np.eye(5)[0]
    target = share * np.sqrt(Q[0, 0])

    plan = cheapest_plan(Q, offered, c, target)

    after = updated(Q, offered.only(plan.chosen))
    assert plan.doubts[-1] == pytest.approx(np.sqrt(after[0, 0]))
    assert np.all(np.diff(plan.doubts) <= 1e-12)
    assert plan.reached == (plan.doubts[-1] <= target * (1 + 1e-12))
    assert len(set(plan.chosen)) == len(plan.chosen)
    if plan.reached:
        for i in plan.chosen:
            less = updated(Q, offered.only([k for k in plan.chosen if k != i]))
            assert np.sqrt(less[0, 0]) > target


def test_plans_are_near_the_cheapest():
    """Against all sets of up to 4 of 12 readings: dearer by a fifth at most, over 30."""
    ratios = []
    for seed in range(30):
        Q, offered = problem(seed)
        target = 0.6 * np.sqrt(Q[0, 0])
        plan = cheapest_plan(Q, offered, np.eye(5)[0], target)
        costs = [
            offered.cost[list(chosen)].sum()
            for size in range(1, 5)
            for chosen in itertools.combinations(range(12), size)
            if updated(Q, offered.only(chosen))[0, 0] <= target**2
        ]
        if costs and plan.reached:
            ratios.append(plan.cost / min(costs))

    assert len(ratios) > 20
    assert np.mean(ratios) < 1.2
    assert min(ratios) >= 1.0


def test_a_target_already_met_asks_for_nothing():
    """No reading, no cost."""
    Q, offered = problem(1)
    plan = cheapest_plan(Q, offered, np.eye(5)[0], 2 * np.sqrt(Q[0, 0]))
    assert (plan.chosen, plan.cost, plan.reached) == ((), 0.0, True)


def test_a_target_out_of_reach_is_said():
    """All that help are taken, and the plan says that it is not enough."""
    Q, offered = problem(2)
    plan = cheapest_plan(Q, offered, np.eye(5)[0], 1e-9, most=3)
    assert not plan.reached
    assert len(plan.chosen) == 3


def test_a_reading_may_be_repeated_where_allowed():
    """With one useful reading, four repeats halve its doubt."""
    offered = Candidates.of([[1.0]], 1.0)
    plan = cheapest_plan([[1e6]], offered, [1.0], 0.51, repeats=5)
    assert plan.chosen == (0, 0, 0, 0)
    assert not cheapest_plan([[1e6]], offered, [1.0], 0.51).reached


def test_a_published_network_asks_for_different_readings():
    """Ghilani 14.5, each distance repeated: own figures, checked by full refits.

    All information asks for Wisconsin-Campus; the doubt of y of Campus is helped least
    by that and most by Campus-Bucky.
    """
    held = [[2410000.0, 390000.0], [2411820.0, 386881.222]]
    near = [[2415776.819, 391043.461], [2416892.67, 387603.45]]
    lines = [(0, 2, 5870.640), (0, 3, 7297.588), (2, 3, 3616.434), (2, 1, 5742.878),
             (3, 1, 5123.760)]  # fmt: skip
    nothing = [[np.nan] * 2] * 2

    def net(extra=()):
        ties = [distance(*line, 0.01) for line in [*lines, *extra]]
        return adjust(ties, 4, dimensions=2, held=held + nothing, near=held + near)

    base = net()
    offered = Candidates.of(base.fit.jacobian, 0.01)
    c = np.eye(8)[7]
    gain = information_gain(base.fit.covariance, offered)
    left = doubt_after(base.fit.covariance, offered, c) * 1e3

    texts = ["0.60874", "0.50803", "0.65590", "0.58459", "0.57590"]
    doubts = ["18.7794", "18.7377", "19.4292", "18.4253", "18.3971"]
    assert base.doubts[3, 1] * 1e3 == pytest.approx(19.9070, abs=2e-3)
    for i in range(5):
        assert gain[i] == pytest.approx(float(texts[i]), abs=2e-5)
        assert left[i] == pytest.approx(float(doubts[i]), abs=2e-3)
        again = net([lines[i]]).doubts[3, 1] * 1e3
        assert left[i] == pytest.approx(again, abs=2e-3)
    assert np.argmax(gain) == 2
    assert np.argmin(left) == 4


def test_two_hundred_candidates_well_under_a_second():
    """Rank 200 readings of 60 unknowns for 8 wishes, and plan for one."""
    rng = np.random.default_rng(3)
    F = rng.normal(size=(80, 60))
    Q = np.linalg.inv(F.T @ F)
    offered = Candidates.of(rng.normal(size=(200, 60)), rng.uniform(0.5, 2, 200))

    begun = time.perf_counter()
    information_gain(Q, offered)
    doubt_after(Q, offered, rng.normal(size=(8, 60)))
    cheapest_plan(Q, offered, np.eye(60)[0], 0.7 * np.sqrt(Q[0, 0]))

    assert time.perf_counter() - begun < 0.5


def test_exchange_against_every_set():
    """Small enough to try all: the exchange finds the best determinant."""
    rows = np.random.default_rng(5).normal(size=(9, 3))

    found = exchange(rows, 4, repeats=False, starts=20)

    def size(chosen):
        F = rows[list(chosen)]
        return np.linalg.det(F.T @ F)

    best = max(size(s) for s in itertools.combinations(range(9), 4))
    assert size(found) == pytest.approx(best)
    assert len(set(found)) == 4


def test_full_factorial_is_fully_efficient():
    """Two levels of two factors: D, A and G are 1, the prediction error √(3/4)."""
    rows = np.array([[1, a, b] for a in (-1, 1) for b in (-1, 1)])
    found = efficiency(rows, [0, 1, 2, 3])
    assert (found.d, found.a, found.g) == pytest.approx((1, 1, 1))
    assert found.mean_prediction == printed("0.866")


@pytest.mark.parametrize(
    ("call", "error", "message"),
    [
        (lambda: Candidates.of([[1.0]], 0.0), QuantityError, "standard must be pos"),
        (lambda: Candidates.of([[1.0]], 1.0, 0.0), QuantityError, "cost must be pos"),
        (lambda: cheapest_plan([[1.0]], Candidates.of(np.zeros((0, 1)), 1.0), [1.0], 1),
         TaskError, "no reading to choose from"),
        (lambda: cheapest_plan([[1.0]], Candidates.of([[1.0]], 1.0), [1.0], 0.0),
         QuantityError, "target must be positive"),
        (lambda: exchange(np.eye(3), 2), QuantityError, "count must be at least 3"),
        (lambda: exchange(np.ones((4, 2)), 3), TaskError, "No set of these readings"),
        (lambda: exchange(np.eye(3), 4, repeats=False), QuantityError,
         "rows must be at least 4; got 3"),
        (lambda: standardized_variance(np.eye(2), np.ones((2, 2))), TaskError,
         "do not fix all unknowns"),
    ],
)  # fmt: skip
def test_impossible_plans_are_refused(call, error, message):
    """Each refusal is a sentence."""
    with pytest.raises(error, match=message):
        call()
