"""What one finished leather says about the next tannage: figures of the plan against the log."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from statistics import fmean
from typing import Any, Final

from tanwright.errors import TanwrightError
from tanwright.reference import materials
from tanwright.units import System, format_mass, format_temperature

SAME_DAYS: Final = 0.15
"""A difference of the days below this share (and below 3 days) is not worth a word."""
COLDER_C: Final = 2.0
WEAKER: Final = 0.8
"""Mean strength read over the planned one below which it was a weak vat."""


@dataclass(frozen=True)
class Planned:
    """What the plan said: days in the vat, its warmth, mean strength, need by plant in kg."""

    days: int | None
    temperature_c: float | None
    strength_bk: float | None
    need_kg: Mapping[str, float]
    names: Mapping[str, str]


@dataclass(frozen=True)
class Happened:
    """What the log says of the same."""

    days: int | None
    temperature_c: float | None
    strength_bk: float | None
    used_kg: Mapping[str, float]
    had_kg: Mapping[str, float]
    poured_l: float


@dataclass(frozen=True)
class Advice:
    """One thing to do differently: what the figures say, and what follows."""

    figures: str
    next_time: str


def happened(
    entries: Iterable[tuple[str, datetime, Mapping[str, Any]]],
    out_at: datetime | None,
    had_kg: Mapping[str, float],
    plants: Mapping[str, str],
) -> Happened:
    """Sum up the live ``entries`` (kind, time, data) of a tannage until ``out_at``.

    ``had_kg`` is by plant, ``plants`` tells the plant of a lot by the lot's id as text.
    """
    began: datetime | None = None
    warm: list[float] = []
    strong: list[float] = []
    used: defaultdict[str, float] = defaultdict(float)
    poured = 0.0
    for kind, at, data in entries:
        what = kind.removeprefix("tannage.")
        if what == "started" and began is None:
            began = at
        for key in ("temperature_c", "liquor_c"):
            if what in ("temperature", "strength", "moved") and data.get(key) is not None:
                warm.append(float(data[key]))
        if what == "strength" and data.get("bk") is not None:
            strong.append(float(data["bk"]))
        if what == "strengthened":
            poured += float(data.get("litres") or 0.0)
            for lot, kg in (data.get("lots") or {}).items():
                used[plants.get(lot, "other plants")] += float(kg)
    return Happened(
        days=None if began is None or out_at is None else (out_at - began).days,
        temperature_c=fmean(warm) if warm else None,
        strength_bk=fmean(strong) if strong else None,
        used_kg=dict(used),
        had_kg=had_kg,
        poured_l=poured,
    )


def advice(planned: Planned | None, log: Happened, system: System) -> tuple[Advice, ...]:
    """What to do differently, from figures alone; empty when plan and log agree."""
    found: list[Advice] = []
    if planned is not None:
        found += _of_days(planned, log, system)
    found += _of_material(planned, log, system)
    return tuple(found)


def _of_days(planned: Planned, log: Happened, system: System) -> list[Advice]:
    if planned.days is None or log.days is None:
        return []
    more = log.days - planned.days
    if abs(more) < max(3.0, SAME_DAYS * planned.days):
        return [
            Advice(
                f"It took {log.days} days, and the plan had said {planned.days}.",
                "Nothing to change: plan the next one alike.",
            )
        ]
    if more < 0:
        return [
            Advice(
                f"It was out {-more} days before the plan said ({log.days} of {planned.days}).",
                "The next one of this kind may be looked at that much earlier.",
            )
        ]
    causes, remedies = _causes(planned, log, system)
    because = f", likely because {' and '.join(causes)}" if causes else ""
    remedy = " ".join(remedies) or (
        "Neither warmth nor strength explains it, so the skin was likely thicker or denser than "
        "taken for: measure the next one at the neck and the butt."
    )
    return [Advice(f"It took {more} days longer than planned ({log.days}){because}.", remedy)]


def _causes(planned: Planned, log: Happened, system: System) -> tuple[list[str], list[str]]:
    causes, remedies = [], []
    p_c, l_c = planned.temperature_c, log.temperature_c
    if p_c is not None and l_c is not None and l_c <= p_c - COLDER_C:
        cold, wanted = format_temperature(l_c, system), format_temperature(p_c, system)
        causes.append(f"the vat stood at about {cold} and not at {wanted}")
        remedies.append(f"Plan the next one with {cold}, or put the vat where it keeps {wanted}.")
    p_s, l_s = planned.strength_bk, log.strength_bk
    if p_s is not None and l_s is not None and l_s < WEAKER * p_s:
        causes.append(f"the liquor read {l_s:.0f} °Bk on average where the plan had {p_s:.0f}")
        remedies.append("Strengthen on the days that the plan names, and read it the day after.")
    return causes, remedies


def _name_of(plant: str) -> str:
    try:
        return materials.material(plant).name
    except TanwrightError:
        return plant.replace("-", " ")


def _of_material(planned: Planned | None, log: Happened, system: System) -> list[Advice]:
    found = []
    for plant, used in sorted(log.used_kg.items()):
        name = (planned.names.get(plant) if planned else None) or _name_of(plant)
        had, need = log.had_kg.get(plant), planned.need_kg.get(plant) if planned else None
        of = f" of {format_mass(had, system)}" if had else ""
        poured = ", kept liquors not counted" if log.poured_l else ""
        figures = f"It used {format_mass(used, system)}{of} of {name}{poured}"
        if need is None:
            found.append(Advice(f"{figures}.", "Take that much for a like skin."))
            continue
        figures += f"; the plan had said {format_mass(need, system)}."
        if used > 1.2 * need:
            remedy = "Gather a fifth more than the plan says, or cook the spent bark once more."
        elif used < 0.8 * need and not log.poured_l:
            remedy = "What was not used is a start for the next skin: note what is left of it."
        else:
            remedy = "The plan's amount was right."
        found.append(Advice(figures, remedy))
    return found


def days_between(first: date, last: date | None) -> int | None:
    """Whole days of a plan; ``None`` when it saw no end."""
    return None if last is None else (last - first).days
