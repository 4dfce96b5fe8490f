"""What a reading says of a vat: its value, its noise, and what the engine predicts for it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tanwright.planning import readings as seen
from tanwright.planning.answers import Mark
from tanwright.planning.outcome import Outcome, fronts
from tanwright.planning.setting import Setting
from tanwright.planning.worlds import Worlds
from tanwright.science import strength
from tanwright.science.belief import kinds
from tanwright.science.belief.evidence import Reading
from tanwright.science.belief.noise import Noise
from tanwright.science.belief.unknowns import Floats

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


def strength_bk_of(what: seen.Strength, setting: Setting, day: float = 0.0) -> float:
    """A strength in °Bk at 15.6 °C from what the instrument showed.

    Without a temperature of its own the reading of an instrument whose calibration is known is
    taken to have the vat's.
    """
    tools = setting.sheet.tools
    if what.scale == "solubles":
        return float(strength.bk_from_solubles(what.value))
    liquor_c = what.liquor_c
    if tools.strength == "none" and what.scale == "sg":
        # A litre weighed against a litre of water of the same warmth needs no correction.
        return float(strength.bk_from_sg(strength.convert(what.value, "sg", "sg")))
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


def observe(row: seen.Reading, day: float, setting: Setting) -> Observed | str:
    """The evidence in a row, or why there is none in it."""
    what = row.seen
    if isinstance(what, seen.Strength):
        if what.scale == "solubles":
            return _observed(
                row, day, kinds.TOTAL_SOLIDS, what.value, "solids", "g/L", "strength",
                lambda worlds, outcome: (
                    outcome.result.at(day, outcome.strength_bk) * worlds.solubles_per_degree
                ),
                value=strength_bk_of(what, setting, day),
            )  # fmt: skip
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
