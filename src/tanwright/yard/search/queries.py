"""Finding records and entries. Eight queries at most, whatever is asked."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from functools import reduce
from operator import and_, or_
from typing import Any, Final

from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils import timezone

from tanwright.errors import TanwrightError
from tanwright.reference import animals, materials
from tanwright.yard.gathering.models import Place
from tanwright.yard.journal.models import Record
from tanwright.yard.leather.models import Leather
from tanwright.yard.liquors.models import Liquor
from tanwright.yard.search.asked import Asked, begins_a_word
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.models import Lot
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.trials.models import Trial

MOST: Final = 20
"""Shown of each sort; more are told, not shown."""


@dataclass(frozen=True)
class Hit:
    """Something that was found: what it is called, where its page is, and a line about it."""

    title: str
    url: str
    note: str
    code: str = ""
    withdrawn: bool = False


@dataclass(frozen=True)
class Group:
    """Hits of one sort; ``more`` when there are others beyond those shown."""

    name: str
    hits: tuple[Hit, ...]
    more: bool


def records(asked: Asked) -> list[Group]:
    """Records that ``asked`` may mean, by sort; sorts without any are left out."""
    sorts: tuple[tuple[str, QuerySet[Any], Q, Callable[[Any], str]], ...] = (
        ("Skins", Skin.objects.all(), _skins(asked), _of_skin),
        ("Tannages", Tannage.objects.all(), _tannages(asked), _of_tannage),
        ("Liquors", Liquor.objects.all(), _liquors(asked), _of_liquor),
        ("Stock", Lot.objects.all(), _lots(asked), _of_lot),
        ("Leather", Leather.objects.select_related("skin"), _leathers(asked), _of_leather),
        ("Places", Place.objects.all(), _places(asked), _of_place),
        ("Trials", Trial.objects.all(), _trials(asked), _of_trial),
    )
    groups = []
    for name, all_of_them, wanted, told in sorts:
        # Distinct: by its joins a tannage of two oak lots comes up twice.
        found = list(all_of_them.filter(wanted).order_by("-created_at").distinct()[: MOST + 1])
        hits = tuple(_hit(record, told(record)) for record in found[:MOST])
        if hits:
            groups.append(Group(name, hits, more=len(found) > MOST))
    return groups


def plants(asked: Asked) -> Group | None:
    """Plant parts of the reference that every word may name; no query."""
    found = sorted(reduce(and_, [set(_material_ids(word)) for word in asked.words]))
    hits = tuple(
        Hit(item.name, reverse("plants:plant", args=[item.id]), item.scientific_name)
        for item in map(materials.material, found[:MOST])
    )
    return Group("Plants", hits, more=len(found) > MOST) if hits else None


def by_code(kind: str, number: int) -> Record | None:
    """The record whose label says so, or ``None``."""
    return Record.objects.filter(kind=kind, number=number).first()


def the_day(asked: Asked) -> tuple[datetime, datetime] | None:
    """Midnight to midnight of the day that was asked for, where the yard is."""
    if asked.day is None:
        return None
    start = timezone.make_aware(datetime.combine(asked.day, time.min))
    return start, timezone.make_aware(datetime.combine(asked.day + timedelta(days=1), time.min))


def _any_of(fields: Iterable[str], word: str) -> Q:
    """Rows where a word of one of ``fields`` begins with ``word``: "oak" is not in "soaked"."""
    begins = rf"(^|\W){re.escape(word)}"
    return reduce(or_, [Q(**{f"{field}__iregex": begins}) for field in fields])


def _common(asked: Asked, of_word: Callable[[str], Q], *day_fields: str) -> Q:
    """Rows by the code on their label, by a day, or with every word somewhere."""
    wanted = reduce(and_, [of_word(word) for word in asked.words])
    if asked.number is not None:
        numbered = Q(number=asked.number)
        wanted |= numbered & Q(kind=asked.kind) if asked.kind else numbered
    if span := the_day(asked):
        wanted |= Q(created_at__gte=span[0], created_at__lt=span[1])
        for field in day_fields:
            wanted |= Q(**{field: asked.day})
    return wanted


def _skins(asked: Asked) -> Q:
    def of_word(word: str) -> Q:
        text = _any_of(("name", "place", "origin", "stage"), word)
        return text | Q(animal__in=_animal_ids(word))

    return _common(asked, of_word, "taken_on")


def _tannages(asked: Asked) -> Q:
    def of_word(word: str) -> Q:
        text = _any_of(("name", "vat", "skins__name"), word)
        plants = Q(materials__material_id__in=_material_ids(word))
        return text | plants | Q(skins__animal__in=_animal_ids(word))

    return _common(asked, of_word, "start")


def _liquors(asked: Asked) -> Q:
    def of_word(word: str) -> Q:
        found = _any_of(("name", "where"), word)
        if ids := _material_ids(word):
            found |= Q(materials__has_any_keys=ids)
        return found

    return _common(asked, of_word)


def _lots(asked: Asked) -> Q:
    def of_word(word: str) -> Q:
        text = _any_of(("name", "where", "material_id"), word)
        return text | Q(material_id__in=_material_ids(word))

    return _common(asked, of_word, "gathered_on")


def _leathers(asked: Asked) -> Q:
    def of_word(word: str) -> Q:
        text = _any_of(("name", "skin__name", "tannage__name"), word)
        return text | Q(skin__animal__in=_animal_ids(word))

    return _common(asked, of_word)


def _places(asked: Asked) -> Q:
    def of_word(word: str) -> Q:
        text = _any_of(("name", "what", "whose", "way"), word)
        # Ids stand with blanks between, so a whole id is meant by both ends.
        for id in _material_ids(word):
            text |= Q(plants__iregex=rf"(^| ){re.escape(id)}( |$)")
        return text

    return _common(asked, of_word, "ended_on")


def _trials(asked: Asked) -> Q:
    return _common(asked, lambda word: _any_of(("name", "question"), word))


def _animal_ids(word: str) -> list[str]:
    return [
        known.id
        for known in animals.animals()
        if any(begins_a_word(word, name) for name in (known.id, known.name, *known.aliases))
    ]


def _material_ids(word: str) -> list[str]:
    """Ids of the plants that may be called ``word``, in trade or in botany."""
    return [
        item.id
        for item in materials.materials()
        if any(
            begins_a_word(word, name)
            for name in (item.id, item.scientific_name, *item.synonyms, *item.common_names)
        )
    ]


def _hit(record: Record, note: str) -> Hit:
    return Hit(
        title=record.title,
        url=record.get_absolute_url(),
        note=note,
        code=record.code,
        withdrawn=record.withdrawn_at is not None,
    )


def _told(*parts: str) -> str:
    return ", ".join(part for part in parts if part)


def _of_skin(skin: Skin) -> str:
    return _told(skin.animal, skin.stage, skin.place)


def _of_tannage(tannage: Tannage) -> str:
    return _told(tannage.get_state_display(), tannage.vat)


def _of_liquor(liquor: Liquor) -> str:
    return _told(liquor.get_state_display(), liquor.where)


def _of_lot(lot: Lot) -> str:
    try:
        plant = materials.material(lot.material_id).name
    except TanwrightError:
        plant = lot.material_id
    return _told(plant, lot.where)


def _of_leather(leather: Leather) -> str:
    return _told(f"from {leather.skin.title}", leather.skin.animal)


def _of_place(place: Place) -> str:
    return _told(str(place.get_what_display()), place.whose)


def _of_trial(trial: Trial) -> str:
    return _told(str(trial.get_question_display()).lower(), str(trial.get_state_display()))
