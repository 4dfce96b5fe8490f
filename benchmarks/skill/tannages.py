"""Synthetic tannages whose truth is known: scenarios, true worlds and their readings.

Everything here is invented: a truth is drawn from the prior, its vat is run, and its readings are
drawn with the noise the engine believes in (slips included).
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from tanwright.planning.amounts import work_out
from tanwright.planning.answers import Mark
from tanwright.planning.history import History, Observed
from tanwright.planning.outcome import Course, Outcome, run_course
from tanwright.planning.plan import guess_days, plan_course
from tanwright.planning.setting import Setting, settle
from tanwright.planning.sheet_reader import sheet_from_options
from tanwright.planning.worlds import Worlds, make_worlds
from tanwright.science.belief import kinds
from tanwright.science.belief.evidence import Reading
from tanwright.science.belief.noise import Noise
from tanwright.science.belief.unknowns import Floats, draw

TODAY = date(2027, 3, 1)

SHEETS = {
    "goat in oak": """
[[skin]]
animal = "goat"
weight = "2.4 kg"
[[material]]
id = "quercus-robur-bark"
have = "6 kg"
[vat]
volume = "15 L"
[tools]
strength = "hydrometer"
""",
    "deer in hemlock": """
[[skin]]
animal = "deer"
weight = "3.2 kg"
thickness = "2 mm"
[[material]]
id = "tsuga-canadensis-bark"
have = "14 kg"
[vat]
volume = "25 L"
temperature = "10 C"
[aim]
leather = "bag"
[tools]
strength = "none"
""",
    "rabbit in an unknown bark": """
[[skin]]
animal = "rabbit"
[[material]]
id = "unknown-bark"
[vat]
volume = "3 L"
temperature = "18 C"
""",
    "sheepskin, wool on, in willow": """
[[skin]]
animal = "sheep"
weight = "3.5 kg"
hair = "on"
[[material]]
id = "salix-fragilis-bark"
[vat]
volume = "20 L"
[tools]
strength = "refractometer"
""",
    "calf in spruce and sumac": """
[[skin]]
animal = "calf"
weight = "6 kg"
[[material]]
id = "picea-abies-bark"
have = "20 kg"
[[material]]
id = "rhus-coriaria-leaf"
have = "4 kg"
[vat]
volume = "40 L"
[aim]
leather = "bag"
[tools]
strength = "hydrometer"
""",
}


@dataclass(frozen=True)
class Case:
    """One synthetic tannage: its setting, course so far, true world and readings."""

    name: str
    setting: Setting
    course: Course
    truth_z: Floats
    history: History
    now: float


def setting_of(name: str) -> Setting:
    """The scenario ``name`` of :data:`SHEETS`, settled."""
    return settle(sheet_from_options(tomllib.loads(SHEETS[name]), today=TODAY))


def make_case(name: str, rng: np.random.Generator, readings: int | None = None) -> Case:
    """A tannage of scenario ``name`` with a truth from the prior, somewhere on its way."""
    setting = setting_of(name)
    prior = draw(200, setting.unknowns, rng)
    worlds = make_worlds(setting, prior)
    course = plan_course(setting, worlds, work_out(worlds, setting))
    truth_z = rng.standard_normal((1, len(setting.unknowns)))
    middle = float(np.median(_finish_guess(setting, worlds, course)))
    now = float(rng.uniform(0.1, 0.6)) * middle
    changes = tuple(change for change in course.changes if change.day < now)
    so_far = replace(course, changes=changes)
    count = int(rng.integers(1, 9)) if readings is None else readings
    days = np.sort(rng.uniform(0.02 * now, now, count))
    planned = [plan_reading(setting, float(day), rng) for day in days]
    truth = make_worlds(setting, truth_z)
    outcome = run_course(truth, setting, so_far, now, stops=days.tolist())
    observed = tuple(take(one, truth, outcome, rng) for one in planned)
    history = History(
        changes, course.spells, observed, _used(changes, setting), (), (), (), setting.vat_l
    )
    return Case(name, setting, so_far, truth_z, history, now)


def _finish_guess(setting: Setting, worlds: Worlds, course: Course) -> Floats:
    outcome = run_course(worlds, setting, course, max(guess_days(worlds, setting), 20.0))
    return np.minimum(outcome.finish_day, outcome.day[-1])


def _used(changes: Sequence[object], setting: Setting) -> tuple[float, ...]:
    used = np.zeros(len(setting.lots))
    for change in changes:
        used += np.array(getattr(change, "kg", np.zeros_like(used)))
    return tuple(float(kg) for kg in used)


def plan_reading(setting: Setting, day: float, rng: np.random.Generator) -> Observed:
    """A reading that the owner of these tools might take on ``day``; not yet observed."""
    tool = {
        "hydrometer": (kinds.HYDROMETER, "hydrometer"),
        "refractometer": (kinds.REFRACTOMETER, "refractometer"),
        "none": (kinds.LITRE_WEIGHT, "litre"),
    }[setting.sheet.tools.strength]
    choice = rng.random()
    if choice < 0.45:
        return _strength_reading(day, tool[0], tool[1])
    if choice < 0.65:
        return _strength_reading(day, kinds.LOOKS, "eye")
    noise = kinds.CUT if rng.random() < 0.5 else kinds.CUT_IN_WORDS
    slab = int(rng.integers(0, 2))

    def depth(worlds: Worlds, outcome: Outcome) -> Floats:
        return outcome.result.at(day, outcome.result.struck_through)[:, slab]

    return _unseen(day, noise, "", depth)


def _strength_reading(day: float, noise: Noise, instrument: str) -> Observed:
    return _unseen(
        day, noise, instrument, lambda worlds, outcome: outcome.result.at(day, outcome.strength_bk)
    )


def _unseen(day, noise, instrument, predict) -> Observed:  # type: ignore[no-untyped-def]
    reading = Reading(noise, 0.0, instrument, f"day {day:.1f}")
    return Observed(0, day, reading, predict, Mark(day, None, "synthetic", ""), "")


def take(planned: Observed, truth: Worlds, outcome: Outcome, rng: np.random.Generator) -> Observed:
    """The planned reading, taken in the true vat.

    An instrument's own error is folded into the scatter of each reading.
    """
    predicted = planned.predict(truth, outcome)
    seen = float(planned.reading.noise.alone().draw(predicted, rng)[0])
    reading = replace(planned.reading, noise=planned.reading.noise.alone(), observed=seen)
    return replace(planned, reading=reading)
