"""Pass, fail or cannot tell: the verdict on a corner, and left against right."""

import json
from dataclasses import replace

import pytest
from scipy import stats

from cars import demo, figure, reading, with_corner
from commands import run
from splinewise.errors import TaskError
from splinewise.tasks.prove import Wanted, chance_words, prove


def standing(height, doubt, *, wanted=0.405, tolerance=0.006):
    """Return the van with one height read, all else known so well that it rules."""
    car = demo("van")
    here = car.corners["front-left"]
    ride = replace(here.ride_height, wanted=figure(wanted), tolerance=figure(tolerance))
    return with_corner(
        car,
        "front-left",
        ride_height=ride,
        readings=(reading("ride height", height, doubt, state="standing"),),
    )


@pytest.mark.independent
@pytest.mark.parametrize("height", [0.400, 0.4050, 0.4105, 0.416])
def test_independent_probability_by_scipy(height):
    """The height alone was read: normal, with the reading's own standard doubt."""
    doubt = 0.002 * 3**0.5

    found = prove(standing(height, doubt), "left", Wanted(), risk=0.05)

    law = stats.norm(height, 0.002)
    inside = law.cdf(0.411) - law.cdf(0.399)
    assert found.found.value == pytest.approx(height, abs=1e-9)
    assert found.found.doubt == pytest.approx(0.002, rel=1e-6)
    assert found.inside == pytest.approx(inside, rel=1e-6)
    expected = "pass" if inside >= 0.95 else "fail" if inside <= 0.05 else "cannot tell"
    assert found.outcome == expected


def test_the_acceptance_limits_are_where_the_verdict_turns():
    proof = prove(standing(0.405, 0.002), "left", Wanted(), risk=0.05)
    low, high = (v.value for v in proof.acceptance)

    for edge, inward in ((low, 1e-6), (high, -1e-6)):
        within = prove(standing(edge + inward, 0.002), "left", Wanted(), risk=0.05)
        beyond = prove(standing(edge - inward, 0.002), "left", Wanted(), risk=0.05)
        assert (within.outcome, beyond.outcome) == ("pass", "cannot tell")
    assert proof.guard_band.value == pytest.approx(0.411 - high)


def test_a_doubt_too_large_for_anything_to_pass():
    proof = prove(standing(0.405, 0.02), "left", Wanted(), risk=0.05)

    assert proof.outcome == "cannot tell"
    assert not proof.guard_band.known
    needed = proof.doubt_needed.value
    fine = prove(standing(0.405, 0.999 * needed * 3**0.5), "left", Wanted(), risk=0.05)
    assert fine.outcome == "pass"


def test_left_against_right():
    proof = prove(demo("tourer"), "left", Wanted(), risk=0.05)
    other = prove(demo("tourer"), "right", Wanted(), risk=0.05)

    assert proof.level.higher.value == pytest.approx(
        proof.found.value - other.found.value
    )
    assert other.level.higher.value == pytest.approx(-proof.level.higher.value)
    assert "lower than front-right" in proof.level.words


def test_a_length_with_the_bar_slack():
    wanted = Wanted("setting length", tolerance=0.001)

    right = prove(demo("tourer"), "left", wanted, risk=0.05)
    wrong = prove(demo("tourer"), "right", wanted, risk=0.05)

    assert (right.outcome, wrong.outcome) == ("pass", "fail")
    assert right.wanted.value == pytest.approx((18 + 19 / 32) * 0.0254)


def test_what_cannot_be_judged_is_refused():
    car = demo("tourer")
    with pytest.raises(TaskError, match="between 0 and one half"):
        prove(car, "left", Wanted(), risk=0.5)
    with pytest.raises(TaskError, match="give --within"):
        prove(car, "left", Wanted("setting length"), risk=0.05)
    with pytest.raises(TaskError, match="above 0"):
        prove(car, "left", Wanted(tolerance=0.0), risk=0.05)
    with pytest.raises(TaskError, match="no dimension called 'width'"):
        prove(car, "left", Wanted("width", tolerance=0.1), risk=0.05)
    bare = with_corner(car, "front-left", ride_height=None)
    with pytest.raises(TaskError, match="where the ride height"):
        prove(bare, "left", Wanted(), risk=0.05)


def test_readings_that_disagree_prove_nothing():
    car = standing(0.405, 0.002)
    seen = (
        *car.corners["front-left"].readings,
        reading("ride height", 0.445, 0.002, state="standing", name="read again"),
    )
    both = with_corner(car, "front-left", readings=seen)

    proof = prove(both, "left", Wanted(value=0.425), risk=0.05)

    assert proof.outcome == "pass"
    assert not proof.passes
    assert "the readings disagree" in proof.words


@pytest.mark.parametrize(
    ("chance", "words"), [(0.9999, "over 99.9 %"), (0.0, "under 0.1 %"), (0.72, "72 %")]
)
def test_a_probability_in_words(chance, words):
    assert chance_words(chance) == words


def test_command_codes():
    assert run("prove", "demo:tourer").code == 1
    good = run("prove", "demo:tourer", "left", "--within", "3 in", "--json")
    assert good.code == 0
    assert json.loads(good.out)["outcome"] == "pass"
    assert run("prove", "demo:tourer", "--risk", "60 %").code == 2
