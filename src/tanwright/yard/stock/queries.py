"""What the pages of this area show, worked out from kept columns."""

from __future__ import annotations

import uuid
from collections.abc import Container
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404
from django.urls import reverse

from tanwright.planning.containers import in_containers
from tanwright.planning.sheet import Container as Measure
from tanwright.reference.cautions import Caution, cautions_for
from tanwright.reference.loader import table
from tanwright.reference.lots import Modifier
from tanwright.reference.sources import source
from tanwright.units import System, format_mass, format_range
from tanwright.yard.journal.due import Due
from tanwright.yard.journal.models import Entry
from tanwright.yard.stock.account import COOKED_FROM, standing_after
from tanwright.yard.stock.folding import happenings, used_kg
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.passage import (
    Lesson,
    Stage,
    dry_words,
    places_of,
    taught_of,
    way_of,
    went_of,
)
from tanwright.yard.stock.plants import ids_named, name_of
from tanwright.yard.stock.reckoning import Reckoned, reckon
from tanwright.yard.stock.tables import material_table, measures
from tanwright.yard.stock.wanting import wanted
from tanwright.yard.stock.wording import left_words, short_words, skins_words

FRESH_DAYS = 7
"""Fresh bark heaped longer than about a week sours and moulds (common practice: spread it, dry it
under a roof)."""


MOST_WHOM = 5
"""Tannages that are named where a lot may not suffice."""


@dataclass(frozen=True)
class LotRow:
    """A lot on the list."""

    url: str
    title: str
    note: str
    chip: str
    late: bool


@dataclass(frozen=True)
class Use:
    """A cook or a vat that took of a lot."""

    url: str
    title: str
    kg: float
    at: datetime


@dataclass(frozen=True)
class Short:
    """That a lot may not suffice, and for whom: (title, address)."""

    words: str
    whom: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class LotPage:
    """All that the page of a lot says above its log."""

    lot: Lot
    plant: str
    lead: str
    left: str
    counted: str
    odd: str
    belief: Belief
    uses: tuple[Use, ...]
    cautions: tuple[Caution, ...]
    history: tuple[tuple[str, str], ...]
    fresh: bool
    way: tuple[Stage, ...]
    dry: str
    """What is left of it as dry matter; empty when it was never weighed."""
    went: tuple[tuple[str, float], ...]
    """(what became of it, kg)."""
    places: tuple[tuple[str, str], ...]
    """(title, address) of the places that it came from."""
    taught: tuple[Lesson, ...]
    short: tuple[Short, ...]


@dataclass(frozen=True)
class Belief:
    """How strong a lot is taken to be, and why."""

    low: str
    likely: str
    high: str
    skins: str
    whence: str
    reasons: tuple[str, ...]
    sources: tuple[tuple[str, str], ...]
    """(key, author with year and title)."""


def lots(text: str = "", show: str = "") -> QuerySet[Lot]:
    """Lots that are not withdrawn: those whose name, plant or place holds ``text``.

    ``show`` is ``"all"``, or ``""`` for those of which something is left.
    """
    found = Lot.objects.filter(withdrawn_at__isnull=True)
    if show != "all":
        found = found.filter(Q(left_kg__isnull=True) | Q(left_kg__gt=0.0) | Q(over_kg__gt=0.0))
    text = text.strip().replace("\x00", "")
    if text:
        named = Q(name__icontains=text) | Q(where__icontains=text)
        number = text.lower().removeprefix("lot").strip(" -")
        if number.isdecimal() and len(number) < 9:
            named |= Q(number=int(number))
        found = found.filter(named | Q(material_id__in=ids_named(text)))
    return found


def lots_to_weigh(where: str = "", most: int = 120) -> list[Lot]:
    """Lots that lie there, by where they lie: those that a stocktake goes through."""
    found = lots().order_by("where", "material_id", "number")
    return list((found.filter(where=where) if where else found)[:most])


def stores() -> list[str]:
    """Where lots lie."""
    known = lots().exclude(where="").order_by("where")
    return list(known.values_list("where", flat=True).distinct())


def lots_running_short() -> frozenset[uuid.UUID]:
    """Lots of which there may well be too little for the tannages that mean to use them."""
    return frozenset(id for claim in wanted() if claim.is_short for id in claim.lot_ids)


def row_of(lot: Lot, system: System, short: Container[uuid.UUID] = ()) -> LotRow:
    """A lot as the list shows it; ``short`` are the ids of lots that may not suffice."""
    chip, late = "", False
    if lot.over_kg:
        chip, late = "weigh it again", True
    elif lot.pk in short:
        chip, late = "too little for what is planned", True
    elif lot.left_kg is None:
        chip = "not weighed"
    elif lot.skins_likely is not None and lot.skins_likely < 1.0:
        chip = "used up" if lot.left_kg == 0.0 else "running low"
    plant = name_of(lot.material_id)
    left = "" if lot.left_kg is None else left_words(lot, system)
    parts = [left, f"in {lot.where}" if lot.where else "", lot.state]
    title = f"{lot.name}: {plant}" if lot.name else plant
    return LotRow(
        lot.get_absolute_url(),
        title[:1].upper() + title[1:],
        ", ".join([lot.code, *(part for part in parts if part)]),
        chip,
        late,
    )


def lot_of(id: uuid.UUID) -> Lot:
    """The lot ``id``, or a page that says there is none."""
    return get_object_or_404(Lot, pk=id)


def page_of(lot: Lot, system: System) -> LotPage:
    """What the page of a lot says."""
    reckoned = reckon(material_table(lot))
    left = left_words(lot, system)
    counted = ""
    if lot.left_kg:
        counted = in_containers(lot.left_kg, lot.left_kg, _fitting(name_of(lot.material_id)))
    topics = [f"material:{lot.material_id}", *(["lot:mouldy"] if _mouldy(lot) else [])]
    return LotPage(
        lot=lot,
        plant=name_of(lot.material_id),
        lead=_lead(lot, system),
        left=left,
        counted=counted,
        odd=overdrawn_words(lot, system),
        belief=belief_of(lot, reckoned, system),
        uses=uses_of(lot),
        cautions=cautions_for(topics),
        history=_history(lot),
        fresh=lot.state == "fresh",
        way=way_of(lot),
        dry=dry_words(lot, system),
        went=went_of(standing_after(lot.material_id, happenings(lot.pk))),
        places=places_of(lot),
        taught=taught_of(lot, system),
        short=tuple(
            Short(short_words(claim, system), claim.whom[:MOST_WHOM])
            for claim in wanted()
            if claim.is_short and lot.pk in claim.lot_ids
        ),
    )


def _fitting(plant: str) -> tuple[Measure, ...]:
    """Containers that may have been weighed with such a plant: what fills them shares a word."""
    words = set(plant.lower().split())
    return tuple(item for item in measures() if not item.of or words & set(item.of.lower().split()))


def _mouldy(lot: Lot) -> bool:
    return lot.history.get("mouldy") is True


def _lead(lot: Lot, system: System) -> str:
    if lot.left_kg is None:
        return "Not weighed yet. Weigh it, or count your buckets, and this page tells what it tans."
    if lot.left_kg == 0.0:
        return "Nothing is left of it."
    skins = skins_words(lot.skins_low or 0.0, lot.skins_likely or 0.0, lot.skins_high or 0.0)
    return f"About {format_mass(lot.left_kg, system)} left: {skins}."


def overdrawn_words(lot: Lot, system: System) -> str:
    """What to do about a lot of which more was taken than was noted; empty when all is well."""
    if not lot.over_kg:
        return ""
    return (
        f"{format_mass(lot.over_kg, system)} more was taken of it than was noted to be there. "
        "Weigh what is left, or correct the entry that is wrong."
    )


def belief_of(lot: Lot, reckoned: Reckoned, system: System) -> Belief:
    """How strong ``lot`` is taken to be, in words."""
    pct = reckoned.tannin_pct
    per_kg = reckoned.skins
    if lot.tannin_low_pct is not None:
        whence = f"From {lot.tannin_how or 'a figure of your own'}."
        reasons: tuple[str, ...] = ()
        sources: tuple[tuple[str, str], ...] = ()
    else:
        whence = (
            f"Nobody has tried this lot yet: {reckoned.rule}. A trial cook of a handful narrows it "
            "most."
        )
        reasons = tuple(map(_why, reckoned.modifiers))
        sources = tuple((key, source(key).short) for key in reckoned.sources)
    need = format_range(1.0 / per_kg.p95, 1.0 / per_kg.p05, "mass", system)
    return Belief(
        low=f"{pct.p05:.2g}",
        likely=f"{pct.p50:.2g}",
        high=f"{pct.p95:.2g}",
        skins=f"A goat skin takes {need} of it, "
        f"most likely {format_mass(1.0 / per_kg.p50, system)}",
        whence=whence,
        reasons=reasons,
        sources=sources,
    )


def uses_of(lot: Lot, most: int = 50) -> tuple[Use, ...]:
    """The latest cooks and vats that took of ``lot``."""
    entries = (
        Entry.objects.filter(
            touches__record=lot.pk, touches__role=COOKED_FROM, standing=Entry.Standing.LIVE
        )
        .select_related("record")
        .order_by("-happened_at")[:most]
    )
    return tuple(
        Use(
            entry.record.get_absolute_url(),
            entry.record.title,
            used_kg(entry.data, lot.pk),
            entry.happened_at,
        )
        for entry in entries
    )


_LABELS = {
    "rained_on": "Rained on",
    "mouldy": "Mouldy",
    "grind": "Pieces",
    "tree_age": "Age of the tree",
    "part_of_trunk": "Part of the tree",
    "light": "Where it grew",
    "soil": "Soil",
    "stored_years": "Years in store",
}


def _why(part: Modifier) -> str:
    """What one answer about a lot does to its strength: ``"Rained on: yes. Rain only widens."``."""
    row = next(row for row in table("modifiers") if row.text("id") == part.name)
    what, value = _LABELS.get(row.text("field"), ""), row.text("value")
    fact = what if value == "any" else f"{what}: {value}"
    reason = f"{part.reason[:1].upper()}{part.reason[1:]}."
    return f"{fact}. {reason}" if what else reason


def _history(lot: Lot) -> tuple[tuple[str, str], ...]:
    told = {True: "yes", False: "no"}
    return tuple(
        (_LABELS.get(key, key), told[value] if isinstance(value, bool) else str(value))
        for key, value in lot.history.items()
    )


def due(now: datetime) -> list[Due]:
    """Lots that ask for something: fresh ones that should dry, and books that do not add up."""
    found = []
    live = Lot.objects.filter(withdrawn_at__isnull=True)
    fresh = live.filter(
        state="fresh", left_kg__gt=0.0, state_since__lte=now - timedelta(days=FRESH_DAYS)
    )
    for lot in fresh.order_by("state_since")[:20]:
        since = lot.state_since or now
        found.append(
            Due(
                at=since + timedelta(days=FRESH_DAYS),
                late=True,
                weight=0.4,
                headline=f"Spread the fresh {name_of(lot.material_id)} to dry, or cook it",
                reason=f"It has lain fresh for {(now - since).days} days. In a heap it sours and "
                "moulds, and mould eats tannin (common practice).",
                url=lot.get_absolute_url(),
                record_id=lot.pk,
                kind="lot",
            )
        )
    for lot in live.filter(over_kg__gt=0.0).order_by("-created_at")[:20]:
        found.append(
            Due(
                at=None,
                late=False,
                weight=0.15,
                headline=f"Weigh what is left of the {name_of(lot.material_id)}",
                reason="More was taken of it than was noted to be there, so its amount is a guess.",
                url=reverse("stock:log", args=[lot.pk, "stocktake"]),
                record_id=lot.pk,
                kind="lot",
            )
        )
    return found
