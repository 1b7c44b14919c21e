"""Where the book is, on each system and where the person says."""

from pathlib import Path

import pytest

from splinewise.book import place


@pytest.fixture(autouse=True)
def bare(monkeypatch, tmp_path):
    """Have no variables, and a home of one's own."""
    for name in ("SPLINEWISE_BOOK", "XDG_DATA_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(Path, "home", lambda: tmp_path)


def test_what_is_said_goes_before_the_environment_and_that_before_the_system(
    monkeypatch, tmp_path
):
    monkeypatch.setattr(place.sys, "platform", "linux")
    assert place.book_place() == tmp_path / ".local/share/splinewise/splinewise.book"

    monkeypatch.setenv("SPLINEWISE_BOOK", "/mnt/stick/a.book")
    assert place.book_place() == Path("/mnt/stick/a.book")
    assert place.book_place("b.book") == Path("b.book")

    monkeypatch.setenv("HOME", str(tmp_path))
    assert place.book_place("~/c.book") == tmp_path / "c.book"


@pytest.mark.parametrize(
    ("platform", "variable", "value", "wanted"),
    [
        ("linux", "XDG_DATA_HOME", "/srv/data", "/srv/data"),
        ("linux", "XDG_DATA_HOME", "not/absolute", "{home}/.local/share"),
        ("freebsd14", "XDG_DATA_HOME", "", "{home}/.local/share"),
        ("darwin", "XDG_DATA_HOME", "/srv/data", "{home}/Library/Application Support"),
        ("win32", "LOCALAPPDATA", "/Users/me/Local", "/Users/me/Local"),
        ("win32", "LOCALAPPDATA", "", "{home}/AppData/Local"),
    ],
)
def test_each_system_has_its_place(
    monkeypatch, tmp_path, platform, variable, value, wanted
):
    monkeypatch.setattr(place.sys, "platform", platform)
    monkeypatch.setenv(variable, value)
    base = Path(wanted.format(home=tmp_path))

    assert place.default_place() == base / "splinewise" / "splinewise.book"


def test_photos_stand_in_a_folder_beside_the_book():
    beside = place.photos_beside(Path("x/a.book"))

    assert beside == Path("x/a.book.photos")
