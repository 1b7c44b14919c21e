"""The page on validation shows what its script prints, and within the bars."""

from pathlib import Path

import pytest

from engine_cases import LAYOUTS

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "docs/explanation/validation.md"


@pytest.fixture(scope="module")
def rows():
    """The table's rows, cell by cell."""
    text = PAGE.read_text(encoding="utf-8")
    inside = text.split("<!-- engine table: begin -->")[1]
    table = inside.split("<!-- engine table: end -->")[0]
    lines = [line for line in table.splitlines() if line.startswith("| ")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines][1:]


def test_every_layout_and_both_cars_are_shown(rows):
    """With each step."""
    shown = {(row[0], row[1]) for row in rows}
    names = [f"corner, {layout}" for layout in LAYOUTS]
    names += [f"car, {front} in front" for front in ("double wishbone", "strut")]
    assert shown == {(name, step) for name in names for step in ("2", "1", "0.5")}


def test_all_differences_are_within_the_bars(rows):
    """1e-5 m, 1e-5 rad and 0.1 %, and each a number."""
    for row in rows:
        place, angle, load = map(float, row[3:])
        assert 0.0 <= place < 1e-5, row
        assert 0.0 <= angle < 1e-5, row
        assert 0.0 <= load < 1e-3, row
