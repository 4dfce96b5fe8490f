"""Brings the kept columns of a place up to date from its live entries."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any, Final

from django.utils import timezone

from tanwright.yard.gathering.models import Place
from tanwright.yard.gathering.regrowth import cuts_of, may_be_cut_again
from tanwright.yard.gathering.seasons import next_opening
from tanwright.yard.gathering.trunks import Bark, bark_of, lying_of
from tanwright.yard.journal.models import Entry, Touch
from tanwright.yard.stock.account import GATHERED, GATHERED_INTO
from tanwright.yard.stock.folding import in_order

THERE: Final = ("place.visited", "place.trunks", "place.cut", GATHERED)
"""Kinds that only somebody who was there can write."""
MEANT_TO: Final = "you meant to look again"
CUT_AGAIN: Final = "some of it may be cut again"
Row = Mapping[str, Any]


def fold(place_id: uuid.UUID) -> None:
    """Fold the entries of one place into its kept columns."""
    place = Place.objects.get(pk=place_id)
    rows = in_order(
        list(
            Entry.objects.filter(record=place_id)
            .exclude(kind__in=("place.note", "place.photo"))
            .order_by()
            .values("id", "kind", "data", "happened_at", "written_at", "corrects_id", "standing")
        )
    )
    _permission(place, rows)
    _rain(place, rows)
    _visits(place, rows)
    _cuts(place, rows)
    _bark(place, rows)
    gathered = _of(rows, GATHERED)
    place.taken_kg = sum(float(row["data"].get("kg") or 0.0) for row in gathered)
    place.waiting = _without_lot(gathered)
    _next_look(place, rows)
    place.save(update_fields=_KEPT)


_KEPT: Final = (
    "permission", "permission_by", "permission_until", "last_visit_at", "look_on", "look_why",
    "rained_at", "rain_words", "last_cut_at", "cut_from", "cut_to", "taken_kg", "waiting",
    "bark_low_kg", "bark_likely_kg", "bark_high_kg", "skin_low_kg", "skin_likely_kg",
    "skin_high_kg", "gone_at",
)  # fmt: skip


def _of(rows: Sequence[Row], *kinds: str) -> list[Row]:
    return [row for row in rows if row["kind"] in kinds]


def _last(rows: Sequence[Row], *kinds: str) -> Row | None:
    return next(iter(reversed(_of(rows, *kinds))), None)


def _permission(place: Place, rows: Sequence[Row]) -> None:
    last = _last(rows, "place.permission")
    data = last["data"] if last else {}
    place.permission = data.get("permission") or Place.Permission.NOT_ASKED
    place.permission_by = str(data.get("by_role") or "")[:60]
    until = data.get("until")
    place.permission_until = date.fromisoformat(until) if until else None


def _rain(place: Place, rows: Sequence[Row]) -> None:
    """Rain before a tree died did it no harm."""
    last = _last(rows, "place.rained")
    if last is not None and place.ended_on and local_day(last["happened_at"]) < place.ended_on:
        last = None
    place.rained_at = last["happened_at"] if last else None
    place.rain_words = str(last["data"].get("rain", "")) if last else ""


def _visits(place: Place, rows: Sequence[Row]) -> None:
    last = _last(rows, *THERE)
    place.last_visit_at = last["happened_at"] if last else None
    gone = _last(rows, "place.gone", *THERE)
    is_gone = gone is not None and gone["kind"] == "place.gone"
    place.gone_at = gone["happened_at"] if gone is not None and is_gone else None


def _cuts(place: Place, rows: Sequence[Row]) -> None:
    cuts = _of(rows, "place.cut")
    place.last_cut_at = max((row["happened_at"] for row in cuts), default=None)
    found = None
    if cuts:
        found = may_be_cut_again(place, cuts_of(place, cuts), timezone.localdate())
    place.cut_from, place.cut_to = (found.first, found.last) if found else (None, None)


def _bark(place: Place, rows: Sequence[Row]) -> None:
    """All trunks together: ranges of their parts do not add up, so they are drawn anew."""
    measured = _of(rows, "place.trunks")
    found: Bark | None = None
    if measured:
        found = bark_of(
            [(row["data"]["material_id"], row["data"]["trunks"]) for row in measured],
            lying_of(place, timezone.localdate()),
        )
    nothing = (None, None, None)
    bark, skin = (found.bark_kg, found.skin_kg) if found else (nothing, nothing)
    place.bark_low_kg, place.bark_likely_kg, place.bark_high_kg = bark
    place.skin_low_kg, place.skin_likely_kg, place.skin_high_kg = skin


def _without_lot(gathered: Sequence[Row]) -> int:
    """How many of these entries touch no lot."""
    if not gathered:
        return 0
    ids = {row["id"] for row in gathered}
    held = Touch.objects.filter(entry__in=ids, role=GATHERED_INTO)
    return len(ids - set(held.values_list("entry_id", flat=True)))


def _next_look(place: Place, rows: Sequence[Row]) -> None:
    """The day somebody named, else when it may be cut, else when the next season opens."""
    place.look_on, place.look_why = None, ""
    if place.gone_at is not None or place.permission == Place.Permission.REFUSED:
        return
    last = _last(rows, *THERE)
    named = last["data"].get("again_on") if last else None
    if named:
        place.look_on, place.look_why = date.fromisoformat(named), MEANT_TO
        return
    seen = local_day(last["happened_at"]) if last else timezone.localdate()
    if place.cut_from is not None and place.cut_from > seen:
        place.look_on, place.look_why = place.cut_from, CUT_AGAIN
        return
    opening = next_opening(place.plant_ids, after=seen)
    if opening is not None:
        place.look_on, place.look_why = opening.start, opening.words[:160]


def local_day(moment: datetime) -> date:
    """The day of a moment where the yard is."""
    return timezone.localtime(moment).date()
