"""A new car file: what must be filled in says so, the rest stands there as comments.

The file is made from the same tables that read it.  It holds no figure: what must be
filled in is a question mark, and the file is refused, with one line for each, until
none is left.
"""

from __future__ import annotations

from collections.abc import Iterator

from splinewise.car.declare import Key, Table
from splinewise.car.faults import is_rows, keys_of, models_in, nearest, toml, words_of
from splinewise.car.keys import BLANK
from splinewise.car.layouts import LAYOUTS
from splinewise.car.model import System
from splinewise.car.schema import FORMAT
from splinewise.car.words import either
from splinewise.errors import TextError

__all__ = ["new_car_text"]

_START = (
    "sprung_load",
    "bar.diameter",
    "bar.active_length",
    "bar.steel",
    "ride_height.wanted",
    "dimension",
    "published",
)
"""What a new file asks for besides what is needed, whatever the layout."""

_WIDTH = 78

_HEAD = """\
#:schema ./car.schema.json
# A car file. Fill in what has a question mark: the program says which are left.
# A line that begins with # is not read: take the # away where you know the value.
# Write numbers with their unit, in quotes: "15 5/8 in", "397 mm", "4.5 deg",
# "592 lb"; with their doubt, if you know it: "397 mm ± 0.5". Where a value comes from
# can stand beside it:
#   {{ value = "592 lb", standing = "measured", source = "scales" }}

format = {form}

[car]
name = {name}
units = "{units}"
# story = "Anything that you want to say about the car."

"""

_MIRROR = """\
# The other side. Write here only what differs; points are taken over with y reversed.
# What you read on this side, and what you measured of this bar, stands here.
[corner.front-right]
mirror = "front-left"
# sprung_load = "592 lb"

# [[corner.front-right.reading]]
# of = "setting length"
# value = "397 mm"
# state = "bare arm"
"""


def new_car_text(layout: str, *, name: str, units: System) -> str:
    """Return a commented starting file.

    Parameters
    ----------
    layout : str
        One of `splinewise.car.layouts.LAYOUTS`.
    name : str
        What the car is called.
    units : str
        "inch" or "metric": what results are shown in first.

    Returns
    -------
    str
        The file.  `read_car` refuses it until every question mark is filled in.

    Raises
    ------
    TextError
        If there is no such layout or unit, or the name is not one line of text.
    """
    if layout not in LAYOUTS:
        near = nearest(layout, LAYOUTS)
        guess = f'Did you mean "{near}"?' if near else ""
        why = f'There is no layout "{layout}". It must be {either(list(LAYOUTS))}.'
        raise TextError(layout, why, guess)
    if units not in ("inch", "metric"):
        why = f'The units "{units}" are not known.'
        raise TextError(units, why, 'Take "inch" or "metric".')
    if not name or len(name) > 200 or not name.isprintable():
        why = "The car's name must be one line of text, at most 200 characters."
        raise TextError(name, why, "Choose a shorter or plainer one.")
    row = LAYOUTS[layout]
    known = {"layout": layout, "points.unit": {"inch": "in", "metric": "mm"}[units]}
    new = _New(frozenset((*_START, *row.start)), known)
    escaped = name.replace("\\", "\\\\").replace('"', '\\"')
    head = _HEAD.format(form=FORMAT, name=f'"{escaped}"', units=units)
    body = "\n".join(new.table(row.table, "corner.front-left", ""))
    return f"{head}{body}\n\n{_MIRROR}"


class _New:
    """Writes tables, each key with its words above it."""

    def __init__(self, start: frozenset[str], known: dict[str, str]) -> None:
        self.start, self.known = start, known

    def table(
        self, model: type[Table], header: str, path: str, *, out: bool = False
    ) -> Iterator[str]:
        """Return the lines of a table; all of them as comments if it is left out."""
        mark = "# " if out else ""
        yield f"{mark}{header if header[0] == '[' else f'[{header}]'}"
        plain: list[tuple[str, Key, str]] = []
        deeper: list[Iterator[str]] = []
        for key, field in keys_of(model).items():
            here = f"{path}.{key}".lstrip(".")
            if list(models_in(field.annotation)):
                deeper.append(self._below(field, header, here, out=out))
            else:
                plain.append((key, field, here))
        asked = [row for row in plain if not out and self._asked(row[1], row[2])]
        for key, field, here in asked:
            yield from self._key(key, field, here, out=False)
        rest = [row for row in plain if row not in asked]
        if asked and rest:
            yield "#"
            yield "# Further keys, where you know them:"
        for key, field, here in rest:
            yield from self._key(key, field, here, out=True)
        for lines in deeper:
            yield ""
            yield from lines

    def _asked(self, field: Key, path: str) -> bool:
        return field.is_required() or path in self.start

    def _below(self, field: Key, header: str, path: str, *, out: bool) -> Iterator[str]:
        inner = list(models_in(field.annotation))
        key = path.rpartition(".")[2]
        asked = any(s == path or s.startswith(f"{path}.") for s in self.start)
        skip = out or not (field.is_required() or asked)
        place = f"{header}.{key}"
        yield from _comment(field.description or "")
        if len(inner) == 1:
            place = f"[[{place}]]" if is_rows(field) else place
            yield from self.table(inner[0], place, path, out=skip)
            return
        # Tables of several kinds: the kind is asked for, what each wants follows.
        kinds = [word for model in inner for word in words_of(keys_of(model)["kind"])]
        yield f"[{place}]"
        yield from _comment(f"What it is: {either(kinds)}.")
        yield f'kind = "{BLANK}"'
        for model, kind in zip(inner, kinds, strict=True):
            keys = {k: f for k, f in keys_of(model).items() if k != "kind"}
            if keys:
                yield from _comment(f'With kind = "{kind}":')
            for name, each in keys.items():
                yield from self._key(name, each, f"{path}.{name}", out=True)

    def _key(self, key: str, field: Key, path: str, *, out: bool) -> Iterator[str]:
        yield from _comment(field.description or "")
        words = words_of(field)
        if len(words) > 1:
            yield from _comment(f"One of {either(words)}.")
        example = toml((field.examples or [""])[0])
        if path in self.known:
            yield f'{key} = "{self.known[path]}"'
        elif not out:
            if not words:
                yield from _comment(f"For example {example}")
            yield f'{key} = "{BLANK}"'
        else:
            yield f"# {key} = {example}"


def _comment(text: str) -> Iterator[str]:
    from textwrap import wrap

    for line in wrap(text, _WIDTH, break_long_words=False, break_on_hyphens=False):
        yield f"# {line}"
