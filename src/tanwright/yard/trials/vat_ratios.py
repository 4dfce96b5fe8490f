"""What a vat of the yard does, as ratios that jars can keep."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from tanwright.errors import DataError
from tanwright.planning.answers import Answer
from tanwright.planning.keeping import take_back
from tanwright.yard.tannage.models import Tannage


@dataclass(frozen=True)
class VatRatios:
    """Ratios of one vat; ``None`` and empty where nothing is known of it."""

    litres_per_kg: float | None = None
    dose: float | None = None
    shares: Mapping[str, float] = field(default_factory=dict)
    temperature_c: float | None = None
    move: str = ""
    water: str = ""


def ratios_of_vat(tannage: Tannage) -> VatRatios:
    """Liquor and dry material to wet pelt, from its latest plan or forecast."""
    kept = tannage.forecasts.filter(answer__isnull=False).order_by("-made_at").first()
    ids = list(dict.fromkeys(tannage.materials.values_list("material_id", flat=True)))
    even = {id: 1.0 / len(ids) for id in ids}
    bare = VatRatios(None, None, even, tannage.temperature_c, tannage.move, tannage.water)
    if kept is None or kept.answer is None:
        return bare
    try:
        answer = take_back(kept.answer)
    except DataError:
        return bare
    return _from_answer(answer, bare)


def _from_answer(answer: Answer, bare: VatRatios) -> VatRatios:
    pelt_kg = sum(skin.pelt_kg.p50 * skin.count for skin in answer.skins)
    needs = {need.material_id: need.need_kg.p50 for need in answer.needs if need.need_kg.p50 > 0.0}
    whole = sum(needs.values())
    if pelt_kg <= 0.0 or whole <= 0.0:
        return bare
    return VatRatios(
        litres_per_kg=round(min(max(answer.vat_litres / pelt_kg, 1.0), 60.0), 2),
        dose=round(min(max(whole / pelt_kg, 0.05), 20.0), 2),
        shares={id: kg / whole for id, kg in needs.items()},
        temperature_c=bare.temperature_c,
        move=bare.move,
        water=bare.water,
    )
