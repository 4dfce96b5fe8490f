"""What stands beside a vat: its skins, its plants, and what else is known."""

from __future__ import annotations

from dataclasses import dataclass

from tanwright.units import System, format_temperature, format_volume
from tanwright.yard.journal.models import Entry
from tanwright.yard.stock.plants import name_of
from tanwright.yard.tannage.lessons import Lesson, lessons_of
from tanwright.yard.tannage.models import Tannage


@dataclass(frozen=True)
class SkinThere:
    """A skin of the vat."""

    title: str
    note: str
    url: str
    id: str
    out: bool


@dataclass(frozen=True)
class Links:
    """The records that belong to a vat, and what it taught of its lots."""

    skins: tuple[SkinThere, ...]
    plants: tuple[tuple[str, str], ...]
    """(words, address or empty)"""
    lessons: tuple[Lesson, ...]
    no_liquor: bool
    """The skins are in, and the log knows of no liquor."""


def facts_of(tannage: Tannage, system: System) -> list[tuple[str, str]]:
    """(what, value) of what was said of the vat and the aim."""
    facts = [("Vat", tannage.vat)]
    if tannage.vat_volume_l is not None:
        facts.append(("Holds", format_volume(tannage.vat_volume_l, system)))
    if tannage.temperature_c is not None:
        facts.append(("Warmth", format_temperature(tannage.temperature_c, system)))
    moved = {"still": "hardly ever", "daily": "once a day", "often": "often"}
    facts += [
        ("Moved", moved.get(tannage.move, "")),
        ("Water", tannage.water),
        ("Leather", tannage.leather),
    ]
    return [(what, value) for what, value in facts if value]


def links_of(tannage: Tannage) -> Links:
    """Skins, plants and lessons (5 queries)."""
    places = tannage.places.select_related("skin").order_by("skin__number")
    uses = tannage.materials.select_related("lot").order_by("pk")
    ended = tannage.state == Tannage.State.ENDED
    return Links(
        skins=tuple(
            SkinThere(
                place.skin.title,
                "taken out" if place.taken_out_at else place.skin.animal,
                place.skin.get_absolute_url(),
                str(place.skin_id),
                place.taken_out_at is not None,
            )
            for place in places
        ),
        plants=tuple(
            (
                f"{use.lot.title}, {name_of(use.material_id)}",
                use.lot.get_absolute_url(),
            )
            if use.lot
            else (f"{name_of(use.material_id)}, to be gathered", "")
            for use in uses
        ),
        lessons=tuple(item for item in lessons_of(tannage) if item.is_news) if ended else (),
        no_liquor=tannage.state == Tannage.State.RUNNING
        and not Entry.objects.filter(
            record_id=tannage.pk, kind="tannage.strengthened", standing=Entry.Standing.LIVE
        ).exists(),
    )
