"""The load test on the command line, and what it refuses."""

import json

import pytest

from commands import run


def rate(*words):
    """Return the doubt of the left bar's rate that `readings` tells."""
    done = run("readings", "demo:tourer", *words, "--json")
    assert done.code == 0
    values = json.loads(done.out)["values"]
    (one,) = [v for v in values if v["name"] == "bar rate"]
    return one["after"]["doubt"]


def test_a_load_test_and_like_bars_make_the_rate_surer():
    plain = rate("left")

    assert rate("left", "--added", "60 kg", "--drop", "34.1 mm ± 0.5") < 0.7 * plain
    assert rate("--same-bars") < plain


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--added", "60 kg"], "needs both --added and --drop"),
        (["--added", "60 kg", "--drop", "3 mm"], "Name the corner"),
        (["left", "--added", "0 kg", "--drop", "3 mm"], "a weight above 0"),
        (["left", "--added", "900 kg", "--drop", "9 mm"], "cannot stand free"),
        (["left", "--same-bars"], "about two corners or more"),
    ],
)
def test_what_is_no_load_test_is_refused(words, told):
    done = run("readings", "demo:tourer", *words)

    assert (done.code, done.out) == (2, "")
    assert told in " ".join(done.err.split())
