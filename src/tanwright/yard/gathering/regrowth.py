"""When a stand may be cut again, and what it gives a year, from its cuts and printed rotations."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.utils import timezone

from tanwright.errors import InputError, TanwrightError
from tanwright.planning.gathering import stands
from tanwright.units import System, format_mass, format_range
from tanwright.yard.gathering.models import Place
from tanwright.yard.journal.models import Entry

M2_A_HECTARE = 10_000.0


@dataclass(frozen=True)
class Again:
    """From when a stand may be cut again: by the shortest and by the longest rotation told."""

    first: date
    last: date


@dataclass(frozen=True)
class Stand:
    """A stand as its page tells it.

    ``words`` is one sentence; ``pieces`` are (which, cut on, from when); ``yearly`` is the bark of
    a year, empty when nobody says.
    """

    words: str
    regrowth: str
    pieces: tuple[tuple[str, date | None, str], ...]
    yearly: str
    harm: tuple[str, ...]
    sources: tuple[str, ...]


def cuts_of(place: Place, rows: Iterable[Mapping[str, Any]]) -> list[stands.Cut]:
    """The cuts that entries tell of (rows with ``happened_at`` and ``data``)."""
    return [cut_of(place, row["happened_at"], row["data"]) for row in rows]


def cut_of(place: Place, happened_at: datetime, data: Mapping[str, Any]) -> stands.Cut:
    """One cut. Without a share it took one of the parts that are cut in turn, or all of it."""
    share_pct = data.get("share_pct")
    share = 1.0 / place.compartments if place.compartments else 1.0
    if share_pct is not None:
        share = min(float(share_pct) / 100.0, 1.0)
    return stands.Cut(timezone.localtime(happened_at).date(), share, str(data.get("part") or ""))


def check_cut(place: Place, cut: stands.Cut) -> None:
    """Raises InputError for a cut that the stand's other cuts leave no room for."""
    material_id = _material(place)
    if material_id is None:
        return
    try:
        stands.state(material_id, [*_kept_cuts(place), cut], cut.on)
    except InputError as error:
        raise InputError(error.what, place="share_pct", remedy=error.remedy) from None


def may_be_cut_again(place: Place, cuts: Sequence[stands.Cut], on: date) -> Again | None:
    """When what was cut longest ago may be cut again; ``None`` when no rotation is known."""
    state = _state(place, cuts, on)
    if state is None:
        return None
    growing = [
        Again(piece.first, piece.last)
        for piece in state.pieces
        if piece.first is not None and piece.last is not None
    ]
    return min(growing, key=lambda each: each.first, default=None)


def stand_of(place: Place, on: date, system: System) -> Stand | None:
    """The stand on a day; ``None`` for a place that is not cut again and again (1 query)."""
    if place.what != Place.What.COPPICE and place.last_cut_at is None:
        return None
    state = _state(place, _kept_cuts(place), on)
    if state is None:
        return None
    yearly, keys = _yearly(place, system)
    return Stand(
        words=state.words if place.last_cut_at is not None else state.regrowth.words,
        regrowth=state.regrowth.words,
        pieces=tuple(
            (piece.part or f"{round(100.0 * piece.share)} % of it", piece.cut_on, piece.words)
            for piece in state.pieces
        ),
        yearly=yearly,
        harm=state.harm,
        sources=tuple(dict.fromkeys([*(work.short for work in state.sources), *keys])),
    )


def _yearly(place: Place, system: System) -> tuple[str, list[str]]:
    """Bark a year that the stand keeps giving, in words, and who says so."""
    material_id = _material(place)
    hectares = place.area_m2 / M2_A_HECTARE if place.area_m2 else None
    if material_id is None or (hectares is None and place.stools is None):
        return "", []
    for sizes in ({"stools": place.stools}, {"hectares": hectares}):
        size = next(iter(sizes.values()))
        if size is None:
            continue
        try:
            found = stands.yearly_bark(material_id, **sizes)
        except TanwrightError:
            continue
        if found.kg is not None:
            about = format_mass(found.kg.p50, system)
            wide = format_range(found.kg.p05, found.kg.p95, "mass", system)
            words = f"About {about} of dry bark a year ({wide}); {found.words}."
            return words, [work.short for work in found.sources]
    return "", []


def _state(place: Place, cuts: Sequence[stands.Cut], on: date) -> stands.StandState | None:
    material_id = _material(place)
    if material_id is None:
        return None
    try:
        return stands.state(material_id, cuts, on)
    except TanwrightError:
        return None  # cuts that no longer fit each other, or a plant that the tables do not hold


def _material(place: Place) -> str | None:
    return place.plant_ids[0] if place.plant_ids else None


def _kept_cuts(place: Place) -> list[stands.Cut]:
    rows = Entry.objects.filter(
        record=place.pk, kind="place.cut", standing=Entry.Standing.LIVE
    ).values("happened_at", "data")
    return cuts_of(place, rows)
