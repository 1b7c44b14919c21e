"""A task's result goes into the book with --keep, and a car comes out of it."""

import json

import pytest
from click.testing import CliRunner

from splinewise.cli import cli
from splinewise.errors import BookError

CAR = "demo:tourer"
NAME = "Larkspur tourer"


@pytest.fixture
def book(tmp_path):
    """An empty book."""
    path = tmp_path / "shed.book"
    run("book", "create", "--book", str(path))
    return str(path)


def run(*words):
    """Run a command whose answer is yes or no, and return what it printed."""
    result = CliRunner().invoke(cli, words, standalone_mode=False)
    assert result.exception is None, result.output
    return result


@pytest.mark.parametrize("task", ["check", "plan", "gauge", "teeth"])
def test_a_kept_result_is_in_the_book_and_comes_out_the_same(book, task):
    """What was shown is kept word for word, and recheck finds nothing changed."""
    run(task, CAR, "left", "--keep", "--book", book)

    told = json.loads(run("book", "recheck", "--book", book, "--json").stdout)
    (kept,) = told["results"]
    assert (kept["task"], kept["corner"]) == (task, "front-left")
    assert (kept["verdict"], kept["differences"]) == ("agrees", [])


@pytest.mark.parametrize("task", ["readings", "history", "prove", "next", "travel"])
def test_any_result_of_a_car_can_be_kept(book, task):
    """It stands in the history as it was shown; what cannot be redone is told so."""
    run(task, CAR, "left", "--keep", "--book", book)

    told = json.loads(run("book", "recheck", "--book", book, "--json").stdout)
    (kept,) = told["results"]
    assert (kept["task"], kept["differences"]) == (task, [])
    assert kept["verdict"] == "agrees" or kept["why"]


def test_a_kept_car_is_read_out_of_the_book(book):
    """`book:NAME` gives the same result as the file it was kept from."""
    first = run("plan", CAR, "left", "--keep", "--book", book, "--json")
    again = run("plan", f"book:{NAME}", "left", "--book", book, "--json")

    assert json.loads(again.stdout) == json.loads(first.stdout)


def test_nothing_is_kept_without_a_car(book):
    """Two plain counts are no car."""
    result = CliRunner().invoke(
        cli, ["teeth", "24", "25", "--turn", "1 deg", "--keep", "--book", book]
    )

    assert result.exit_code == 2
    assert "--keep needs a car" in result.output


def test_a_book_that_is_not_there_is_a_sentence(tmp_path):
    """No book is made in passing by a task, and no traceback is shown."""
    result = CliRunner().invoke(
        cli, ["plan", CAR, "left", "--keep", "--book", str(tmp_path / "none.book")]
    )

    assert isinstance(result.exception, BookError)
    assert not (tmp_path / "none.book").exists()
