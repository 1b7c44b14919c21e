"""`splinewise stand`: exit codes, words and JSON."""

import json

from click.testing import CliRunner

from splinewise.cli import cli


def run(*words):
    return CliRunner().invoke(cli, ["stand", *words], standalone_mode=False)


def test_as_found_the_answer_is_no():
    done = run("demo:estate")

    assert done.return_value == 1
    assert "not level" in done.output
    assert max(map(len, done.output.split("\n"))) <= 80


def test_as_wanted_the_answer_is_yes():
    done = run("demo:estate", "--as-wanted")

    assert done.return_value == 0
    assert "it stands level" in done.output


def test_the_json_holds_every_wheel_and_its_effects():
    done = run("demo:tourer", "--json")
    result = json.loads(done.output)

    assert result["schema"] == "splinewise/stand/1"
    names = [wheel["name"] for wheel in result["wheels"]]
    assert names == ["front-left", "front-right", "rear-left", "rear-right"]
    assert all(len(effect["loads"]) == 4 for effect in result["effects"])
    assert result["wheels"][2]["slack_angle"]["value"] is None


def test_two_settings_are_one_too_many():
    done = run("demo:tourer", "--as-wanted", "--as-planned")

    assert "not for both" in str(done.exception)
