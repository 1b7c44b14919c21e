"""The fit against an independent solver, by its identities, and when it must refuse."""

import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from splinewise.core.leastsquares import (
    Constraints,
    Prior,
    fit,
    fit_linear,
    independent_prior,
)
from splinewise.errors import QuantityError, TaskError

seeds = st.integers(0, 2**32 - 1)
ANCHORS = np.array([[0.0, 0.0], [1.0, 0.1], [0.9, 1.2], [-0.2, 0.8]])


def ranges(p):
    """Distances from a point in the plane to four anchors."""
    return np.linalg.norm(p[..., None, :] - ANCHORS, axis=-1)


def random_problem(seed, rows=9, unknowns=3):
    rng = np.random.default_rng(seed)
    A = rng.normal(size=(rows, unknowns))
    u = rng.uniform(0.5, 2.0, rows)
    return A, A @ rng.normal(size=unknowns) + u * rng.normal(size=rows), u


@pytest.mark.independent
@settings(deadline=None)
@given(seeds)
def test_against_scipy(seed):
    """The same point and covariance as scipy.optimize.least_squares finds."""
    from scipy.optimize import least_squares

    rng = np.random.default_rng(seed)
    u = rng.uniform(1e-3, 5e-3, 4)
    read = ranges(rng.uniform(0.2, 0.7, 2)) + u * rng.normal(size=4)

    ours = fit(ranges, [0.4, 0.4], read, u)
    theirs = least_squares(
        lambda p: (ranges(p) - read) / u, [0.4, 0.4], method="lm", xtol=1e-14,
        ftol=1e-14, gtol=1e-14,
    )  # fmt: skip

    assert_allclose(ours.parameters, theirs.x, atol=1e-8)
    assert_allclose(ours.square_sum, 2 * theirs.cost, rtol=1e-7, atol=1e-12)
    normal = np.linalg.inv(theirs.jac.T @ theirs.jac)
    assert_allclose(ours.covariance, normal, rtol=1e-4, atol=1e-4 * normal.max())


@given(seeds)
def test_identities_of_a_fit(seed):
    """Redundancy sums to the dof, residuals are P-orthogonal to A, hat projects."""
    A, read, u = random_problem(seed)

    f = fit_linear(A, read, u)

    assert f.dof == 6
    assert f.redundancy.sum() == pytest.approx(6, abs=1e-9)
    assert_allclose(A.T @ f.weighted, 0.0, atol=1e-9 * np.abs(read).max())
    assert_allclose(f.hat @ f.hat, f.hat, atol=1e-10)
    assert_allclose(np.diag(f.hat), 1 - f.redundancy, atol=1e-10)
    assert_allclose(f.adjusted, A @ f.parameters, rtol=1e-10, atol=1e-10)
    spread = np.sqrt(np.diag(f.residual_covariance))
    assert_allclose(f.standardized, f.residuals / spread, rtol=1e-8)
    assert_allclose(f.tau * f.s0, f.standardized, rtol=1e-12)
    assert f.covariance_scaled[0, 0] == pytest.approx(f.doubts_scaled[0] ** 2)


@given(seeds)
def test_order_and_units_do_not_matter(seed):
    """Shuffled readings, unknowns in other units: the same answer."""
    A, read, u = random_problem(seed)
    order = np.random.default_rng(seed).permutation(len(read))
    units = np.array([1e-3, 1.0, 1e6])

    plain = fit_linear(A, read, u)
    other = fit_linear(A[order] * units, read[order], u[order])

    assert_allclose(other.parameters * units, plain.parameters, rtol=1e-7, atol=1e-9)
    assert_allclose(other.doubts * units, plain.doubts, rtol=1e-9)


@given(seeds)
def test_a_prior_is_a_reading(seed):
    """A prior of covariance C gives what readings with that covariance would."""
    A, read, u = random_problem(seed)
    rng = np.random.default_rng(seed)
    half = rng.normal(size=(2, 2)) + 2 * np.eye(2)
    C, mean = half @ half.T, rng.normal(size=2)

    f = fit_linear(A, read, u, prior=Prior(np.array([0, 2]), mean, C))

    E = np.eye(3)[[0, 2]]
    N = A.T @ np.diag(u**-2) @ A + E.T @ np.linalg.inv(C) @ E
    b = A.T @ (read / u**2) + E.T @ np.linalg.inv(C) @ mean
    assert_allclose(f.parameters, np.linalg.solve(N, b), rtol=1e-8, atol=1e-9)
    assert_allclose(f.covariance, np.linalg.inv(N), rtol=1e-8, atol=1e-10)
    assert (f.dof, f.readings, f.residuals.size) == (8, 9, 11)
    assert f.redundancy.sum() == pytest.approx(8, abs=1e-9)
    assert_allclose(f.residuals[9:], f.parameters[[0, 2]] - mean, atol=1e-10)


@given(seeds)
def test_constraints_hold_exactly(seed):
    """C x = d is met, and the covariance has no width across it."""
    A, read, u = random_problem(seed)
    C = np.array([[1.0, 1.0, 0.0], [2.0, 2.0, 0.0]])  # one condition, said twice

    f = fit_linear(A, read, u, constraints=Constraints(C, np.array([0.5, 1.0])))

    assert_allclose(C @ f.parameters, [0.5, 1.0], atol=1e-10)
    assert_allclose(C @ f.covariance, 0.0, atol=1e-9)
    assert f.dof == 7
    # By elimination: x2 = 0.5 - x1.
    B = np.column_stack([A[:, 0] - A[:, 1], A[:, 2]])
    free = fit_linear(B, read - 0.5 * A[:, 1], u)
    assert_allclose(f.parameters[[0, 2]], free.parameters, atol=1e-8)
    assert_allclose(f.doubts[[0, 2]], free.doubts, rtol=1e-8)


def test_a_batch_is_its_members():
    """Three fits together give what they give alone, starts and readings apart."""
    rng = np.random.default_rng(5)
    truth = rng.uniform(0.2, 0.7, (3, 2))
    read = ranges(truth) + 1e-3 * rng.normal(size=(3, 4))
    start = truth + 0.2

    together = fit(ranges, start, read, np.full(4, 1e-3))

    for i in range(3):
        alone = fit(ranges, start[i], read[i], np.full(4, 1e-3))
        assert_allclose(together.parameters[i], alone.parameters, atol=1e-11)
        assert_allclose(together.covariance[i], alone.covariance, rtol=1e-6)
        assert_allclose(together.standardized[i], alone.standardized, rtol=1e-5)
    assert together.s0.shape == together.chance_above.shape == (3,)


def test_pulls_are_standard_normal():
    """Over 4000 fits of drawn readings, (found − true) / doubt has mean 0, sd 1."""
    rng = np.random.default_rng(6)
    truth = np.array([0.45, 0.5])
    read = ranges(truth) + 1e-3 * rng.normal(size=(4000, 4))

    f = fit(ranges, truth, read, np.full(4, 1e-3))
    pulls = (f.parameters - truth) / f.doubts

    assert np.all(np.abs(pulls.mean(axis=0)) < 4 / np.sqrt(4000))
    assert np.all(np.abs(pulls.std(axis=0) - 1) < 4 / np.sqrt(8000))
    assert np.mean(f.chance_above < 0.05) == pytest.approx(0.05, abs=0.014)
    inside = np.mean(np.abs(pulls) < 1.959964, axis=0)
    assert np.all((inside > 0.93) & (inside < 0.97))


def test_the_model_may_refuse_a_step():
    """Where a step leaves the mechanism's reach (NaN) the search turns back."""

    def reach(x):
        with np.errstate(invalid="ignore"):
            return np.sqrt(1.0 - x * x)  # a link of length 1

    f = fit(reach, [0.01], [0.2], [1e-3])

    assert abs(f.parameters[0]) == pytest.approx(np.sqrt(0.96), rel=1e-9)


def test_perfect_readings():
    """Readings without error leave no residual and no alarm."""
    f = fit(ranges, [0.4, 0.4], ranges(np.array([0.3, 0.55])), np.full(4, 1e-3))

    assert_allclose(f.parameters, [0.3, 0.55], atol=1e-12)
    assert f.square_sum < 1e-15
    assert f.chance_above == pytest.approx(1.0)


def test_a_batch_may_be_kept_in_part():
    """One fit of two cannot settle: refused, unless asked for, and then marked."""
    read, u = np.array([[1.0], [100.0]]), [1e-3]

    with pytest.raises(TaskError, match="did not settle"):
        fit(np.exp, [0.1], read, u, limit=3)
    kept = fit(np.exp, [0.1], read, u, limit=7, partial=True)

    assert kept.converged.tolist() == [True, False]
    assert kept.parameters[0, 0] == pytest.approx(0.0, abs=1e-9)


def test_without_redundancy_nothing_is_tested():
    """Two readings of two unknowns: no dof, no s0, every reading uncheckable."""
    f = fit_linear(np.eye(2), [1.0, 2.0], [0.1, 0.1])

    assert f.dof == 0
    assert np.isnan(f.s0)
    assert np.all(np.isnan(f.standardized))
    assert not np.any(f.checkable)
    assert (f.chance_above, f.chance_two_sided) == (1.0, 1.0)
    assert f.bounds().tolist() == [0.0, np.inf]


def test_unfixed_unknowns_are_named():
    """The message says which unknown no reading depends on."""
    with pytest.raises(TaskError, match=r"do not fix bar rate: add a reading"):
        fit_linear([[1.0, 0.0]] * 3, [1.0] * 3, [1.0] * 3, names=("angle", "bar rate"))
    with pytest.raises(TaskError, match="unknown 1, unknown 2"):
        fit_linear([[1.0, 1.0]] * 3, [1.0] * 3, [1.0] * 3)
    with pytest.raises(TaskError, match="do not fix"):
        fit_linear([[1.0, 1.0, 0.0]], [1.0], [1.0])


@pytest.mark.parametrize(
    ("call", "error", "message"),
    [
        (lambda: fit(ranges, [np.nan, 0.0], [1.0] * 4, [1.0] * 4), QuantityError,
         "start must be finite"),
        (lambda: fit(ranges, [0.0, 0.0], [np.inf] * 4, [1.0] * 4), QuantityError,
         "observed must be finite"),
        (lambda: fit(ranges, [0.1, 0.0], [1.0] * 4, [0.0] * 4), QuantityError,
         "standard must be positive"),
        (lambda: fit(lambda x: x * np.nan, [0.1], [1.0], [1.0]), TaskError,
         "no value at the starting point"),
        (lambda: fit(np.exp, [5.0], [1.0], [1e-3], limit=2), TaskError,
         "did not settle in 2 steps"),
        (lambda: fit_linear(np.eye(2), [1.0, 1.0], [1.0, 1.0],
                            prior=Prior(np.arange(2), np.zeros(2), -np.eye(2))),
         TaskError, "not positive definite"),
        (lambda: fit_linear(np.eye(2), [1.0, 1.0], [1.0, 1.0],
                            constraints=Constraints(np.ones((2, 2)), np.arange(2.0))),
         TaskError, "contradict one another"),
        (lambda: independent_prior([1.0], [0.0]), QuantityError,
         "standard must be positive"),
    ],
)  # fmt: skip
def test_impossible_fits_are_refused(call, error, message):
    """Each refusal is a sentence."""
    with pytest.raises(error, match=message):
        call()


def test_an_infinite_prior_doubt_is_no_prior():
    """Only finite doubts make rows."""
    prior = independent_prior([1.0, 2.0, 3.0], [0.1, np.inf, 0.3])

    assert prior.index.tolist() == [0, 2]
    assert_allclose(prior.covariance, np.diag([0.01, 0.09]))


def test_sixty_readings_within_fifty_milliseconds():
    """The promised speed, warm, with a cheap nonlinear model of 12 unknowns."""
    rng = np.random.default_rng(7)
    A = rng.normal(size=(60, 12))
    u = np.full(60, 0.01)
    read = np.sin(A @ np.full(12, 0.1)) + u * rng.normal(size=60)

    def model(p):
        return np.sin(p @ A.T)

    fit(model, np.full(12, 0.08), read, u)
    best = np.inf
    for _ in range(5):
        begun = time.perf_counter()
        fit(model, np.full(12, 0.08), read, u)
        best = min(best, time.perf_counter() - begun)

    assert best < 0.050
