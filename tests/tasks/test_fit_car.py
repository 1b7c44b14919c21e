"""All readings of a corner fitted together: values, doubts, misreads, coverage."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import optimize

from cars import demo, figure, reading, van_left, with_corner
from splinewise.core.derivatives import central_difference
from splinewise.core.noticeable import smallest_noticeable
from splinewise.core.snooping import Finding, judge
from splinewise.errors import TaskError
from splinewise.tasks.doubts import observed_doubt, standard_doubt
from splinewise.tasks.fit_car import readings
from splinewise.tasks.fit_joint import fitted, joint_of, solve_joint
from splinewise.tasks.fit_model import LoadTest
from splinewise.units import read

CASES = [(n, c) for n in ("tourer", "van") for c in demo(n).corners]


def inches(text):
    quantity = read(text, "length")
    return figure(quantity.value, text=text, step=quantity.step)


def misread(name, of, text):
    """Return the tourer with one reading of its left corner typed otherwise."""
    car = demo("tourer")
    here = car.corners["front-left"]
    seen = tuple(
        replace(r, figure=inches(text)) if r.of == of else r for r in here.readings
    )
    return with_corner(car, name, readings=seen)


@pytest.mark.parametrize(("name", "corner"), CASES)
def test_slopes_are_those_of_the_values(name, corner):
    joint = joint_of(demo(name), [corner])
    x = solve_joint(joint).fit.parameters
    scale = np.maximum(0.05 * np.abs(x), 1e-3)

    numeric = central_difference(joint.values, x, scale=scale).jacobian

    assert joint.slopes(x) * scale == pytest.approx(numeric * scale, abs=1e-9)


def test_independent_fit_of_the_van():
    """A plain arm in trigonometry, least energy, and SciPy's least squares."""
    car, corner = demo("van"), demo("van").corners["front-left"]
    mine = van_left()
    seen = {r.of: r for r in corner.readings}
    drawn = corner.ride_height.drawn
    known = [corner.bar.rate, corner.load, drawn]

    def misfit(x):
        slack, rate, load, height = x
        angle = mine.stands(slack, rate=rate, load=load)
        told = {
            "setting length": mine.length(*mine.triangle, slack),
            "arm slope": slack + mine.slope,
            "ride height": height - mine.rise(angle),
        }
        rows = [
            (told[of] - r.figure.value) / observed_doubt(r)[0] for of, r in seen.items()
        ]
        rows += [
            (v - f.value) / standard_doubt(f) for v, f in zip(x[1:], known, strict=True)
        ]
        return np.array(rows)

    start = [-0.48, known[0].value, known[1].value, drawn.value]
    best = optimize.least_squares(misfit, start, x_scale=[0.1, 100, 100, 0.01])
    doubts = np.sqrt(np.diag(np.linalg.inv(best.jac.T @ best.jac)))

    fit = solve_joint(joint_of(car, ["left"])).fit

    assert fit.parameters == pytest.approx(best.x, rel=2e-5)
    assert fit.doubts == pytest.approx(doubts, rel=1e-3)
    assert float(fit.square_sum) == pytest.approx(2.0 * best.cost, rel=1e-3)


def test_a_digit_left_out_is_named():
    found = readings(misread("front-left", "setting length", "18 9/32 in"), ["left"])

    assert found.finding == "this reading is wrong"
    assert not found.agrees
    wrong = [r.name for r in found.rows if r.verdict == "wrong"]
    assert wrong == ["setting length as found"]
    assert found.misreads[0].instead == ("18 19/32 in",)
    assert (
        "were 18 19/32 in for 18 9/32 in, everything agrees" in found.misreads[0].words
    )


def test_where_the_readings_cannot_tell_no_name_is_given():
    """Height, load, rate and drawn height hang on one redundancy."""
    found = readings(misread("front-left", "ride height", "17 5/8 in"), ["left"])

    assert found.finding == "something is wrong"
    suspects = {r.name for r in found.rows if r.verdict == "suspect"}
    assert "height as found" in suspects
    assert "bar rate, from the file" in suspects
    assert not any(r.verdict == "wrong" for r in found.rows)


def test_one_reading_has_nothing_to_compare():
    car = demo("van")
    alone = with_corner(
        car, "front-left", readings=(reading("arm slope", -0.58, 0.01),)
    )

    found = readings(alone, ["left"])

    assert found.finding == "nothing to compare"
    assert "any misread would stand" in found.words
    assert math.isnan(found.rows[0].times)
    assert found.rows[0].verdict == "cannot tell"


def test_nothing_read_is_refused():
    car = with_corner(demo("van"), "front-left", readings=())

    with pytest.raises(TaskError, match="Nothing was read of how front-left is set"):
        readings(car, ["left"])


def test_a_load_test_beats_the_rate_from_the_diameter():
    car = demo("tourer")
    solved = solve_joint(joint_of(car, ["left"]))
    model = solved.joint.models[0]
    x = solved.joint.full(solved.fit.parameters, 0)
    added = 50.0 * 9.80665
    before, after = model.angle(x), model.angle(x, added)
    fall = float(model._risen(after) - model._risen(before))
    test = LoadTest(added, figure(fall), 0.2e-3)

    found = readings(car, ["left"], load_tests={"front-left": test})

    (rate,) = [v for v in found.values if v.name == "bar rate"]
    assert rate.after.doubt < 0.5 * rate.before.doubt
    assert rate.after.value == pytest.approx(solved.fit.parameters[1], rel=1e-6)


def test_one_rate_for_both_bars():
    car = demo("tourer")
    found = readings(car, list(car.corners), same_bars=True)
    apart = readings(car, ["left"])

    def doubt(result):
        (rate,) = [v for v in result.values if v.name == "bar rate"]
        return rate.after.doubt

    assert found.corners == ("front-left", "front-right")
    assert doubt(found) < doubt(apart)
    with pytest.raises(TaskError, match="not the same in the file"):
        readings(demo("van"), list(demo("van").corners), same_bars=True)


# --- simulated cars


def simulated(corner_car, count, seed, *, blunder=None):
    """Return truths and a batch of fits of simulated cars; figures of the file vary."""
    rng = np.random.default_rng(seed)
    joint = joint_of(corner_car, ["left"])
    base = solve_joint(joint).fit
    known = np.array([u.standard for u in joint.unknowns])
    truth = base.parameters + rng.standard_normal((count, known.size)) * np.where(
        np.isfinite(known), known, 0.02
    )
    # What the file says stays; the truth scatters about it, as its doubt tells.
    start = np.array([u.start for u in joint.unknowns])
    truth[:, 1:] += (start - base.parameters)[1:]
    u = np.array([row.standard for _, row in joint.rows])
    seen = joint.values(truth) + u * rng.standard_normal((count, u.size))
    if blunder is not None:
        row, size = blunder
        seen[:, row] += size
    return joint, truth, fitted(joint, seen)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["tourer", "van"])
def test_95_per_cent_intervals_hold_the_truth(name):
    """2,000 simulated cars: 93 to 97 in a hundred of each figure."""
    joint, truth, fit = simulated(demo(name), 2000, 11)
    height = joint.models[0].height
    held = np.abs(fit.parameters - truth) <= 1.959964 * fit.doubts
    share = held.mean(axis=0)
    real = height(joint.full(truth, 0))
    said = height(joint.full(fit.parameters, 0))
    slopes = [
        joint.models[0].height_slope(joint.full(p, 0)) for p in fit.parameters[:1]
    ]
    spread = joint.spread(slopes[0], 0)
    doubt = np.sqrt(spread @ fit.covariance[0] @ spread)
    high = np.mean(np.abs(real - said) <= 1.959964 * doubt)

    print(f"{name}: held {share}, ride height {high:.3f}")  # noqa: T201
    assert np.all((share > 0.93) & (share < 0.97))
    assert 0.93 < high < 0.97


@pytest.mark.slow
def test_a_planted_misread_raises_the_alarm_as_announced():
    """An error of the announced size is noticed 80 times in 100, and named rightly."""
    car = demo("van")
    _, _, fit = simulated(car, 1, 3)
    size = float(np.atleast_2d(smallest_noticeable(fit))[0, 0])
    count = 600
    _, _, batch = simulated(car, count, 5, blunder=(0, size))
    single = np.abs(batch.standardized[:, 0]) > 3.2905
    said = [judge(batch.one(i)) for i in range(count)]
    named = [v.suspects[0] for v in said if v.finding is Finding.READING_WRONG]

    power = single.mean()
    right = np.mean(np.array(named) == 0)
    print(f"power {power:.3f}, named {len(named)}, rightly {right:.3f}")  # noqa: T201
    assert right > 0.9
    # Three standard deviations of 600 draws at 80 %.
    assert abs(power - 0.80) < 3.0 * math.sqrt(0.8 * 0.2 / count)
