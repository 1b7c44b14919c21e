"""Networks found from bad starts and none, and what they must own up to."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from splinewise.core.derivatives import complex_step
from splinewise.core.network import adjust, square_sum_of
from splinewise.core.network_datum import datum_freedoms
from splinewise.core.network_start import (
    classical_scaling,
    gross_starts,
    shortest_ways,
    superpose,
)
from splinewise.core.network_ties import TieModel, distance, height, level, plan
from splinewise.core.snooping import Finding, judge
from splinewise.errors import QuantityError, TaskError

seeds = st.integers(0, 2**32 - 1)
# A made-up corner in metres: pivots, ball joints, damper bolts, wheel centre.
CORNER = np.array(
    [[0.12, 0.23, 0.24], [-0.18, 0.23, 0.235], [0.005, 0.575, 0.205],
     [0.06, 0.33, 0.455], [-0.12, 0.33, 0.445], [-0.012, 0.56, 0.44],
     [0.02, 0.29, 0.56], [0.0, 0.64, 0.305]]
)  # fmt: skip
PAIRS = [(i, j) for j in range(8) for i in range(j)]
# Two stiff frames that share one point and one more tie: they can still turn.
HINGED = [p for p in PAIRS if max(p) < 4 or (min(p) > 2 and max(p) < 7)] + [(0, 4)]
UNKNOWN = np.full((8, 3), np.nan)


def taped(points, pairs, rng=None, u=5e-4):
    noise = rng.normal(0, u, len(pairs)) if rng is not None else np.zeros(len(pairs))
    return [
        distance(i, j, float(np.linalg.norm(points[i] - points[j]) + e), u)
        for (i, j), e in zip(pairs, noise, strict=True)
    ]


def some_pairs(rng, keep=22):
    return [PAIRS[k] for k in sorted(rng.choice(len(PAIRS), keep, replace=False))]


@settings(max_examples=12, deadline=None)
@given(seeds)
def test_a_corner_is_found_without_a_start(seed):
    """Perfect distances alone give the shape back, up to hand and place."""
    pairs = some_pairs(np.random.default_rng(seed), 25)

    found = adjust(taped(CORNER, pairs), 8)

    assert found.datum_defect == 6
    assert found.mirrored
    shapes = (found.coordinates, *found.others)
    errors = [
        np.abs(superpose(s, CORNER, upright=False) - CORNER).max() for s in shapes
    ]
    assert min(errors) < 1e-7


@settings(max_examples=12, deadline=None)
@given(seeds)
def test_a_bad_start_does_not_matter(seed):
    """Rough coordinates out by 0.3 m lead to the same shape as good ones."""
    rng = np.random.default_rng(seed)
    ties = taped(CORNER, PAIRS, rng)

    good = adjust(ties, 8, near=CORNER)
    bad = adjust(ties, 8, near=CORNER + rng.normal(0, 0.3, CORNER.shape))

    assert_allclose(good.fit.square_sum, bad.fit.square_sum, rtol=1e-6)
    moved = superpose(bad.coordinates, good.coordinates, upright=False)
    assert_allclose(moved, good.coordinates, atol=1e-6)
    assert not good.mirrored


def test_levels_and_heights_stand_the_network_up():
    """With three heights over the floor only turning and shifting on it are open."""
    pairs = [(i, j) for i, j in PAIRS if (i + j) % 2]
    ties = taped(CORNER, pairs) + [
        height(i, float(CORNER[i, 2]), 1e-3) for i in (0, 2, 5, 7)
    ]
    ties += [level(3, 6, 0.105, 1e-3), level(4, 1, -0.210, 1e-3)]

    found = adjust(ties, 8, near=np.where(np.arange(8)[:, None] < 3, CORNER, np.nan))

    assert found.datum_defect == 3
    assert_allclose(found.coordinates[:, 2], CORNER[:, 2], atol=1e-9)
    moved = superpose(found.coordinates, CORNER, upright=True)
    assert_allclose(moved, CORNER, atol=1e-8)


def test_three_given_points_hold_the_rest():
    """No datum is left open, the given points have no doubt, the hand is ours to say."""
    held = np.where(np.isin(np.arange(8), [0, 1, 3])[:, None], CORNER, np.nan)
    ties = taped(CORNER, PAIRS)

    near = adjust(ties, 8, held=held, near=CORNER + 0.02)
    free = adjust(ties, 8, held=held)

    assert near.datum_defect == 0
    assert_allclose(near.coordinates, CORNER, atol=1e-8)
    assert np.all(near.doubts[[0, 1, 3]] == 0.0)
    assert np.all(near.doubts[[2, 4, 5, 6, 7]] > 0.0)
    # Three points make a plane: the mirror image in it agrees as well, and is told.
    assert len(free.others) >= 1
    shapes = (free.coordinates, *free.others)
    assert min(np.abs(s - CORNER).max() for s in shapes) < 1e-7


def test_plan_and_level_make_a_distance():
    """A point plumbed to the floor: two plan distances and a height fix it."""
    points = np.array([[0, 0, 0], [1.0, 0, 0], [0.4, 0.7, 0.3]])
    held = np.array([[0, 0, 0], [1.0, 0, 0], [np.nan] * 3])
    ties = [
        plan(0, 2, float(np.hypot(0.4, 0.7)), 1e-3),
        plan(1, 2, float(np.hypot(0.6, 0.7)), 1e-3),
        height(2, 0.3, 1e-3),
    ]

    found = adjust(
        ties, 3, held=held, near=np.array([[0, 0, 0], [1, 0, 0], [0.5, 1, 0]])
    )

    assert_allclose(found.coordinates, points, atol=1e-9)
    assert len(found.others) == 1


def test_inner_constraints_do_not_move_the_middle():
    """The free datum keeps the mean of the rough coordinates and has least trace."""
    rng = np.random.default_rng(4)
    ties = taped(CORNER, PAIRS, rng)
    near = CORNER + rng.normal(0, 1e-3, CORNER.shape)

    free = adjust(ties, 8, near=near)
    pinned = adjust(ties, 8, near=near, held=np.where(
        np.arange(8)[:, None] == 0, near, np.nan))  # fmt: skip

    assert_allclose(free.coordinates.mean(axis=0), near.mean(axis=0), atol=1e-9)
    trace = [np.sum(n.doubts**2) for n in (free, pinned)]
    assert trace[0] < trace[1]
    assert_allclose(free.fit.residuals, pinned.fit.residuals, atol=1e-8)
    assert free.fit.dof == pinned.fit.dof == 28 - 24 + 6


def test_a_gross_misread_is_pointed_at():
    """0.43 m typed as 1.80 m bends the shape flat; the tests still name the reading."""
    ties = taped(CORNER, PAIRS, np.random.default_rng(12))
    row = PAIRS.index((1, 4))
    ties[row] = distance(1, 4, 1.80, 5e-4)

    net = adjust(ties, 8, near=CORNER)
    verdict = judge(net.tested)

    assert net.tested is not net.fit
    assert verdict.finding is Finding.READING_WRONG
    assert verdict.suspects == (row,)
    moved = superpose(net.agreed, CORNER, upright=False)
    assert np.abs(moved - CORNER).max() < 5e-3
    assert np.abs(net.coordinates - CORNER).max() > 0.02
    # The true length in its place makes everything agree again.
    read = net.fit.observed.copy()
    read[row] = np.linalg.norm(CORNER[1] - CORNER[4])
    assert square_sum_of(net, read) < 50


def test_readings_that_agree_are_tested_as_they_are():
    """Without a gross misread there is one fit, and one shape."""
    net = adjust(taped(CORNER, PAIRS, np.random.default_rng(13)), 8, near=CORNER)
    assert net.tested is net.fit
    assert np.array_equal(net.agreed, net.coordinates)


def test_far_from_the_origin_nothing_is_lost():
    """Coordinates of millions of metres give the doubts that they give at home."""
    rng = np.random.default_rng(8)
    ties = taped(CORNER, PAIRS, rng)
    far = np.array([2.4e6, 3.9e5, 100.0])

    home = adjust(ties, 8, near=CORNER)
    away = adjust(ties, 8, near=CORNER + far)

    assert_allclose(away.coordinates - far, home.coordinates, atol=2e-9)
    assert_allclose(away.doubts, home.doubts, rtol=1e-6)


@pytest.mark.independent
def test_doubts_against_drawn_networks():
    """The scatter of a distance over 400 drawn networks is its computed doubt."""
    rng = np.random.default_rng(9)
    model = TieModel.of(taped(CORNER, PAIRS), 3)
    one = adjust(taped(CORNER, PAIRS), 8, near=CORNER)
    J = one.fit.jacobian
    gain = one.fit.covariance @ J.T / one.fit.standard**2
    ends = np.array([2, 5])
    drawn = []
    for _ in range(400):
        step = gain @ (one.fit.standard * rng.normal(size=len(PAIRS)))
        points = (CORNER.ravel() + step).reshape(8, 3)
        drawn.append(np.linalg.norm(np.diff(points[ends], axis=0)))
    row = PAIRS.index((2, 5))

    computed = np.sqrt(J[row] @ one.fit.covariance @ J[row])

    assert np.std(drawn) == pytest.approx(computed, rel=4 / np.sqrt(800))
    assert model.values(CORNER.ravel())[row] == pytest.approx(np.mean(drawn), abs=1e-4)


@given(seeds)
def test_slopes_of_all_kinds(seed):
    """Derivatives of every kind of reading against the complex step."""
    rng = np.random.default_rng(seed)
    x = rng.normal(size=12)
    ties = [distance(0, 1, 1, 1), plan(1, 2, 1, 1), level(2, 3, 1, 1), height(3, 1, 1)]
    model = TieModel.of(ties, 3)
    assert_allclose(model.slopes(x), complex_step(model.values, x), atol=1e-12)


def test_datum_freedoms_count():
    """Six in space, three in the plane, one upright; five for points on a line."""
    rng = np.random.default_rng(1)
    assert datum_freedoms(rng.normal(size=(5, 3))).shape == (15, 6)
    assert datum_freedoms(rng.normal(size=(5, 2))).shape == (10, 3)
    assert datum_freedoms(rng.normal(size=(5, 1))).shape == (5, 1)
    line = np.outer(np.arange(4.0), [1.0, 2.0, 3.0])
    assert datum_freedoms(line).shape == (12, 5)


def test_classical_scaling_gives_the_distances_back():
    """A whole table of true distances is met exactly."""
    D = np.linalg.norm(CORNER[:, None] - CORNER, axis=-1)
    X = classical_scaling(D, 3)
    assert_allclose(np.linalg.norm(X[:, None] - X, axis=-1), D, atol=1e-12)


def test_shortest_ways_fill_the_gaps():
    """An unread distance is at most the way round, and the longest if there is none."""
    ties = [distance(0, 1, 1.0, 1e-3), distance(1, 2, 2.0, 1e-3), level(0, 3, 1, 1)]
    D = shortest_ways(ties, 4, np.full((4, 3), np.nan))
    assert D[0, 2] == D[2, 0] == 3.0
    assert D[0, 3] == 3.0


def test_starts_keep_what_is_given():
    """Every start has the given coordinates in place and stands on its levels."""
    held = UNKNOWN.copy()
    held[2] = CORNER[2]
    ties = [*taped(CORNER, PAIRS), level(0, 3, 0.215, 1e-3), level(2, 5, 0.235, 1e-3),
            level(0, 6, 0.32, 1e-3), height(7, 0.305, 1e-3)]  # fmt: skip

    starts = gross_starts(ties, held, UNKNOWN, copies=2, seed=3)

    assert_allclose(starts[:, 2], np.broadcast_to(CORNER[2], (len(starts), 3)))
    rise = starts[0, 3, 2] - starts[0, 0, 2]
    assert rise == pytest.approx(0.215, abs=0.02)


def test_superpose_moves_as_one_body():
    """Turned, shifted and mirrored points come back exactly."""
    R, _ = np.linalg.qr(np.random.default_rng(2).normal(size=(3, 3)))
    moved = CORNER @ R + [1.0, 2.0, 3.0]
    assert_allclose(superpose(moved, CORNER, upright=False), CORNER, atol=1e-12)
    yaw = CORNER @ np.array([[0, 1, 0], [-1, 0, 0], [0, 0, 1]]) + [0, 0, 5]
    assert_allclose(superpose(yaw, CORNER, upright=True), CORNER, atol=1e-12)
    assert superpose(CORNER, UNKNOWN, upright=True) is CORNER


@pytest.mark.parametrize(
    ("call", "error", "message"),
    [
        (lambda: adjust(taped(CORNER, PAIRS[:15]), 8, near=CORNER,
                        names=("pivot", "b", "c", "d", "e", "f", "g", "wheel")),
         TaskError, "do not fix g: 0 concern it, and in 3 dimensions"),
        (lambda: adjust(taped(CORNER, HINGED), 7),
         TaskError, "do not fix .* of point .* and .* more: add a reading"),
        (lambda: distance(1, 1, 1.0, 1e-3), TaskError, "needs two different points"),
        (lambda: distance(0, 1, -1.0, 1e-3), QuantityError, "value must be positive"),
        (lambda: level(0, 1, 1.0, 0.0), QuantityError, "standard must be positive"),
        (lambda: height(-1, 1.0, 1e-3), QuantityError, "first must be at least 0"),
        (lambda: adjust([height(3, 1.0, 1e-3)], 2), QuantityError,
         "point must be from 0 to 1; got 3"),
        (lambda: adjust([plan(0, 1, 1.0, 1e-3)], 2, dimensions=2), TaskError,
         "in plan needs points with three"),
        (lambda: adjust([distance(0, 1, 1.0, 1e-3)], 2, dimensions=1), TaskError,
         "A distance needs points with two"),
        (lambda: adjust([height(0, 1.0, 1e-3)], 1, held=[[1.0]]), TaskError,
         "1 points of 3 numbers; got the shape"),
    ],
)  # fmt: skip
def test_impossible_networks_are_refused(call, error, message):
    """Each refusal names the point or the number."""
    with pytest.raises(error, match=message):
        call()
