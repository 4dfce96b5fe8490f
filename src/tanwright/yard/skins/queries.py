"""What the pages of this area show, worked out from kept columns."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django.db.models import Q, QuerySet
from django.db.models.functions import TruncMinute
from django.shortcuts import get_object_or_404

from tanwright.reference import animals
from tanwright.reference.work import stage_row
from tanwright.units import System, format_mass
from tanwright.yard.journal.models import Entry, Photo
from tanwright.yard.skins.coming import due, keeps_until
from tanwright.yard.skins.entry_kinds import FLAWS, KEEPINGS, one_weighs
from tanwright.yard.skins.models import IN_VAT, LAST_CHECK, LEATHER, RAW_STAGES, Skin

__all__ = ["due", "keeps_until", "list_page", "page_of", "skin_of", "skins"]

SHOWS: Final = {
    "": "all but leather",
    "raw": "raw: freezer, salt, loft",
    "work": "in preparation",
    "ready": "ready for the vat",
    "vat": "in a vat",
    "leather": "leather",
    "all": "every one",
}
"""What the list may show."""
_STANDS: Final = {
    "soaked": "soaked back",
    "limed": "limed and unhaired",
    "delimed": "delimed",
    IN_VAT: "in the vat",
    LEATHER: "out of the vat",
}


@dataclass(frozen=True)
class SkinRow:
    """A skin on the list."""

    url: str
    title: str
    note: str
    chip: str
    late: bool


@dataclass(frozen=True)
class Weight:
    """The latest weight of one skin at a stage."""

    stage: str
    kg: float
    at: datetime
    url: str


@dataclass(frozen=True)
class Flaw:
    """A flaw that was seen."""

    words: str
    at: datetime
    url: str


@dataclass(frozen=True)
class Vat:
    """A tannage that the skin is or was in."""

    title: str
    url: str
    inside: bool
    words: str


@dataclass(frozen=True)
class SkinPage:
    """All that the page of a skin says above its log."""

    skin: Skin
    animal: str
    stands: str
    weights: tuple[Weight, ...]
    flaws: tuple[Flaw, ...]
    vats: tuple[Vat, ...]
    photos: tuple[Photo, ...]
    ended: dict[str, datetime]
    """When each stage of preparation was found done."""
    missing: str
    """What to measure so that a forecast is possible or sharper; empty when nothing is."""


def skin_of(id: uuid.UUID) -> Skin:
    """The skin of that id, or 404."""
    return get_object_or_404(Skin, pk=id)


def skins(text: str = "", show: str = "") -> QuerySet[Skin]:
    """Skins that are not withdrawn, whose name, animal, place or number fits ``text``."""
    found = Skin.objects.filter(withdrawn_at__isnull=True)
    in_bath = ~Q(step="") | ~Q(step_done="")
    before_vat = ~Q(stage__in=(IN_VAT, LEATHER))
    ready = Q(step="", step_done__startswith=LAST_CHECK) & before_vat
    wanted = {
        "": ~Q(stage=LEATHER),
        "raw": Q(stage__in=RAW_STAGES, step="", step_done=""),
        "work": in_bath & before_vat & ~ready,
        "ready": ready,
        "vat": Q(stage=IN_VAT),
        "leather": Q(stage=LEATHER),
        "all": Q(),
    }
    found = found.filter(wanted.get(show, wanted[""]))
    text = text.strip().replace("\x00", "")
    return found.filter(_named(text)) if text else found


def _named(text: str) -> Q:
    named = Q(name__icontains=text) | Q(place__icontains=text) | Q(origin__icontains=text)
    number = text.lower().removeprefix("skin").strip(" -#")
    if number.isascii() and number.isdecimal() and len(number) < 9:
        named |= Q(number=int(number))
    sought = text.lower()
    ids = [
        known.id
        for known in animals.animals()
        if any(sought in name.lower() for name in (known.id, known.name, *known.aliases))
    ]
    return named | Q(animal__in=ids)


def list_page(found: list[Skin], system: System, now: datetime) -> list[SkinRow]:
    """``found`` as the list shows them."""
    return [row_of(skin, system, now) for skin in found]


def row_of(skin: Skin, system: System, now: datetime) -> SkinRow:
    """One skin as the list shows it."""
    until = keeps_until(skin)
    late = until is not None and now > until
    animal = animal_name(skin)
    many = f"{skin.count} × {animal}" if skin.count > 1 else animal
    weight = format_mass(skin.weight_kg, system) if skin.weight_kg is not None else "not weighed"
    hair = "hair stays on" if skin.hair_on else ""
    parts = (many, weight, hair, stands_words(skin), skin.place)
    return SkinRow(
        url=skin.get_absolute_url(),
        title=skin.title,
        note=", ".join(part for part in parts if part),
        chip="look at it" if late else _chip(skin),
        late=late,
    )


def _chip(skin: Skin) -> str:
    if skin.step:
        return stage_row(skin.step).name
    if skin.is_ready:
        return "ready for the vat"
    return _STANDS.get(skin.stage, skin.keeping)


def animal_name(skin: Skin) -> str:
    """What the animal is called; a plain word for another one."""
    return animals.animal(skin.animal).name if skin.animal else "another animal"


def stands_words(skin: Skin) -> str:
    """Where the skin stands, in words."""
    if skin.step:
        return f"{stage_row(skin.step).name.lower()} runs"
    if skin.is_ready:
        return "ready for the vat"
    return KEEPINGS[skin.keeping] if skin.is_raw else _STANDS.get(skin.stage, "in preparation")


def page_of(skin: Skin) -> SkinPage:
    """What the page of a skin says, with a constant number of queries."""
    entries = list(
        Entry.objects.filter(
            record_id=skin.pk,
            standing=Entry.Standing.LIVE,
            kind__in=("skin.weighed", "skin.flaw", "skin.stage_ended"),
        ).order_by(TruncMinute("happened_at"), "written_at")
    )
    return SkinPage(
        skin=skin,
        animal=animal_name(skin),
        stands=stands_words(skin),
        weights=_weights(entries),
        flaws=tuple(_flaw(entry) for entry in entries if entry.kind == "skin.flaw"),
        vats=_vats(skin),
        photos=tuple(Photo.objects.filter(record_id=skin.pk)[:6]),
        ended={
            entry.data["step"]: entry.happened_at
            for entry in entries
            if entry.kind == "skin.stage_ended" and entry.data.get("looked") == "done"
        },
        missing=_missing(skin),
    )


def _weights(entries: list[Entry]) -> tuple[Weight, ...]:
    latest: dict[str, Weight] = {}
    for entry in entries:
        url = f"/journal/{entry.pk}/"
        if entry.kind == "skin.weighed":
            label = animals.stage(entry.data["stage"]).label
            latest[label] = Weight(label, one_weighs(entry.data), entry.happened_at, url)
        elif entry.kind == "skin.stage_ended" and "kg" in entry.data:
            row = stage_row(entry.data["step"])
            label = (
                animals.stage(row.reaches).label if row.reaches else f"after: {row.name.lower()}"
            )
            latest[label] = Weight(label, entry.data["kg"], entry.happened_at, url)
    return tuple(latest.values())


def _flaw(entry: Entry) -> Flaw:
    where = f", {entry.data['where']}" if entry.data.get("where") else ""
    return Flaw(f"{FLAWS[entry.data['what']]}{where}", entry.happened_at, f"/journal/{entry.pk}/")


def _vats(skin: Skin) -> tuple[Vat, ...]:
    # The relation comes from above: this area knows no tannage.
    reverse: Any = skin
    places = reverse.places.select_related("tannage").order_by("pk")
    return tuple(_vat(skin, place) for place in places if place.tannage.withdrawn_at is None)


def _vat(skin: Skin, place: Any) -> Vat:
    inside = skin.stage == IN_VAT and place.taken_out_at is None
    words = "it lies in it now" if inside else "meant for it"
    if place.taken_out_at is not None:
        words = "taken out of it"
    return Vat(place.tannage.title, place.tannage.get_absolute_url(), inside, words)


def _missing(skin: Skin) -> str:
    if skin.stage == LEATHER:
        return ""
    if not skin.animal and skin.thickness_mm is None:
        return (
            "Measure its thickness: the yard knows no usual one of this animal, and without it no "
            "day can be told."
        )
    if skin.weight_kg is None:
        return "Weigh it: all amounts follow from its weight."
    if skin.thickness_mm is None:
        return "Measure its thickness: it narrows the day it is through more than anything else."
    return ""
