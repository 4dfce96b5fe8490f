"""A trial of the yard as the planning floor takes it."""

from __future__ import annotations

import json
from collections import Counter
from datetime import date
from typing import Any, Final, cast

from django.utils import timezone

from tanwright.errors import DataError, InputError
from tanwright.planning.trials import treatments as asks
from tanwright.planning.trials.design import Design, take_back, treatment_of
from tanwright.planning.trials.jars import LITRES_PER_KG, InHand, JarPlan, Pieces, Ratios
from tanwright.planning.trials.question import Wish
from tanwright.planning.trials.records import Patch, Treatment
from tanwright.planning.trials.sheet import Facts
from tanwright.yard.liquors.tables import tool_table
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.tables import material_table
from tanwright.yard.trials.models import Jar, Trial, TrialPatch

USUAL_DOSE: Final = 2.0
"""Dry material to wet pelt when nobody says: the middle of the trade's 1 to 3 (common practice)."""
SIDE_CM: Final = 5.0
THICKNESS_MM: Final = 2.0
BLENDS_SPARE: Final = 1.1


def pieces_of(trial: Trial) -> Pieces:
    """How large its patches are."""
    facts = trial.facts
    width = float(facts.get("width_cm") or SIDE_CM)
    return Pieces(
        width,
        float(facts.get("height_cm") or width),
        float(facts.get("thickness_mm") or THICKNESS_MM),
    )


def usual_of(trial: Trial) -> dict[str, float]:
    """Shares of the usual material; empty until it was said."""
    return {str(id): float(part) for id, part in dict(trial.facts.get("usual") or {}).items()}


def ratios_of(trial: Trial) -> Ratios:
    """Liquor and dry material to pelt."""
    return Ratios(
        float(trial.facts.get("litres_per_kg") or LITRES_PER_KG),
        float(trial.facts.get("dose") or USUAL_DOSE),
        usual_of(trial),
    )


def treatments_of(trial: Trial) -> tuple[Treatment, ...]:
    """The treatments as they are kept, the control first."""
    return tuple(treatment_of(row) for row in trial.treatments)


def treatments_asked(trial: Trial) -> tuple[tuple[Treatment, ...], float]:
    """The treatments that the answers on the path make, and the efficiency of blends.

    Raises InputError when an answer is missing or cannot be.
    """
    facts, usual = trial.facts, usual_of(trial)
    plants = [str(id) for id in facts.get("plants") or []]
    question = cast("asks.Question", trial.question)
    if question == "dose":
        ratios = ratios_of(trial)
        rungs, span = int(facts.get("doses") or 4), float(facts.get("span") or 4.0)
        return asks.dose(usual, ratios.dose, rungs, span), 1.0
    if question == "pretreatment":
        ways = [str(way) for way in facts.get("ways") or []]
        return asks.pretreatment(usual, ways, str(facts.get("usual_way") or "")), 1.0
    if question == "blend":
        kg_each = _kg_each(trial, usual, plants)
        return asks.blend(usual, [*usual, *plants], stock_kg=_stock_kg(trial), kg_each=kg_each)
    if question == "which":
        return asks.which(usual, plants), 1.0
    raise InputError("nobody said what is asked", place="question", remedy="choose a question")


def _stock_kg(trial: Trial) -> dict[str, float | None]:
    """Air-dry kg in hand by plant, of lots that were weighed and of no other ones."""
    found: dict[str, float | None] = {}
    for lot in lots_of(trial):
        if lot.left_kg is None:
            found[lot.material_id] = None
        elif found.get(lot.material_id, 0.0) is not None:
            found[lot.material_id] = (found.get(lot.material_id) or 0.0) + lot.left_kg
    return found


def _kg_each(trial: Trial, usual: dict[str, float], plants: list[str]) -> float:
    """Dry kg in the jars of one blend, as far as patches are known."""
    many = len(set(usual) | set(plants))
    blends = {2: 4, 3: 7}.get(many, many * (many + 1) // 2)
    patches = sum(blocks_of(trial))
    pelt_kg = pieces_of(trial).kg * patches / max(blends, 1)
    return BLENDS_SPARE * pelt_kg * ratios_of(trial).dose


def blocks_of(trial: Trial) -> tuple[int, ...]:
    """How many patches each group of like pieces has: those that are laid out, else the counts."""
    laid = Counter(trial.patches.values_list("offcut__skin_id", "region").order_by())
    if laid:
        return tuple(laid.values())
    counts = dict(trial.facts.get("counts") or {})
    return tuple(int(many) for many in counts.values() if int(many) > 0)


def wish_of(trial: Trial) -> Wish:
    """What is asked and what there is to ask it of. Raises InputError."""
    return Wish(
        cast("asks.Question", trial.question),
        treatments_of(trial) or treatments_asked(trial)[0],
        blocks_of(trial),
        int(trial.facts.get("graders") or 1),
        int(trial.facts.get("jars_each") or 1),
    )


def patch_records(trial: Trial) -> list[Patch]:
    """Its patches as the planning floor takes them, in order of number."""
    found = trial.patches.select_related("offcut__skin", "jar").order_by("number")
    return [record_of(patch) for patch in found]


def record_of(patch: TrialPatch) -> Patch:
    """One patch, its skin and jar fetched with it."""
    skin = patch.offcut.skin.title if patch.offcut.skin else ""
    jar = str(patch.jar.number) if patch.jar else ""
    block = patch.block or " ".join(part for part in (skin, patch.region) if part)
    return Patch(
        code=code_of(patch),
        offcut=str(patch.offcut),
        skin=skin,
        region=patch.region,
        block=block,
        treatment=patch.treatment,
        jar=jar,
    )


def code_of(patch: TrialPatch) -> str:
    """Its edge code, or its number while it has none."""
    return patch.code or f"patch {patch.number}"


def design_of(trial: Trial) -> Design | None:
    """The design as it is kept; ``None`` until it is made."""
    kept = trial.design.get("design")
    if not kept:
        return None
    try:
        return take_back(kept)
    except DataError:
        return None


def inputs_of(trial: Trial) -> dict[str, Any]:
    """What a design was made from; another one wants making when this has changed."""
    ratios, pieces = ratios_of(trial), pieces_of(trial)
    return {
        "treatments": trial.treatments,
        "patches": sorted(trial.patches.values_list("number", "region")),
        "jars_each": int(trial.facts.get("jars_each") or 1),
        "pieces": [pieces.width_cm, pieces.height_cm, pieces.thickness_mm],
        "ratios": [ratios.litres_per_kg, ratios.dose],
        "lots": trial.facts.get("lots") or [],
    }


def is_outdated(trial: Trial) -> bool:
    """Whether an answer or a patch has changed since the design was made."""
    made_from = trial.design.get("inputs")
    return made_from is not None and json.loads(json.dumps(inputs_of(trial))) != made_from


def plan_of(jar: Jar, patches: int, pieces: Pieces, treatment: Treatment) -> JarPlan:
    """A kept jar as it was planned."""
    return JarPlan(
        number=jar.number,
        treatment=jar.treatment,
        patches=patches,
        pelt_kg=jar.pelt_kg,
        area_m2=patches * pieces.area_m2,
        litres=jar.litres,
        dry_kg={str(id): float(kg) for id, kg in jar.shares.items()},
        pretreatment=treatment.pretreatment,
    )


def jar_plans(trial: Trial) -> tuple[JarPlan, ...]:
    """Its kept jars as they were planned, in order of number."""
    many = Counter(trial.patches.exclude(jar=None).values_list("jar_id", flat=True))
    by_key = {item.key: item for item in treatments_of(trial)}
    pieces = pieces_of(trial)
    return tuple(
        plan_of(jar, many[jar.pk], pieces, by_key.get(jar.treatment, Treatment(jar.treatment, "")))
        for jar in trial.jars.all()
    )


def lots_of(trial: Trial) -> list[Lot]:
    """The lots that its jars are filled from, in the order they were chosen."""
    ids = [str(id) for id in trial.facts.get("lots") or []]
    found = {str(lot.pk): lot for lot in Lot.objects.filter(pk__in=ids, withdrawn_at=None)}
    return [found[id] for id in ids if id in found]


def in_hand(trial: Trial) -> list[InHand]:
    """Those lots as the shopping list takes them."""
    return [
        InHand(str(lot.pk), lot.title, lot.material_id, lot.state, lot.left_kg)
        for lot in lots_of(trial)
    ]


def facts_of(trial: Trial) -> Facts:
    """What all its jars share."""
    said, rows = trial.facts, dict[str, list[dict[str, Any]]]()
    for lot in lots_of(trial):
        rows.setdefault(lot.material_id, []).append(material_table(lot))
    return Facts(
        start=start_of(trial),
        leather=trial.leather,
        animal=str(said.get("animal") or ""),
        hair_on=bool(said.get("hair_on")),
        temperature_c=said.get("temperature_c"),
        move=str(said.get("move") or ""),
        water=str(said.get("water") or ""),
        tools=tool_table(),
        materials=rows,
    )


def start_of(trial: Trial) -> date:
    """The day the patches went in, else the planned one, else today."""
    if trial.begun_at is not None:
        return timezone.localtime(trial.begun_at).date()
    said = trial.facts.get("start")
    try:
        planned = date.fromisoformat(str(said))
    except ValueError:
        planned = timezone.localdate()
    return max(planned, timezone.localdate())
