"""What a car file may say, whole, and the JSON Schema of it that is published."""

from __future__ import annotations

import json
from typing import Any, Final, Literal

from splinewise.car.keys import FIGURE, STANDINGS, Name, Story
from splinewise.car.layouts import LAYOUTS
from splinewise.car.model import System
from splinewise.car.tables import Table, key
from splinewise.car.vehicle_tables import VehicleTable, WheelTable

__all__ = ["FORMAT", "CarTable", "WholeTable", "json_schema", "schema_text"]

FORMAT: Final = 1
"""The format of car files that this program reads and writes."""

CORNER_NAME = "^[a-z0-9]+([ -][a-z0-9]+)*-(left|right)$"


class CarTable(Table):
    """The car as a whole."""

    name: Name = key("What you call the car.", "grey tourer")
    units: System = key("What results are shown in first.", "inch")
    invented: bool = key("True for a car that does not exist.", False, False)
    story: Story = key("Anything that you want to say about the car.", "", "")


class WholeTable(Table):
    """The outermost table of the file."""

    format: Literal[1] = key("Format of the file.", FORMAT)
    car: CarTable = key("The car as a whole.", {})
    corner: dict[str, Any] = key(
        'The corners by name: words for the axle and "-left" or "-right".',
        {},
    )
    wheel: dict[str, Any] | None = key(
        "The wheels on other springs than torsion bars, by name as the corners.",
        {},
        None,
    )
    vehicle: VehicleTable | None = key(
        "The vehicle as a whole, to let it stand on its wheels.", {}, None
    )


_FIGURE = {
    "description": "A number with its unit, as people write it, with its doubt after "
    "± if there is one; or a table with where it comes from.",
    "anyOf": [
        {"type": "string", "pattern": "[0-9¼-¾⅐-⅞]"},
        {
            "type": "object",
            "properties": {
                "value": {"type": "string", "pattern": "[0-9¼-¾⅐-⅞]"},
                "standing": {"type": "string", "enum": list(STANDINGS)},
                "source": {"type": "string"},
            },
            "required": ["value"],
            "additionalProperties": False,
        },
    ],
}


def json_schema() -> dict[str, Any]:
    """Return the JSON Schema of a car file, for editors and other programs.

    It holds what a single value may be and which keys a table wants; what only the
    mechanics can tell is left to the program.
    """
    from splinewise.car.models import model_of, models_json_schema

    models: list[type[Table]] = [
        WholeTable,
        WheelTable,
        *(row.table for row in LAYOUTS.values()),
    ]
    _, whole = models_json_schema([(model_of(model), "validation") for model in models])
    defs: dict[str, Any] = _tidy(whole["$defs"])
    names = [row.table.__name__ for row in LAYOUTS.values()]
    parts = {f"{name}Part": _part(body, defs) for name, body in defs.items()}
    defs |= {"Figure": _FIGURE, "MirroredCorner": _mirrored(parts), **parts}
    defs["MirroredWheel"] = _mirrored_wheel(parts["WheelTablePart"])
    for name in names:
        del defs[f"{name}Part"]
    top = defs.pop("WholeTable")
    del defs["WholeTablePart"], defs["CarTablePart"]
    top["properties"]["corner"] = {
        "type": "object",
        "description": top["properties"]["corner"]["description"],
        "patternProperties": {
            CORNER_NAME: {
                "if": {"required": ["mirror"]},
                "then": {"$ref": "#/$defs/MirroredCorner"},
                "else": {"anyOf": [{"$ref": f"#/$defs/{name}"} for name in names]},
            }
        },
        "additionalProperties": False,
        "minProperties": 1,
    }
    top["properties"]["wheel"] = {
        "type": "object",
        "description": top["properties"]["wheel"]["description"],
        "patternProperties": {
            CORNER_NAME: {
                "if": {"required": ["mirror"]},
                "then": {"$ref": "#/$defs/MirroredWheel"},
                "else": {"$ref": "#/$defs/WheelTable"},
            }
        },
        "additionalProperties": False,
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Splinewise car file",
        **{k: v for k, v in top.items() if k != "title"},
        "$defs": {
            name: defs[name] for name in sorted(defs) if name in _used(top, defs)
        },
    }


def _tidy(node: Any) -> Any:
    """Return pydantic's schema without what a TOML file has no use for."""
    if isinstance(node, list):
        return [_tidy(item) for item in node]
    if not isinstance(node, dict):
        return node
    if node.get("$comment") == FIGURE:
        rest = {k: v for k, v in node.items() if k in ("description", "examples")}
        return {"$ref": "#/$defs/Figure", **rest}
    tidy = {
        key: _tidy(value)
        for key, value in node.items()
        if not (key == "title" and isinstance(value, str))
        and not (key == "default" and value is None)
        and not (key == "examples" and value in ([{}], [[]], [""]))
    }
    # A key that is not there is none in TOML, which has no null.
    ways = [way for way in tidy.get("anyOf", ()) if way != {"type": "null"}]
    if len(ways) == 1:
        tidy = {**ways[0], **{k: v for k, v in tidy.items() if k != "anyOf"}}
    elif ways:
        tidy["anyOf"] = ways
    return tidy


def _part(node: Any, defs: dict[str, Any]) -> Any:
    """Return a table's schema with no key wanted, for a corner that is a mirror."""
    if isinstance(node, list):
        return [_part(item, defs) for item in node]
    if not isinstance(node, dict) or "items" in node:
        return node  # a point or rows: each is written whole
    if node.get("$ref", "").rpartition("/")[2] in defs:
        return {**node, "$ref": f"{node['$ref']}Part"}
    # Without its kind a part of an adjuster may be of several kinds.
    return {
        "anyOf" if key == "oneOf" else key: _part(value, defs)
        for key, value in node.items()
        if key not in ("required", "discriminator", "default")
    }


def _mirrored(parts: dict[str, Any]) -> dict[str, Any]:
    """Return the schema of a mirrored corner: any key of any layout, none wanted."""
    properties: dict[str, Any] = {
        "mirror": {
            "type": "string",
            "description": "Name of the corner across the car that this one mirrors; "
            "then only what differs is written.",
            "pattern": CORNER_NAME,
        }
    }
    for row in LAYOUTS.values():
        for name, value in parts[f"{row.table.__name__}Part"]["properties"].items():
            before = properties.get(name)
            if before is None:
                properties[name] = value
            elif value != before:
                ways = before.get("anyOf", [before])
                properties[name] = {"anyOf": [*ways, value]}
    return {
        "type": "object",
        "description": "A corner that is the mirror of the one across the car.",
        "properties": properties,
        "required": ["mirror"],
        "additionalProperties": False,
    }


def _mirrored_wheel(part: dict[str, Any]) -> dict[str, Any]:
    """Return the schema of a mirrored wheel: any key, none wanted."""
    mirror = {
        "type": "string",
        "description": "Name of the wheel across the car that this one mirrors; then "
        "only what differs is written.",
        "pattern": CORNER_NAME,
    }
    return {
        **part,
        "description": "A wheel that is the mirror of the one across the car.",
        "properties": {"mirror": mirror, **part["properties"]},
        "required": ["mirror"],
    }


def _used(top: Any, defs: dict[str, Any]) -> set[str]:
    """Return the names of the definitions that the schema leads to."""
    found: set[str] = set()
    todo = [top]
    while todo:
        node = todo.pop()
        if isinstance(node, dict):
            name = str(node.get("$ref", "")).rpartition("/")[2]
            if name and name not in found:
                found.add(name)
                todo.append(defs[name])
            todo += node.values()
        elif isinstance(node, list):
            todo += node
    return found


def schema_text() -> str:
    """Return the published file, `car.schema.json`, as it should be now."""
    return json.dumps(json_schema(), indent=1, ensure_ascii=False) + "\n"
