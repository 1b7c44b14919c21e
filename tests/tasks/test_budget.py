"""The budget of doubt of a gauge bar: causes, sums, and accept or remake."""

import json
import math

import pytest

from cars import demo, van_left
from commands import run
from splinewise.errors import TaskError
from splinewise.tasks.budget import Bar, budget
from splinewise.tasks.plan import plan

GOOD = Bar((0.01050, 0.01050), (0.010, 0.010), centres=0.2e-3, warmth=10.0, lean=0.3e-3)


def of_van(bar, **more):
    car = demo("van")
    return budget(car, plan(car, "left"), bar, **{"risk": 0.05, **more})


@pytest.mark.independent
def test_independent_parts_by_hand():
    """Half-widths by √3 and √6, two even offsets of ± a quarter of a millimetre."""
    found = of_van(GOOD)
    parts = {p.cause: p.length.value for p in found.parts}

    assert parts["hole centres"] == pytest.approx(0.2e-3 / math.sqrt(3))
    play = math.sqrt(2.0) * 0.25e-3 / math.sqrt(3.0)
    assert parts["play of holes on bolts"] == pytest.approx(play)
    assert parts["bolts that lean"] == pytest.approx(0.3e-3 / math.sqrt(6))
    warm = 11.5e-6 * 10.0 * found.length.value / math.sqrt(3)
    assert parts["warmth of gauge and car apart"] == pytest.approx(warm)
    total = math.sqrt(math.fsum(u * u for u in parts.values()))
    assert found.total.length.value == pytest.approx(total)
    assert math.fsum(p.share for p in found.parts) == pytest.approx(1.0)


@pytest.mark.independent
def test_independent_height_by_least_energy():
    """A plain arm in trigonometry, its slack angle moved by the gauge's doubt."""
    found = of_van(GOOD)
    slack = plan(demo("van"), "left").slack_angle.value
    mine, h = van_left(), 1e-4

    def rise(at):
        return mine.rise(mine.stands(at))

    def reach(at):
        return mine.length(*mine.triangle, at)

    per_length = 2 * h / (reach(slack + h) - reach(slack - h))
    per_angle = (rise(slack + h) - rise(slack - h)) / (2 * h)
    u = found.total.length.value
    assert found.total.slack_angle.value == pytest.approx(abs(u * per_length), rel=1e-4)
    assert found.total.height.value == pytest.approx(
        abs(u * per_length * per_angle), rel=1e-4
    )


def test_accept_or_remake():
    good, bad = of_van(GOOD), of_van(GOOD, tolerance=0.5e-3)

    assert (good.verdict, bad.verdict) == ("accept", "remake")
    assert good.inside > 0.95 > bad.inside
    assert bad.parts[0].cause in bad.words


def test_a_calliper_is_one_more_cause():
    tool = Bar(GOOD.holes, GOOD.bolts, calliper="calliper-inside")

    causes = [p.cause for p in of_van(tool).parts]

    assert any("calliper" in cause for cause in causes)
    assert "hole centres" not in causes


@pytest.mark.parametrize(
    ("bar", "words"),
    [
        (Bar((0.010, 0.010), (0.011, 0.010)), "larger than its hole"),
        (Bar((0.010, 0.010), (0.010, 0.010)), "Nothing makes this gauge doubtful"),
        (Bar(GOOD.holes, GOOD.bolts, centres=-1e-3), "--centres must be 0 or more"),
        (Bar(GOOD.holes, GOOD.bolts, warmth=math.nan), "--warmth must be 0 or more"),
        (Bar(GOOD.holes, GOOD.bolts, calliper="phone"), "measures no lengths here"),
    ],
)
def test_what_cannot_be_is_refused(bar, words):
    with pytest.raises(TaskError, match=words):
        of_van(bar)


def test_command():
    words = (
        "budget",
        "demo:tourer",
        "left",
        "--hole",
        "17/32 in",
        "--hole",
        "17/32 in",
    )
    done = run(*words, "--centres", "1/64 in", "--warmth", "10", "--json")
    assert (done.code, json.loads(done.out)["verdict"]) == (0, "accept")
    assert run(*words, "--tolerance", "1/64 in").code == 1
    assert "--hole twice" in run("budget", "demo:tourer", "left").err
    assert run(*words, "--warmth", "nan").code == 2
