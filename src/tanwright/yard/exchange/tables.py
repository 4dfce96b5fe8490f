"""Which tables an export package holds, and how each value is written in a CSV cell and read back.

Everything follows from the app registry: a new model or column of an area is in the package without
a line here.
"""

from __future__ import annotations

import json
import uuid
from datetime import UTC, date, datetime
from functools import cache
from graphlib import TopologicalSorter
from typing import TYPE_CHECKING, Any, Final, cast

from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import models

AREAS: Final = "tanwright.yard."
LEFT_OUT_TABLES: Final = frozenset({"people.pairingcode"})
"""Keys that open the yard for ten minutes are nobody's records."""
LEFT_OUT_COLUMNS: Final = {
    "people.person": frozenset({"password", "last_login", "calendar_token"}),
    "people.device": frozenset({"session_key"}),
}
"""What would let a reader of the package in: it stays behind, and is made anew on import."""

if TYPE_CHECKING:
    Column = models.Field[Any, Any]


@cache
def tables() -> tuple[type[models.Model], ...]:
    """Every model of the yard's areas, those that others point to first, else by name."""
    found = {
        model._meta.label_lower: model
        for config in apps.get_app_configs()
        if config.name.startswith(AREAS)
        for model in config.get_models(include_auto_created=True)
        if model._meta.managed
        and not model._meta.proxy
        and model._meta.label_lower not in LEFT_OUT_TABLES
    }
    order = TopologicalSorter(
        {
            label: {target for target in _targets(found[label]) if target != label}
            for label in sorted(found)
        }
    )
    return tuple(found[label] for label in order.static_order() if label in found)


def name_of(model: type[models.Model]) -> str:
    """``"journal-entry"``: the resource of ``model``; its file is ``data/journal-entry.csv``."""
    return model._meta.label_lower.replace(".", "-")


def columns(model: type[models.Model]) -> list[Column]:
    """The model's own columns (not those of a model it extends) that the package holds."""
    out = LEFT_OUT_COLUMNS.get(model._meta.label_lower, frozenset())
    return [field for field in model._meta.local_concrete_fields if field.name not in out]


def points_to_itself(model: type[models.Model]) -> list[Column]:
    """Columns that point to another row of the same table."""
    return [field for field in columns(model) if field.is_relation and _target(field) is model]


def schema(model: type[models.Model]) -> dict[str, Any]:
    """The Table Schema of ``model``."""
    fields = [_field(column) for column in columns(model)]
    known = set(tables())
    keys = [
        {
            "fields": [column.attname],
            "reference": {
                "resource": "" if target is model else name_of(target),
                "fields": [target._meta.pk.attname],
            },
        }
        for column in columns(model)
        if column.is_relation and (target := _target(column)) in known
    ]
    told: dict[str, Any] = {"fields": fields, "primaryKey": [model._meta.pk.attname]}
    return {**told, "foreignKeys": keys} if keys else told


def to_cell(column: Column, value: Any) -> str:
    """``value`` as text; an absent one is the empty cell."""
    plain = end_of(column)
    if isinstance(plain, models.JSONField):
        return "" if value is None else _json(value)
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, datetime):
        return value.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return repr(value)
    return str(value)


def from_cell(column: Column, cell: str) -> Any:
    """The value that ``cell`` stands for, checked as the column demands.

    Raises ValidationError with one plain sentence. Strict about what only some databases forbid
    (text too long, a zero byte), so that a package fits every database or none.
    """
    plain = end_of(column)
    text = isinstance(plain, (models.CharField, models.TextField, models.FileField))
    if cell == "" and not text:
        if not column.null:
            raise ValidationError("is empty and must not be")
        return None
    if "\x00" in cell:
        raise ValidationError("holds a zero byte")
    try:
        value = _read(plain, cell)
    except (ValueError, OverflowError, RecursionError, ValidationError):
        raise ValidationError(f"cannot be read as {_plain_name(plain)}") from None
    if text and cell == "":
        return value
    plain.run_validators(value)
    if choices := plain.flatchoices:
        _one_of(value, {key for key, _ in choices})
    return value


def end_of(column: Column) -> Column:
    """The column itself, or for a reference the key column that it points to."""
    while column.is_relation:
        column = cast(Any, column).target_field
    return column


def _read(plain: Column, cell: str) -> Any:
    if isinstance(plain, models.JSONField):
        return json.loads(cell, parse_constant=_refuse)
    if isinstance(plain, models.BooleanField):
        return {"true": True, "false": False}[cell] if cell in ("true", "false") else _refuse(cell)
    if isinstance(plain, models.UUIDField):
        return uuid.UUID(cell)
    if isinstance(plain, models.DateTimeField):
        moment = datetime.fromisoformat(cell)
        return moment if moment.tzinfo else _refuse(cell)
    if isinstance(plain, models.DateField):
        return date.fromisoformat(cell)
    if isinstance(plain, models.FloatField):
        number = float(cell)
        return number if abs(number) < float("inf") else _refuse(cell)
    return plain.to_python(cell)


def _refuse(cell: str) -> Any:
    raise ValueError(cell)


def _one_of(value: Any, known: set[Any]) -> None:
    if value not in known:
        raise ValidationError("is not one of " + ", ".join(sorted(map(str, known))))


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def _plain_name(column: Column) -> str:
    return next((words for kind, _, words in _TYPES if isinstance(column, kind)), "text")


# Order matters: a DateTimeField is a DateField too.
_TYPES: Final[tuple[tuple[type[Any], dict[str, Any], str], ...]] = (
    (models.UUIDField, {"type": "string", "format": "uuid"}, "an id"),
    (models.BooleanField, {"type": "boolean"}, "true or false"),
    (models.DateTimeField, {"type": "datetime"}, "a moment with its offset from UTC"),
    (models.DateField, {"type": "date"}, "a day"),
    (models.FloatField, {"type": "number"}, "a number"),
    (models.IntegerField, {"type": "integer"}, "a whole number"),
    (models.JSONField, {"type": "string"}, "JSON"),
)


def _field(column: Column) -> dict[str, Any]:
    plain = end_of(column)
    told = next((told for kind, told, _ in _TYPES if isinstance(plain, kind)), {"type": "string"})
    field = {"name": column.attname, **told}
    constraints: dict[str, Any] = {}
    text = told == {"type": "string"} and not isinstance(plain, models.JSONField)
    if not column.null and not text:
        constraints["required"] = True
    if column.unique:
        constraints["unique"] = True
    if text and plain.max_length:
        constraints["maxLength"] = plain.max_length
    if plain.flatchoices and not column.blank:
        constraints["enum"] = [str(key) for key, _ in plain.flatchoices]
    return {**field, "constraints": constraints} if constraints else field


def _targets(model: type[models.Model]) -> set[str]:
    return {_target(column)._meta.label_lower for column in columns(model) if column.is_relation}


def _target(column: Column) -> type[models.Model]:
    return cast(type[models.Model], column.related_model)
