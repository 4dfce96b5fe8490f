"""What goes wrong first, what to watch for, and what must be asked; words for an answer."""

from __future__ import annotations

import numpy as np

from tanwright.planning.amounts import Amounts
from tanwright.planning.answers import Caution, Trouble
from tanwright.planning.course import USUAL_COOK_L_PER_KG, liquor_of, strength_bk
from tanwright.planning.looks import look_of
from tanwright.planning.outcome import Course, Outcome
from tanwright.planning.phrases import (
    by_eye,
    cut_places,
    is_fish,
    liquor_l,
    litres,
    mix,
    range_of,
)
from tanwright.planning.policy import pot_kg
from tanwright.planning.setting import Setting
from tanwright.planning.sheet_checks import WARM_C, raw_limit_c
from tanwright.planning.worlds import WATER_L_PER_KG, Worlds
from tanwright.reference import animals
from tanwright.reference import cautions as tables
from tanwright.units import format_mass

RULE_OF_THUMB = (1.0, 3.0)
"""Dry material to wet skin by weight (common practice, no source)."""

DONE_GATE = (
    "Is there any part that still feels like raw skin: slippery, rubbery, see-through at the edge?",
    "Dry a snip in warm air, not on a stove, and bend it, grain out: does it bend without "
    "cracking or going like horn?",
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
            and said.stage in ("green", "salted", "dry-salted", "dried", "soaked")
        ):
            facts |= {"step:liming", "step:ash-lye", "step:sulfide", "step:deliming"}
        elif not begun and said.stage == "limed":
            facts.add("step:deliming")
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
    worlds: Worlds, setting: Setting, outcome: Outcome, amounts: Amounts, course: Course
) -> tuple[Trouble, ...]:
    """What goes wrong first: heat and loose hair always, then by chance where the engine sees it.

    The vat's warmth is that of ``course``, readings included.
    """
    found: list[Trouble] = []
    table = {row.id: row for row in tables.troubles()}
    last = float(outcome.day[-1])
    warmths = [spell.temperature_c for spell in course.spells if spell.day <= last]
    warm, cold, limit = max(warmths), min(warmths), raw_limit_c(setting.sheet)
    if warm >= limit:
        found.append(
            Trouble(
                f"The vat reaches {warm:.0f} °C: raw skin shrinks and rots from {limit:.0f} °C on",
                None,
                "Edges curl and go hard or gluey; a foul smell; hair or scales let go",
                f"Below {limit:.0f} °C before anything else: shade, a cool pit, start at night; a "
                "skin that has shrunk does not come back.",
                "memory" if limit < WARM_C else "procter1903",
            )
        )  # fmt: skip
    slip = table.get("hair-slip")
    if slip is not None and any(skin.hair_on for skin in setting.skins):
        found.append(
            Trouble(
                f"Hair lets go: {slip.cause}", None, slip.sign, slip.remedy, slip.source
            )
        )  # fmt: skip
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
    if 22.0 <= warm < limit:
        found.append(
            Trouble(
                f"The vat reaches {warm:.0f} °C: it sours and moulds", None,
                "Film with a foul smell and a slimy grain (a film alone is often harmless)",
                "Skim, stir, strengthen, and find a cooler place; raw pelt stays below 30 °C.",
                "common-practice",
            )
        )  # fmt: skip
    if cold <= 4.0:
        found.append(
            Trouble(
                f"The vat falls to {cold:.0f} °C: tanning all but stops", None,
                "The cut does not move, the strength does not fall",
                "Nothing is lost: wait, or move it somewhere warmer and count the days from there.",
                "common-practice",
            )
        )  # fmt: skip
    for key in ("pale-line", "drawn-grain", "iron-spots"):
        row = table.get(key)
        if row is not None:
            what = row.cause[0].upper() + row.cause[1:]
            found.append(Trouble(what, None, row.sign, row.remedy, row.source))
    return tuple(found[:5])


def one_pot(
    worlds: Worlds, setting: Setting, outcome: Outcome, amounts: Amounts, course: Course
) -> tuple[str, ...]:
    """Starting with one pot: how soon, and from which sign, it is known whether more is needed."""
    if not setting.lots:
        return ()
    have = np.array([lot.lot.have_kg or 0.0 for lot in setting.lots])
    in_hand = have.sum() > 0.0
    need = amounts.need_kg.sum(axis=1)
    mass = have if in_hand else np.median(amounts.need_kg, axis=0)
    # The first liquor of the plan may be several pots; the sign is told for one of them, of the
    # same mixture, before the vat's water thins it.
    pots_full = sum(kg / pot_kg(setting, j) for j, kg in enumerate(course.first.kg))
    pot = np.array(course.first.kg) * min(1.0, 1.0 / max(pots_full, 1e-9))
    pot_l = max(liquor_l(setting, pot.tolist()), 0.1)
    tannin, nontan = liquor_of(worlds, pot.tolist(), pot_l)
    first = strength_bk(worlds, tannin, nontan)
    mark = float(np.median(first * amounts.need_g / np.maximum(worlds.drawn_g_per_kg @ mass, 1e-9)))
    near = first < mark
    total = float(mass.sum())
    weak = need[near] if near.any() else need
    more = range_of(np.maximum(weak - total, 0.0))
    least = max(more.p50, 0.15 * total)
    told = [
        f"Cook one pot first, {mix(setting, pot.tolist(), 0.005)} in two waters of "
        f"{litres(pot_l / USUAL_COOK_L_PER_KG * WATER_L_PER_KG)}: pressed, both together give "
        f"about {litres(pot_l)}, and "
        "the answer is there once it is cool. "
        + _sign(setting, mark, range_of(first).p50, format_mass(total), in_hand=in_hand),
    ]
    if more.p95 > 0.05 and in_hand:
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


def _sign(setting: Setting, mark: float, expected: float, mass: str, *, in_hand: bool) -> str:
    """What the first pot's strength says of ``mass``: the mark against what is expected, °Bk."""
    needed, seen = f"{mark:.0f} °Bk", f"{expected:.0f} °Bk"
    if by_eye(setting):
        needed, seen = f"{look_of(mark)} ({needed})", f"{look_of(expected)} ({seen})"
    if not in_hand:
        return (
            f"At {needed} about {mass} in all will do; half that strength asks for twice as much."
        )
    if round(expected) < round(mark):
        short = "just short" if expected > 0.8 * mark else "short"
        return f"It takes {needed} for {mass} to do; expected is {seen}, which falls {short}."
    if not by_eye(setting):
        return f"Below {needed} (expected {seen}), {mass} will not do."
    if look_of(mark) == look_of(expected):
        return (
            f"It should look like {look_of(mark)} at least: paler than that, {mass} will not do "
            f"({expected:.0f} °Bk is expected, {mark:.0f} °Bk needed)."
        )
    return f"Paler than {needed}, {mass} will not do; {seen} is expected."
