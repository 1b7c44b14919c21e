"""A car file read: TOML text in, a `Car` out, or every fault with its line."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path as FilePath
from types import MappingProxyType
from typing import Any, NoReturn

from splinewise.car.blame import Blame
from splinewise.car.build import Rows, build_corner
from splinewise.car.build_vehicle import build_vehicle, build_wheel, unfolded_wheels
from splinewise.car.faults import nearest
from splinewise.car.keys import BLANK, shown
from splinewise.car.layouts import LAYOUTS
from splinewise.car.lines import Path, find_lines
from splinewise.car.mirror import across, line_finder, side_of, twin, unfolded
from splinewise.car.model import Car, Corner
from splinewise.car.schema import CORNER_NAME, FORMAT, WholeTable
from splinewise.car.sift import sifted
from splinewise.car.vehicle_model import Wheel
from splinewise.car.vehicle_tables import WheelTable
from splinewise.car.words import either
from splinewise.errors import CarFileError, Fault

__all__ = ["LONGEST", "file_text", "load_car", "read_car"]

LONGEST = 1_000_000
"""A car file longer than this is no car file. [byte]"""

Raw = dict[str, Any]


def load_car(path: str | FilePath) -> Car:
    """Read a car from a file.

    Parameters
    ----------
    path : str or pathlib.Path
        The file.

    Returns
    -------
    Car
        The car.

    Raises
    ------
    CarFileError
        If the file cannot be opened, or as `read_car`.
    """
    return read_car(file_text(path), file=str(path))


def file_text(path: str | FilePath) -> str:
    """Return the text of a car file, or say in a sentence why there is none."""
    name = str(path)
    try:
        with FilePath(path).open("rb") as stream:
            content = stream.read(LONGEST + 1)
    except FileNotFoundError:
        _refuse(name, "There is no such file. Look at its name and at the directory.")
    except IsADirectoryError:
        _refuse(name, "This is a directory. Name the car file in it.")
    except PermissionError:
        _refuse(name, "The file may not be read. Look at its permissions.")
    except (OSError, ValueError) as error:
        _refuse(name, f"The file cannot be read ({error}).")
    if len(content) > LONGEST:
        _refuse(name, "The file is longer than 1 MB; a car file is a few kB of text.")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        why = (
            "The file is not UTF-8 text from here on. Save it as UTF-8, without which "
            "signs such as ± and ° cannot be told."
        )
        raise CarFileError(name, [Fault(line, "", why)]) from None


def read_car(text: str, *, file: str = "") -> Car:
    """Read a car from the text of a file.

    Parameters
    ----------
    text : str
        The text, TOML.
    file : str
        What the user calls the file; it stands before every fault.

    Returns
    -------
    Car
        The car.

    Raises
    ------
    CarFileError
        With every fault that was found, in the file's order.
    """
    name = file or "car file"
    if len(text) > LONGEST:
        _refuse(name, "The text is longer than 1 MB; a car file is a few kB of text.")
    text = text.removeprefix("\ufeff")
    try:
        raw = _parsed(text, name)
        lines = find_lines(text)
        return _read(raw, lines, text, name, file)
    except RecursionError:
        _refuse(name, "The tables or lists are nested too deep for a car file.")


Finder = Callable[[Path], tuple[int, Path]]


def _read(raw: Raw, lines: Mapping[Path, int], text: str, name: str, file: str) -> Car:
    blame = Blame()
    whole = _whole(raw, blame)
    given = raw.get("corner")
    corners: Raw = given if isinstance(given, dict) else {}
    find = line_finder(lines, corners)
    top = raw.get("car")
    inches = isinstance(top, dict) and top.get("units") == "inch"
    blame = Blame((), "inch" if inches else "metric", blame.found)
    built: dict[str, Corner] = {}
    for corner, content in unfolded(corners, blame.below("corner")).items():
        one = _corner(corner, content, find, blame.below("corner", corner))
        if one is not None:
            built[corner] = one
    wheels = _wheels(raw.get("wheel"), built, blame.below("wheel"))
    vehicle = None
    if whole is not None and whole.vehicle is not None:
        names = [*corners, *(raw.get("wheel") or ())]
        vehicle = build_vehicle(whole.vehicle, names, blame.below("vehicle"))
    if blame.found or whole is None:
        raise CarFileError(name, _faults(blame, find, lines, corners))
    return Car(
        name=whole.car.name,
        system=whole.car.units,
        invented=whole.car.invented,
        story=whole.car.story,
        corners=MappingProxyType({corner: built[corner] for corner in corners}),
        file=file,
        text=text,
        vehicle=vehicle,
        wheels=MappingProxyType(wheels),
    )


def _wheels(given: object, corners: Raw, blame: Blame) -> dict[str, Wheel]:
    """Return the wheels on other springs, those with a fault left out."""
    found: dict[str, Wheel] = {}
    if not isinstance(given, dict):
        return found
    for name, content in unfolded_wheels(given, blame).items():
        at, side = blame.below(name), side_of(name)
        if side is None or not re.fullmatch(CORNER_NAME, name):
            at.say(None, 'A wheel is named as a corner, as "rear-left".')
        elif name in corners:
            at.say(None, "There is a corner of this name already.")
        elif not isinstance(content, dict):
            at.say(None, f"This must be a table, under a header [wheel.{name}].")
        else:
            table, bad = sifted(WheelTable, content, at)
            if table is None:
                continue
            wheel = build_wheel(name, side, table, bad, at)
            if wheel is not None:
                found[name] = wheel
    return found


def _whole(raw: Raw, blame: Blame) -> WholeTable | None:
    """Check the outermost table, the corners left aside."""
    top, corners = dict(raw), raw.get("corner")
    form = top.get("format", FORMAT)
    if type(form) is not int or form != FORMAT:
        newer = isinstance(form, int) and form > FORMAT
        advice = "A newer splinewise may read it." if newer else f"Write {FORMAT}."
        blame.say(
            "format",
            f"This file is of format {shown(form)}; this program reads format "
            f"{FORMAT}. {advice}",
        )
        top["format"] = FORMAT
    if isinstance(corners, dict):
        top["corner"] = {}
        if not corners:
            blame.say("corner", "A car needs at least one corner.")
    if isinstance(raw.get("wheel"), dict):
        top["wheel"] = {}
    return sifted(WholeTable, top, blame)[0]


def _corner(name: str, content: object, find: Finder, blame: Blame) -> Corner | None:
    side = side_of(name)
    if side is None or not re.fullmatch(CORNER_NAME, name):
        blame.say(
            None,
            'A corner is named by words for its axle and its side, as "front-left" or '
            '"rear-right".',
        )
        return None
    if not isinstance(content, dict):
        blame.say(None, f"This must be a table, under a header [corner.{name}].")
        return None
    layout = LAYOUTS.get(str(content.get("layout")))
    if layout is None:
        blame.say("layout", _no_layout(content))
        return None
    table, bad = sifted(layout.table, content, blame)
    rows = Rows(
        published=_row_lines(content, "published", find, blame.at),
        reading=_row_lines(content, "reading", find, blame.at),
        dimensions=_names(content.get("dimension")),
    )
    if table is None:  # no table at all, which was told
        return None
    return build_corner(name, side, layout, table, bad, rows, blame)


def _row_lines(content: Raw, key: str, find: Finder, at: Path) -> list[int]:
    rows = content.get(key)
    count = len(rows) if isinstance(rows, list) else 0
    return [find((*at, key, n))[0] for n in range(count)]


def _names(rows: object) -> frozenset[str]:
    """Return the names of dimensions, those of faulty rows too."""
    given = rows if isinstance(rows, list) else [rows]
    names = [row.get("name") for row in given if isinstance(row, dict)]
    return frozenset(name for name in names if isinstance(name, str))


def _no_layout(content: Raw) -> str:
    words = either(list(LAYOUTS))
    if "layout" not in content:
        return f"This is missing. Say how the wheel is hung: {words}."
    given = content["layout"]
    if given == BLANK:
        return f"This is not filled in yet. Say how the wheel is hung: {words}."
    near = nearest(given, LAYOUTS) if isinstance(given, str) else None
    guess = f' Did you mean "{near}"?' if near else ""
    return f"{shown(given)} is no layout that is known. It must be {words}.{guess}"


def _faults(
    blame: Blame, find: Finder, lines: Mapping[Path, int], corners: Raw
) -> list[Fault]:
    """Return every fault once, in the file's order.

    What is wrong in a corner is wrong in its mirror too, and is not said twice.
    """
    paths = {path for path, _ in blame.found}
    faults: dict[tuple[int, str], Fault] = {}
    for path, why in blame.found:
        there = across(path, lines, corners)
        if there and any(there[:n] in paths for n in range(3, len(there) + 1)):
            continue
        if (twin(path, corners), why) in blame.found:
            continue
        line, here = find(path)
        faults.setdefault((line, why), Fault(line, _field(here), why))
    return sorted(faults.values(), key=lambda fault: fault.line)


def _field(path: Path) -> str:
    """Return a path as people read it, rows counted from 1."""
    words = ""
    for key in path:
        if isinstance(key, int):
            words += f"[{key + 1}]"
        else:
            words += f".{shown(key)[1:-1]}" if words else shown(key)[1:-1]
    return words


def _refuse(name: str, why: str) -> NoReturn:
    raise CarFileError(name, [Fault(0, "", why)])


_PLACE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")


# The reader of TOML shows a path as Python has it, ('corner', 'front-left').
_KEYS = re.compile(r"\((?:'[^']*',? ?)+\)")
_KEY = re.compile(r"'([^']*)'")


def _parsed(text: str, name: str) -> Raw:
    """Return the file's tables, or say where it stops being TOML."""
    try:
        return tomllib.loads(text)
    except ValueError as error:  # an integer of thousands of digits is only this
        said = str(error)
    place = _PLACE.search(said)
    rows = text.split("\n")
    last = len(text.rstrip().split("\n"))
    line = int(place[1]) if place and place[1] else (last if place else 0)
    what = _PLACE.sub("", said).rstrip(".")
    what = _KEYS.sub(lambda keys: ".".join(_KEY.findall(keys[0])), what)
    row = rows[line - 1] if 0 < line <= len(rows) else ""
    why = f"This is not TOML: {what[:1].lower()}{what[1:]}. {_hint(row, what)}".strip()
    raise CarFileError(name, [Fault(line, "", why)])


_UNQUOTED = re.compile(r"""\s*([\w.-]+)\s*=\s*([^"'\s\[{#][^"'#]*?)\s*(?:#.*)?$""")
_COMMA = re.compile(r"\s*[\w.-]+\s*=\s*[-+]?\d+,\d+\s*(?:#.*)?$")


def _hint(row: str, what: str) -> str:
    """Return what was probably meant on a line that is no TOML."""
    if "overwrite" in what or "twice" in what:
        return "The key or the table stands in the file twice. Leave one out."
    if _COMMA.match(row):
        return "Write the decimal with a point, or text in quotes with its unit."
    unquoted = _UNQUOTED.match(row)
    if unquoted:
        key, value = unquoted.groups()
        value = value.replace("\\", "")
        return f'Text stands in quotes: {key} = "{shown(value)[1:-1]}".'
    if "\\" in row and "escape" in what:
        return "Write a backslash twice, or the text in single quotes."
    if row.count('"') % 2:
        return "A quote seems to be missing. For inches write in, not the mark."
    return "Look at the quotes, brackets and equals signs of this line."
