"""What is read about trials: the list, and the page of one."""

from __future__ import annotations

import json
import uuid
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from string import ascii_uppercase
from typing import Final

from django.db.models import Count, Q, QuerySet
from django.shortcuts import get_object_or_404
from django.utils import timezone

from tanwright.planning.telling.voice import Voice
from tanwright.planning.trials.design import treatment_of, treatment_row
from tanwright.planning.trials.jars import Bought, jar_notes, shopping
from tanwright.planning.trials.question import Proposal, Wish, propose
from tanwright.planning.trials.records import Treatment
from tanwright.planning.trials.renewal import jar_of, schedule_of
from tanwright.planning.trials.schedule import JarForecast, Schedule
from tanwright.planning.trials.whole import cautions_of
from tanwright.reference.cautions import Caution
from tanwright.units import System
from tanwright.yard.liquors.strengths import shown
from tanwright.yard.liquors.tables import scale_of_the_yard
from tanwright.yard.stock.plants import name_of
from tanwright.yard.trials import reckoning
from tanwright.yard.trials.due import due
from tanwright.yard.trials.models import Jar, Trial
from tanwright.yard.trials.offcut_pictures import CodePicture, draw_code, words_of_code
from tanwright.yard.trials.renewing import is_awaited

__all__ = ["due", "trial_of", "trials"]


@dataclass(frozen=True)
class Row:
    """A trial on the list."""

    url: str
    title: str
    note: str
    chip: str
    busy: bool


@dataclass(frozen=True)
class JarShown:
    """A jar as pages show it."""

    jar: Jar
    number: int
    label: str
    patches: tuple[int, ...]
    """Their numbers."""
    dry: tuple[tuple[str, float], ...]
    holds_l: float
    forecast: JarForecast | None
    finish: str
    strength: str
    enough: str


def trials(text: str = "") -> QuerySet[Trial]:
    """Trials that are not withdrawn, newest first: those whose name holds ``text``."""
    live = Trial.objects.filter(withdrawn_at=None)
    found = live.annotate(laid=Count("patches")).order_by("-created_at", "-number")
    text = text.strip().replace("\x00", "")
    if not text:
        return found
    named = Q(name__icontains=text)
    number = text.lower().removeprefix("trial").strip(" -")
    if number.isdecimal() and len(number) < 9:
        named |= Q(number=int(number))
    return found.filter(named)


def row_of(trial: Trial) -> Row:
    """A trial as the list shows it, from kept columns."""
    asked = trial.get_question_display() if trial.question else "no question yet"
    laid = getattr(trial, "laid", 0)
    parts = (trial.code, asked.lower(), f"{laid} patches" if laid else "")
    return Row(
        trial.get_absolute_url(),
        trial.title,
        ", ".join(part for part in parts if part),
        trial.get_state_display(),
        trial.state in (Trial.State.RUNNING, Trial.State.GRADING),
    )


def trial_of(id: uuid.UUID) -> Trial:
    """The trial ``id``, or a page that says there is none."""
    return get_object_or_404(Trial.objects.select_related("tannage", "became"), pk=id)


# The design


@dataclass(frozen=True)
class DesignShown:
    """All that the page of the design says."""

    treatments: tuple[tuple[str, Treatment], ...]
    """Letter and treatment, as the cutting map prints them."""
    proposal: Proposal | None
    problem: str
    words: tuple[str, ...]
    notes: tuple[str, ...]
    table: tuple[tuple[str, tuple[int, ...]], ...]
    outdated: bool
    blend_note: str


def _as_text(wish: Wish) -> str:
    rows = [treatment_row(item) for item in wish.treatments]
    return json.dumps([wish.question, rows, wish.blocks, wish.graders, wish.jars_each])


@lru_cache(maxsize=128)
def _proposed(asked: str) -> Proposal:
    """How sure the trial would be; the simulation takes longer than a page may."""
    question, rows, blocks, graders, jars_each = json.loads(asked)
    treatments = tuple(treatment_of(row) for row in rows)
    return propose(Wish(question, treatments, tuple(blocks), graders, jars_each))


def design_shown(trial: Trial) -> DesignShown:
    """How sure it would be, and the design as it is kept."""
    design = reckoning.design_of(trial)
    proposal, problem = None, ""
    if trial.treatments and reckoning.blocks_of(trial):
        proposal = _proposed(_as_text(reckoning.wish_of(trial)))
    elif not trial.treatments:
        problem = "It is not said yet what is compared."
    else:
        problem = "There are no patches yet: count them, or draw the offcuts."
    efficiency = float(trial.facts.get("blend_efficiency") or 1.0)
    return DesignShown(
        treatments=tuple(zip(ascii_uppercase, reckoning.treatments_of(trial), strict=False)),
        proposal=proposal,
        problem=problem,
        words=design.words if design else (),
        notes=design.notes if design else (),
        table=design.by_block if design else (),
        outdated=reckoning.is_outdated(trial),
        blend_note=(
            f"Scarce plants have smaller shares; that leaves {100 * efficiency:.0f} % of what the "
            "best blends would tell."
            if efficiency < 0.995
            else ""
        ),
    )


# The jars

_OF_WORK: Final = ("fire", "iron", "effluent", "lime", "lye", "acid", "boiling", "hot-liquor")


@dataclass(frozen=True)
class JarsShown:
    """All that the page of the jars says."""

    jars: tuple[JarShown, ...]
    bought: tuple[Bought, ...]
    schedule: Schedule | None
    problem: str
    coming: bool
    notes: tuple[str, ...]
    of_work: tuple[Caution, ...]
    """Cautions of cooking and of liquor."""
    of_plants: tuple[Caution, ...]
    """Cautions of gathering and of the plants themselves."""


def jars_shown(trial: Trial, system: System) -> JarsShown:
    """The jars with what the engine says of each, one list, one schedule."""
    plans = reckoning.jar_plans(trial)
    kept = trial.design.get("schedule") or {}
    schedule = schedule_of(kept) if "days" in kept and trial.ended_at is None else None
    voice = voice_for(system)
    labels = {item.key: item.label for item in reckoning.treatments_of(trial)}
    rows = {jar.number: jar for jar in trial.jars.all()}
    there: defaultdict[int, tuple[int, ...]] = defaultdict(tuple)
    for number, jar in trial.patches.exclude(jar=None).values_list("number", "jar__number"):
        there[jar] += (number,)
    cautions = cautions_of(plans)
    return JarsShown(
        jars=tuple(
            jar_shown(rows[plan.number], there[plan.number], plan.holds_l, labels, voice)
            for plan in plans
        ),
        bought=shopping(plans, reckoning.in_hand(trial)) if trial.begun_at is None else (),
        schedule=schedule,
        problem=str(kept.get("problem") or ""),
        coming=is_awaited(trial),
        notes=(
            *(map(voice.words, jar_notes(plans, reckoning.pieces_of(trial))) if plans else ()),
            *(schedule.notes if schedule else ()),
        ),
        of_work=tuple(part for part in cautions if part.topic in _OF_WORK),
        of_plants=tuple(part for part in cautions if part.topic not in _OF_WORK),
    )


def jar_shown(
    jar: Jar,
    patches: tuple[int, ...],
    holds_l: float,
    labels: dict[str, str],
    voice: Voice,
) -> JarShown:
    """One jar in words."""
    forecast = jar_of(jar.forecast) if jar.forecast else None
    strength = ""
    if jar.last_bk is not None:
        strength = shown(jar.last_bk, scale_of_the_yard())
    elif jar.strength_bk is not None:
        strength = f"about {shown(jar.strength_bk, scale_of_the_yard())} planned"
    return JarShown(
        jar=jar,
        number=jar.number,
        label=labels.get(jar.treatment, jar.treatment),
        patches=patches,
        dry=tuple((name_of(id), float(kg)) for id, kg in jar.shares.items()),
        holds_l=holds_l,
        forecast=forecast,
        finish=voice.window(forecast.finish) if forecast and forecast.finish.p05 else "",
        strength=strength,
        enough=_enough(forecast),
    )


def _enough(forecast: JarForecast | None) -> str:
    if forecast is None or forecast.enough is None:
        return ""
    if forecast.enough < 0.3:
        return "probably too little material"
    return "maybe too little material" if forecast.enough < 0.6 else ""


def voice_for(system: System) -> Voice:
    """How to say dates and amounts to this reader."""
    today: date = timezone.localdate()
    return Voice(system, None, (), today.year, today)


@dataclass(frozen=True)
class MarkShown:
    """The nicks of one patch as a picture and to be read out."""

    picture: CodePicture
    words: str
    region: str


def marks_shown(trial: Trial) -> tuple[MarkShown, ...]:
    """The mark of every patch that has one, by number; nothing that tells its treatment."""
    found = []
    for patch in trial.patches.exclude(code=""):
        sides = sorted((patch.width_cm, patch.height_cm))
        square = sides[1] - sides[0] < 1e-6
        picture = draw_code(patch.number, patch.code, square, sides[0] / sides[1])
        found.append(MarkShown(picture, words_of_code(patch.code), patch.region))
    return tuple(found)


def open_jars(trial: Trial) -> Sequence[Jar]:
    """The jars that still hold patches."""
    return list(trial.jars.filter(ended_at=None))


def laid_shown(trial: Trial) -> str:
    """How many patches of which size lie on the drawn offcuts; empty when none do."""
    laid = trial.patches.exclude(offcut__rings={})
    first = laid.first()
    if first is None:
        return ""
    size = f"{first.width_cm:g} × {first.height_cm:g} cm"
    return f"{laid.count()} patches of {size} are laid out"


def patches_by_region(trial: Trial) -> tuple[tuple[str, int], ...]:
    """Region to how many patches it gives."""
    found = Counter(trial.patches.values_list("region", flat=True))
    return tuple(sorted(found.items()))
