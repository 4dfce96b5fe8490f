"""What happened to a vat so far, from its readings: pours, spells and evidence."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from tanwright.errors import InputError
from tanwright.planning import readings as seen
from tanwright.planning.answers import Mark
from tanwright.planning.course import USUAL_COOK_L_PER_KG, Cook, Poured, Spell, spells_of
from tanwright.planning.outcome import Outcome, fronts
from tanwright.planning.setting import FILM, Setting
from tanwright.planning.worlds import Worlds
from tanwright.science import strength
from tanwright.science.belief import kinds
from tanwright.science.belief.evidence import Reading
from tanwright.science.belief.noise import Noise
from tanwright.science.belief.unknowns import Floats
from tanwright.science.uptake import model

FROZEN_C = -5.0
HEAT_C = 30.0
"""Taken for "heat" when nobody says how warm (from memory)."""
HEAT_DAYS = 5.0
"""How long "heat" lasts when no later reading says otherwise (from memory)."""
JUST_BEFORE = 1e-4
"""Days between a reading and a strengthening of the same date that is written below it."""
MOST_KG_PER_L = 3.0
MOST_TOP_UPS = 20.0
"""Material cooked into a litre of the vat, and litres put in per litre of it, beyond which a row
is a slip."""
STRONGEST_BK = 200.0
"""Syrup of extract; no liquor is stronger (from memory)."""

Predict = Callable[[Worlds, Outcome], Floats]


@dataclass(frozen=True)
class Observed:
    """One reading that updates the worlds: its noise and what the engine predicts for it."""

    line: int
    day: float
    reading: Reading
    predict: Predict
    mark: Mark
    unit: str


@dataclass(frozen=True)
class History:
    """Everything that happened up to the last reading."""

    changes: tuple[Cook | Poured, ...]
    spells: tuple[Spell, ...]
    observed: tuple[Observed, ...]
    used_kg: tuple[float, ...]
    """Material put in after the first liquor, kg as it lies, by lot."""
    events: tuple[tuple[float, str], ...]
    marks: tuple[Mark, ...]
    notes: tuple[str, ...]
    vat_l: float
    """Litres in the vat after the last change."""
    first_kg: tuple[float, ...] | None = None
    """Material written down as cooked on the first day: the first liquor, instead of the plan's."""

    def waits_for(self, now: float) -> str:
        """What must happen before tanning goes on: ``"thaw"``, ``"put back"`` or ``""``."""
        spell = [spell for spell in self.spells if spell.day <= now][-1]
        if not spell.lying:
            return "put back"
        return "thaw" if spell.temperature_c < 0.0 else ""


def read_history(
    rows: tuple[seen.Reading, ...], setting: Setting, source: str = "readings"
) -> History:
    """Sort the readings into what was done, what was lived through, and what was observed.

    Raises InputError for a strengthening that this vat cannot have had; ``source`` is its place.
    """
    changes: list[Cook | Poured] = []
    observed: list[Observed] = []
    events: list[tuple[float, str]] = []
    marks: list[Mark] = []
    notes: list[str] = []
    used, first = np.zeros(len(setting.lots)), np.zeros(len(setting.lots))
    spells = list(spells_of(setting, 10_000.0))
    volume = setting.vat_l
    for index, row in enumerate(rows):
        day = max(row.day(setting.start), 1e-3)
        what = row.seen
        if isinstance(what, seen.Strengthened):
            _possible(what, volume, setting, f"{source}, line {row.line}")
            change, volume = _strengthened(what, day, volume, setting)
            if isinstance(change, Cook) and day < 1.0 and not changes:
                first += np.array(change.kg)
                continue
            changes.append(change)
            used += _used(change, len(setting.lots))
            marks.append(Mark(day, what.litres, "strengthened", row.written))
        elif isinstance(what, seen.Event | seen.Warmth | seen.Acidity):
            spells = _lived(spells, what, day, setting)
            if isinstance(what, seen.Event):
                events.append((day, row.written))
                marks.append(Mark(day, None, "event", row.written))
            elif isinstance(what, seen.Acidity):
                notes.append(
                    f"Line {row.line}: pH {what.ph:.1f} is kept; a sour liquor goes in more slowly."
                )
        else:
            found = _observe(row, day - _just_before(row, rows[index + 1 :]), setting)
            if isinstance(found, str):
                notes.append(f"Line {row.line}: {found}")
            else:
                observed.append(found)
    if first.any():
        notes.append("What was cooked on the first day is taken as the first liquor.")
    return History(
        tuple(changes), tuple(sorted(spells, key=lambda s: s.day)), tuple(observed),
        tuple(float(kg) for kg in used), tuple(events), tuple(marks), tuple(notes), volume,
        tuple(float(kg) for kg in first) if first.any() else None,
    )  # fmt: skip


def _just_before(row: seen.Reading, below: tuple[seen.Reading, ...]) -> float:
    """Days by which a reading came before a strengthening of its moment, written below it."""
    poured = any(isinstance(r.seen, seen.Strengthened) and r.when == row.when for r in below)
    return JUST_BEFORE if poured else 0.0


def _possible(what: seen.Strengthened, volume: float, setting: Setting, place: str) -> None:
    """Refuse a strengthening that the vat cannot have had."""
    known = [lot.material_id for lot in setting.lots]
    if what.material_id is not None and what.material_id not in known:
        raise InputError(
            f"{what.material_id} is not on the sheet",
            place=f"{place}, material",
            remedy=f"write one of {', '.join(known)}, or add a [[material]] to the sheet",
        )
    if what.mass_kg is not None and what.mass_kg > MOST_KG_PER_L * volume:
        raise InputError(
            f"{what.mass_kg:g} kg is more than a vat of {volume:.3g} L can be strengthened with",
            place=f"{place}, value",
            remedy="check the number and the unit",
        )
    if what.liquor is not None and strength_bk_of(what.liquor, setting) > STRONGEST_BK:
        raise InputError(
            f"no liquor is as strong as {what.liquor.value:g} {what.liquor.scale}",
            place=f"{place}, note",
            remedy="check the number and the scale",
        )
    if what.mass_kg is None and what.litres is not None:
        swap = what.how != "top-up"
        most = volume if swap else MOST_TOP_UPS * volume
        if what.litres > 1.001 * most:
            raise InputError(
                f"{what.litres:.3g} L is more than "
                f"{'the vat holds' if swap else 'it can be topped up with'}"
                f" ({volume:.3g} L in it)",
                place=f"{place}, value",
                remedy='check number and unit; write "top-up" in place if nothing was taken out',
            )


def _strengthened(
    what: seen.Strengthened, day: float, volume: float, setting: Setting
) -> tuple[Cook | Poured, float]:
    column = 0
    if what.material_id is not None:
        column = [lot.material_id for lot in setting.lots].index(what.material_id)
    if what.mass_kg is not None:
        kg = [0.0] * len(setting.lots)
        kg[column] = what.mass_kg
        litres = min(what.litres or 0.9 * volume, 0.95 * volume)
        return Cook(day, tuple(kg), litres), volume
    if what.litres is None:
        raise AssertionError("a strengthening has litres or a mass")
    out = 0.0 if what.how == "top-up" else min(what.litres, 0.98 * volume)
    in_l = what.litres
    bk = None if what.liquor is None else strength_bk_of(what.liquor, setting, day)
    return Poured(day, out, in_l, bk, column), volume + in_l - out


def _used(change: Cook | Poured, lots: int) -> Floats:
    if isinstance(change, Cook):
        return np.array(change.kg)
    used = np.zeros(lots)
    if change.strength_bk is None and lots:
        used[change.material] = change.in_l / USUAL_COOK_L_PER_KG
    return used


def _lived(
    spells: list[Spell], what: seen.Event | seen.Warmth | seen.Acidity, day: float, setting: Setting
) -> list[Spell]:
    """The spells with a new one from ``day`` on; later ones of the sheet give way to a reading."""
    now = [spell for spell in spells if spell.day <= day][-1]
    new = replace(now, day=day)
    keeps_sheet = False
    back: list[Spell] = []
    if isinstance(what, seen.Warmth):
        new = replace(new, temperature_c=what.temperature_c)
    elif isinstance(what, seen.Acidity):
        new, keeps_sheet = replace(new, acidity=float(model.acidity_factor(what.ph))), True
    elif what.what == "frozen":
        new = replace(new, temperature_c=FROZEN_C)
    elif what.what == "thawed":
        new, back = _thawed(spells, what, new, setting)
    elif what.what == "heat":
        new = replace(new, temperature_c=what.temperature_c or HEAT_C)
        back = [
            replace(now, day=day + HEAT_DAYS, temperature_c=setting.temperature_c(day + HEAT_DAYS))
        ]
        back += _sheet_after(day + HEAT_DAYS, setting)
    elif what.what == "moved" and what.temperature_c is not None:
        new = replace(new, temperature_c=what.temperature_c)
    elif what.what in ("away", "left alone"):
        new, keeps_sheet = replace(new, film=FILM["still"]), True
    elif what.what in ("back", "started"):
        new, keeps_sheet = replace(new, film=setting.film), True
    elif what.what == "taken out":
        new, keeps_sheet = replace(new, lying=False), True
    elif what.what == "put back":
        new, keeps_sheet = replace(new, lying=True), True
    else:
        return spells
    later = [
        replace(spell, film=new.film, acidity=new.acidity, lying=new.lying)
        for spell in (spells if keeps_sheet else back)
        if spell.day > day
    ]
    return [spell for spell in spells if spell.day <= day] + [new] + later


def _sheet_after(day: float, setting: Setting) -> list[Spell]:
    return [spell for spell in spells_of(setting, 10_000.0) if spell.day > day]


def _thawed(
    spells: list[Spell], what: seen.Event, new: Spell, setting: Setting
) -> tuple[Spell, list[Spell]]:
    """The spell after a thaw and those of the sheet that follow: as it was before the frost."""
    if what.temperature_c is not None:
        return replace(new, temperature_c=what.temperature_c), []
    open_water = [spell for spell in spells if spell.day <= new.day and spell.temperature_c >= 0.0]
    before = open_water[-1] if open_water else None
    if before is None or before.temperature_c == setting.temperature_c(before.day):
        warm = max(setting.temperature_c(new.day), 3.0)
        return replace(new, temperature_c=warm), _sheet_after(new.day, setting)
    return replace(new, temperature_c=max(before.temperature_c, 3.0)), []


def resumed(history: History, now: float, setting: Setting) -> History:
    """The history with a frozen or dry vat taken as going on from tomorrow, for a forecast."""
    waits = history.waits_for(now)
    if not waits:
        return history
    what = seen.Event({"thaw": "thawed"}.get(waits, waits), None)
    spells = [spell for spell in history.spells if spell.day <= now]
    later = [spell for spell in history.spells if spell.day > now + 1.0]
    return replace(history, spells=tuple(_lived([*spells, *later], what, now + 1.0, setting)))


def strength_bk_of(what: seen.Strength, setting: Setting, day: float = 0.0) -> float:
    """A strength in °Bk at 15.6 °C from what the instrument showed.

    Without a temperature of its own the reading of an instrument whose calibration is known is
    taken to have the vat's.
    """
    tools = setting.sheet.tools
    if what.scale == "solubles":
        return float(strength.bk_from_solubles(what.value))
    liquor_c = what.liquor_c
    if liquor_c is None and tools.calibrated_at_c is not None:
        liquor_c = max(setting.temperature_c(day), 0.0)
    if what.scale == "bk" and (liquor_c is None or what.value > 350.0):
        return what.value
    if what.scale in ("brix", "plato") and tools.strength == "refractometer":
        return float(strength.bk_from_sg(strength.refractometer_to_sg(what.value)))
    sg = strength.convert(what.value, what.scale, "sg")
    if liquor_c is not None:
        reference = tools.calibrated_at_c
        if reference is None:
            reference = strength.BARKOMETER_REFERENCE_C if what.scale == "bk" else 20.0
        sg = strength.hydrometer_to_sg(sg, liquor_c, reference)
    return float(strength.bk_from_sg(sg))


def _observe(row: seen.Reading, day: float, setting: Setting) -> Observed | str:
    """The evidence in a row, or why there is none in it."""
    what = row.seen
    if isinstance(what, seen.Strength):
        bk = strength_bk_of(what, setting, day)
        noise, instrument = _instrument(what, setting)
        return _observed(
            row, day, noise, bk, instrument, "°Bk", "strength",
            lambda worlds, outcome: outcome.result.at(day, outcome.strength_bk),
        )  # fmt: skip
    if isinstance(what, seen.LiquorLook):
        return _observed(
            row, day, kinds.LOOKS, kinds.LOOKS.number(what.look), "eye", "", "look",
            lambda worlds, outcome: outcome.result.at(day, outcome.strength_bk),
            value=_look_strength(what.look),
        )  # fmt: skip
    index = _which_skin(row.skin, setting)
    if isinstance(index, str):
        return index
    if isinstance(what, seen.Cut):
        slab = 2 * index + (1 if what.zone == "thick" else 0)
        numeric = any(c.isdigit() for c in row.written)
        noise = kinds.CUT if numeric else kinds.CUT_IN_WORDS
        kind = {"both": "cut", "flesh": "cut-flesh", "grain": "cut-grain"}[what.side]
        return _observed(
            row,
            day,
            noise,
            what.share,
            "",
            "share",
            kind,
            _cut_prediction(what, slab, day, setting.skins[index].hair_on),
        )
    if isinstance(what, seen.Weighed):
        if setting.skins[index].hair_on:
            return (
                "a skin with its hair on weighs more than pelt and tannin; "
                "the weight is kept, not used"
            )
        return _observed(
            row, day, *_weighing(what.what), what.weight_kg, "scale", "kg", "weight",
            _weight_prediction(what, index, day, setting),
        )  # fmt: skip
    return "is kept, but says nothing about the tannage"


def _instrument(what: seen.Strength, setting: Setting) -> tuple[Noise, str]:
    tools = setting.sheet.tools
    if what.scale == "solubles":
        # Given in °Bk here, so the relative error is what counts.
        return replace(kinds.HYDROMETER, name="total solids", sd=0.10), "solids"
    if tools.strength == "refractometer" and what.scale in ("brix", "plato"):
        return kinds.REFRACTOMETER, "refractometer"
    if tools.strength == "none" and what.scale == "sg":
        return kinds.LITRE_WEIGHT, "litre"
    return kinds.HYDROMETER, "hydrometer"


def _weighing(what: str) -> tuple[Noise]:
    return (kinds.PELT_WEIGHT,) if what == "pelt" else (kinds.LEATHER_WEIGHT,)


def _look_strength(look: str) -> float:
    """°Bk that a look stands for on a picture: the middle of its range."""
    middle, _ = kinds.LOOKS.datum(kinds.LOOKS.number(look))
    return float(np.exp(middle))


def _observed(
    row: seen.Reading,
    day: float,
    noise: Noise,
    value_seen: float,
    instrument: str,
    unit: str,
    kind: str,
    predict: Predict,
    value: float | None = None,
) -> Observed:
    label = f"line {row.line}, {row.kind} {row.written}"
    return Observed(
        row.line, day, Reading(noise, value_seen, instrument, label), predict,
        Mark(day, value_seen if value is None else value, kind, row.written), unit,
    )  # fmt: skip


def _which_skin(name: str, setting: Setting) -> int | str:
    if not name:
        return 0
    for index, skin in enumerate(setting.skins):
        if skin.name.lower() == name.lower():
            return index
    return f'there is no skin "{name}" on the sheet; the reading is left out'


def _cut_prediction(what: seen.Cut, slab: int, day: float, hair_on: bool) -> Predict:
    def predict(worlds: Worlds, outcome: Outcome) -> Floats:
        result = outcome.result
        if what.side == "both":
            return result.at(day, result.struck_through)[:, slab]
        flesh, grain = fronts(result, slab, hair_on=hair_on)
        return result.at(day, flesh if what.side == "flesh" else grain)

    return predict


AIR_DRY_WATER, LEATHER_OIL = 0.14, 0.05
"""Water and grease of dry leather (Bennett 1921; the grease from memory)."""
WET_LEATHER = 1.0
"""Wet leather weighs about what the pelt did, and the tannin with it (from memory)."""


def _weight_prediction(what: seen.Weighed, index: int, day: float, setting: Setting) -> Predict:
    count = setting.skins[index].count

    def predict(worlds: Worlds, outcome: Outcome) -> Floats:
        pelt = worlds.pelt_kg[:, index] / count
        if what.what == "pelt":
            return pelt
        result = outcome.result
        pair = slice(2 * index, 2 * index + 2)
        held = result.bound_g[:, :, pair].sum(axis=2) + result.free_g[:, :, pair].sum(axis=2)
        tannin = result.at(day, held) / 1000.0 / count
        if what.what == "wet leather":
            return np.asarray(WET_LEATHER * pelt + tannin)
        dry = worlds.hide_kg[:, index] / count + tannin
        return np.asarray(dry / (1.0 - AIR_DRY_WATER - LEATHER_OIL))

    return predict
