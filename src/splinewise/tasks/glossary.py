"""The words of the job: what each means here, its sign and its zero."""

from __future__ import annotations

import difflib
from dataclasses import dataclass

from splinewise.errors import TaskError

__all__ = ["WORDS", "Word", "explain"]


@dataclass(frozen=True, slots=True)
class Word:
    """One word of the vocabulary.

    Attributes
    ----------
    word : str
        The word. [1]
    meaning : str
        What it means here. [1]
    sign : str
        Which way is positive and where zero is; empty where that means nothing. [1]
    see : tuple of str
        Other words that belong to it. [1]
    """

    word: str
    meaning: str
    sign: str = ""
    see: tuple[str, ...] = ()


def _word(word: str, meaning: str, sign: str = "", *see: str) -> Word:
    return Word(word, meaning, sign, see)


WORDS = {
    w.word: w
    for w in (
        _word(
            "adjuster",
            "A screw, a slotted bracket or a row of holes that turns the anchor of a bar "
            "a little. Keep it in reserve: set the teeth so that it ends near the middle "
            "of its range.",
            "",
            "anchor",
            "index step",
        ),
        _word(
            "anchor",
            "Where the bar is held by the body, or by an adjuster on the body.",
            "",
            "anchor end",
            "adjuster",
        ),
        _word(
            "anchor end",
            "The end of the bar that sits in the anchor. Its count of teeth may differ "
            "from that of the arm end.",
            "",
            "arm end",
            "spline",
        ),
        _word(
            "arm", "The lever that the bar holds and that carries the wheel.", "", "bar"
        ),
        _word(
            "arm angle",
            "How far the arm has turned about its axis.",
            "Zero at the drawn position, positive in bump.",
            "arm slope",
            "slack angle",
        ),
        _word(
            "arm end",
            "The end of the bar that sits in the arm. Count its teeth yourself.",
            "",
            "anchor end",
            "spline",
        ),
        _word(
            "arm slope",
            "The arm's angle to level, from the bar's axis to the arm's outer end.",
            "Positive if the outer end is the higher one.",
            "arm angle",
        ),
        _word(
            "bar",
            "The torsion bar: a spring that is twisted along its length.",
            "",
            "bar rate",
            "preset",
        ),
        _word(
            "bar rate",
            "Torque for each turn between the ends of the bar. It grows as the fourth "
            "power of the diameter, so 1 % of diameter is 4 % of rate; a measured rate "
            "beats a computed one.",
            "",
            "wheel rate",
        ),
        _word(
            "bare arm",
            "The state in which the arm hangs on the bar alone, with the rest of the "
            "linkage off it or free, and the bar slack.",
            "",
            "hanging",
            "standing",
        ),
        _word("bump", "The wheel moving up against the body.", "Positive.", "droop"),
        _word("bump stop", "What ends the travel in bump.", "", "rebound stop"),
        _word(
            "camber",
            "The lean of the wheel seen from the front.",
            "Positive if the top leans out.",
            "caster",
            "toe",
        ),
        _word(
            "caster",
            "The lean of the steering axis seen from the side.",
            "Positive if the top leans rearward.",
            "camber",
            "steering-axis inclination",
        ),
        _word(
            "check dimension",
            "A second published length that fixes the same slack angle, to be read with "
            "a tape as a check on the first.",
            "",
            "setting length",
        ),
        _word(
            "corner",
            "One wheel with its arm, its bar and what joins them.",
            "",
            "corner load",
        ),
        _word(
            "corner load",
            "The vertical force under one tyre, unsprung parts included.",
            "",
            "sprung load",
        ),
        _word(
            "drawn position",
            "The position of the linkage for which its hard points are given. Arm angle "
            "and rise of the wheel are counted from it.",
            "Zero of arm angle and of rise.",
            "arm angle",
        ),
        _word("droop", "The wheel moving down from the body.", "Negative.", "bump"),
        _word(
            "gauge bar",
            "A bar with two holes that fixes the distance between two bolts, and with "
            "it the slack angle.",
            "",
            "setting length",
        ),
        _word(
            "hanging",
            "The state in which the assembled wheel hangs on its rebound stop. The stop "
            "sets the arm there, so it says nothing of the slack angle.",
            "",
            "bare arm",
            "standing",
        ),
        _word(
            "hard point",
            "A pivot, ball joint or bolt of the linkage, by its three coordinates: "
            "forward, left, up (ISO 8855).",
        ),
        _word(
            "index step",
            "The smallest change of slack angle that the two splined ends can make "
            "together: a whole turn over the least common multiple of the two counts. "
            "24 and 25 teeth give 0.6°.",
            "",
            "move",
            "tooth",
        ),
        _word(
            "move",
            "Teeth to move at the arm end and at the anchor end.",
            "Positive turns the arm to bump.",
            "index step",
        ),
        _word(
            "preset",
            "A preset bar was twisted past yield by its maker, in the sense in which it "
            "will work, so that it carries more stress that way. It must not be loaded "
            "the other way.",
            "",
            "bar",
        ),
        _word(
            "reading",
            "A value read from the car, as it was typed, with what it was read with.",
        ),
        _word("rebound stop", "What ends the travel in droop.", "", "bump stop"),
        _word(
            "ride height",
            "A stated distance on the standing car, from the body to the floor or to the "
            "wheel. The car file says where.",
            "More is a higher car.",
            "standing",
        ),
        _word(
            "setting length",
            "The published length between two bolt centres that fixes the slack angle.",
            "",
            "gauge bar",
            "slack angle",
        ),
        _word("shim", "A plate that moves a pivot by its own thickness."),
        _word("slack", "Without torque in the bar.", "", "slack angle"),
        _word(
            "slack angle",
            "The arm angle at which the bar carries no torque. It sets the height: the "
            "farther down the arm is with the bar slack, the higher the car stands.",
            "From the drawn position, positive in bump; nearly always negative.",
            "index step",
            "setting length",
        ),
        _word(
            "spline",
            "The teeth round an end of the bar that hold it in the arm or in the anchor.",
            "",
            "tooth",
        ),
        _word(
            "sprung load",
            "The vertical force that the spring of one corner carries: the corner load "
            "less the unsprung parts.",
            "",
            "corner load",
            "unsprung",
        ),
        _word(
            "standing",
            "The state in which the car stands on its wheels.",
            "",
            "bare arm",
            "hanging",
        ),
        _word(
            "steering-axis inclination",
            "The lean of the steering axis seen from the front.",
            "Positive if the top leans inboard.",
            "caster",
        ),
        _word(
            "toe",
            "The angle of the wheel's plane to the length of the car.",
            "Positive if the front of the wheel points in.",
            "track rod",
        ),
        _word(
            "tooth",
            "One tooth of a spline. Moving the arm by one tooth at one end alone turns "
            "it by a whole turn over that end's count, which is a great deal: use both "
            "ends.",
            "",
            "index step",
        ),
        _word(
            "track rod", "The rod that steers the wheel and holds its toe.", "", "toe"
        ),
        _word(
            "unsprung",
            "What moves with the wheel and is not carried by the spring: wheel, hub, "
            "brake, and about half of the arms.",
            "",
            "sprung load",
        ),
        _word(
            "wheel rate",
            "Force for each rise of the wheel, as the ground feels it. The linkage adds "
            "a part of its own that grows with the load (the geometric term).",
            "",
            "bar rate",
        ),
    )
}


def explain(word: str) -> Word:
    """Return what a word means here.

    Parameters
    ----------
    word : str
        The word, in any case.

    Returns
    -------
    Word
        Its meaning.

    Raises
    ------
    TaskError
        If it is not in the vocabulary, with the nearest that is.
    """
    wanted = " ".join(word.lower().replace("_", " ").split())
    for name, found in WORDS.items():
        if wanted in (name, name.replace("-", " "), name + "s"):
            return found
    near = difflib.get_close_matches(wanted, WORDS, n=3, cutoff=0.5)
    inside = [name for name in WORDS if wanted and wanted in name]
    offers = list(dict.fromkeys([*inside, *near]))[:4]
    hint = f" Near it: {', '.join(offers)}." if offers else ""
    msg = f"{word[:60]!r} is not one of the words used here.{hint}"
    raise TaskError(msg)
