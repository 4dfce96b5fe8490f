"""Every address of the yard, with values for its parts taken from the database."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from typing import Any, Final

from django.urls import URLPattern, URLResolver, get_resolver, reverse

from tanwright.yard.exchange.backing_up import backups
from tanwright.yard.journal.models import Entry, Photo, Record
from tanwright.yard.people.models import Person
from tanwright.yard.plants.models import SightingsImport
from tanwright.yard.stock.account import GATHERED
from tanwright.yard.stock.models import Container
from tanwright.yard.trials.models import Offcut

AREA_KINDS: Final = {
    "skins": "skin",
    "stock": "lot",
    "liquors": "liquor",
    "tannage": "tannage",
    "leather": "leather",
    "gathering": "place",
    "trials": "trial",
}
SLUGS: Final = {
    "what": ("note", "strength", "cut", "turned", "look", "got", "weighed", "pour"),
    "step": ("skins", "plants", "vat", "aim"),
    "picture": ("cut", "strength"),
    "kind": ("note",),
    "stage": ("soak",),
    "way": ("preset", "measures"),
    "quality": ("firmness", "colour"),
    "measure": ("thickness",),
    "key": ("procter1903", "memory"),
}
OF_ONE: Final = {
    ("trials:step", "step"): ("question", "compare", "pieces", "jars"),
    ("trials:result-numbers", "picture"): ("trial-firmness",),
    ("trials:result-file", "name"): ("patches", "grades"),
    ("plants:plant", "id"): ("quercus-robur-bark", "unknown-bark", "rhus-typhina-leaf"),
    ("plants:keep", "id"): ("quercus-robur-bark",),
    ("plants:note", "id"): ("quercus-robur-bark",),
}
"""Parts whose values are another address's under the same name."""


@dataclass(frozen=True)
class Address:
    """A named address of the urlconf and one path for it."""

    name: str
    path: str


def all_addresses(each: int = 3) -> list[Address]:
    """Every named address, with up to ``each`` records for its parts."""
    found = []
    for name, parts in named():
        values = [_values(name, part, each) for part in parts]
        for chosen in product(*values):
            path = reverse(name, kwargs=dict(zip(parts, chosen, strict=True)))
            found.append(Address(name, path))
    return found


def named() -> Iterator[tuple[str, tuple[str, ...]]]:
    """Names and parts of all addresses."""
    return _named(get_resolver().url_patterns, "")


def _named(
    patterns: list[URLPattern | URLResolver], area: str
) -> Iterator[tuple[str, tuple[str, ...]]]:
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            inside = f"{area}{pattern.namespace}:" if pattern.namespace else area
            yield from _named(pattern.url_patterns, inside)
        elif pattern.name:
            parts = re.findall(r"<(?:\w+:)?(\w+)>", str(pattern.pattern))
            yield f"{area}{pattern.name}", tuple(parts)


def _values(name: str, part: str, each: int) -> list[Any]:
    area = name.partition(":")[0]
    if (name, part) in OF_ONE:
        return list(OF_ONE[name, part])
    if part == "number":
        return list(Offcut.objects.values_list("number", flat=True)[:1]) or [1]
    if area == "plants" and part == "id":
        return list(SightingsImport.objects.values_list("pk", flat=True)[:each])
    if part == "entry":
        return list(Entry.objects.filter(kind=GATHERED).values_list("pk", flat=True)[:each])
    if part in SLUGS:
        return list(SLUGS[part])
    if name == "stock:drop-container":
        return list(Container.objects.values_list("pk", flat=True)[:each])
    if area == "exchange":
        return [backup.path.name for backup in backups()[:each]]
    if part == "token":
        return list(Person.objects.values_list("calendar_token", flat=True)[:1])
    if part == "code":
        return [record.code for record in Record.objects.all()[:each]]
    if area == "people":
        return list(Person.objects.values_list("pk", flat=True)[:each])
    if area in AREA_KINDS:
        rows = Record.objects.filter(kind=AREA_KINDS[area]).order_by("number")
        return list(rows.values_list("pk", flat=True)[:each])
    if name in ("journal:photo", "journal:photo-page", "journal:thumbnail"):
        return list(Photo.objects.values_list("pk", flat=True)[:each])
    if area == "journal" and "record" not in name:
        return list(Entry.objects.order_by("-happened_at").values_list("pk", flat=True)[:each])
    return list(Record.objects.values_list("pk", flat=True)[:each])
