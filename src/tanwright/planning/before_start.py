"""Steps before a skin lies in liquor: its state, the material, the warmth, the first liquor."""

from __future__ import annotations

import numpy as np

from tanwright.planning.amounts import Amounts
from tanwright.planning.answers import Step
from tanwright.planning.looks import look_of
from tanwright.planning.outcome import Course, Outcome
from tanwright.planning.phrases import (
    about_of_ten,
    liquor_l,
    litres,
    mix,
    on,
    pots,
    range_of,
    skins_word,
)
from tanwright.planning.setting import Setting
from tanwright.planning.sheet_checks import raw_limit_c
from tanwright.reference import materials
from tanwright.science.belief.unknowns import Floats
from tanwright.units import format_mass

LEAST_GATHERED_KG = 0.05
LEAST_GATHERED_SHARE = 0.02
"""A lack below this, or below this share of what lies here, is not worth a walk."""
_SOFT = {
    "green": "thawed",
    "salted": "the salt washed out",
    "dry-salted": "soaked soft and the salt washed out",
    "dried": "soaked soft",
}
LIME_CARE = (
    "Lime and lye blind and burn: goggles and gloves on, lime into water and never water to lime, "
    "spent lime never into a stream or drain"
)


def prepare(setting: Setting) -> list[Step]:
    """What the skins must be before they go in, when the sheet's stage is short of that."""
    wanted: dict[str, list[str]] = {}
    limed = False
    for skin, said in zip(setting.skins, setting.sheet.skins, strict=True):
        if skin.stage == "delimed":
            continue
        parts = [_SOFT[skin.stage]] if skin.stage in _SOFT else []
        if said.animal == "fish":
            parts += ["scraped clean of flesh", "scales off", "rinsed"]
        elif skin.hair_on:
            parts += ["fleshed", "washed, the hair kept on and never limed"]
        else:
            parts += [] if skin.stage == "limed" else ["fleshed", "unhaired"]
            parts += ["lime out (pH 8 or less, no pink at the cut with phenolphthalein)"]
            limed = True
        wanted.setdefault(", ".join(parts), []).append(skin.name or "skin")
    if not wanted:
        return []
    if len(wanted) == 1:
        told = next(iter(wanted))
    else:
        told = "; ".join(f"{' and '.join(names)} {state}" for state, names in wanted.items())
    care = f" {LIME_CARE}." if limed else ""
    return [
        Step(
            setting.start, "prepare",
            f"Before the {skins_word(setting)} go{'' if skins_word(setting) == 'skins' else 'es'} "
            f"in: {told}. Not yet? Move the start",
            "Flesh, hair roots and lime keep the tan out, and lime stains and spends it; the plan "
            f"begins with a skin that is ready.{care}",
        )
    ]  # fmt: skip


def leave_alone(setting: Setting) -> list[Step]:
    """A stop before anything else for plants that nobody should be pointed to."""
    found = []
    for lot in setting.lots:
        material = materials.material(lot.material_id)
        if material.may_be_suggested:
            continue
        why = material.cautions or "poisonous or protected"
        found.append(
            Step(
                setting.start, "wait",
                f"Leave the {lot.label} alone and take another plant: {why}",
                "It stands in the reference as a plant not to gather. The plan below only answers "
                "the question; local rules and people who know the plant come first.",
                material_id=lot.key,
            )
        )  # fmt: skip
    return found


def missing_kg(setting: Setting, amounts: Amounts, used_kg: Floats) -> Floats:
    """Material to gather beyond what is in hand, used or not, kg as it lies, (m, j)."""
    have = np.array([lot.lot.have_kg or 0.0 for lot in setting.lots])
    return np.asarray(np.maximum(amounts.need_kg - np.maximum(have, used_kg), 0.0))


def gather(setting: Setting, amounts: Amounts) -> list[Step]:
    """Material to have or to know of before the start."""
    steps = []
    missing = missing_kg(setting, amounts, np.zeros(len(setting.lots)))
    for j, lot in enumerate(setting.lots):
        kg = range_of(missing[:, j])
        if lot.lot.have_kg is None and kg.p95 > LEAST_GATHERED_KG:
            steps.append(
                Step(
                    setting.start, "gather",
                    f"Have {format_mass(kg.p50)} of {lot.label} by you, better "
                    f"{format_mass(kg.p95)}"
                    if kg.p50 > LEAST_GATHERED_KG
                    else f"Know where {format_mass(kg.p95)} of {lot.label} is to be had; most "
                    "likely little or none is needed",
                    "The larger figure is enough in 19 cases of 20; the first pot tells more.",
                    material_id=lot.key,
                )
            )  # fmt: skip
    have = np.array([lot.lot.have_kg or 0.0 for lot in setting.lots])
    short = float(1.0 - amounts.enough.mean())
    if any(lot.lot.have_kg is None for lot in setting.lots) or short <= 0.1:
        return steps
    found = [range_of(missing[:, j]) for j in range(have.size)]
    more = np.array([kg.p95 if short < 0.5 else kg.p50 for kg in found])
    least = np.maximum(LEAST_GATHERED_KG, LEAST_GATHERED_SHARE * have)
    if not np.any(more > least):
        return steps
    named = [
        f"{format_mass(kg)} of {lot.label}"
        for kg, lot, floor in zip(more, setting.lots, least, strict=True)
        if kg > floor
    ]
    steps.append(
        Step(
            setting.start, "gather",
            f"Know where another {' and '.join(named)} {'is' if len(named) == 1 else 'are'} to "
            "be had",
            f"What lies here ({format_mass(float(have.sum()))}) falls short in "
            f"{about_of_ten(short)}.",
            material_id=setting.lots[int(np.argmax(more))].key,
        )
    )  # fmt: skip
    return steps


def does_not_fit(setting: Setting, kg: tuple[float, ...], room_l: float) -> bool:
    """Whether the two waters of ``kg`` give more liquor than there is room for."""
    return liquor_l(setting, kg) > 1.05 * room_l


def start(setting: Setting, outcome: Outcome, course: Course) -> Step:
    """The first liquor, and the skins into it."""
    first = range_of(outcome.strength_bk[:, 0])
    number = pots(setting, course.first.kg)
    limit = raw_limit_c(setting.sheet)
    over = ""
    if does_not_fit(setting, course.first.kg, setting.vat_l):
        over = (
            " The second water of a pot is the first of the next, so that all of it fits the vat."
            if number > 1
            else " What does not fit the vat is kept, and goes in as it falls."
        )
    return Step(
        setting.start, "start",
        f"Cook {mix(setting, course.first.kg)} in {number} pot{'s' if number > 1 else ''}, two "
        f"waters each; fill the vat to {litres(setting.vat_l)} with it and water, let it cool "
        f"below {limit:.0f} °C, put the {skins_word(setting)} in",
        "A weak first liquor colours the pelt evenly; a strong one tans the outside shut." + over,
        strength_bk=first.p50, strength_range_bk=first, litres=setting.vat_l,
        look=look_of(first.p50),
    )  # fmt: skip


def too_hot(setting: Setting, outcome: Outcome, course: Course, now: float) -> list[Step]:
    """A step for each spell of the vat that is too warm for raw skin, from ``now`` on."""
    limit = raw_limit_c(setting.sheet)
    last = range_of(outcome.finish_day).p95
    steps = []
    ends = [spell.day for spell in course.spells[1:]] + [np.inf]
    for spell, end in zip(course.spells, ends, strict=True):
        day = max(spell.day, now, 0.0)
        if spell.temperature_c < limit or end <= day or day > min(last, outcome.day[-1]):
            continue
        if float(np.median(outcome.result.at(day, outcome.through))) > 0.999:
            continue
        warm = f"{spell.temperature_c:.0f} °C"
        why = (
            f"Raw {skins_word(setting)} shrink{'' if skins_word(setting) == 'skins' else 's'} for "
            f"good and the liquor turns when it is warmer than about {limit:.0f} °C."
        )
        if day <= 0.0 >= now:
            steps.append(
                Step(
                    setting.start, "wait",
                    f"{warm} is too hot for raw skin: put the vat into the shade or a cool pit, "
                    f"or start at night; nothing goes in above {limit:.0f} °C",
                    why,
                )
            )  # fmt: skip
        else:
            steps.append(
                Step(
                    on(setting, day), "move",
                    f"Cool the vat below {limit:.0f} °C ({warm} is too hot for raw skin): shade, "
                    "a cool pit, wet cloths round it",
                    why + " Feel the skin: hard, curled or gluey edges are a bad sign, and a cut "
                    "tells the rest.",
                )
            )  # fmt: skip
    return steps
