"""What is read about leather: the list, and the page of one."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404
from django.utils import timezone

from tanwright.planning import finishing
from tanwright.planning.finishing import judge_test
from tanwright.planning.telling.voice import Voice
from tanwright.reference.leathers import leather as aim_named
from tanwright.reference.sources import source
from tanwright.reference.work import stage_row
from tanwright.units import System, format_mass
from tanwright.yard.journal.models import Entry
from tanwright.yard.leather.due import due
from tanwright.yard.leather.entry_kinds import GRADED, TEST_LABELS, said_value
from tanwright.yard.leather.figures import advice_for
from tanwright.yard.leather.folding import live_entries
from tanwright.yard.leather.lessons import Advice
from tanwright.yard.leather.masses import Masses, masses_of
from tanwright.yard.leather.models import Leather
from tanwright.yard.leather.pelt import damp_guess
from tanwright.yard.leather.stages import aim_of, standing_after, way_of
from tanwright.yard.leather.telling import StageShown, stages_shown
from tanwright.yard.skins.models import Skin
from tanwright.yard.tannage.lessons import Lesson, lessons_of
from tanwright.yard.tannage.models import Tannage

__all__ = ["due", "leather_of", "leathers", "page_of", "row_of", "to_open"]


@dataclass(frozen=True)
class Row:
    """A leather on the list."""

    url: str
    title: str
    note: str
    chip: str


@dataclass(frozen=True)
class Judged:
    """The latest result of one test, in words."""

    label: str
    value: str
    anchor: str
    means: str
    source: str
    at: datetime


@dataclass(frozen=True)
class Page:
    """All that the page of a leather says above its log."""

    aim: str
    lead: str
    next: StageShown | None
    stages: tuple[StageShown, ...]
    weight_from: str
    masses: Masses
    degree: str
    tests: tuple[Judged, ...]
    taught: tuple[Lesson, ...]
    advice: tuple[Advice, ...]


def leathers(text: str = "") -> QuerySet[Leather]:
    """Leathers that are not withdrawn, newest first: those whose name or skin holds ``text``."""
    found = Leather.objects.filter(withdrawn_at=None).select_related("skin", "tannage")
    text = text.strip().replace("\x00", "")
    if not text:
        return found
    named = (
        Q(name__icontains=text) | Q(skin__name__icontains=text) | Q(skin__animal__icontains=text)
    )
    number = text.lower().removeprefix("leather").strip(" -")
    if number.isdecimal() and len(number) < 9:
        named |= Q(number=int(number))
    return found.filter(named)


def row_of(leather: Leather, system: System) -> Row:
    """A leather as the list shows it, from kept columns."""
    if leather.finished_at:
        chip = "finished"
    else:
        chip = stage_row(leather.step or leather.next_step or "rinse-leather").name.lower()
        chip = chip if leather.step else f"next: {chip}"
    weight = format_mass(leather.weight_kg, system) if leather.weight_kg else ""
    parts = (leather.code, f"of {leather.skin.title}", f"from {leather.tannage.title}", weight)
    return Row(
        leather.get_absolute_url(), leather.title, ", ".join(part for part in parts if part), chip
    )


def leather_of(id: uuid.UUID) -> Leather:
    """The leather ``id``, or a page that says there is none."""
    return get_object_or_404(Leather.objects.select_related("skin", "tannage"), pk=id)


def to_open(tannage: Tannage) -> list[Skin]:
    """Skins that are out of ``tannage`` and have no leather yet."""
    return list(
        Skin.objects.filter(places__tannage=tannage, places__taken_out_at__isnull=False)
        .exclude(leathers__tannage=tannage)
        .order_by("number")
    )


def page_of(leather: Leather, system: System) -> Page:
    """What the page of a leather says."""
    entries = live_entries(leather)
    voice = Voice(system, None, (), timezone.localdate().year, timezone.localdate())
    way = way_of(leather)
    standing = standing_after(tuple(stage.key for stage in way), entries)
    stages = stages_shown(way, standing, voice)
    masses = masses_of(leather)
    over = leather.finished_at is not None
    return Page(
        aim=aim_named(aim_of(leather)).label,
        lead=_lead(leather),
        next=next((stage for stage in stages if stage.state == "now" or stage.is_next), None),
        stages=stages,
        weight_from=_weight_from(leather, system),
        masses=masses,
        degree=_degree(masses),
        tests=judged(entries, system, voice),
        taught=tuple(lesson for lesson in lessons_of(leather.tannage) if lesson.is_news),
        advice=advice_for(leather, system) if over else (),
    )


def judged(entries: Iterable[Entry], system: System, voice: Voice) -> tuple[Judged, ...]:
    """The latest result of each test among ``entries``, oldest first."""
    latest = {
        entry.data["test"]: entry
        for entry in entries
        if entry.kind in ("leather.tested", "leather.graded")
    }
    found = []
    for test in TEST_LABELS:
        if (entry := latest.get(test)) is None:
            continue
        verdict = judge_test(test, float(entry.data["value"]))
        found.append(
            Judged(
                label=TEST_LABELS[test],
                value=said_value(test, verdict.value, system),
                anchor=voice.words(verdict.anchor if test in GRADED else verdict.grade),
                means=voice.words(verdict.means),
                source=source(verdict.source).short,
                at=entry.happened_at,
            )
        )
    return tuple(found)


def scale_shown(test: str, system: System) -> list[tuple[str, str, str]]:
    """A scale of a test as rows: from, what is seen, what it means."""
    voice = Voice(system, None, (), timezone.localdate().year, timezone.localdate())
    return [
        (said_value(test, row.low, system), voice.words(row.anchor), voice.words(row.means))
        for row in finishing.scale(test)
    ]


def _lead(leather: Leather) -> str:
    if leather.finished_at:
        return "It is finished. What the scale and the tests say stands below."
    if leather.step:
        return f"{stage_row(leather.step).name} is under way."
    return f"Next: {stage_row(leather.next_step or 'rinse-leather').name.lower()}."


def _weight_from(leather: Leather, system: System) -> str:
    if leather.damp_kg:
        return f"Amounts are for {format_mass(leather.damp_kg, system)}, weighed pressed damp."
    guess = damp_guess(leather.skin).kg
    if guess is None:
        return (
            f"Amounts are for {format_mass(1.0, system)} of damp leather, because no weight is "
            "known. Weigh it pressed damp, and they fit."
        )
    return (
        f"Amounts are for about {format_mass(guess, system)}, reckoned from the pelt. Weigh it "
        "pressed damp, and they fit better."
    )


def _degree(masses: Masses) -> str:
    if masses.account is None:
        return ""
    degree = masses.account.degree_pct
    return f"{degree.low:.0f} to {degree.high:.0f}, most likely {degree.likely:.0f}"
