"""The log of a tannage as the text of a readings file, as docs/sheet.md describes it."""

from __future__ import annotations

import csv
import io
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Final

from django.utils import timezone

from tanwright.yard.journal.models import Entry
from tanwright.yard.tannage.models import Tannage

COLUMNS: Final = ("date", "kind", "value", "unit", "place", "note", "at", "material")
_UNITS: Final = {"bk": "Bk", "sg": "SG", "tw": "Tw", "be": "Be", "brix": "Brix", "plato": "Plato"}
_EVENTS: Final = {
    "started": "started",
    "frozen": "frozen",
    "thawed": "thawed",
    "away": "away",
    "back": "back",
    "heat": "heat",
    "put_back": "put back",
    "done": "done",
    "not_done": "not done",
}
_UNUSED: Final = tuple(
    f"tannage.{what}" for what in ("turned", "smell", "note", "photo", "changed")
)
HOTTEST_C: Final = 60.0
"""Warmth up to which the engine puts a hydrometer right."""
Row = dict[str, str]


@dataclass(frozen=True)
class ReadingsText:
    """The file, and which entry stands in which line."""

    text: str
    entry_by_line: Mapping[int, uuid.UUID]
    last_day: date | None = None
    """Day of the last line, by the yard's clock."""
    before_start: frozenset[uuid.UUID] = frozenset()
    """Entries of a day before the skins went in; the engine is not told of them."""


def readings_of(tannage: Tannage) -> ReadingsText:
    """What the engine can use of the live log of ``tannage``; empty text when there is nothing."""
    entries = Entry.objects.filter(record_id=tannage.pk, standing=Entry.Standing.LIVE)
    # Most lines of a long log are of these; rows_of makes nothing of them.
    telling = entries.exclude(kind__in=_UNUSED)
    rows = list(telling.order_by("happened_at", "written_at"))
    began = next((_day(row) for row in rows if row.kind == "tannage.started"), None)
    early = frozenset(row.pk for row in rows if began is not None and _day(row) < began)
    return replace(readings_from(row for row in rows if row.pk not in early), before_start=early)


def _day(entry: Entry) -> date:
    """By the yard's clock."""
    return timezone.localtime(entry.happened_at).date()


def readings_from(entries: Iterable[Entry]) -> ReadingsText:
    """``entries``, oldest first, as a readings file."""
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, restval="", lineterminator="\n")
    writer.writeheader()
    by_line: dict[int, uuid.UUID] = {}
    line = 1
    last_day: date | None = None
    for entry in entries:
        for row in rows_of(entry):
            line += 1
            by_line[line] = entry.pk
            writer.writerow(row)
            last_day = _day(entry)
    return ReadingsText(out.getvalue() if by_line else "", by_line, last_day)


def rows_of(entry: Entry) -> list[Row]:
    """The rows that ``entry`` makes: none for what the engine has no use for (a smell, a note)."""
    what = entry.kind.removeprefix("tannage.")
    data: dict[str, Any] = entry.data
    when = timezone.localtime(entry.happened_at).strftime("%Y-%m-%d %H:%M")
    return [{"date": when, **row} for row in _rows(what, data)]


def _rows(what: str, data: Mapping[str, Any]) -> list[Row]:
    if what in _EVENTS:
        row = {"kind": "event", "value": _EVENTS[what]}
        if data.get("temperature_c") is not None:
            row["note"] = f"{data['temperature_c']:.4g} C"
        return [row]
    match what:
        case "strength":
            return [_strength(data)]
        case "cut":
            share = f"{100.0 * data['share']:.4g}"
            return [{"kind": "cut", "value": share, "unit": "%", "place": data.get("place", "")}]
        case "look":
            return [{"kind": "look", "value": data["look"]}]
        case "ph":
            return [{"kind": "ph", "value": f"{data['ph']:g}"}]
        case "temperature":
            return [{"kind": "temperature", "value": f"{data['temperature_c']:.4g}", "unit": "C"}]
        case "weight":
            kg = f"{data['kg']:.6g}"
            return [{"kind": "weight", "value": kg, "unit": "kg", "place": data["what"]}]
        case "strengthened":
            return _strengthened(data)
        case "topped_up":
            litres = f"{data['litres']:.6g}"
            return [
                {"kind": "strengthened", "value": litres, "unit": "L", "place": "top-up",
                 "note": "0 Bk"}
            ]  # fmt: skip
        case "moved" if data.get("temperature_c") is not None:
            c = f"{data['temperature_c']:.4g}"
            return [{"kind": "event", "value": f"moved to {c} C"}]
        case "taken_out" if not data.get("skins"):
            return [{"kind": "event", "value": "taken out"}]
    return []


def _strength(data: Mapping[str, Any]) -> Row:
    scale = data["scale"]
    warm = data.get("liquor_c")
    if scale not in _UNITS or (warm is not None and warm > HOTTEST_C):
        # A weighed litre is put right for its warmth when it is noted.
        return {"kind": "strength", "value": f"{data['bk']:.5g}", "unit": "Bk"}
    row = {"kind": "strength", "value": f"{data['value']:.6g}", "unit": _UNITS[scale]}
    if warm is not None:
        row["at"] = f"{warm:.4g} C"
    return row


def _strengthened(data: Mapping[str, Any]) -> list[Row]:
    if lots := data.get("lots"):
        plants = data.get("plants") or {}
        note = f"in {data['in_litres']:.6g} L" if data.get("in_litres") else ""
        return [
            {
                "kind": "strengthened",
                "value": f"{kg:.6g}",
                "unit": "kg",
                "note": note,
                "material": plants.get(lot, ""),
            }
            for lot, kg in lots.items()
        ]
    row = {
        "kind": "strengthened",
        "value": f"{data['litres']:.6g}",
        "unit": "L",
        "place": data.get("how", "swap"),
        "material": data.get("material_id", ""),
    }
    if data.get("bk") is not None:
        row["note"] = f"{data['bk']:.4g} Bk"
    return [row]
