"""The pages of the docs, and what in them can be held to the program."""

import re
import shlex
from dataclasses import dataclass
from pathlib import Path

from commands import at, run
from pinned_text import ROOT

DOCS = ROOT / "docs"
PAGES = sorted(
    [*DOCS.rglob("*.md"), *(ROOT / f"{n}.md" for n in ("README", "CONTRIBUTING"))]
)
GAP = "[…]"
"""A line that stands for any number of lines left out of an output."""

_FENCE = re.compile(r"^```(\w+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_EDIT = re.compile(r"<!-- in (\S+): (.+?) => (.+?) -->")
_LINK = re.compile(r"(?<!!)\[[^\]]*\]\(([^)\s]+)\)")
_LINE = re.compile(r"(\.toml):\d+:")
_HEADING = re.compile(r"^#+ +(.+?)\s*$", re.MULTILINE)


@dataclass
class Block:
    """A command of a page and the output that stands under it.

    Attributes
    ----------
    command : list of str
        The words after `splinewise`.
    shown : str
        The output as it stands in the page.
    line : int
        Line of the page on which the command stands.
    """

    command: list[str]
    shown: str
    line: int


def fences(text, kind):
    """Return (offset, content) of each fenced block of one kind."""
    return [(m.start(2), m[2]) for m in _FENCE.finditer(text) if m[1] == kind]


def blocks(text):
    """Return the commands of a page and the edits between them, in order."""
    steps = [
        (
            start + m.start(),
            Block(*_command(m), text.count("\n", 0, start + m.start()) + 1),
        )
        for start, content in fences(text, "console")
        for m in re.finditer(
            r"^\$ splinewise ?(.*(?:\n> .*)*)\n((?:(?!\$ ).*\n)*)",
            content,
            re.MULTILINE,
        )
    ]
    steps += [(m.start(), m.groups()) for m in _EDIT.finditer(text)]
    return [step for _, step in sorted(steps, key=lambda step: step[0])]


def _command(match):
    typed = match[1].replace("\\\n> ", " ")
    return shlex.split(typed), match[2]


def played(page, place):
    """Yield each command of a page with what it prints now, run in order in `place`."""
    with at(place):
        for step in blocks(page.read_text(encoding="utf-8")):
            if isinstance(step, Block):
                words = step.command
                if ">" in words:
                    cut = words.index(">")
                    done = run(*words[:cut])
                    Path(words[cut + 1]).write_text(done.out, encoding="utf-8")
                    yield step, done.err
                    continue
                done = run(*words)
                yield step, done.out + done.err
            else:
                file, old, new = step
                text = Path(file).read_text(encoding="utf-8")
                assert old in text, f"{page.name}: {file} does not hold {old!r}"
                Path(file).write_text(text.replace(old, new, 1), encoding="utf-8")


def shows(shown, now):
    """Whether an output, with its gaps, is what a command prints now.

    Line numbers of a car file are not compared: a comment more in a new file moves them.
    """
    shown, now = (_LINE.sub(r"\1:0:", text) for text in (shown, now))
    parts = re.split(rf"^{re.escape(GAP)}\n", shown, flags=re.MULTILINE)
    if len(parts) == 1:
        return shown == now
    if not now.startswith(parts[0]) or not now.endswith(parts[-1]):
        return False
    place = len(parts[0])
    for part in parts[1:-1]:
        found = now.find(part, place)
        if found < 0:
            return False
        place = found + len(part)
    return place + len(parts[-1]) <= len(now)


def links(text):
    """Return where the links of a page lead, those in code left aside."""
    bare = re.sub(r"```.*?^```$|`[^`\n]*`", "", text, flags=re.MULTILINE | re.DOTALL)
    return _LINK.findall(bare)


def anchors(text):
    """Return the anchors of a page's headings."""
    bare = re.sub(r"^```.*?^```$", "", text, flags=re.MULTILINE | re.DOTALL)
    return {
        re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-")
        for heading in _HEADING.findall(bare)
    }
