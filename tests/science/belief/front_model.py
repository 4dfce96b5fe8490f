"""A cheap stand-in for the tannage: a sharp front that eats tannin out of a small vat.

A front from both faces moves as dx/dt = D C / (rho q x); the vat loses what the skin binds and a
little by spoiling, and is strengthened once.  Invented figures; only the shape matters here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tanwright.science.belief.evidence import Reading
from tanwright.science.belief.kinds import CUT, CUT_IN_WORDS, HYDROMETER, LOOKS, PELT_WEIGHT
from tanwright.science.belief.unknowns import Floats, Unknown, draw

UNKNOWNS = (
    Unknown("tannin", "strength of the bark", 0.10, 0.40, "log", "share", ("invented",)),
    Unknown("extraction", "how much comes out", 0.75, 0.60, "logit", "share", ("invented",)),
    Unknown("purity", "tannin in the solubles", 0.60, 0.40, "logit", "share", ("invented",)),
    Unknown("speed", "how fast tannin moves in", 0.25, 0.80, "log", "mm2/d", ("invented",)),
    Unknown("binding", "what the front holds", 0.28, 0.25, "log", "g/g", ("invented",)),
    Unknown("thickness", "thickness of the pelt", 3.0, 0.15, "log", "mm", ("invented",)),
    Unknown("substance", "hide substance", 0.21, 0.12, "log", "g/mL", ("invented",)),
    Unknown("spoiling", "loss by spoiling", 0.006, 0.70, "log", "1/d", ("invented",)),
)
HORIZON_DAYS = 90.0
PELT_KG = 2.0
VAT_L = 20.0
BARK_KG = (3.0, 3.0)
"""At the start, and when the vat is strengthened on day 7."""


@dataclass(frozen=True)
class Course:
    """A tannage in every world, arrays (times, n) over ``day`` (times,)."""

    day: Floats
    strength_bk: Floats
    struck: Floats
    pelt_kg: Floats
    finish_day: Floats
    need_kg: Floats


def tannage(z: Floats, until_day: float = HORIZON_DAYS, step_days: float = 0.5) -> Course:
    """Run every row of z (n, 8) to a day by explicit steps in the squared depth."""
    value = [unknown.value(z[:, i]) for i, unknown in enumerate(UNKNOWNS)]
    tannin, extraction, purity, speed, binding, thickness, substance, spoiling = value
    day = np.arange(0.0, until_day + step_days, step_days)
    half = 0.5 * thickness
    hide_g = PELT_KG / 1.07 * 1000.0 * substance
    front = np.full(z.shape[0], 1e-3)
    dissolved = BARK_KG[0] * 1000.0 * tannin * extraction
    others = dissolved * (1.0 - purity) / purity
    strength, struck, weight = [], [], []
    finish = np.full(z.shape[0], np.inf)
    for now in day:
        if now == 7.0:
            more = BARK_KG[1] * 1000.0 * tannin * extraction
            dissolved, others = dissolved + more, others + more * (1.0 - purity) / purity
        share = front / half
        strength.append((dissolved + others) / VAT_L / 2.55)
        struck.append(np.minimum(share, 1.0))
        weight.append(PELT_KG * (1.0 - 0.15 * np.exp(-now)) + 1e-3 * hide_g * binding * share)
        finish = np.where((share >= 1.0) & np.isinf(finish), now, finish)
        concentration = dissolved / VAT_L
        deeper = np.sqrt(
            front**2 + 2.0 * speed * concentration / (1000.0 * substance * binding) * step_days
        )
        wanted = np.minimum(deeper, half) - np.minimum(front, half)
        taken = np.minimum(wanted / half * hide_g * binding, 0.9 * dissolved)
        front = front + np.where(wanted > 0.0, taken / (hide_g * binding) * half, deeper - front)
        dissolved = (dissolved - taken) * np.exp(-spoiling * step_days)
    need = hide_g * 0.5 / (tannin * extraction * 0.8) / 1000.0
    return Course(day, np.array(strength), np.array(struck), np.array(weight), finish, need)


@dataclass(frozen=True)
class Looking:
    """When and what is read: callable as the forward model of those readings."""

    plan: tuple[tuple[str, float], ...]
    """(quantity, day) with quantity strength | look | cut | cut-in-words | weight."""

    def __call__(self, z: Floats) -> Floats:
        course = tannage(z, max((day for _, day in self.plan), default=0.0))
        columns = []
        for quantity, day in self.plan:
            at = int(np.searchsorted(course.day, day))
            source = {"weight": course.pelt_kg, "cut": course.struck, "cut-in-words": course.struck}
            columns.append(source.get(quantity, course.strength_bk)[at])
        return np.stack(columns, axis=1) if columns else np.empty((z.shape[0], 0))

    def readings(self, observed: Floats) -> list[Reading]:
        """Readings of this plan with the values ``observed`` (len(plan),)."""
        noise = {
            "strength": HYDROMETER,
            "look": LOOKS,
            "cut": CUT,
            "cut-in-words": CUT_IN_WORDS,
            "weight": PELT_WEIGHT,
        }
        tool = {"strength": "hydrometer", "look": "eye", "weight": "scale"}
        return [
            Reading(noise[quantity], float(y), tool.get(quantity, ""), f"{quantity} on day {day}")
            for (quantity, day), y in zip(self.plan, observed, strict=True)
        ]


TEN = Looking(
    (
        ("strength", 0.0),
        ("strength", 3.0),
        ("cut", 5.0),
        ("strength", 8.0),
        ("look", 10.0),
        ("cut", 12.0),
        ("strength", 14.0),
        ("weight", 15.0),
        ("cut", 20.0),
        ("strength", 21.0),
    )
)
FEW = Looking((("look", 0.0), ("cut-in-words", 6.0), ("look", 8.0)))
THREE = Looking((("strength", 1.0), ("cut", 8.0), ("strength", 9.0)))
"""Plans of reading: a careful person, one who only looks, and one who takes three readings."""

POSSIBLE = Looking(
    (
        ("strength", 10.0),
        ("look", 10.0),
        ("cut", 10.0),
        ("cut-in-words", 10.0),
        ("weight", 10.0),
        ("cut", 4.0),
    )
)
"""What could be read next."""


def draw_prior(count: int, rng: np.random.Generator) -> Floats:
    """Prior worlds (count, 8)."""
    return draw(count, UNKNOWNS, rng)


def finish_day(z: Floats) -> Floats:
    """Day when the front meets in the middle, held at the horizon, (n,)."""
    return np.minimum(tannage(z).finish_day, HORIZON_DAYS)


def log_need(z: Floats) -> Floats:
    """Log of the bark the pelt needs, kg, (n,)."""
    return np.asarray(np.log(tannage(z, until_day=0.0).need_kg))


def targets(z: Floats) -> Floats:
    """Log amount, log finish day and the share struck through on day 12, (n, 3).

    The day itself has so long a tail that its sd differs by a quarter between two exact samples.
    """
    course = tannage(z)
    finish = np.minimum(course.finish_day, HORIZON_DAYS)
    return np.column_stack([np.log(course.need_kg), np.log(1.0 + finish), course.struck[24]])


def log_finish(z: Floats) -> Floats:
    """Log of 1 + finish day, (n,)."""
    return np.asarray(np.log(1.0 + finish_day(z)))


def honest_readings(plan: Looking, rng: np.random.Generator) -> tuple[Floats, list[Reading]]:
    """A truth z (1, 8) and readings of it without slips."""
    truth = rng.standard_normal((1, len(UNKNOWNS)))
    predicted = plan(truth)[0]
    blank = plan.readings(predicted)
    values = [
        float(r.noise.alone().draw(np.array([p]), rng, honest=True)[0])
        for r, p in zip(blank, predicted, strict=True)
    ]
    return truth, plan.readings(np.array(values))
