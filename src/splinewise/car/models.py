"""The declared tables as pydantic's models, to tell faults and to publish the schema.

It is imported for a faulty file or for the schema, never for a faultless file.
"""

from __future__ import annotations

import os
import types
from collections.abc import Callable
from functools import reduce
from operator import or_
from typing import Annotated, Any, Literal, Union, get_args, get_origin

# Plugins that other packages install have no say in how a car file is read, and to
# look for them takes longer than to read it.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    ValidationInfo,
    create_model,
)
from pydantic.json_schema import JsonSchemaValue, models_json_schema
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from splinewise.car.declare import (
    Decimal,
    Key,
    Reader,
    RefusedError,
    Table,
    Tagged,
    Text,
    Whole,
)

__all__ = ["REFUSED", "Model", "as_table", "model_of", "models_json_schema"]

REFUSED = "splinewise"
"""The type that pydantic gives to what `refuse` raises."""


class Model(BaseModel):
    """A table as pydantic reads it."""

    model_config = ConfigDict(strict=True, extra="forbid", defer_build=True)


_MODELS: dict[type[Table], type[Model]] = {}
_TABLES: dict[type[Model], type[Table]] = {}


def model_of(table: type[Table]) -> type[Model]:
    """Return the model of a table, always the same one."""
    if table in _MODELS:
        return _MODELS[table]
    fields: dict[str, Any] = {
        name: (_annotation(key.annotation, key.metadata), _field(key))
        for name, key in table.model_fields.items()
    }
    model = create_model(
        table.__name__,
        __base__=Model,
        __doc__=table.__doc__,
        __module__=__name__,
        **fields,
    )
    _MODELS[table], _TABLES[model] = model, table
    return model


def as_table(value: Any) -> Any:
    """Return what pydantic read as the declared tables."""
    if isinstance(value, Model):
        table = _TABLES[type(value)]()
        vars(table).update({k: as_table(v) for k, v in vars(value).items()})
        return table
    if isinstance(value, list):
        return [as_table(item) for item in value]
    if isinstance(value, dict):
        return {k: as_table(v) for k, v in value.items()}
    return value


def _field(key: Key) -> Any:
    return Field(
        key.default,
        description=key.description or None,
        examples=key.examples or None,
        alias=key.alias,
        min_length=key.min_length,
        max_length=key.max_length,
    )


def _annotation(kind: Any, marks: tuple[Any, ...] = ()) -> Any:
    """Return an annotation as pydantic knows it."""
    origin, parts = get_origin(kind), get_args(kind)
    if origin is Annotated:
        return _annotation(parts[0], (*parts[1:], *marks))
    known: Any = kind
    if isinstance(kind, type) and not parts and issubclass(kind, Table):
        known = model_of(kind)
    elif origin in (Union, types.UnionType):
        known = reduce(or_, (_annotation(part) for part in parts))
    elif origin is list:
        known = types.GenericAlias(list, (_annotation(parts[0]),))
    elif origin is dict:
        known = types.GenericAlias(dict, tuple(_annotation(part) for part in parts))
    elif origin is Literal:
        known = kind
    for mark in marks:
        for each in _marks(mark):
            known = Annotated[known, each]
    return known


def _marks(mark: Any) -> list[Any]:
    match mark:
        case Reader():
            return [_Read(mark)]
        case Text():
            limits = Field(
                min_length=mark.shortest, max_length=mark.longest, pattern=mark.pattern
            )
            return [limits, *([_after(mark.check)] if mark.check else [])]
        case Whole():
            return [Field(ge=mark.low, le=mark.high)]
        case Decimal():
            return [Field(ge=mark.low, le=mark.high, allow_inf_nan=False)]
        case Tagged():
            return [Field(discriminator=mark.key)]
    msg = f"{mark!r} says nothing to pydantic"
    raise TypeError(msg)


def _told(function: Any) -> Any:
    """Return a function whose refusal pydantic takes as one fault."""

    def telling(*given: Any) -> Any:
        try:
            return function(*given)
        except RefusedError as error:
            # Braces in the text itself would be taken for fields of the message.
            raise PydanticCustomError(REFUSED, "{why}", {"why": str(error)}) from None

    return telling


def _after(check: Callable[[str], str]) -> AfterValidator:
    told = _told(check)

    def after(text: str) -> Any:  # pydantic looks at how many it takes
        return told(text)

    return AfterValidator(after)


class _Read:
    """A reader of ours, whatever the annotation says."""

    def __init__(self, reader: Reader) -> None:
        self.reader = reader

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Read by the reader, which may want the table's keys before this one."""
        read = _told(self.reader.read)

        def plain(given: object, info: ValidationInfo) -> Any:
            return read(given, info.data)

        return core_schema.with_info_plain_validator_function(plain)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """Publish what the reader says of itself."""
        return self.reader.published()
