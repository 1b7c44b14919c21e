"""The JSON Schemas: valid, published as they are, and true of every result."""

import copy
import json

import jsonschema
import pytest

from cars import demo, example, figure, reading, with_corner
from pinned_text import ROOT, same_as_kept
from splinewise.car.tape_file import read_taping
from splinewise.core.splines import Splines
from splinewise.errors import TaskError
from splinewise.tasks.budget import Bar, budget
from splinewise.tasks.check import check
from splinewise.tasks.fit_car import readings
from splinewise.tasks.gauge import gauge, measured
from splinewise.tasks.glossary import WORDS
from splinewise.tasks.history import history
from splinewise.tasks.new_bar import new_bar
from splinewise.tasks.next_reading import next_reading
from splinewise.tasks.plan import plan
from splinewise.tasks.prove import Wanted, prove
from splinewise.tasks.schema import published, schema
from splinewise.tasks.stand import as_found, stand_car
from splinewise.tasks.tape import tape
from splinewise.tasks.teeth import teeth_for
from splinewise.tasks.teeth_of_car import teeth
from splinewise.tasks.travel import travel_table
from splinewise.tasks.values import KINDS, Value, as_json

PLACE = ROOT / "src" / "splinewise" / "tasks" / "schemas"


@pytest.mark.parametrize("kind", KINDS)
def test_pinned_the_published_schema_is_the_one_made(kind):
    made = json.dumps(schema(kind), ensure_ascii=False, indent=2) + "\n"

    same_as_kept(PLACE / f"{kind}.json", made)

    assert published(kind) == made


def test_no_schema_is_left_over():
    assert {p.stem for p in PLACE.iterdir()} == set(KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_it_is_a_schema_and_says_what_everything_is(kind):
    made = schema(kind)

    jsonschema.Draft202012Validator.check_schema(made)
    assert made["properties"]["schema"] == {"const": f"splinewise/{kind}/1"}
    for part in (made, *made["$defs"].values()):
        assert part["description"]
        for name, told in part["properties"].items():
            assert name == "schema" or told["description"], name


def results():
    """Every kind, with and without what may be lacking."""
    for name in ("tourer", "van"):
        car = demo(name)
        for corner in car.corners:
            planned = plan(car, corner)
            made, how = measured(span=figure(0.45), land=figure(0.43))
            yield "check", check(car, corner)
            yield "readings", readings(car, [corner])
            bar = Bar((0.011, 0.011), (0.010, 0.010), centres=1e-4)
            yield "budget", budget(car, planned, bar, risk=0.05)
            yield "next", next_reading(car, corner, wanted="slack angle", goal=1e-3)
            yield "prove", prove(car, corner, Wanted(), risk=0.05)
            if name == "tourer":
                yield "history", history(car, corner, right=0.5)
            yield "plan", planned
            yield "gauge", gauge(car, planned)
            yield "gauge", gauge(car, planned, made=made, how=how)
            yield "teeth", teeth(car, planned)
            yield "travel", travel_table(car, planned, rows=5)
            yield "bar", new_bar(car, corner, frequency=1.2)
    for name in ("tourer", "estate"):
        car = demo(name)
        yield "stand", stand_car(car, as_found(car))
    bare = with_corner(demo("van"), "front-left", ride_height=None, published=())
    alone = with_corner(bare, "front-left", readings=(reading("arm slope", -0.58),))
    yield "check", check(alone, "left")
    one = reading("arm slope", -0.58, 0.01)
    sure = with_corner(bare, "front-left", readings=(one,))
    yield "readings", readings(sure, ["left"])
    yield "plan", plan(bare, "left", match="right")
    yield "plan", plan(example(), "left")
    yield "teeth", teeth_for(Splines(24, 25), Value(0.1, "rad"))
    ends = 'from = "a"\nto = "b"\nvalue'
    twice = [f'[[distance]]\n{ends} = "{x} mm ± 1"' for x in (640, 650)]
    yield "tape", tape(read_taping("\n".join(twice)))
    for word in WORDS.values():
        yield "word", word


@pytest.mark.parametrize("kind", KINDS)
def test_every_result_keeps_to_its_schema(kind):
    check_one = jsonschema.Draft202012Validator(schema(kind)).validate
    found = [as_json(result) for name, result in results() if name == kind]

    assert found
    for plain in found:
        check_one(json.loads(json.dumps(plain, allow_nan=False)))


def test_a_schema_refuses_what_is_not_a_result():
    """Neither a missing field, nor one too many, nor a text for a number passes."""
    plain = as_json(teeth_for(Splines(24, 25), Value(0.1, "rad")))
    validator = jsonschema.Draft202012Validator(schema("teeth"))
    assert validator.is_valid(json.loads(json.dumps(plain)))

    for spoil in (
        lambda p: p.pop("turn"),
        lambda p: p.update(more=1),
        lambda p: p["turn"].update(value="0.1"),
        lambda p: p["turn"].update(standing="guessed"),
        lambda p: p.update(schema="splinewise/plan/1"),
        lambda p: p["moves"][0].update(arm=1.5),
    ):
        spoiled = json.loads(json.dumps(copy.deepcopy(plain)))
        spoil(spoiled)
        assert not validator.is_valid(spoiled)


def test_a_kind_that_is_not_there():
    for ask in (schema, published):
        with pytest.raises(
            TaskError, match=r"no kind of result 'book'\. There are: bar, budget"
        ):
            ask("book")
