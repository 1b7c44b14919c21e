"""What results are said in: figures in words, the glossary, the cautions, plain data."""

import json
import math
from dataclasses import dataclass

import numpy as np
import pytest

from cited import DEGREE
from splinewise.errors import TaskError
from splinewise.tasks.cautions import CAUTIONS, cautions
from splinewise.tasks.glossary import WORDS, explain
from splinewise.tasks.said import said, said_away, said_change, said_size
from splinewise.tasks.values import SCHEMA_VERSION, Value, as_json

NOTHING = Value(math.nan, "m")


@pytest.mark.parametrize(
    ("value", "system", "words"),
    [
        (Value(0.433, "m"), "metric", "433.0 mm"),
        (Value(0.433, "m", 0.0006), "metric", "433.0 mm ± 1.2 mm"),
        (Value(0.4765, "m"), "inch", "18 3/4 in, a shade full (18.760 in, 476.50 mm)"),
        (Value(-27.3 * DEGREE, "rad", 0.25 * DEGREE), "metric", "−27.3° ± 0.5°"),
        (Value(0.4837, "1"), "metric", "48 %"),
        (Value(-2.5e-3 / DEGREE, "m/rad"), "metric", "−2.5 mm/°"),
        (Value(417e6, "Pa"), "metric", "417.0 MPa"),
        (Value(1.123, "Hz"), "inch", "1.12 Hz"),
        (Value(300.0, "kg"), "metric", "300.0 kg"),
        (NOTHING, "inch", "not known"),
    ],
)
def test_a_figure_in_the_cars_own_units(value, system, words):
    """The ± is two standard doubts; the rounding is that of `splinewise.show`."""
    assert said(value, system) == words


def test_both_units_and_what_kind_of_knowledge_it_is():
    limit = Value(700e6, "Pa", None, "assumed")

    assert said(limit, "inch", both=True, marked=True) == (
        "101500 psi (700.0 MPa) (assumed)"
    )
    assert said(Value(0.4, "m", None, "published"), "metric", marked=True) == (
        "400.0 mm (published)"
    )


def test_a_change_has_its_sign():
    assert said_change(Value(-0.0041, "m"), "metric") == "−4.1 mm"
    assert said_change(Value(0.0041, "m"), "inch") == "+0.16 in (+4.1 mm)"
    assert said_change(Value(0.0041, "m"), "inch", both=False) == "+0.16 in"
    assert said_change(NOTHING, "inch") == "not known"


def test_a_size_has_none():
    assert said_size(-0.0041, "metric") == "4.1 mm"
    assert (
        said_size(0.0041, "inch", doubt=0.0005) == "0.16 in ± 0.04 in (4.1 mm ± 1.0 mm)"
    )


@pytest.mark.parametrize(
    ("metres", "words"),
    [
        (0.0041, "4.1 mm too high"),
        (-0.0041, "4.1 mm too low"),
        (0.00001, "0.0 mm off"),
        (-0.00001, "0.0 mm off"),
    ],
)
def test_away_from_a_place(metres, words):
    found = said_away(Value(metres, "m"), "metric", above="too high", below="too low")
    assert found == words
    bare = said_away(Value(math.copysign(0.5, metres), "rad"), "inch")
    assert bare == f"28.65° {'above' if metres > 0 else 'below'}"


# --- the glossary


@pytest.mark.parametrize("word", WORDS)
def test_every_word_is_explained(word):
    """A sentence, ends of sentences, and no cross-reference that leads nowhere."""
    entry = explain(word)

    assert entry.word == word == word.lower()
    for text in (entry.meaning, entry.sign):
        assert not text or text.endswith(".")
    assert all(other in WORDS and other != word for other in entry.see)


def test_the_trades_words_are_all_there():
    """The vocabulary that code, screens and docs keep to."""
    trade = (
        "bar, arm, arm end, anchor, anchor end, spline, tooth, slack, slack angle, "
        "setting length, gauge bar, check dimension, reading, ride height, droop, bump, "
        "rebound stop, bump stop, hard point, corner load, unsprung, wheel rate, "
        "camber, caster, steering-axis inclination, toe, track rod, shim, adjuster, "
        "index step, move"
    )

    assert set(trade.split(", ")) <= set(WORDS)


@pytest.mark.parametrize("typed", ["Slack Angle", "slack_angle", " slack  angle "])
def test_a_word_however_it_is_typed(typed):
    assert explain(typed).word == "slack angle"


def test_words_in_the_plural_and_without_their_hyphen():
    assert explain("index steps").word == "index step"
    assert explain("steering axis inclination").word == "steering-axis inclination"


def test_a_word_that_is_not_used_here():
    with pytest.raises(
        TaskError, match="'slak angle' is not one of the words used here"
    ):
        explain("slak angle")
    with pytest.raises(TaskError, match="Near it: slack angle"):
        explain("slak angle")
    with pytest.raises(TaskError) as none:
        explain("")
    assert str(none.value) == "'' is not one of the words used here."
    with pytest.raises(TaskError) as long:
        explain("x" * 5000)
    assert len(str(long.value)) < 200


# --- cautions


def test_every_caution_names_hazard_and_deference():
    """Someone else has the last word in each: manual, rules, maker or licensed person."""
    for text in CAUTIONS.values():
        assert any(w in text for w in ("maker", "local rules", "licensed")), text
        assert text.endswith(".")


def test_cautions_come_once_and_in_order():
    found = cautions(["on stands", "twisted bar", "on stands"])

    assert found == (CAUTIONS["on stands"], CAUTIONS["twisted bar"])
    with pytest.raises(KeyError):
        cautions(["fire"])


# --- plain data


@dataclass(frozen=True)
class Odd:
    """A result of no kind."""

    value: object


@pytest.mark.parametrize(
    ("thing", "plain"),
    [
        (math.nan, None),
        (math.inf, None),
        ((1, 2.5, "x", None, True), [1, 2.5, "x", None, True]),
        (np.array([1.0, math.nan]), [1.0, None]),
        ({1: 2.0}, {"1": 2.0}),
        (
            Value(0.4, "m"),
            {"value": 0.4, "unit": "m", "doubt": None, "standing": "computed"},
        ),
    ],
)
def test_results_become_plain_data(thing, plain):
    found = as_json(Odd(thing))

    assert found == {"schema": f"splinewise/odd/{SCHEMA_VERSION}", "value": plain}
    json.dumps(found, allow_nan=False)


def test_what_cannot_be_plain_is_refused():
    with pytest.raises(TypeError, match="may not hold a complex"):
        as_json(Odd(1j))
    with pytest.raises(TypeError, match="must be a dataclass, not list"):
        as_json([1])


def test_a_kind_may_be_named():
    assert as_json(Odd(1), kind="thing")["schema"] == "splinewise/thing/1"
