"""Puts an answer together from worlds, a course and its outcome; shared by plan and forecast."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from tanwright.planning import advice, measuring
from tanwright.planning.account import tannin_account
from tanwright.planning.amounts import Amounts
from tanwright.planning.answers import (
    Answer,
    Cause,
    Change,
    CutView,
    DateRange,
    Enough,
    Fan,
    Mark,
    MaterialNeed,
    Range,
    ReadingCheck,
    SkinSummary,
    Step,
)
from tanwright.planning.before_start import missing_kg
from tanwright.planning.lately import Lately
from tanwright.planning.looks_and_gate import look_days
from tanwright.planning.outcome import Course, Outcome, fronts
from tanwright.planning.phrases import on, range_of
from tanwright.planning.policy import pot_counts, pot_kg
from tanwright.planning.setting import Setting
from tanwright.planning.steps import steps_of
from tanwright.planning.worlds import Worlds
from tanwright.reference.loader import data_version
from tanwright.science import strength
from tanwright.science.belief.unknowns import Floats
from tanwright.units import format_mass

FAN_POINTS = 120
SNUG_L_PER_KG_PELT = 5.0
LEAST_VAT_L = 5.0
"""Litres below which no vat is advised: skins must float and be turned (common practice)."""
REFERENCE_BK = 15.0
"""A middling liquor; the temperature shift of a hydrometer hardly depends on it."""


@dataclass(frozen=True)
class Extras:
    """What a forecast adds to a plan."""

    marks: tuple[Mark, ...] = ()
    changes: tuple[Change, ...] = ()
    checks: tuple[ReadingCheck, ...] = ()
    effective_members: float | None = None
    poured_kg: tuple[float, ...] = ()
    """Material already used, kg as it lies."""
    notes: tuple[str, ...] = ()
    lately: Lately | None = None


def answer(
    setting: Setting,
    z: Floats,
    worlds: Worlds,
    amounts: Amounts,
    course: Course,
    outcome: Outcome,
    today: date,
    rng: np.random.Generator,
    extras: Extras | None = None,
) -> Answer:
    """The whole answer. ``z`` (m, unknowns) belongs to ``worlds``; ``outcome`` to ``course``."""
    extras = extras or Extras()
    now = max(setting.day_of(today), 0.0)
    need_kg = amounts.need_kg.sum(axis=1)
    amount_causes = measuring.causes(setting, z, need_kg, log=True)
    finish_causes = measuring.causes(setting, z, outcome.finish_day, log=False)
    used = np.array(extras.poured_kg or (0.0,) * len(setting.lots))
    schedule = steps_of(setting, outcome, course, amounts, today, used, extras.lately)
    steps = tuple(step for step in schedule if step.action != "rinse") or schedule
    wanted_by = setting.sheet.aim.wanted_by
    in_time = None
    if wanted_by is not None:
        in_time = float(np.mean(outcome.finish_day <= setting.day_of(wanted_by) + 1.0))
    return Answer(
        skins=_skins(setting, worlds),
        start=setting.start,
        today=today,
        wanted_by=wanted_by,
        in_time_probability=in_time,
        leather=setting.target.label,
        target_degree=Range(setting.target.low, setting.target.degree, setting.target.high),
        vat_litres=setting.vat_l,
        enough=_enough(setting, amounts),
        needs=_needs(setting, worlds, amounts, amount_causes, z),
        tannin_need_kg=range_of(amounts.need_g / 1000.0),
        tannin_supply_kg=range_of(amounts.supply_g / 1000.0),
        still_needed_kg=still_needed(setting, amounts, used),
        finish=_dates(setting, outcome.finish_day),
        struck_through=range_of(outcome.result.at(now, outcome.through)),
        degree_now=range_of(outcome.result.at(now, outcome.degree)),
        schedule=schedule,
        next_action=_next(steps, today, setting.start),
        one_pot=advice.one_pot(worlds, setting, outcome, amounts, course) if now <= 0.0 else (),
        look_on=tuple(on(setting, day) for day in look_days(outcome, now)),
        troubles=advice.troubles_of(worlds, setting, outcome, amounts, course),
        measure_next=measuring.measure_next(setting, worlds, outcome, need_kg, now, rng),
        worth_knowing=measuring.worth_knowing(setting, amount_causes),
        cautions=advice.cautions_of(setting, begun=now > 0.0),
        questions=advice.questions(setting),
        rule_of_thumb=advice.rule_of_thumb(worlds, setting, amounts),
        notes=(
            *setting.notes,
            *_vat_notes(setting, amounts),
            *_instrument_notes(setting, now),
            *extras.notes,
        ),
        sources=_sources(setting),
        data_version=data_version(),
        strength_fan=_fan(outcome, outcome.strength_bk),
        depth_fan=_fan(outcome, outcome.through),
        cut=_cut(setting, worlds, outcome),
        marks=extras.marks,
        changes=extras.changes,
        checks=extras.checks,
        members=worlds.members,
        effective_members=extras.effective_members or float(worlds.members),
        amount_causes=amount_causes,
        finish_causes=finish_causes,
        account=tannin_account(outcome.result, now) if now > 0.0 else (),
    )


def still_needed(setting: Setting, amounts: Amounts, used_kg: Floats) -> dict[str, Range]:
    """Material still to gather beyond what is in hand (used or not), kg as it lies."""
    missing = missing_kg(setting, amounts, used_kg)
    return {lot.key: range_of(missing[:, j]) for j, lot in enumerate(setting.lots)}


def _next(steps: tuple[Step, ...], today: date, start: date) -> Step:
    """The first thing to do; gathering ahead of a start does not hide the start."""
    due = [step for step in steps if step.date <= today] or list(steps)
    for step in due:
        if step.action != "gather" or today > start:
            return step
    return due[0]


def _dates(setting: Setting, days: Floats) -> DateRange:
    found = range_of(days)

    def when(day: float) -> date | None:
        return setting.start + timedelta(days=int(np.ceil(day))) if np.isfinite(day) else None

    return DateRange(when(found.p05), when(found.p50), when(found.p95))


def _skins(setting: Setting, worlds: Worlds) -> tuple[SkinSummary, ...]:
    found = []
    for k, skin in enumerate(setting.skins):
        said = setting.sheet.skins[k]
        low, middle, high = (
            (said.weight_kg,) * 3
            if said.weight_kg is not None
            else tuple(float(skin.weight.quantile(p)) for p in (0.05, 0.5, 0.95))
        )
        found.append(
            SkinSummary(
                name=skin.name,
                count=skin.count,
                weight_kg=Range(low, middle, high),
                pelt_kg=range_of(worlds.pelt_kg[:, k] / skin.count),
                hide_substance_kg=range_of(worlds.hide_kg[:, k] / skin.count),
                thickness_mm=range_of(worlds.thickness_mm[:, k]),
                hair_on=skin.hair_on,
            )
        )
    return tuple(found)


def _enough(setting: Setting, amounts: Amounts) -> Enough:
    if not setting.lots:
        return Enough(0.0, None, None, None)
    even = 100.0 * amounts.break_even_share * setting.lots[amounts.main].air_dry_part
    return Enough(
        probability=float(amounts.enough.mean()),
        break_even_tannin_pct=_percent(float(np.median(even))),
        break_even_sure_pct=_percent(float(np.quantile(even, 0.9))),
        material_id=setting.lots[amounts.main].key,
    )


def _percent(value: float) -> float | None:
    """A tannin share in %, or nothing where no plant could hold it."""
    return value if value < 95.0 else None


def _needs(
    setting: Setting, worlds: Worlds, amounts: Amounts, causes: tuple[Cause, ...], z: Floats
) -> tuple[MaterialNeed, ...]:
    found = []
    green = sum(
        (said.weight_kg or skin.weight.median) * skin.count
        for said, skin in zip(setting.sheet.skins, setting.skins, strict=True)
    )
    for j, lot in enumerate(setting.lots):
        one = pot_kg(setting, j)
        tans = None
        if lot.lot.have_kg:
            share = worlds.drawn_g_per_kg[:, j] * lot.lot.have_kg / amounts.need_g
            tans = range_of(share * green)
        own = causes
        if len(setting.lots) > 1:
            positive = amounts.need_kg[:, j]
            if np.all(positive > 0.0):
                own = measuring.causes(setting, z, positive, log=True)
        found.append(
            MaterialNeed(
                material_id=lot.key,
                name=lot.label,
                state=lot.lot.state,
                need_kg=range_of(amounts.need_kg[:, j]),
                have_kg=lot.lot.have_kg,
                tannin_pct=range_of(100.0 * lot.air_dry_part * worlds.tannin_share[:, j]),
                cooks=range_of(pot_counts(amounts.need_kg[:, j], one)),
                pot_kg=one,
                tans_skin_kg=tans,
                causes=own,
                sources=lot.tannin.sources,
            )
        )
    return tuple(found)


def _instrument_notes(setting: Setting, now: float) -> tuple[str, ...]:
    """What a hydrometer shows in the vat itself, when that is warmer or colder than its mark."""
    tools = setting.sheet.tools
    marked = tools.calibrated_at_c
    if tools.strength != "hydrometer" or marked is None:
        return ()
    vat_c = max(setting.temperature_c(now), 0.0)
    shown = float(strength.hydrometer_reading(strength.sg_from_bk(REFERENCE_BK), vat_c, marked))
    off = float(strength.bk_from_sg(shown)) - REFERENCE_BK
    if abs(off) < 0.4:
        return ()
    way = "high" if off > 0.0 else "low"
    return (
        f"Strengths are given as your hydrometer shows them in liquor of {marked:.0f} °C. In a vat "
        f"of {vat_c:.0f} °C it shows about {abs(off):.1f} degrees too {way} "
        f"({abs(off) / 1000:.4f} in specific gravity): warm or cool the glassful, or write its "
        "temperature beside the reading.",
    )


def _vat_notes(setting: Setting, amounts: Amounts) -> tuple[str, ...]:
    left = float(np.median(amounts.left_g / amounts.need_g))
    notes = [
        f"At the end about {left:.0%} of the tannin is still in the liquor: keep it, labelled, "
        "as the first liquor of the next skin."
    ]
    pelt = sum(skin.pelt.median * skin.count for skin in setting.skins)
    snug = max(SNUG_L_PER_KG_PELT * pelt, LEAST_VAT_L)
    # Wool and hair fill a vat by themselves: no smaller one is advised for them.
    furred = any(skin.hair_on for skin in setting.skins)
    if setting.vat_l > 2.0 * snug and left > 0.35 and not furred:
        notes.append(
            f"The vat is large for {format_mass(pelt)} of pelt. A smaller one, down to about "
            f"{snug:.0f} L if the skin is moved often and lies without folds, needs less material."
        )
    if setting.target.leather in ("firm", "sole"):
        notes.append(
            "Yards left heavy hides in strong layers about as long again after they were through, "
            "for weight and firmness (Bennett 1921); that time is not in the finish given here."
        )
    return tuple(notes)


def _sources(setting: Setting) -> tuple[str, ...]:
    keys: dict[str, None] = {}
    for unknown in setting.unknowns:
        for key in unknown.sources:
            keys[key] = None
    for key in ("procter1903", "bennett1921", "crank1975"):
        keys.setdefault(key, None)
    return tuple(keys)


def _fan(outcome: Outcome, series: Floats) -> Fan:
    low, middle, high = np.quantile(series, (0.05, 0.5, 0.95), axis=0)
    keep = _thin(outcome.day)
    return Fan(outcome.day[keep], low[keep], middle[keep], high[keep])


def _thin(day: Floats) -> np.ndarray:
    """Records to draw: the ends, both sides of every pour, and enough between them."""
    if day.size <= FAN_POINTS:
        return np.arange(day.size)
    jump = np.flatnonzero(np.diff(day) == 0.0)
    even = np.searchsorted(day, np.linspace(0.0, day[-1], FAN_POINTS))
    kept = {0, int(day.size - 1), *jump.tolist(), *(jump + 1).tolist()}
    return np.array(sorted(kept | {int(min(i, day.size - 1)) for i in even}))


def _cut(setting: Setting, worlds: Worlds, outcome: Outcome) -> CutView:
    slowest = int(np.argmax(np.median(worlds.thick_mm, axis=0)))
    slab = 2 * slowest + 1
    flesh, grain = fronts(outcome.result, slab, hair_on=setting.skins[slowest].hair_on)
    return CutView(
        day=outcome.day[_thin(outcome.day)],
        flesh_front=_fan(outcome, flesh),
        grain_front=_fan(outcome, grain),
        place=f"thick place of the {setting.skins[slowest].name or 'skin'}",
        thickness_mm=float(np.median(worlds.thick_mm[:, slowest])),
    )
