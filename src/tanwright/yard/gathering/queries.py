"""What the pages of this area show, worked out from kept columns."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import F, Q, QuerySet
from django.shortcuts import get_object_or_404

from tanwright.errors import UnknownMaterialError
from tanwright.planning.gathering.lying import weathered
from tanwright.planning.position import geo_uri, position_words
from tanwright.reference import materials
from tanwright.reference.cautions import Caution, cautions_for
from tanwright.units import System, format_mass
from tanwright.yard.gathering.models import Place
from tanwright.yard.gathering.regrowth import Stand, stand_of
from tanwright.yard.gathering.seasons import Window, seasons_of
from tanwright.yard.gathering.trunks import lying_of
from tanwright.yard.gathering.wording import away_words, bark_words, permission_words
from tanwright.yard.journal.models import Entry
from tanwright.yard.plants.models import HomePlace
from tanwright.yard.shell.templatetags.words import day as near_day
from tanwright.yard.stock.account import GATHERED, GATHERED_INTO
from tanwright.yard.stock.entry_kinds import say_got
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.plants import ids_named, name_of
from tanwright.yard.stock.wording import left_words


@dataclass(frozen=True)
class PlaceRow:
    """A place on the list."""

    url: str
    title: str
    note: str
    chip: str
    late: bool


@dataclass(frozen=True)
class LotFromHere:
    """A lot that came from a place."""

    title: str
    note: str
    url: str


@dataclass(frozen=True)
class Waiting:
    """Something gathered that is not in stock yet."""

    entry_id: uuid.UUID
    words: str
    at: datetime


@dataclass(frozen=True)
class PlacePage:
    """All that the page of a place says above its log."""

    lead: str
    permission: str
    may_gather: bool
    bark: str
    stand: Stand | None
    lying: tuple[str, ...]
    """What lying dead has done to its bark."""
    plants: tuple[tuple[str, str], ...]
    """(id, name)"""
    seasons: tuple[tuple[Window, bool], ...]
    geo: str
    position: str
    away: str
    lots: tuple[LotFromHere, ...]
    waiting: tuple[Waiting, ...]
    cautions: tuple[Caution, ...]


def places(text: str = "", what: str = "", plant: str = "", show: str = "") -> QuerySet[Place]:
    """Places that are not withdrawn, those worth a look soonest first.

    ``what`` is a sort of place, ``plant`` the id of a material; ``show`` of ``"all"`` brings those
    where nothing is left.
    """
    found = Place.objects.filter(withdrawn_at__isnull=True)
    if show != "all":
        found = found.filter(gone_at__isnull=True)
    if what in Place.What.values:
        found = found.filter(what=what)
    if plant:
        found = found.filter(_gives([plant]))
    text = text.strip().replace("\x00", "")
    if text:
        named = Q(name__icontains=text) | Q(whose__icontains=text) | Q(way__icontains=text)
        number = text.lower().removeprefix("place").strip(" -")
        if number.isdecimal() and len(number) < 9:
            named |= Q(number=int(number))
        ids = ids_named(text)
        found = found.filter(named | _gives(ids) if ids else named)
    return found.order_by(F("look_on").asc(nulls_last=True), "-created_at")


def _gives(ids: list[str]) -> Q:
    """Places that give one of the materials. A name may mean many, so they stand in one pattern."""
    any_of = "|".join(id for id in ids if id.replace("-", "").isalnum())
    return Q(plants__regex=rf"(^| )({any_of})( |$)") if any_of else Q(pk__in=[])


def plants_of_places() -> list[tuple[str, str]]:
    """(id, name) of every plant that some place gives, by name."""
    rows = Place.objects.filter(withdrawn_at__isnull=True).values_list("plants", flat=True)
    ids = {id for plants in rows for id in plants.split()}
    return sorted(((id, name_of(id)) for id in ids), key=lambda pair: pair[1].lower())


def home_place() -> HomePlace | None:
    """Where the yard is, if somebody has said (1 query)."""
    return HomePlace.objects.filter(pk=HomePlace.THE_ONE).first()


def row_of(place: Place, system: System, today: date, home: HomePlace | None = None) -> PlaceRow:
    """A place as the list shows it."""
    chip, late = _chip(place, today)
    plants = ", ".join(name_of(id) for id in place.plant_ids[:3])
    taken = f"{format_mass(place.taken_kg, system)} taken" if place.taken_kg else ""
    bark = ""
    if place.bark_likely_kg is not None and not place.taken_kg:
        bark = f"about {format_mass(place.bark_likely_kg, system)} of bark"
    worth = ""
    if place.look_on is not None and place.look_on > today:
        worth = f"worth a look {near_day(place.look_on)}"
    parts = [plants, place.whose, away_words(place, home, system), bark, taken, worth]
    return PlaceRow(
        place.get_absolute_url(),
        place.title,
        "; ".join([place.code, *(part for part in parts if part)]),
        chip,
        late,
    )


def _chip(place: Place, today: date) -> tuple[str, bool]:
    if place.gone_at is not None:
        return "nothing left", False
    if place.permission == Place.Permission.REFUSED:
        return "leave refused", True
    if not place.may_gather(today):
        asked = place.permission == Place.Permission.ASKED
        return ("no answer yet" if asked else "ask for leave"), not asked
    if place.look_on is not None and place.look_on <= today:
        return "worth a look", False
    return "leave given", False


def place_of(id: uuid.UUID) -> Place:
    """The place ``id``, or a page that says there is none."""
    return get_object_or_404(Place, pk=id)


def page_of(place: Place, system: System, today: date) -> PlacePage:
    """What the page of a place says (3 queries)."""
    here = place.latitude is not None and place.longitude is not None
    stand = stand_of(place, today, system)
    return PlacePage(
        lead=_lead(place, stand, system, today),
        permission=permission_words(place, today),
        may_gather=place.may_gather(today),
        bark=bark_words(place, system),
        stand=stand,
        lying=_lying_words(place, today),
        plants=tuple((id, name_of(id)) for id in place.plant_ids),
        seasons=seasons_of(place.plant_ids, today),
        geo=geo_uri(place.latitude or 0.0, place.longitude or 0.0) if here else "",
        position=position_words(place.latitude or 0.0, place.longitude or 0.0) if here else "",
        away=away_words(place, home_place(), system),
        lots=lots_from(place, system),
        waiting=waiting_at(place, system),
        cautions=cautions_of(place),
    )


def _lead(place: Place, stand: Stand | None, system: System, today: date) -> str:
    """The one thing to know first."""
    if place.gone_at is not None:
        return f"Nothing is left here since {near_day(place.gone_at)}."
    if words := bark_words(place, system):
        return words
    if stand is not None:
        return stand.words
    if place.look_on is not None and place.look_why:
        since = "since" if place.look_on <= today else "from"
        why = place.look_why[:1].upper() + place.look_why[1:]
        return f"Worth a look {since} {near_day(place.look_on)}. {why}."
    if place.regrows:
        return "Note when it is cut, and this page tells when it may be cut again."
    return "Measure a trunk, and this page tells how much bark it gives and what that tans."


def _lying_words(place: Place, today: date) -> tuple[str, ...]:
    lying = lying_of(place, today)
    if lying is None or not any(id.endswith("-bark") for id in place.plant_ids):
        return ()
    told = weathered(lying)
    return tuple(f"{words[:1].upper()}{words[1:]}." for words in (told.peels, told.strength))


def lots_from(place: Place, system: System) -> tuple[LotFromHere, ...]:
    """Lots that came from here, the latest first."""
    rows = (
        Lot.objects.filter(
            touched_by__role=GATHERED_INTO,
            touched_by__entry__record=place.pk,
            touched_by__entry__standing=Entry.Standing.LIVE,
        )
        .distinct()
        .order_by("-created_at")[:30]
    )
    return tuple(
        LotFromHere(
            f"{lot.title}, {name_of(lot.material_id)}",
            left_words(lot, system),
            lot.get_absolute_url(),
        )
        for lot in rows
    )


def waiting_at(place: Place, system: System) -> tuple[Waiting, ...]:
    """What was gathered here and no keeper has taken into stock yet."""
    rows = (
        Entry.objects.filter(record=place.pk, kind=GATHERED, standing=Entry.Standing.LIVE)
        .exclude(touches__role=GATHERED_INTO)
        .order_by("happened_at")[:30]
    )
    return tuple(
        Waiting(
            entry.pk,
            f"{name_of(entry.data['material_id'])}, {say_got(entry.data, system)}",
            entry.happened_at,
        )
        for entry in rows
    )


def cautions_of(place: Place) -> tuple[Caution, ...]:
    """Cautions of the sort of place first, then those of its plants and of gathering."""
    first = cautions_for([f"place:{place.what}"])
    others = cautions_for(["step:gather", *known_plants(place)])
    return (*first, *(caution for caution in others if caution not in first))


def dangers_at(place: Place) -> tuple[Caution, ...]:
    """What may hurt somebody who only goes up to it; the page of the place shows all cautions."""
    found = cautions_for([f"place:{place.what}"])
    return tuple(caution for caution in found if caution.topic != "chainsaw")


def known_plants(place: Place) -> list[str]:
    """``material:<id>`` of its plants that the tables still hold."""
    found = []
    for id in place.plant_ids:
        try:
            found.append(f"material:{materials.material(id).id}")
        except UnknownMaterialError:
            continue
    return found


def lots_to_add_to(place: Place) -> list[tuple[str, str]]:
    """(id, words) of lots of its plants that more may go to."""
    rows = Lot.objects.filter(withdrawn_at__isnull=True, over_kg=0.0)
    if place.plant_ids:
        rows = rows.filter(material_id__in=place.plant_ids)
    return [
        (str(lot.pk), f"{lot.title}: {name_of(lot.material_id)}, {lot.state}")
        for lot in rows.order_by("-created_at")[:40]
    ]
