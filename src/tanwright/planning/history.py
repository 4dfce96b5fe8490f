"""What happened to a vat so far, from its readings: pours, spells and evidence."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tanwright.errors import InputError
from tanwright.planning import readings as seen
from tanwright.planning.answers import Mark
from tanwright.planning.course import USUAL_COOK_L_PER_KG, Cook, Poured, Spell, spells_of
from tanwright.planning.observing import Observed, observe, strength_bk_of
from tanwright.planning.setting import FILM, Setting
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
LIMY_PH = 6.5
"""No tan liquor stands above it unless lime is left in the skin (from memory)."""
_TOPPED_UP = (
    "topped up without litres is taken as water up to the old level, for what dried away; that "
    "changes no tannin. For liquor, or for more than that, write strengthened, the litres and "
    'top-up, and its strength in the note ("0 Bk" for water).'
)
STRONGEST_BK = 200.0
"""Syrup of extract; no liquor is stronger (from memory)."""


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
    calm: tuple[Spell, ...] = ()
    """What the vat would have lived through without the events, as warm and as sour as read."""

    def waits_for(self, now: float) -> str:
        """What must happen before tanning goes on: ``"thaw"``, ``"put back"`` or ``""``."""
        spell = [spell for spell in self.spells if spell.day <= now][-1]
        if not spell.lying:
            return "put back"
        return "thaw" if spell.temperature_c < 0.0 else ""


def read_history(
    rows: tuple[seen.Reading, ...],
    setting: Setting,
    source: str = "readings",
    mix: tuple[float, ...] = (),
) -> History:
    """Sort the readings into what was done, what was lived through, and what was observed.

    Material or liquor of which no lot is named is split over the lots as ``mix`` (kg of each, as
    the plan mixes them; what is in hand, if left out). Raises InputError for a strengthening that
    this vat cannot have had; ``source`` is its place.
    """
    mix = mix or tuple(lot.lot.have_kg or 0.0 for lot in setting.lots)
    changes: list[Cook | Poured] = []
    observed: list[Observed] = []
    events: list[tuple[float, str]] = []
    marks: list[Mark] = []
    notes: list[str] = []
    used, first = np.zeros(len(setting.lots)), np.zeros(len(setting.lots))
    spells = list(spells_of(setting, 10_000.0))
    calm, moved = list(spells), False
    unnamed: dict[int, Floats] = {}
    volume = setting.vat_l
    for index, row in enumerate(rows):
        day = max(row.day(setting.start), 1e-3)
        what = row.seen
        if isinstance(what, seen.Strengthened):
            _possible(what, volume, setting, f"{source}, line {row.line}")
            shares = _shares(what, setting, mix)
            if np.count_nonzero(shares) > 1:
                unnamed[row.line] = shares
            made, volume = _strengthened(what, day, volume, shares, setting)
            if what.mass_kg is not None and day < 1.0 and not changes:
                first += what.mass_kg * shares
                continue
            changes += made
            for change in made:
                used += _used(change, setting)
            put = sum(c.litres if isinstance(c, Cook) else c.in_l for c in made)
            marks.append(Mark(day, put, "strengthened", row.written))
        elif isinstance(what, seen.Event | seen.Warmth | seen.Acidity):
            spells = _lived(spells, what, day, setting)
            if isinstance(what, seen.Event):
                events.append((day, row.written))
                if what.what == "topped up":
                    notes.append(f"Line {row.line}: {_TOPPED_UP}")
                marks.append(Mark(day, None, "event", row.written))
                moved = moved or what.what in ("frozen", "thawed", "heat", "moved")
            elif isinstance(what, seen.Acidity):
                notes.append(f"Line {row.line}: {_told_acidity(what.ph)}")
            if isinstance(what, seen.Acidity) or (isinstance(what, seen.Warmth) and not moved):
                calm = _lived(calm, what, day, setting)
        else:
            found = observe(row, day - _just_before(row, rows[index + 1 :]), setting)
            if isinstance(found, str):
                notes.append(f"Line {row.line}: {found}")
            else:
                observed.append(found)
    if first.any():
        notes.append("What was cooked on the first day is taken as the first liquor.")
    notes += _told_mix(unnamed, setting)
    return History(
        tuple(changes), tuple(sorted(spells, key=lambda s: s.day)), tuple(observed),
        tuple(float(kg) for kg in used), tuple(events), tuple(marks), tuple(notes), volume,
        tuple(float(kg) for kg in first) if first.any() else None,
        tuple(sorted(calm, key=lambda s: s.day)),
    )  # fmt: skip


def _told_acidity(ph: float) -> str:
    """What a pH of the liquor means for the tannage."""
    if ph > LIMY_PH:
        return (
            f"pH {ph:.1f} is too high for a tan liquor. Either lime is left in the skin (pink at "
            "the cut with phenolphthalein): take it out and delime it, or the grain turns dark and "
            "brittle. Or the strip was misread, since brown liquor stains it: test once more."
        )
    if float(model.acidity_factor(ph)) < 1.0:
        return f"pH {ph:.1f} is kept; a sour liquor goes in more slowly."
    return f"pH {ph:.1f} is kept; tannin goes in freely at that."


def _shares(what: seen.Strengthened, setting: Setting, mix: tuple[float, ...]) -> Floats:
    """How what was put in is split over the lots, summing to 1: those it may mean, as ``mix``."""
    meant = np.array([what.material_id in (None, lot.material_id) for lot in setting.lots])
    if what.lot is not None:
        meant = np.arange(len(setting.lots)) == what.lot
    shares = np.where(meant, np.array(mix), 0.0)
    if shares.sum() <= 0.0:
        shares = meant.astype(float)
    return np.asarray(shares / max(shares.sum(), 1e-12))


def _told_mix(unnamed: dict[int, Floats], setting: Setting) -> list[str]:
    """How the strengthenings that name no lot were split."""
    alike: dict[tuple[float, ...], list[str]] = {}
    for line, shares in unnamed.items():
        alike.setdefault(tuple(shares.tolist()), []).append(str(line))
    told = []
    for split, lines in alike.items():
        parts = " and ".join(
            f"{share:.0%} {lot.label}"
            for share, lot in zip(split, setting.lots, strict=True)
            if share > 0.0
        )
        which = f"Line {lines[0]} does"
        if len(lines) > 1:
            which = f"Lines {', '.join(lines[:-1])} and {lines[-1]} do"
        told.append(
            f"{which} not say which of the plants went in: split as the plan mixes them ({parts}). "
            "A column named material puts it right."
        )
    return told


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
    what: seen.Strengthened, day: float, volume: float, shares: Floats, setting: Setting
) -> tuple[list[Cook | Poured], float]:
    """The changes that a strengthening is, split over the lots, and the litres after it."""
    if what.mass_kg is not None:
        litres = min(what.litres or 0.9 * volume, 0.95 * volume)
        return [Cook(day, tuple(float(kg) for kg in what.mass_kg * shares), litres)], volume
    if what.litres is None:
        raise AssertionError("a strengthening has litres or a mass")
    out = 0.0 if what.how == "top-up" else min(what.litres, volume)
    bk = None if what.liquor is None else strength_bk_of(what.liquor, setting, day)
    made: list[Cook | Poured] = []
    for column in np.flatnonzero(shares) if shares.any() else [0]:
        in_l = what.litres * float(shares[column]) if shares.any() else what.litres
        made.append(Poured(day, 0.0 if made else out, in_l, bk, int(column)))
    return made, volume + what.litres - out


def _used(change: Cook | Poured, setting: Setting) -> Floats:
    """Material that went into a change, kg as it lies, by lot."""
    if isinstance(change, Cook):
        return np.array(change.kg)
    used = np.zeros(len(setting.lots))
    if change.strength_bk is None and setting.lots:
        per_kg = USUAL_COOK_L_PER_KG * setting.lots[change.material].air_dry_part
        used[change.material] = change.in_l / per_kg
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
        # It holds until the sheet's next dated temperature.
        new, back = replace(new, temperature_c=what.temperature_c), _sheet_after(day, setting)
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
