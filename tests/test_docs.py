"""The docs say what the program does: commands, examples, links, generated pages."""

import doctest
import inspect
import re

import pytest

import splinewise
import splinewise.errors
from commands import run
from docpages import (
    DOCS,
    GAP,
    PAGES,
    Block,
    anchors,
    blocks,
    fences,
    links,
    played,
    shows,
)
from pinned_text import ROOT, renewing, same_as_kept
from splinewise.cli import cli
from splinewise.core.instruments import INSTRUMENTS
from splinewise.tasks.glossary import WORDS
from splinewise.tasks.values import KINDS

WITH_COMMANDS = [
    p for p in PAGES if any(isinstance(b, Block) for b in blocks(p.read_text("utf-8")))
]
WITH_EXAMPLES = [p for p in PAGES if fences(p.read_text("utf-8"), "pycon")]


def page(name):
    return str(name.relative_to(ROOT))


@pytest.mark.parametrize("path", WITH_COMMANDS, ids=page)
def test_pinned_outputs_of_a_page(path, tmp_path):
    """Every `$ splinewise …` of a page, run in order in an empty directory."""
    text = path.read_text(encoding="utf-8")
    new, wrong = text, []
    for block, now in played(path, tmp_path):
        if shows(block.shown, now):
            continue
        wrong.append(f"{page(path)}:{block.line}: splinewise {' '.join(block.command)}")
        if renewing() and GAP not in block.shown:
            head = new.index(block.shown, new.index(" ".join(block.command)[:20]))
            new = new[:head] + now + new[head + len(block.shown) :]
            wrong.pop()
    if renewing():
        path.write_text(new, encoding="utf-8")
    assert not wrong, "not what the program prints now:\n" + "\n".join(wrong)


@pytest.mark.parametrize("path", WITH_EXAMPLES, ids=page)
def test_examples_of_a_page(path):
    """Every Python example of a page, as one session."""
    text = path.read_text(encoding="utf-8")
    session = "\n".join(content for _, content in fences(text, "pycon"))
    test = doctest.DocTestParser().get_doctest(session, {}, page(path), page(path), 0)
    runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS)

    told = []
    runner.run(test, out=told.append)

    assert runner.failures == 0, "".join(told)
    assert runner.tries > 0


@pytest.mark.parametrize("path", PAGES, ids=page)
def test_no_link_is_dead(path):
    """Files are there, and so are the headings that links point to."""
    dead = []
    for link in links(path.read_text(encoding="utf-8")):
        if link.startswith(("https://", "http://")):
            continue
        name, _, anchor = link.partition("#")
        target = (path.parent / name).resolve() if name else path
        if not target.exists() or (
            anchor and anchor not in anchors(target.read_text(encoding="utf-8"))
        ):
            dead.append(link)

    assert not dead, f"{page(path)} links to what is not there: {dead}"


def test_every_page_can_be_found_from_the_index():
    index = (DOCS / "index.md").read_text(encoding="utf-8")
    linked = {(DOCS / link.partition("#")[0]).resolve() for link in links(index)}

    lost = [page(p) for p in DOCS.rglob("*.md") if p.resolve() not in linked]

    assert sorted(lost) == ["docs/index.md"], "docs/index.md must link every page"


def test_the_readme_leads_to_the_docs():
    told = links((ROOT / "README.md").read_text(encoding="utf-8"))

    assert {"docs/index.md", "CONTRIBUTING.md", "LICENSE"} <= set(told)


# --- generated pages


def commands_page():
    """Return docs/reference/commands.md from what --help says."""
    lines = [
        "# Commands",
        "",
        "What `--help` says of each command. This page is made from the program by",
        "`tests/test_docs.py`; do not edit it.",
        "",
        "Every command ends with one of three exit codes: 0, done; 1, done, and the job's",
        "answer is no; 2, it could not be done with what was typed or read, and a sentence",
        "on standard error says why. [Errors](errors.md) lists the sentences, and",
        "[JSON](json.md) says what `--json` writes.",
        "",
        "```text",
        f"{run('--help').out.rstrip()}",
        "```",
    ]
    for words in _all_commands(cli, []):
        lines += ["", f"## {' '.join(words)}", "", "```text"]
        lines += [run(*words, "--help").out.rstrip(), "```"]
    return "\n".join(lines) + "\n"


def _all_commands(group, before):
    context = group.make_context("splinewise", ["--help"], resilient_parsing=True)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        yield [*before, name]
        if hasattr(command, "list_commands"):
            yield from _all_commands(command, [*before, name])


def vocabulary_page():
    """Return docs/reference/vocabulary.md from the glossary."""
    lines = [
        "# Vocabulary",
        "",
        "Every word of the trade that Splinewise uses, with its sign and its zero.",
        "`splinewise explain WORD` says the same on a terminal. This page is made from the",
        "program by `tests/test_docs.py`; do not edit it.",
    ]
    for word in WORDS.values():
        lines += ["", f"## {word.word}", "", word.meaning]
        if word.sign:
            lines += ["", f"*Sign:* {word.sign}"]
        if word.see:
            others = (f"[{w}](#{w.replace(' ', '-')})" for w in word.see)
            lines += ["", f"See also {', '.join(others)}."]
    return "\n".join(lines) + "\n"


def library_page():
    """Return docs/reference/library.md from the public names."""
    lines = [
        "# The library",
        "",
        "What `import splinewise` offers. Numbers are in SI: metres, radians, newtons,",
        "pascals, kilograms. `help(splinewise.plan)` and its like say what each takes and",
        "gives. [Use it from Python](../how-to/use-it-from-python.md) shows it at work.",
        "This page is made from the program by `tests/test_docs.py`; do not edit it.",
        "",
        "| name | what it is |",
        "|---|---|",
    ]
    for name in splinewise.__all__:
        thing = getattr(splinewise, name)
        first = inspect.getdoc(thing).split("\n\n")[0].replace("\n", " ")
        call = name
        if inspect.isfunction(thing):
            names = inspect.signature(thing).parameters
            call = f"{name}({', '.join(names)})"
        lines.append(f"| `{call}` | {first.replace('|', chr(92) + '|')} |")
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize(
    ("name", "make"),
    [
        ("commands", commands_page),
        ("vocabulary", vocabulary_page),
        ("library", library_page),
    ],
)
def test_pinned_generated_page(name, make):
    same_as_kept(DOCS / "reference" / f"{name}.md", make())


# --- pages that must be complete


def test_every_kind_of_result_is_told_of():
    text = (DOCS / "reference" / "json.md").read_text(encoding="utf-8")

    for kind in KINDS:
        assert f"`splinewise/{kind}/1`" in text


def test_every_error_is_told_of():
    text = (DOCS / "reference" / "errors.md").read_text(encoding="utf-8")
    tree = [
        name
        for name in splinewise.errors.__all__
        if issubclass(getattr(splinewise.errors, name), Exception)
    ]

    for name in tree:
        assert f"`{name}`" in text


def test_every_instrument_is_told_of():
    text = (DOCS / "how-to" / "measure-the-car.md").read_text(encoding="utf-8")

    for key in INSTRUMENTS:
        assert f"`{key}`" in text


def test_every_page_has_one_title_and_no_long_lines():
    for path in PAGES:
        text = path.read_text(encoding="utf-8")
        bare = re.sub(r"^```.*?^```$", "", text, flags=re.MULTILINE | re.DOTALL)
        titles = re.findall(r"^# .+$", bare, flags=re.MULTILINE)
        assert len(titles) == 1, f"{page(path)}: {titles}"


def test_gaps_stand_for_lines_left_out():
    """The comparison itself can fail."""
    assert shows("a\nb\n", "a\nb\n")
    assert not shows("a\nb\n", "a\nc\n")
    assert shows(f"a\n{GAP}\nd\n", "a\nb\nc\nd\n")
    assert shows(f"a\n{GAP}\nc\n{GAP}\n", "a\nb\nc\nd\n")
    assert not shows(f"a\n{GAP}\nx\n{GAP}\n", "a\nb\nc\nd\n")
    assert not shows(f"b\n{GAP}\n", "a\nb\nc\n")
    assert not shows(f"{GAP}\nb\n", "a\nb\nc\n")
    assert shows("car.toml:22: a\n", "car.toml:31: a\n")
    assert not shows("car.toml:22: a\n", "car.toml:22: b\n")
