"""The reference of the book tells of everything that there is, in the same words."""

import re
import sqlite3
from pathlib import Path

import pytest

from splinewise.book import entries
from splinewise.book.kinds import KINDS, OCCASIONS
from splinewise.book.schema import APPLICATION_ID, LADDER
from splinewise.book.store import EXAMINED

DOCS = Path(__file__).parents[2] / "docs"
PAGE = (DOCS / "reference" / "book.md").read_text("utf-8")


def rows(title):
    """Return the rows of the table under a heading."""
    part = re.split(
        r"^#+ ", PAGE.split(f"{title}\n", 1)[1], maxsplit=1, flags=re.MULTILINE
    )[0]
    return re.findall(r"^\| `(\w+)` \| (.+) \|$", part, re.MULTILINE)


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_of_a_kind_is_told_of(kind):
    assert rows(f"### {kind}") == [(n, f.words) for n, f in KINDS[kind].items()]


def test_every_field_that_all_have_is_told_of():
    assert [name for name, _ in rows("## Entries")] == list(entries._HEADER)


def test_every_occasion_table_and_view_is_told_of():
    db = sqlite3.connect(":memory:")
    for rung in LADDER:
        for statement in rung.statements:
            db.execute(statement)
    found = db.execute("SELECT name, type FROM sqlite_schema").fetchall()
    db.close()
    tables = [name for name, kind in found if kind == "table"]

    assert sorted(name for name, _ in rows("## The file")) == sorted(tables)
    for name in [*OCCASIONS, *(n for n, kind in found if kind == "view")]:
        assert f"`{name}`" in PAGE


def test_the_figures_are_those_of_the_program():
    assert f"`0x{APPLICATION_ID:X}`" in PAGE
    assert PAGE.count(f"{EXAMINED} entries") == 2


def test_every_form_of_json_is_told_of():
    """Every `splinewise/book…/1` in the commands is in the page, and no other."""
    written = set()
    for file in (DOCS.parent / "src/splinewise/cli").glob("book*.py"):
        written |= set(
            re.findall(r'"(splinewise/book[-a-z]*/\d)"', file.read_text("utf-8"))
        )

    assert set(re.findall(r"`(splinewise/book[-a-z]*/\d)`", PAGE)) == written
    assert len(written) == 12
