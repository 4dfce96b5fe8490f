"""Holds a JSON value against the part of JSON Schema (2020-12) that our schema uses.

An unknown keyword is an error, so that nothing in the schema goes unchecked.
"""

from __future__ import annotations

import math
from datetime import date
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator

_TYPES: dict[str, tuple[type, ...]] = {
    "object": (dict,),
    "array": (list,),
    "string": (str,),
    "integer": (int,),
    "number": (int, float),
    "boolean": (bool,),
    "null": (type(None),),
}
_KNOWN = {
    "$schema", "$defs", "$ref", "title", "description", "type", "properties", "required",
    "additionalProperties", "items", "enum", "minimum", "maximum", "format", "anyOf",
}  # fmt: skip


def faults(
    value: Any, schema: dict[str, Any], root: dict[str, Any], at: str = "$"
) -> Iterator[str]:
    """What is wrong with ``value``, each with its place."""
    unknown = set(schema) - _KNOWN
    assert not unknown, f"keywords that are not checked: {unknown}"
    if "$ref" in schema:
        name = schema["$ref"].removeprefix("#/$defs/")
        yield from faults(value, root["$defs"][name], root, at)
    if "anyOf" in schema and all(
        any(True for _ in faults(value, s, root)) for s in schema["anyOf"]
    ):
        yield f"{at}: fits none of the choices"
    if "type" in schema:
        names = [schema["type"]] if isinstance(schema["type"], str) else schema["type"]
        allowed = tuple(kind for name in names for kind in _TYPES[name])
        if not isinstance(value, allowed) or (isinstance(value, bool) and bool not in allowed):
            yield f"{at}: {value!r} is not {' or '.join(names)}"
            return
    if "enum" in schema and value not in schema["enum"]:
        yield f"{at}: {value!r} is not one of {schema['enum']}"
    if isinstance(value, float | int) and not isinstance(value, bool):
        if not math.isfinite(value):
            yield f"{at}: not finite"
        if not schema.get("minimum", -math.inf) <= value <= schema.get("maximum", math.inf):
            yield f"{at}: {value} is out of bounds"
    if schema.get("format") == "date":
        try:
            date.fromisoformat(value)
        except ValueError:
            yield f"{at}: {value!r} is not a date"
    if isinstance(value, list):
        for index, item in enumerate(value):
            yield from faults(item, schema.get("items", {}), root, f"{at}[{index}]")
    if isinstance(value, dict):
        yield from _object_faults(value, schema, root, at)


def _object_faults(
    value: dict[str, Any], schema: dict[str, Any], root: dict[str, Any], at: str
) -> Iterator[str]:
    properties = schema.get("properties", {})
    for key in set(schema.get("required", ())) - set(value):
        yield f"{at}: lacks {key}"
    for key, item in value.items():
        inner = properties.get(key, schema.get("additionalProperties", {}))
        if inner is False:
            yield f"{at}: {key} is not described"
        else:
            yield from faults(item, inner, root, f"{at}.{key}")
