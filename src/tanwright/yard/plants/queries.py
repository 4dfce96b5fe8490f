"""The list of plants as a page shows it, and what the yard has of its own: place and plants."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.http import QueryDict
from django.urls import reverse
from django.utils import timezone

from tanwright.errors import UnknownMaterialError
from tanwright.planning.answers import Range
from tanwright.planning.pictures.words import figure, spread
from tanwright.reference import materials
from tanwright.yard.plants.catalogue import Asked, Row, catalogue, find
from tanwright.yard.plants.forms import FindForm
from tanwright.yard.plants.models import HomePlace, OwnPlant
from tanwright.yard.plants.pictures import Span, span_of
from tanwright.yard.plants.seasons import months_of_all, sun_for
from tanwright.yard.plants.wording import CLASSES, EFFECTS, HAZARDS, TRACKS

AT_ONCE = 4
"""Plants that are compared side by side."""


@dataclass(frozen=True)
class ListRow:
    """One plant of the list."""

    id: str
    url: str
    name: str
    scientific: str
    strength: str
    span: Span
    notes: str
    track: str
    avoid: bool
    own: bool
    hazards: tuple[str, ...]


@dataclass(frozen=True)
class Filter:
    """A filter that is set: what it says, and the address without it."""

    words: str
    without: str


@dataclass(frozen=True)
class Picked:
    """A plant that is to be compared: its id, its name, and the address without it."""

    id: str
    name: str
    without: str


def home_place() -> HomePlace | None:
    """The yard's own place, if somebody has said where it is (1 query)."""
    return HomePlace.objects.first()


def own_ids() -> frozenset[str]:
    """Ids of the plants on the yard's own list (1 query)."""
    return frozenset(OwnPlant.objects.values_list("material_id", flat=True))


def found(asked: Asked, home: HomePlace | None) -> tuple[Row, ...]:
    """Plants of the reference that fit."""
    months: Mapping[str, frozenset[int]] = {}
    if asked.month is not None:
        months = months_of_all(sun_for(asked.place, home), timezone.localdate().year)
    return find(catalogue(), asked, months)


def list_row(row: Row, own: frozenset[str]) -> ListRow:
    """A plant as the list shows it."""
    item = row.material
    figures = {0: "no published figure", 1: "one published figure"}.get(
        row.figures, f"{row.figures} published figures"
    )
    return ListRow(
        id=item.id,
        url=reverse("plants:plant", args=[item.id]),
        name=item.name[:1].upper() + item.name[1:],
        scientific=item.scientific_name,
        strength=strength_words(row.tannin_pct, brief=True),
        span=span_of(row.tannin_pct),
        notes=f"{CLASSES[item.tannin_class].short}; {EFFECTS[item.gather_effect].short}; {figures}",
        track=TRACKS[item.track_record].short,
        avoid=not item.may_be_suggested,
        own=item.id in own,
        hazards=tuple(HAZARDS[hazard].short for hazard in item.hazards),
    )


def strength_words(pct: Range, *, brief: bool = False) -> str:
    """``"6.7 to 18 % tannin, most likely 11 %"``; brief: ``"6.7 to 18 %, likely 11 %"``."""
    if brief:
        return f"{figure(pct.p05)} to {figure(pct.p95)} %, likely {figure(pct.p50)} %"
    return spread(pct.p05, pct.p50, pct.p95, "%").replace(" %,", " % tannin,", 1)


def filters_of(form: FindForm, given: QueryDict) -> tuple[Filter, ...]:
    """The filters that are set, each with the address that drops it."""
    chips = []
    for name, label, words in form.active():
        rest = given.copy()
        for gone in (name, "page"):
            rest.pop(gone, None)
        chips.append(Filter(f"{label}: {words}", f"?{rest.urlencode()}"))
    return tuple(chips)


def picked(given: QueryDict) -> tuple[Picked, ...]:
    """Plants already picked for comparing, as ``?id=`` names them; unknown ones are passed over."""
    ids = [id for id in dict.fromkeys(given.getlist("id")) if is_known(id)][:AT_ONCE]
    shown = []
    for id in ids:
        rest = given.copy()
        rest.setlist("id", [other for other in ids if other != id])
        shown.append(Picked(id, materials.material(id).name, f"?{rest.urlencode()}"))
    return tuple(shown)


def is_known(id: str) -> bool:
    """True for the id of a plant part of the reference, unnamed ones included."""
    try:
        materials.material(id)
    except UnknownMaterialError:
        return False
    return True


@dataclass(frozen=True)
class Near:
    """A plant that may have been meant."""

    url: str
    name: str


def near(text: str) -> tuple[Near, ...]:
    """Plants whose names or ids are near to ``text``."""
    words = text.replace("-", " ").replace("_", " ")[:80]
    ids: Iterable[str] = [item.id for item in materials.search(words)][:4]
    ids = list(ids) or materials.near_matches(words)
    return tuple(
        Near(reverse("plants:plant", args=[id]), materials.material(id).name) for id in ids
    )
