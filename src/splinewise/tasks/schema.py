"""JSON Schemas of the results, made from the result classes themselves.

`as_json` writes a result as plain data; these say what is in it, so that a machine
can check what it reads.  The published files in `tasks/schemas/` are what `schema`
gives; a test holds them to it.
"""

from __future__ import annotations

import inspect
import re
import types
import typing
from dataclasses import fields, is_dataclass
from typing import Any, Literal

from splinewise.errors import TaskError
from splinewise.tasks.values import KINDS, SCHEMA_VERSION

__all__ = ["published", "schema"]

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schema(kind: str) -> dict[str, Any]:
    """Return the JSON Schema of one kind of result.

    Parameters
    ----------
    kind : str
        One of `splinewise.tasks.values.KINDS`.

    Returns
    -------
    dict
        The schema, as plain data.

    Raises
    ------
    TaskError
        If there is no such kind.
    """
    result = _class(kind)
    found: dict[str, Any] = {}
    body = _object(result, found)
    body["properties"] = {
        "schema": {"const": f"splinewise/{kind}/{SCHEMA_VERSION}"},
        **body["properties"],
    }
    body["required"] = ["schema", *body["required"]]
    return {
        "$schema": DIALECT,
        "$id": f"splinewise/{kind}/{SCHEMA_VERSION}",
        "title": f"splinewise {kind}",
        **body,
        "$defs": dict(sorted(found.items())),
    }


def published(kind: str) -> str:
    """Return the published schema of one kind of result, word for word.

    Parameters
    ----------
    kind : str
        One of `splinewise.tasks.values.KINDS`.

    Returns
    -------
    str
        JSON.

    Raises
    ------
    TaskError
        If there is no such kind.
    """
    _known(kind)
    from importlib.resources import files

    place = files("splinewise.tasks") / "schemas" / f"{kind}.json"
    return place.read_text(encoding="utf-8")


def _known(kind: str) -> None:
    if kind not in KINDS:
        msg = f"There is no kind of result {kind!r}. There are: {', '.join(KINDS)}."
        raise TaskError(msg)


def _class(kind: str) -> type:
    _known(kind)
    from importlib import import_module

    module, name = KINDS[kind]
    found: type = getattr(import_module(f"splinewise.tasks.{module}"), name)
    return found


def _object(result: type, found: dict[str, Any]) -> dict[str, Any]:
    """Return the schema of a dataclass; what it is made of is put into `found`."""
    hints = typing.get_type_hints(result)
    told = _attributes(result)
    names = [f.name for f in fields(result)]
    return {
        "description": (inspect.getdoc(result) or "").split("\n")[0],
        "type": "object",
        "properties": {
            name: {**_of(hints[name], found), "description": told[name]}
            for name in names
        },
        "required": names,
        "additionalProperties": False,
    }


def _of(hint: Any, found: dict[str, Any]) -> dict[str, Any]:
    """Return the schema of one annotation."""
    origin, inside = typing.get_origin(hint), typing.get_args(hint)
    if origin is Literal:
        return {"enum": list(inside)}
    if origin in (types.UnionType, typing.Union):
        return {"anyOf": [_of(one, found) for one in inside]}
    if origin is tuple and len(inside) == 2 and inside[1] is Ellipsis:
        return {"type": "array", "items": _of(inside[0], found)}
    if origin is tuple:
        return {
            "type": "array",
            "prefixItems": [_of(one, found) for one in inside],
            "minItems": len(inside),
            "maxItems": len(inside),
        }
    if is_dataclass(hint) and isinstance(hint, type):
        if hint.__name__ not in found:
            found[hint.__name__] = {}  # so that one inside itself would end
            found[hint.__name__] = _object(hint, found)
        return {"$ref": f"#/$defs/{hint.__name__}"}
    plain: dict[Any, Any] = {
        str: "string",
        bool: "boolean",
        int: "integer",
        # A number that does not exist is null.
        float: ["number", "null"],
        type(None): "null",
    }
    return {"type": plain[hint]}


_ENTRY = re.compile(r"^(\w[\w, ]*) : .+$")


def _attributes(result: type) -> dict[str, str]:
    """Return what the class says of each attribute."""
    text = inspect.getdoc(result) or ""
    _, _, listed = text.partition("Attributes\n----------\n")
    told: dict[str, str] = {}
    names: list[str] = []
    for line in listed.split("\n"):
        entry = _ENTRY.match(line)
        if entry:
            names = [name.strip() for name in entry[1].split(",")]
            told |= dict.fromkeys(names, "")
        else:
            # A number that does not exist is NaN in Python and null in JSON.
            more = line.strip().replace("NaN", "null")
            for name in names:
                told[name] = f"{told[name]} {more}".strip()
    return told
