"""Kept results beside what this version gives: the same, or by how much not."""

import json
import math

import click
import pytest

from splinewise.book.recheck import compared, recheck, recheck_one
from splinewise.book.recompute import RECOMPUTE, recomputed
from splinewise.book.store import Book
from splinewise.car.demos import demo_text, load_demo
from splinewise.cli.keeping import as_typed, keep_result
from splinewise.errors import BookError, TaskError
from splinewise.tasks.values import as_json
from splinewise.units import read

ASKED = {
    "check": [{}],
    "plan": [
        {},
        {"height": "14 3/4 in"},
        {"published": "setting length"},
        {"match": "front-right"},
    ],
    "teeth": [{}, {"height": "14 3/4 in ± 1/8"}],
    "gauge": [
        {},
        {"dimension": "check dimension", "fit": "wide"},
        {
            "span": "19 1/8 in",
            "holes": ["17/32 in", "17/32 in"],
            "tolerance": "1/32 in",
        },
    ],
}
CASES = [(task, asked) for task, cases in ASKED.items() for asked in cases]


@pytest.fixture
def path(tmp_path):
    """Return the path of an empty book."""
    Book.create(tmp_path / "a.book").close()
    return tmp_path / "a.book"


def computed(task, asked):
    """Return a result as its task gives it, and the car that it is of."""
    car = load_demo("tourer")
    return car, RECOMPUTE[task](car, {"corner": "front-left", **asked})


def test_every_task_that_can_be_kept_is_tried():
    assert set(ASKED) == set(RECOMPUTE)


@pytest.mark.parametrize(("task", "asked"), CASES)
def test_a_result_kept_today_comes_out_the_same_today(path, task, asked, capsys):
    car, result = computed(task, asked)
    (entry,) = keep_result(path, car, [result], inputs=asked)
    with Book(path) as book:
        (found,) = recheck(book, entry.car)

    assert (found.verdict, found.differences, found.why) == ("agrees", (), "")
    assert f"Kept in the book as {entry.short}." in capsys.readouterr().err
    assert entry.content["task"] == task
    assert json.loads(entry.content["result"]) == json.loads(
        json.dumps(as_json(result))
    )
    assert json.loads(entry.content["inputs"]) == {**asked, "corner": "front-left"}


def test_a_number_that_was_another_is_told_with_its_unit_and_by_how_much(path):
    """As if the version that kept it had computed it otherwise."""
    car, result = computed("plan", {})
    (entry,) = keep_result(path, car, [result], inputs={})
    told = json.loads(entry.content["result"])
    told["bar_rate"]["value"] *= 1.001
    told["bar"] = "another bar"
    wrong = {**entry.content, "result": json.dumps(told)}
    with Book(path) as book:
        kept = book.add(type(entry)("result", entry.car, wrong, visit=entry.visit))
        found = recheck_one(book, kept)

    numbers = [d for d in found.differences if d.unit]
    assert found.verdict == "disagrees"
    assert [d.where for d in found.differences] == ["bar", "bar_rate.value"]
    assert numbers[0].unit == "N·m/rad"
    assert numbers[0].share == pytest.approx(0.001 / 1.001, rel=1e-6)
    assert numbers[0].change == pytest.approx(result.bar_rate.value * -0.001, rel=1e-6)


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"task": "prove"}, "No task of this version is called 'prove'. It has: check"),
        ({"inputs": '{"corner": "rear-left"}'}, "no corner called 'rear-left'"),
        ({"inputs": "{}"}, "this version cannot compute it (KeyError: 'corner')."),
        ({"inputs": '{"corner": "front-left", "height": "9 kg"}'}, "9 kg is a mass"),
    ],
)
def test_what_cannot_be_computed_again_says_why(path, change, why):
    car, result = computed("plan", {})
    (entry,) = keep_result(path, car, [result], inputs={})
    with Book(path) as book:
        kept = book.add(type(entry)("result", entry.car, {**entry.content, **change}))
        found = recheck_one(book, kept)

    assert found.verdict == "cannot tell"
    assert why in found.why


def test_a_task_that_there_is_not_is_refused():
    with pytest.raises(BookError, match="No task of this version"):
        recomputed("paint", demo_text("tourer"), {"corner": "left"})
    with pytest.raises(TaskError):
        recomputed("plan", demo_text("tourer"), {"corner": "rear"})


def test_results_are_compared_leaf_by_leaf():
    before = {
        "a": {"value": 1.0, "unit": "m", "doubt": None, "standing": "computed"},
        "b": [1, 2.0, {"c": "x"}],
        "verdict": "agrees",
        "gone": True,
    }
    after = {
        "a": {"value": 1.5, "unit": "m", "doubt": 0.1, "standing": "computed"},
        "b": [1, 2.0 + 1e-12, {"c": "y"}, 3],
        "verdict": "disagrees",
        "new": 0,
    }
    found = {d.where: (d.before, d.after, d.unit) for d in compared(before, after)}

    assert found == {
        "a.value": (1.0, 1.5, "m"),
        "a.doubt": (None, 0.1, "m"),
        "b[2].c": ("x", "y", ""),
        "b[3]": (None, 3, ""),
        "verdict": ("agrees", "disagrees", ""),
        "gone": (True, None, ""),
        "new": (None, 0, ""),
    }
    assert compared(before, before) == []
    (one,) = compared({"x": 0.0}, {"x": 1e-3})
    assert (one.change, one.share) == (1e-3, math.inf)
    (other,) = compared({"x": True}, {"x": 1.0})
    assert math.isnan(other.change)


def test_words_that_changed_are_no_disagreement(path):
    """Another wording of a caution is not another result; another verdict is."""
    car, result = computed("check", {})
    (entry,) = keep_result(path, car, [result], inputs={})
    for words, verdict in (
        (("published", "words"), "other words"),
        (("published", "verdict"), "disagrees"),
    ):
        told = json.loads(entry.content["result"])
        told[words[0]][words[1]] = "cannot tell"
        kept = {**entry.content, "result": json.dumps(told)}
        with Book(path) as book:
            again = book.add(type(entry)("result", entry.car, kept))
            assert recheck_one(book, again).verdict == verdict


def test_a_result_is_kept_with_its_words_its_sheet_and_its_file(path, capsys):
    car, result = computed("plan", {})
    sheet = b"%PDF- a sheet"
    (entry,) = keep_result(
        path,
        car,
        [result],
        inputs={},
        show=lambda plan: click.echo(f"It stands: {plan.corner}"),
        sheets=[sheet],
        by="me",
    )
    assert capsys.readouterr().out == ""
    with Book(path) as book:
        assert entry.content["shown"] == "It stands: front-left\n"
        assert book.kept(entry.content["file"]) == sheet
        assert book.kept(entry.content["text"]).decode() == demo_text("tourer")
    assert entry.by == "me"


def test_options_are_kept_as_they_were_typed():
    options = {
        "height": read("14 3/4 in ± 1/8", "length"),
        "holes": (read("17/32 in", "length"),) * 2,
        "match": None,
        "fit": "close",
        "nothing": (),
        "most": 5,
    }

    assert as_typed(options) == {
        "height": "14 3/4 in ± 1/8",
        "holes": ["17/32 in", "17/32 in"],
        "fit": "close",
        "most": 5,
    }
