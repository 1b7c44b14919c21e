"""Every nonsense that a car file can hold, with the line and the words it gets.

`nonsense.txt` has one block for each: the demo car, the lines taken out (-), the lines
put in (+), and all that is said (@).  The words are ours, pinned; that something is
said at all, and on which line, is the proof.
"""

import re
from pathlib import Path

import pytest

from splinewise.car.demos import demo_text
from splinewise.car.file import read_car
from splinewise.errors import CarFileError

BLOCKS = Path(__file__).with_name("nonsense.txt").read_text("utf-8").split("\n\n")


def parts(block):
    """Return the spoiled file and what should be said of it."""
    demo, *lines = block.strip("\n").split("\n")
    marked = {mark: [line[1:] for line in lines if line[:1] == mark] for mark in "-+@"}
    assert sum(map(len, marked.values())) == len(lines), block
    old, new = ("".join(f"{line}\n" for line in marked[mark]) for mark in "-+")
    text = demo_text(demo)
    assert f"\n{old}" in text, block
    return text.replace(f"\n{old}", f"\n{new}", 1), marked["@"]


@pytest.mark.parametrize("block", BLOCKS, ids=range(1, len(BLOCKS) + 1))
def test_nonsense_is_told(block):
    text, said = parts(block)
    with pytest.raises(CarFileError) as caught:
        read_car(text, file="")

    assert str(caught.value).split("\n") == [f"car file:{line}" for line in said]


@pytest.mark.parametrize("block", BLOCKS, ids=range(1, len(BLOCKS) + 1))
def test_the_line_told_holds_the_key_or_its_table(block):
    text, _ = parts(block)
    with pytest.raises(CarFileError) as caught:
        read_car(text)
    lines = text.split("\n")

    for fault in caught.value.faults:
        if not fault.line or not fault.field:
            continue  # nowhere in the file, or the TOML itself
        keys = re.sub(r"\[\d+\]", "", fault.field).split(".")
        absent = fault.why.startswith(("This is missing", "Give the", "Its kind"))
        wanted = keys[-2:] if absent else keys[-1:]
        assert any(key in lines[fault.line - 1] for key in wanted), fault


def test_all_faults_are_told_together():
    """What the tables, the mechanics and both sides find comes in one go."""
    text = (
        demo_text("van")
        .replace('preset = "yes"', 'preset = "maybe"')
        .replace("arm_teeth = 1\n", "arm_teeth = 0\n", 1)
        .replace('rebound = "80 mm"', 'rebound = "900 mm"')
        .replace('drawn_length = "352 mm"', 'drawn_length = "3520 mm"')
        .replace('now = "5 1/2 turns"', 'now = "5 1/2"')
        .replace('value = "393 mm"', "value = 393")
    )
    with pytest.raises(CarFileError) as caught:
        read_car(text)
    faults = caught.value.faults

    assert [fault.field for fault in faults] == [
        "corner.front-left.bar.preset",
        "corner.front-left.splines.arm_teeth",
        "corner.front-left.stops.rebound",
        "corner.front-left.dimension[1].drawn_length",
        "corner.front-right.adjuster.now",
        "corner.front-right.reading[4].value",
    ]
    assert [fault.line for fault in faults] == sorted(fault.line for fault in faults)
