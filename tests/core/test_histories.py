"""Whole-tooth explanations: densities, Bayes' rule, and calibration."""

import numpy as np
import pytest
from scipy import integrate, stats

from splinewise.core.histories import brier_score, place_likelihood, posterior
from splinewise.errors import QuantityError

STEP = np.radians(0.6)


@pytest.mark.independent
@pytest.mark.parametrize("half", [0.0, 0.5 * STEP])
@pytest.mark.parametrize("apart", [-0.004, 0.0, 0.0093])
def test_independent_density_by_scipy(half, apart):
    """Normal, and normal convolved with an even spread by quadrature."""
    u, place = 0.002, 1
    off = apart - place * STEP

    def even(r):
        return stats.norm.pdf(off - r, scale=u) / (2.0 * half)

    expected = (
        integrate.quad(even, -half, half)[0] if half else stats.norm.pdf(off, scale=u)
    )

    found = place_likelihood(apart, u, [place], step=STEP, half_width=half)

    assert float(found[0]) == pytest.approx(expected, rel=1e-9)


@pytest.mark.independent
@pytest.mark.parametrize("apart", [-0.01, 0.005, 0.03])
def test_independent_settled_bar_is_a_skew_normal(apart):
    """A normal plus the size of a normal: SciPy's skewnorm, α = σ/u, ω² = σ² + u²."""
    u, width = 0.004, 0.0175
    expected = stats.skewnorm.pdf(apart, width / u, scale=np.hypot(width, u))

    found = place_likelihood(apart, u, [0], step=STEP, settled=width)

    assert float(found[0]) == pytest.approx(expected, rel=5e-3)


def test_probabilities_add_up_and_follow_bayes():
    found = posterior([3.0, 1.0, 0.0], [0.5, 0.25, 0.25])

    assert found.tolist() == pytest.approx([6 / 7, 1 / 7, 0.0])
    assert posterior([0.0, 0.0], [0.5, 0.5]).tolist() == [0.0, 0.0]


@pytest.mark.parametrize(
    "wrong", [{"step": 0.0}, {"half_width": -1.0}, {"settled": -1.0}]
)
def test_what_cannot_be_is_refused(wrong):
    with pytest.raises(QuantityError):
        place_likelihood(0.0, 0.01, [0], **{"step": 0.01, **wrong})


def test_brier_score_of_a_coin():
    """Half and half scores 1/2 whatever comes; sure and right 0, sure and wrong 2."""
    assert brier_score([[0.5, 0.5]], [1]) == pytest.approx(0.5)
    assert brier_score([[1.0, 0.0], [1.0, 0.0]], [0, 1]) == pytest.approx(1.0)


@pytest.mark.parametrize("share", [0.2, 0.5, 1.0])
def test_one_step_errors_are_recovered_with_calibrated_probabilities(share):
    """Of answers given with probability p, p are true; the score is that promised."""
    rng = np.random.default_rng(29)
    u, count = share * STEP, 20_000
    places = np.arange(-3, 4)
    before = np.array([0.02, 0.05, 0.18, 0.5, 0.18, 0.05, 0.02])
    truth = rng.choice(places.size, count, p=before)
    between = rng.uniform(-0.5, 0.5, count) * STEP
    seen = places[truth] * STEP + between + u * rng.standard_normal(count)

    like = place_likelihood(
        seen, np.full(count, u), places, step=STEP, half_width=STEP / 2
    )
    p = posterior(like, before)

    score = brier_score(p, truth)
    promised = float(np.mean(1.0 - np.sum(p**2, axis=-1)))
    best, right = p.max(axis=-1), p.argmax(axis=-1) == truth
    told = [
        (float(best[b].mean()), float(right[b].mean()), int(b.sum()))
        for low in np.arange(0.3, 1.0, 0.1)
        if (b := (best >= low) & (best < low + 0.1)).sum() > 300
    ]
    print(f"u = {share} step: Brier {score:.4f}, promised {promised:.4f}; {told}")  # noqa: T201
    assert score == pytest.approx(promised, abs=0.015)
    for said, was, many in told:
        assert abs(said - was) < 4.0 * np.sqrt(said * (1 - said) / many) + 0.005
