"""An answer as plain JSON: the fixed keys that scripts rely on, and further keys of our own.

``docs/reference/answer.schema.json`` describes the result.  Every number is finite; what has no
finite value is ``null``.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from tanwright.planning.answers import Range

if TYPE_CHECKING:
    from datetime import date

    from tanwright.planning.answers import (
        Answer,
        Cause,
        DateRange,
        Fan,
        MaterialNeed,
        SkinSummary,
        Step,
    )
    from tanwright.science.belief.unknowns import Floats

SCHEMA_VERSION: Final = 1
"""Raised when a key changes its meaning or goes; new keys do not raise it."""


def answer_to_json(answer: Answer) -> dict[str, object]:
    """``answer`` as a dict of JSON's own types, rounded to what the ensemble can carry.

    Masses are kg as the material lies, strengths °Bk at 15.6 °C, volumes litres, dates ISO text,
    shares 0 to 1, degrees of tannage g of tannin per 100 g of hide substance.
    """
    return {
        "schema_version": SCHEMA_VERSION,
        "enough": {
            "probability": _share(answer.enough.probability),
            "break_even_tannin_pct": _number(answer.enough.break_even_tannin_pct),
            "break_even_sure_pct": _number(answer.enough.break_even_sure_pct),
            "material": answer.enough.material_id,
        },
        "need_kg": {need.material_id: _range(need.need_kg) for need in answer.needs},
        "still_needed_kg": {key: _range(value) for key, value in answer.still_needed_kg.items()},
        "tannin_need_kg": _range(answer.tannin_need_kg),
        "tannin_supply_kg": _range(answer.tannin_supply_kg),
        "finish": _dates(answer.finish),
        "struck_through": _shares(answer.struck_through),
        "degree_of_tannage": _range(_times(100.0, answer.degree_now)),
        "schedule": [_step(step) for step in answer.schedule],
        "next_action": _step(answer.next_action),
        "measure_next": [
            {
                "what": option.what,
                "how": option.how,
                "narrows_finish": _share(option.narrows_finish),
                "narrows_amount": _share(option.narrows_amount),
            }
            for option in answer.measure_next
        ],
        "cautions": [
            {"topic": caution.topic, "text": caution.text, "source": caution.source}
            for caution in answer.cautions
        ],
        "questions": list(answer.questions),
        "sources": list(answer.sources),
        "start": answer.start.isoformat(),
        "today": answer.today.isoformat(),
        "wanted_by": _day(answer.wanted_by),
        "in_time_probability": _share(answer.in_time_probability),
        "leather": answer.leather,
        "target_degree": _range(_times(100.0, answer.target_degree)),
        "vat_litres": _number(answer.vat_litres),
        "skins": [_skin(skin) for skin in answer.skins],
        "materials": [_need(need) for need in answer.needs],
        "amount_causes": _causes(answer.amount_causes),
        "finish_causes": _causes(answer.finish_causes),
        "one_pot": list(answer.one_pot),
        "look_on": [day.isoformat() for day in answer.look_on],
        "troubles": [
            {
                "what": trouble.what,
                "chance": _share(trouble.chance),
                "sign": trouble.sign,
                "remedy": trouble.remedy,
                "source": trouble.source,
            }
            for trouble in answer.troubles
        ],
        "worth_knowing": [
            {
                "fact": worth.fact,
                "narrows_amount": _share(worth.narrows_amount),
                "how": worth.how,
            }
            for worth in answer.worth_knowing
        ],
        "rule_of_thumb": answer.rule_of_thumb,
        "notes": list(answer.notes),
        "changes": [
            {
                "what": change.what,
                "before": change.before,
                "after": change.after,
                "why": change.why,
            }
            for change in answer.changes
        ],
        "readings": [
            {
                "line": check.line,
                "what": check.what,
                "verdict": check.verdict,
                "text": check.text,
            }
            for check in answer.checks
        ],
        "strength_over_time_bk": _fan(answer.strength_fan),
        "struck_through_over_time": _fan(answer.depth_fan),
        "tannin_account_g": {
            term.name: {"mean": _number(term.mean_g, 8)} | _range(term.range_g)
            for term in answer.account
        },
        "data_version": answer.data_version,
        "members": answer.members,
        "effective_members": _number(answer.effective_members),
    }


def _number(value: float | None, digits: int = 4) -> float | None:
    """``value`` to so many significant digits; ``None`` when it is not finite."""
    if value is None or not math.isfinite(value):
        return None
    value = float(value)
    if value == 0.0:
        return 0.0
    return round(value, digits - 1 - math.floor(math.log10(abs(value))))


def _share(value: float | None) -> float | None:
    """A share to four places, held between 0 and 1."""
    if value is None or not math.isfinite(value):
        return None
    return round(min(max(float(value), 0.0), 1.0), 4)


def _range(value: Range) -> dict[str, float | None]:
    return {"p05": _number(value.p05), "p50": _number(value.p50), "p95": _number(value.p95)}


def _times(factor: float, value: Range) -> Range:
    return Range(factor * value.p05, factor * value.p50, factor * value.p95)


def _shares(value: Range) -> dict[str, float | None]:
    return {"p05": _share(value.p05), "p50": _share(value.p50), "p95": _share(value.p95)}


def _day(value: date | None) -> str | None:
    return None if value is None else value.isoformat()


def _dates(value: DateRange) -> dict[str, str | None]:
    return {"p05": _day(value.p05), "p50": _day(value.p50), "p95": _day(value.p95)}


def _step(step: Step) -> dict[str, object]:
    return {
        "date": step.date.isoformat(),
        "action": step.action,
        "strength_bk": _number(step.strength_bk),
        "litres": _number(step.litres),
        "reason": step.reason,
        "headline": step.headline,
        "look": step.look,
        "strength_range_bk": (
            None if step.strength_range_bk is None else _range(step.strength_range_bk)
        ),
        "material": step.material_id,
    }


def _skin(skin: SkinSummary) -> dict[str, object]:
    return {
        "name": skin.name,
        "count": skin.count,
        "weight_kg": _range(skin.weight_kg),
        "pelt_kg": _range(skin.pelt_kg),
        "hide_substance_kg": _range(skin.hide_substance_kg),
        "thickness_mm": _range(skin.thickness_mm),
        "hair_on": skin.hair_on,
    }


def _need(need: MaterialNeed) -> dict[str, object]:
    return {
        "id": need.material_id,
        "name": need.name,
        "state": need.state,
        "need_kg": _range(need.need_kg),
        "have_kg": _number(need.have_kg),
        "tannin_pct": _range(need.tannin_pct),
        "cooks": _range(need.cooks),
        "pot_kg": _number(need.pot_kg),
        "tans_skin_kg": None if need.tans_skin_kg is None else _range(need.tans_skin_kg),
        "causes": _causes(need.causes),
        "sources": list(need.sources),
    }


def _causes(causes: tuple[Cause, ...]) -> list[dict[str, object]]:
    return [
        {
            "name": cause.name,
            "label": cause.label,
            "share": _share(cause.share),
            "remedy": cause.remedy,
        }
        for cause in causes
    ]


def _fan(fan: Fan) -> dict[str, list[float | None]]:
    return {
        "day": _numbers(fan.day),
        "p05": _numbers(fan.p05),
        "p50": _numbers(fan.p50),
        "p95": _numbers(fan.p95),
    }


def _numbers(values: Floats) -> list[float | None]:
    return [_number(float(value)) for value in values]
