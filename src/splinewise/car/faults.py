"""What pydantic finds wrong, in sentences: what was read, why, what would be right."""

from __future__ import annotations

import types
from collections.abc import Iterable, Iterator, Mapping
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from splinewise.car.declare import Key, Table
from splinewise.car.keys import BLANK, shown
from splinewise.car.lines import Path
from splinewise.car.words import either

__all__ = [
    "blanks",
    "example_of",
    "field_at",
    "is_rows",
    "keys_of",
    "kinds",
    "models_in",
    "nearest",
    "sentence",
    "toml",
    "without_tags",
    "words_of",
]

Model = type[Table]


def keys_of(model: Model) -> dict[str, Key]:
    """Return the keys of a table as the file spells them."""
    return {field.alias or name: field for name, field in model.model_fields.items()}


def models_in(annotation: Any) -> Iterator[Model]:
    """Return the tables that a key's annotation speaks of."""
    if isinstance(annotation, type) and not get_args(annotation):
        if issubclass(annotation, Table):
            yield annotation
        return
    origin = get_origin(annotation)
    if origin in (Union, types.UnionType, list):
        for part in get_args(annotation):
            yield from models_in(part)
    elif origin is Annotated:
        yield from models_in(get_args(annotation)[0])


def is_rows(field: Key) -> bool:
    """Return whether a key stands for rows and not for one table."""
    parts = [field.annotation, *get_args(field.annotation)]
    return any(get_origin(part) is list for part in parts)


def table_at(model: Model, path: Iterable[str | int], raw: object) -> Model | None:
    """Return the table that stands at a path below `model`, if one does."""
    here: Model | None = model
    for key in path:
        raw = _item(raw, key)
        if isinstance(key, int):
            continue
        field = keys_of(here).get(key) if here else None
        found = list(models_in(field.annotation)) if field else []
        if len(found) > 1:
            kind = _item(raw, "kind")
            found = [m for m in found if kind in words_of(keys_of(m)["kind"])]
        here = found[0] if found else None
    return here


def field_at(model: Model, path: Path, raw: object) -> Key | None:
    """Return the field of the key at a path below `model`, if there is one."""
    keys = [n for n, key in enumerate(path) if isinstance(key, str)]
    if not keys:
        return None
    last = keys[-1]
    table = table_at(model, path[:last], raw)
    return keys_of(table).get(str(path[last])) if table else None


def _item(raw: object, key: str | int) -> object:
    if isinstance(raw, dict):
        return raw.get(key)
    if isinstance(raw, list) and isinstance(key, int) and key < len(raw):
        return raw[key]
    return None


def words_of(field: Key) -> list[str]:
    """Return the words that a key may have, if it may have only some."""
    words: list[str] = []
    parts = [field.annotation]
    while parts:
        part = parts.pop(0)
        if get_origin(part) is Literal:
            words += [str(word) for word in get_args(part)]
        elif get_origin(part) in (Union, types.UnionType):
            parts += get_args(part)
    return words


def nearest(word: str, words: Iterable[str]) -> str | None:
    """Return the word that a mistyped one was probably meant to be."""
    from difflib import get_close_matches  # only a faulty file pays for it

    plain = {_plain(known): known for known in words}
    short = _plain(word)
    close = get_close_matches(short, plain, n=1, cutoff=0.6)
    # A word cut short is far from the whole one by its letters alone.
    begun = [key for key in plain if len(short) > 2 and key.startswith(short)]
    found = close or begun
    return plain[found[0]] if found else None


def _plain(word: str) -> str:
    return "".join(c for c in word.casefold() if c.isalnum())


def without_tags(loc: tuple[str | int, ...], raw: object) -> Path:
    """Return an error's path without the names of the union's branches."""
    path: list[str | int] = []
    loc = loc[:-1] if loc[-1:] == ("[key]",) else loc  # the fault is in a key itself
    for n, key in enumerate(loc):
        last = n == len(loc) - 1
        if last or _item(raw, key) is not None or not isinstance(raw, dict):
            path.append(key)
            raw = _item(raw, key)
    return tuple(path)


def blanks(raw: object, at: Path = ()) -> Iterator[Path]:
    """Return the paths of what a new file left to be filled in."""
    if raw == BLANK:
        yield at
    elif isinstance(raw, dict):
        for key, item in raw.items():
            yield from blanks(item, (*at, key))
    elif isinstance(raw, list):
        for n, item in enumerate(raw):
            yield from blanks(item, (*at, n))


def example_of(field: Key, key: str) -> str:
    """Return a line of the file that would be right for a key."""
    example = (field.examples or [""])[0]
    return "" if example in ({}, []) else f"For example: {key} = {toml(example)}"


def toml(value: object) -> str:
    """Return a plain value as TOML has it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return f"[{', '.join(toml(item) for item in value)}]"
    if isinstance(value, Mapping):
        rows = (f"{key} = {toml(item)}" for key, item in value.items())
        return f"{{ {', '.join(rows)} }}"
    return f'"{value}"' if isinstance(value, str) else str(value)


def sentence(error: Mapping[str, Any], path: Path, model: Model, raw: object) -> str:
    """Return what is to be said of one of pydantic's errors.

    Parameters
    ----------
    error : mapping
        As `ValidationError.errors()` gives it.
    path : Path
        Its path without tags.
    model : type of Table
        The table that was read.
    raw : object
        What was read.

    Returns
    -------
    str
        One or two sentences.
    """
    kind, given = error["type"], error["input"]
    key = str(path[-1]) if path else ""
    field = field_at(model, path, raw)
    if "why" in error.get("ctx", {}):
        return str(error["ctx"]["why"])
    if kind == "missing":
        words = field.description if field else ""
        example = example_of(field, key) if field else ""
        return f"This is missing. {words} {example}".strip()
    if kind == "extra_forbidden":
        return _unknown(key, path, model, raw)
    if kind in ("literal_error", "union_tag_invalid", "union_tag_not_found"):
        return _not_one_of(kind, given, path, model, raw)
    return f"{_wrong(kind, given, error, path)} {_right(field, key)}".strip()


def _unknown(key: str, path: Path, model: Model, raw: object) -> str:
    table = table_at(model, path[:-1], raw)
    known = [*keys_of(table), *table.also] if table else []
    near = nearest(key, known)
    if near:
        return f'There is no key "{shown_key(key)}" here. Did you mean "{near}"?'
    homes = [where for where, keys in _homes(model) if key in keys]
    if path[:-1] in homes:
        return f'The key "{shown_key(key)}" is for another kind. Leave it out.'
    if homes:
        where = f"[{'.'.join(homes[0])}]" if homes[0] else "the corner's own table"
        return f'The key "{shown_key(key)}" does not belong here but in {where}.'
    return f'There is no key "{shown_key(key)}" here. The keys are: {", ".join(known)}.'


def shown_key(key: str) -> str:
    """Return a key fit to be shown."""
    return shown(key)[1:-1]


def _homes(model: Model, at: tuple[str, ...] = ()) -> Iterator[tuple[Any, set[str]]]:
    yield at, set(keys_of(model))
    for key, field in keys_of(model).items():
        for inner in models_in(field.annotation):
            yield from _homes(inner, (*at, key))


def _not_one_of(kind: str, given: object, path: Path, model: Model, raw: object) -> str:
    if kind != "literal_error":  # an adjuster of an unknown kind
        words = _kind_words(model, path, raw)
        if kind == "union_tag_not_found":
            return f"Its kind is missing. {kinds(model, path, raw)}"
        given = _item(given, "kind")
    else:
        field = field_at(model, path, raw)
        words = words_of(field) if field else []
    near = nearest(given, words) if isinstance(given, str) else None
    guess = f' Did you mean "{near}"?' if near else ""
    return f"{shown(given)} is not known here. It must be {either(words)}.{guess}"


def _kind_words(model: Model, path: Path, raw: object) -> list[str]:
    field = field_at(model, path, raw)
    tables = map(keys_of, models_in(field.annotation) if field else ())
    return [
        word for keys in tables if "kind" in keys for word in words_of(keys["kind"])
    ]


def kinds(model: Model, path: Path, raw: object) -> str:
    """Return what kinds there are of the table at a path, in a sentence."""
    words = _kind_words(model, path, raw)
    return f"Write kind = {either(words)}." if words else ""


def _wrong(kind: str, given: object, error: Mapping[str, Any], path: Path) -> str:
    """Return what is wrong with a value of the wrong sort or size."""
    ctx = error.get("ctx", {})
    what = shown(given)
    match kind:
        case "model_type" | "dict_type" | "model_attributes_type":
            name = ".".join(str(k) for k in path)
            return f"{what} stands where a table must be, under a header [{name}]."
        case "list_type" if isinstance(given, dict):
            name = ".".join(str(k) for k in path)
            return f"Rows have two brackets, even if there is one: [[{name}]]."
        case "list_type":
            return f"{what} stands where a list or rows must be."
        case "string_type":
            return f"{what} must be text in quotes."
        case "int_type" | "int_from_float":
            return f"{what} must be a whole number without quotes."
        case "float_type":
            return f"{what} must be a number without quotes."
        case "bool_type":
            return f"{what} must be true or false, without quotes."
        case "greater_than_equal":
            return f"{what} is too small; the least is {ctx['ge']:g}."
        case "less_than_equal":
            return f"{what} is too large; the most is {ctx['le']:g}."
        case "finite_number":
            return f"{what} is no number to build with."
        case "string_too_short":
            return "The text is empty."
        case "string_too_long":
            return f"The text is longer than {ctx['max_length']} characters."
        case "string_pattern_mismatch":
            return f"{what} must be letters, digits and _ only, at most 40."
        case "too_short" | "too_long":
            count = ctx.get("min_length", ctx.get("max_length"))
            return f"There must be {count} of them."
    return f"{what} cannot be read here."


def _right(field: Key | None, key: str) -> str:
    return example_of(field, key) if field else ""
