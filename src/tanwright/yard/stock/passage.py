"""The way of one lot through the barn: from gathering to store, what went and what it taught."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from tanwright.reference import priors
from tanwright.units import System, format_mass, format_range
from tanwright.yard.journal.kinds import kind_of
from tanwright.yard.journal.models import Entry, Record
from tanwright.yard.stock.account import CAUSES, GATHERED, GATHERED_INTO, Standing
from tanwright.yard.stock.models import Lot


@dataclass(frozen=True)
class Stage:
    """One stage of the way: its word, whether it is ``done``, ``now`` or ``next``, and a note."""

    name: str
    standing: str
    note: str

    @property
    def words(self) -> str:
        """What its standing is called."""
        return _STANDINGS[self.standing]


_STANDINGS: Final = {"done": "done", "now": "now", "next": "to come", "skipped": "not needed"}


@dataclass(frozen=True)
class Lesson:
    """What an entry taught of the strength of a lot."""

    words: str
    how: str
    at: datetime
    url: str


def way_of(lot: Lot) -> tuple[Stage, ...]:
    """Gathering, drying, grinding and store, as far as ``lot`` has come."""
    fresh, ground = lot.state == "fresh", lot.ground or str(lot.history.get("grind") or "")
    used_up = lot.left_kg == 0.0
    drying = Stage("Dried", "now" if fresh and not used_up else "done", "fresh" if fresh else "")
    if ground:
        grinding = Stage("Ground", "done", ground)
    else:
        grinding = Stage("Ground", "next" if not used_up else "skipped", "")
    store = Stage("In store", "next" if fresh else "now", lot.where)
    if used_up:
        store = Stage("In store", "done", "used up")
    return (Stage("Gathered", "done", ""), drying, grinding, store)


def dry_words(lot: Lot, system: System) -> str:
    """What is left as dry matter, with its range: water is the rest; empty when not weighed."""
    if not lot.left_kg:
        return ""
    water = priors.moisture_prior(lot.material_id, lot.state)
    low, likely, high = (lot.left_kg * (1.0 - float(water.value(z))) for z in (_Z95, 0.0, -_Z95))
    about = format_mass(likely, system)
    return f"about {about} ({format_range(low, high, 'mass', system)})"


_Z95: Final = 1.645


def went_of(now: Standing) -> tuple[tuple[str, float], ...]:
    """What became of all that came, by cause: (words, kg), the largest first."""
    found = [("Cooked", now.cooked_kg), ("Water that dried out", now.dried_kg)]
    found += [(f"Lost: {CAUSES.get(cause, cause)}", kg) for cause, kg in now.losses]
    unseen = now.seen_kg + now.dried_kg
    if unseen < 0.0:
        found.append(("Missing when it was weighed", -unseen))
    return tuple(sorted(((words, kg) for words, kg in found if kg > 1e-6), key=lambda x: -x[1]))


def places_of(lot: Lot) -> tuple[tuple[str, str], ...]:
    """(title, address) of the places that a lot came from."""
    records = Record.objects.filter(
        entries__kind=GATHERED,
        entries__standing=Entry.Standing.LIVE,
        entries__touches__record=lot.pk,
        entries__touches__role=GATHERED_INTO,
    ).distinct()
    return tuple((record.title, record.get_absolute_url()) for record in records[:10])


def taught_of(lot: Lot, system: System) -> tuple[Lesson, ...]:
    """Trial cooks and tannin figures of a lot, the latest first."""
    return tuple(lessons(
        Entry.objects.filter(
            record=lot.pk, kind__in=("lot.tannin", "lot.trial"), standing=Entry.Standing.LIVE
        ).order_by("-happened_at", "-written_at")[:10],
        system,
    ))  # fmt: skip


def lessons(entries: Iterable[Entry], system: System) -> list[Lesson]:
    """What each entry taught, in words."""
    found = []
    for entry in entries:
        low, high = entry.data["low_pct"], entry.data["high_pct"]
        how = str(entry.data.get("how") or kind_of(entry.kind).label.lower())
        found.append(
            Lesson(f"{low:.2g} to {high:.2g} % tannin", how, entry.happened_at,
                   f"/journal/{entry.pk}/")
        )  # fmt: skip
    return found
