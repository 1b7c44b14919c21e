"""Ways to spoil a car file, and what any car that is read must still be."""

import dataclasses
import math
import random
from collections.abc import Mapping

import numpy as np

from splinewise.core.jet import value
from splinewise.core.linkages import solve
from splinewise.core.screw import Screw

VALUES = [
    '"?"', '""', '"0 mm"', '"-1 mm"', '"1e15 mm"', '"0.0000001 mm"', '"15 5/8 in"',
    '"15 5/7 in"', '"15 5/0 in"', '"397,5 mm"', '"1 ft 3 5/8 in"', '"397"', '"abc"',
    '"4.5 deg"', '"180 deg"', '"-180 deg"', '"592 lb"', '"1 N"', '"78.5 GPa"',
    '"20 N·m/deg"', '"3 turns"', '"1 mm ± 1 mm"', '"1 mm ± 0"', '"1 mm ± 1e9 m"',
    '"9**9**9 mm"', '"\\u0000"', '"\\u202e"', '"±"', '"½ in"', "'''\nx\n'''", "0", "1",
    "-1", "24", "25", "200", "201", "1.5", "1e308", "-1e308", "1e-308", "inf", "-inf",
    "nan", "9" * 30, "9" * 400, "0x10", "true", "false", "[]", "[[]]", "{}", "[1, 2]",
    "[1, 2, 3]", "[0, 0, 0]", "[nan, 0, 0]", '["1 mm", "2 in", 3]', "[1e308, 0, 0]",
    '{ value = "1 mm" }', '{ value = "1 in", standing = "published" }',
    '{ value = "1 in", source = "x", more = 1 }', "1979-05-27", "07:32:00",
    "1979-05-27T07:32:00Z", '"round"', '"tube"', '"fillet"', '"lower"', '"upper"',
    '"none"', '"gap"', '"ride height"', '"arm slope"', '"standing"', '"hanging"',
    '"front-left"', '"front-right"', '"planar arm"', '"double wishbone"', '"shortens"',
    '"lengthens"', '"in"', '"mm"', '"unknown"',
]  # fmt: skip

LINES = [
    "[corner.front-left]", "[corner.front-right]", "[corner.rear-left]", "[car]",
    "[corner.front-left.bar]", "[[corner.front-left.bar.segment]]", "[[corner]]",
    "[[corner.front-left.reading]]", "[corner.front-left.points.body]", "x = 1",
    'mirror = "front-left"', 'mirror = "front-right"', 'shape = "leaf pack"',
    'shape = "taper"', "leaves = 3", 'bore = "12 mm"', 'length = "100 mm"',
    'sprung_load = "300 kg"', 'spindle = [0, 1, 0]', 'unit = "mm"', "= 1", "[", '"""',
    'on = "upper"', 'drawn_slope = "-5 deg"', 'in_bump = "lengthens"',
]  # fmt: skip


def spoiled(text: str, chance: random.Random) -> str:
    """Return a car file after one to four random harms."""
    for _ in range(chance.choice((1, 1, 1, 2, 3, 4))):
        text = chance.choice(HARMS)(text, chance)
    return text


def _lines(text, chance, change):
    lines = text.split("\n")
    change(lines, chance.randrange(len(lines)))
    return "\n".join(lines)


def _drop_line(text, chance):
    return _lines(text, chance, lambda lines, n: lines.pop(n))


def _twice(text, chance):
    return _lines(text, chance, lambda lines, n: lines.insert(n, lines[n]))


def _swap(text, chance):
    def change(lines, n):
        m = chance.randrange(len(lines))
        lines[n], lines[m] = lines[m], lines[n]

    return _lines(text, chance, change)


def _add_line(text, chance):
    return _lines(text, chance, lambda lines, n: lines.insert(n, chance.choice(LINES)))


def _other_value(text, chance):
    def change(lines, n):
        rows = [k for k, line in enumerate(lines) if " = " in line]
        if rows:
            k = chance.choice(rows)
            lines[k] = lines[k].split(" = ")[0] + " = " + chance.choice(VALUES)

    return _lines(text, chance, change)


def _other_digit(text, chance):
    places = [n for n, c in enumerate(text) if c.isdigit()]
    if not places:
        return text
    n = chance.choice(places)
    new = chance.choice([*"0123456789.-", "00", "99999"])
    return text[:n] + new + text[n + 1 :]


def _other_letter(text, chance):
    n = chance.randrange(len(text) or 1)
    new = chance.choice(
        ["", "x", '"', "'", "[", "]", "=", "\\", "#", "\n", "±", "\x00"]
    )
    return text[:n] + new + text[n + 1 :]


def _cut(text, chance):
    return text[: chance.randrange(len(text) or 1)]


HARMS = [
    *(_other_value,) * 5,
    *(_other_digit,) * 5,
    _drop_line,
    _drop_line,
    _twice,
    _swap,
    _add_line,
    _add_line,
    _other_letter,
    _cut,
]


def numbers(thing, path="car"):
    """Return every number in a car with where it is, but for a screw's length.

    A screw that keeps its direction is one of infinite length.
    """
    if isinstance(thing, (bool, str)) or thing is None:
        return
    if isinstance(thing, (int, float, np.ndarray, np.floating)):
        yield path, thing
    elif isinstance(thing, Mapping):
        for key, item in thing.items():
            yield from numbers(item, f"{path}.{key}")
    elif isinstance(thing, tuple):
        for n, item in enumerate(thing):
            yield from numbers(item, f"{path}[{n}]")
    elif dataclasses.is_dataclass(thing):
        for field in dataclasses.fields(thing):
            if not (isinstance(thing, Screw) and field.name == "length"):
                item = getattr(thing, field.name)
                yield from numbers(item, f"{path}.{field.name}")
    else:
        msg = f"{path} holds a {type(thing).__name__}"
        raise AssertionError(msg)


def must_be_sound(car) -> None:
    """Fail unless all of a car's numbers are finite and its corners can move."""
    for path, number in numbers(car):
        assert np.all(np.isfinite(number)), path
    for corner in car.corners.values():
        assert corner.low < 0.0 < corner.high, corner.name
        assert corner.load.value > 0.0
        assert corner.bar.rate.value > 0.0
        assert float(corner.bar.bar.rate) > 0.0
        assert corner.bar.limit.value.value > 0.0
        assert corner.arm_radius > 0.0
        assert math.isclose(np.linalg.norm(corner.bar_along), 1.0)
        # Just inside the ends, for at a lock itself rounding decides.
        angles = np.linspace(0.999 * corner.low, 0.999 * corner.high, 5)
        assert np.all(np.isfinite(value(solve(corner.linkage, angles).contact.z)))
