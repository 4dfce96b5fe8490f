"""What goes wrong first, what to watch for, and what must be asked; words for an answer."""

from __future__ import annotations

import numpy as np

from tanwright.planning.amounts import Amounts
from tanwright.planning.answers import Caution, Trouble
from tanwright.planning.course import USUAL_COOK_L_PER_KG
from tanwright.planning.outcome import Course, Outcome
from tanwright.planning.phrases import cut_places, is_fish, range_of
from tanwright.planning.policy import POT_FILL, pot_kg
from tanwright.planning.setting import Setting
from tanwright.planning.worlds import Worlds
from tanwright.reference import animals
from tanwright.reference import cautions as tables
from tanwright.units import format_mass

RULE_OF_THUMB = (1.0, 3.0)
"""Dry material to wet skin by weight (common practice, no source)."""

DONE_GATE = (
    "Is there any part that still feels like raw skin: slippery, rubbery, see-through at the edge?",
    "Dry a snip beside a stove and bend it, grain out: does it bend without cracking or going "
    "like horn?",
)
RUIN_QUESTIONS = (
    "Before giving a skin up: does the smell go after a rinse, does the grain stay firm under "
    "a thumbnail, and is the film on the liquor only on top? If so it is rarely lost.",
)


def questions(setting: Setting) -> tuple[str, ...]:
    """The done gate, and what to ask before anything is called ruined (common practice)."""
    thin = "belly" if is_fish(setting) else "belly, flank"
    return (
        f"Does a fresh cut at the thickest place ({cut_places(setting)}) show no pale or glassy "
        "line?",
        f"And at a thin place ({thin})?",
        *DONE_GATE,
        *RUIN_QUESTIONS,
    )


def cautions_of(setting: Setting, *, begun: bool = False) -> tuple[Caution, ...]:
    """Cautions for the steps this plan proposes and the animals and plants in it.

    ``begun``: the skin lies in the vat, so lime and lye are behind it.
    """
    facts: set[str] = {"step:cooking", "step:tanning", "step:discard", "animal:any", "tool:pot"}
    for skin, said in zip(setting.skins, setting.sheet.skins, strict=True):
        if said.animal:
            facts.add(f"animal:{animals.animal(said.animal).id}")
        if (
            not begun
            and not skin.hair_on
            and said.animal != "fish"
            and said.stage in ("green", "salted", "dried", "soaked")
        ):
            facts |= {"step:liming", "step:ash-lye", "step:sulfide", "step:deliming"}
    for lot in setting.lots:
        facts |= {f"material:{lot.material_id}", f"part:{lot.part}"}
        if lot.lot.history.mouldy:
            facts.add("lot:mouldy")
    return tuple(Caution(c.topic, c.text, c.source) for c in tables.cautions_for(sorted(facts)))


def rule_of_thumb(worlds: Worlds, setting: Setting, amounts: Amounts) -> str:
    """How the trade's 1 to 3 parts of dry material to 1 of wet skin stands against this answer."""
    air_dry = amounts.need_kg * worlds.contained_g_per_kg / 1000.0 / worlds.tannin_share
    ratio = range_of(air_dry.sum(axis=1) / worlds.pelt_kg.sum(axis=1))
    says = (
        "The rule of thumb (1 to 3 parts dry material to 1 of wet skin, common practice) "
        f"against this plan: {ratio.p50:.2g} parts to 1 of pelt, {ratio.p05:.2g} to "
        f"{ratio.p95:.2g}. "
    )
    low, high = RULE_OF_THUMB
    if ratio.p50 > high:
        return (
            says + "Here the rule is wrong: the material is weak or the vat large for the skin, "
            "so it takes more."
        )
    if ratio.p50 < low:
        return says + "Here the rule asks for more than is needed: the material is strong."
    return says + "The rule holds here, but only as a middle figure."


def troubles_of(
    worlds: Worlds, setting: Setting, outcome: Outcome, amounts: Amounts
) -> tuple[Trouble, ...]:
    """What goes wrong first, by its chance in the worlds where the engine can see it."""
    found: list[Trouble] = []
    table = {row.id: row for row in tables.troubles()}
    short = float(np.mean(np.isinf(outcome.finish_day)))
    if short > 0.05:
        found.append(
            Trouble(
                "The liquor is spent before the middle is tanned", short,
                "Paler within a day or two of strengthening, and the cut unchanged over a week",
                "Strengthen at once, or move the skin to fresh liquor: in weak liquor the core "
                "rots.",
                "common-practice",
            )
        )  # fmt: skip
    early = outcome.day <= 3.0
    face = outcome.result.face_degree[:, early, 1::2].max(axis=2)
    # A rim that is full leather within three days, on a core that has hardly begun.
    shut = float(np.mean(np.any((face > 0.5) & (outcome.through[:, early] < 0.4), axis=1)))
    row = table.get("case-hardened")
    if row is not None and shut > 0.03:
        found.append(
            Trouble("Outside tanned shut, middle raw", shut, row.sign, row.remedy, row.source)
        )
    warm = max(setting.temperature_c(float(day)) for day in range(0, 60, 3))
    if warm >= 22.0:
        found.append(
            Trouble(
                f"The vat reaches {warm:.0f} °C: it sours and moulds", None,
                "Film with a foul smell and a slimy grain (a film alone is often harmless)",
                "Skim, stir, strengthen, and find a cooler place; raw pelt stays below 30 °C.",
                "common-practice",
            )
        )  # fmt: skip
    cold = min(setting.temperature_c(float(day)) for day in range(0, 60, 3))
    if cold <= 4.0:
        found.append(
            Trouble(
                f"The vat falls to {cold:.0f} °C: tanning all but stops", None,
                "The cut does not move, the strength does not fall",
                "Nothing is lost: wait, or move it somewhere warmer and count the days from there.",
                "common-practice",
            )
        )  # fmt: skip
    for key in ("pale-line", "drawn-grain", "iron-spots", "hair-slip"):
        row = table.get(key)
        if row is None or (key == "hair-slip" and not any(s.hair_on for s in setting.skins)):
            continue
        found.append(
            Trouble(row.cause[0].upper() + row.cause[1:], None, row.sign, row.remedy, row.source)
        )
    return tuple(found[:5])


def one_pot(
    worlds: Worlds, setting: Setting, outcome: Outcome, amounts: Amounts, course: Course
) -> tuple[str, ...]:
    """Starting with one pot: how soon, and from which sign, it is known whether more is needed."""
    if not setting.lots:
        return ()
    label = setting.lots[amounts.main].label
    ratio = amounts.break_even_share / worlds.tannin_share[:, amounts.main]
    # The first liquor of the plan may be several pots; the sign is told for one of them, before
    # the vat's water thins it.
    all_pots = max(sum(course.first.kg), 1e-9)
    pot = min(pot_kg(setting, amounts.main), all_pots)
    pot_l = min(POT_FILL * setting.pot_l, USUAL_COOK_L_PER_KG * pot)
    first = outcome.strength_bk[:, 0] * (pot / all_pots) * (setting.vat_l / pot_l)
    mark = float(np.median(first * ratio))
    near = first < mark
    have = sum(lot.lot.have_kg or 0.0 for lot in setting.lots)
    need = amounts.need_kg.sum(axis=1)
    mass = have if have > 0.0 else float(np.median(need))
    weak = need[near] if near.any() else need
    more = range_of(np.maximum(weak - mass, 0.0))
    least = max(more.p50, 0.15 * mass)
    sign = (
        f"Below {mark:.0f} °Bk (expected {range_of(first).p50:.0f} °Bk), {format_mass(mass)} will "
        "not do."
        if have > 0.0
        else f"At {mark:.0f} °Bk about {format_mass(mass)} in all will do; half that strength asks "
        "for twice as much."
    )
    told = [
        f"Cook one pot first, {format_mass(pot)} of {label} in two waters, and make the strained "
        f"liquor up to {pot_l:.2g} L: the answer is there once it is cool. {sign}",
    ]
    if more.p95 > 0.05 and have > 0.0:
        most = f", at the outside {format_mass(more.p95)}" if more.p95 > 1.1 * least else ""
        told.append(
            f"In that case gather {format_mass(least)} more{most}, before the second strengthening."
        )
    day = float(np.quantile(np.minimum(outcome.through_day, outcome.day[-1]), 0.25)) / 3.0
    told.append(
        f"Without an instrument, watch the liquor and the cut: by day {max(1, round(day))} a "
        "good liquor has coloured a third of the thickness, and it pales slowly. If it goes "
        "pale within two days and the rim stays thin, gather more now."
    )
    return tuple(told)
