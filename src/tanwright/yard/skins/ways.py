"""The way of one skin from raw to the vat, told in the reader's units."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from tanwright.planning.beamwork import work_stage
from tanwright.planning.preparation import STAGES, Quantity, RawSkin, WorkStage, route
from tanwright.planning.telling.voice import Voice
from tanwright.reference import animals
from tanwright.reference.cautions import cautions_for
from tanwright.reference.sources import source
from tanwright.units import System, format_mass, format_range
from tanwright.yard.skins.models import Skin

USUAL_C: Final = 15.0
UNHAIR: Final = {
    "lime": "Lime. Five days as a rule, forgiving if you are late; opens the skin well for soft "
    "and bag leather. Burns eyes and skin, and has to be taken out again.",
    "ash": "Wood-ash lye. Three to four days, from your own hearth; its strength varies, so the "
    "hair is tried daily. Burns like lime, and has to be taken out again.",
    "sweat": "Sweating. Nothing to take out again, firm leather; but it is a rot kept in hand: "
    "somebody has to look every few hours, and a late look costs the skin.",
    "lime-sulfide": "Lime with sulfide. For licensed works only: it can give off a gas that kills.",
}
"""Ways of unhairing and what each means (common practice)."""
DELIME: Final = {
    "boric": "Boric acid. Gentle and even, some hours; keep it off food vessels and away from "
    "the pregnant.",
    "vinegar": "Vinegar. From the kitchen, some hours in small parts; too much at once swells the "
    "edges.",
    "lactic": "Lactic acid. About an hour in warm water, in small parts.",
    "ammonium": "Ammonium sulfate. Quick and through; ammonia comes off, so outdoors only.",
    "bran": "Bran drench. Grain and warmth do it, soft leather; it ferments, so look often.",
    "water": "Water alone. Days of changing, and lime stays in the middle: for firm and sole "
    "leather, and the only way after sulfide.",
    "none": "Nothing to take out: only after sweating.",
}
"""Ways of deliming and what each means (common practice)."""


@dataclass(frozen=True)
class Basis:
    """The weight that amounts are reckoned from, kg of one skin as it came in, and why that."""

    raw_kg: float
    words: str
    known: bool


@dataclass(frozen=True)
class Amount:
    """An amount for all skins of the record; ``likely`` in kg or litres as ``unit`` says."""

    what: str
    words: str
    how: str
    source: str
    unit: str
    likely: float


@dataclass(frozen=True)
class Caution:
    """A caution at a step."""

    topic: str
    text: str


@dataclass(frozen=True)
class StageShown:
    """One stage as a page shows it."""

    key: str
    name: str
    do: str
    amounts: tuple[Amount, ...]
    hours: str
    hours_why: str
    end_test: str
    not_yet: str
    trouble: str
    warnings: tuple[str, ...]
    cautions: tuple[Caution, ...]
    """Those of this very stage."""
    general: tuple[Caution, ...]
    """Those that hold as long as the skin is raw: germs of the animal, law, clean hands."""
    then: str
    expected: str
    source: str
    standing: str = ""
    """``"done"``, ``"now"``, ``"next"`` or empty."""


def basis_of(skin: Skin, system: System) -> Basis:
    """What amounts are reckoned from: the latest weight, else what such an animal's usually has."""
    start = animals.stage(STAGES[skin.keeping])
    if skin.weight_kg is not None:
        weighed = animals.stage(skin.weighed_at_stage or start.id)
        weight = format_mass(skin.weight_kg, system)
        return Basis(
            skin.weight_kg * _middle(*start.to_green) / _middle(*weighed.to_green),
            f"Amounts are for its latest weight, {weight} ({weighed.label}).",
            known=True,
        )
    if skin.animal:
        animal = animals.animal(skin.animal)
        green = format_range(*animal.green_kg, "mass", system)
        return Basis(
            _middle(*animal.green_kg) * _middle(*start.to_green),
            f"It has not been weighed: amounts are for a usual {animal.name} skin ({green} as it "
            "comes off). Weigh it to get its own.",
            known=False,
        )
    return Basis(
        1.0,
        f"It has not been weighed: amounts are for {format_mass(1.0, system)} of skin.",
        known=False,
    )


def _middle(low: float, high: float) -> float:
    return math.sqrt(low * high)


def stages_of(skin: Skin, temperature_c: float = USUAL_C) -> tuple[WorkStage, ...]:
    """Its way by the ways that were chosen; lime and boric acid until somebody chose.

    Raises InputError for a way that contradicts itself or a temperature that cannot be.
    """
    raw = RawSkin(basis_of(skin, "metric").raw_kg, skin.keeping, skin.animal)
    if skin.hair_on:
        return route(raw, unhair="none", delime="none", hair_on=True, temperature_c=temperature_c)
    unhair = skin.unhair or "lime"
    delime = skin.delime or {"sweat": "none", "lime-sulfide": "water"}.get(unhair, "boric")
    return route(raw, unhair=unhair, delime=delime, bate=skin.bate, temperature_c=temperature_c)


def next_step(skin: Skin) -> str:
    """Key of the stage that comes next; empty when one runs or all are done."""
    if skin.step or skin.is_ready:
        return ""
    stages = stages_of(skin)
    if not skin.step_done:
        return stages[0].key
    for stage in stages:
        if stage.key == skin.step_done:
            return stage.next_key
    # The way was changed after this stage: go on behind its like, limed or bucked.
    family = skin.step_done.partition("-")[0]
    like = (stage.next_key for stage in stages if stage.key.partition("-")[0] == family)
    return next(like, "") or next(key for key in map(_key, stages) if key.startswith("flesh"))


def _key(stage: WorkStage) -> str:
    return stage.key


def shown(skin: Skin, temperature_c: float, system: System) -> tuple[StageShown, ...]:
    """All stages of the way, with where the skin stands among them."""
    stages = stages_of(skin, temperature_c)
    keys = [stage.key for stage in stages]
    now = skin.step if skin.step in keys else ""
    coming = "" if now else next_step(skin)
    reached = keys.index(now or coming) if (now or coming) in keys else len(keys)
    if skin.is_raw:
        reached = 0
    names = {stage.key: stage.name for stage in stages}
    return tuple(
        replace(
            told(stage, skin.count, system, names.get(stage.next_key, ""), skin.animal),
            standing=_standing(place, reached, bool(now)),
        )
        for place, stage in enumerate(stages)
    )


def off_the_way(skin: Skin, temperature_c: float, system: System) -> StageShown:
    """The running stage of a skin whose way no longer holds it."""
    weight_kg = basis_of(skin, system).raw_kg
    return told(
        work_stage(skin.step, weight_kg, temperature_c), skin.count, system, animal=skin.animal
    )


def _standing(place: int, reached: int, runs: bool) -> str:
    if place < reached:
        return "done"
    if place == reached:
        return "now" if runs else "next"
    return ""


def general_cautions(animal: str, system: System) -> tuple[Caution, ...]:
    """What holds for a raw skin of ``animal`` at every stage."""
    say = Voice(system).words
    topics = (f"animal:{animal}", "hygiene") if animal else ("hygiene",)
    return tuple(Caution(item.topic, say(item.text)) for item in cautions_for(topics))


def told(
    stage: WorkStage, count: int, system: System, next_name: str = "", animal: str = ""
) -> StageShown:
    """One stage for ``count`` skins of ``animal``."""
    say = Voice(system).words
    cautions = tuple(Caution(item.topic, say(item.text)) for item in stage.cautions)
    general = general_cautions(animal, system)
    many = f" for all {count} together" if count > 1 else ""
    expected = ""
    if stage.expected_kg:
        span = format_range(*stage.expected_kg, "mass", system)
        expected = f"One skin usually weighs {span} afterwards."
    then = f"Then: {next_name}." if next_name else "Then it is ready for the vat."
    return StageShown(
        key=stage.key,
        name=stage.name,
        do=say(stage.do),
        amounts=tuple(_amount(item, count, many, system, say) for item in stage.quantities),
        hours=hours_words(stage.hours.low, stage.hours.likely, stage.hours.high),
        hours_why=say(stage.hours.why),
        end_test=say(stage.end_test),
        not_yet=say(stage.not_yet),
        trouble=say(stage.trouble),
        warnings=tuple(say(text) for text in stage.warnings),
        cautions=tuple(item for item in cautions if item not in general),
        general=tuple(item for item in cautions if item in general),
        then=then,
        expected=expected,
        source=source(stage.source).short,
    )


def _amount(
    item: Quantity, count: int, many: str, system: System, say: Callable[[str], str]
) -> Amount:
    factor = count * (1e-3 if item.unit == "g" else 1.0)
    low, high = item.low * factor, item.high * factor
    quantity = "volume" if item.unit == "L" else "mass"
    return Amount(
        what=item.what,
        words=f"{format_range(low, high, quantity, system)}{many}",
        how=say(item.how),
        source=source(item.source).short,
        unit="l" if item.unit == "L" else "kg",
        likely=_middle(low, high),
    )


def hours_words(low: float, likely: float, high: float) -> str:
    """``"1 to 8 hours, most likely 3"``, in days from two days on, in minutes below an hour."""
    for least, unit, size in ((36.0, "days", 24.0), (1.0, "hours", 1.0), (0.0, "minutes", 1 / 60)):
        if likely >= least:
            first, middle, last = (_round(value / size) for value in (low, likely, high))
            return f"{first} to {last} {unit}, most likely {middle}"
    raise ValueError("hours below nought")


def _round(value: float) -> str:
    if value >= 10.0:
        return f"{value:.0f}"
    half = round(value * 2.0) / 2.0
    return f"{half:g}" if half else f"{value:.1g}"


def look_words(earliest: datetime, latest: datetime, now: datetime) -> str:
    """When to look, seen from ``now``."""
    from tanwright.yard.shell.templatetags.words import moment

    if now > latest:
        return f"It should not have gone past {moment(latest)}."
    if now >= earliest - timedelta(minutes=1):
        return f"Look now; it should not go past {moment(latest)}."
    return f"Look from {moment(earliest)} on; it should not go past {moment(latest)}."
