"""Tannin per result: how much of each material went in for the grade that came out.

What a jar was fed is known by weight.  What a patch took up is its gain in dry weight: the dry
leather less the hide substance that went in, which is a share of the wet pelt (from memory, the
same as in a plan), and less what washed out.  Both are ranges; neither is a test of tannin.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from tanwright.errors import InputError
from tanwright.planning.answers import Range
from tanwright.planning.trials.analysis import QualityResult
from tanwright.planning.trials.records import Measure, Seen
from tanwright.reference import parameters, priors
from tanwright.reference.grading import grading_measure
from tanwright.reference.lots import Lot
from tanwright.science.values import Floats

DRAWS = 2000
ROOM_WATER = (0.10, 0.16)
"""Water in leather that dried in a room, share of its weight (from memory)."""


@dataclass(frozen=True)
class Fed:
    """What one jar was given: air-dry kg of each material, and the wet pelt in it, kg."""

    jar: str
    treatment: str
    kg: Mapping[str, float]
    pelt_kg: float


@dataclass(frozen=True)
class TookUp:
    """One treatment's account.

    Attributes
    ----------
    kg_per_kg:
        Air-dry material to 1 kg of wet pelt, by material id.
    tannin_g_per_kg:
        Tannin in it, g to 1 kg of wet pelt.
    degree:
        Taken up, g to 100 g of hide substance; ``None`` when no patch was weighed before and after.
    used:
        Share of the tannin given that the patches took; ``None`` likewise.
    weighed:
        Patches weighed both times.
    more_than_given:
        True when the patches gained more than all the tannin they were given, most likely: a
        weight is off, or they were not dry.
    """

    treatment: str
    label: str
    kg_per_kg: Mapping[str, float]
    tannin_g_per_kg: Range
    degree: Range | None
    used: Range | None
    weighed: int
    more_than_given: bool = False


def took_up(
    seen: Seen, fed: Sequence[Fed], *, lots: Mapping[str, Lot] | None = None, seed: int = 0
) -> tuple[TookUp, ...]:
    """What each treatment was given and took up, in the order of the treatments.

    Parameters
    ----------
    seen:
        Its measures ``pelt-weight`` and ``dry-weight`` of the same patch give what it took up.
    fed:
        The jars.
    lots:
        What is known of a material's lot, by material id.
    seed:
        Of the draws.

    Raises
    ------
    InputError
        For a jar without pelt, or an unknown material.
    """
    rng = np.random.default_rng(seed)
    hide_share = parameters.parameter("hide_substance_share").value(rng.standard_normal(DRAWS))
    water = rng.uniform(*ROOM_WATER, DRAWS)
    before, after = _weights(seen, "pelt-weight"), _weights(seen, "dry-weight")
    tannin_share: dict[str, Floats] = {}
    out = []
    for treatment in seen.treatments:
        jars = [jar for jar in fed if jar.treatment == treatment.key]
        if not jars:
            continue
        pelt = sum(jar.pelt_kg for jar in jars)
        if pelt <= 0.0:
            raise InputError(
                f"the jars of {treatment.label} hold no pelt", remedy="weigh the patches in them"
            )
        kg: dict[str, float] = {}
        for jar in jars:
            for material, weight in jar.kg.items():
                kg[material] = kg.get(material, 0.0) + weight
        given = np.zeros(DRAWS)
        for material, weight in kg.items():
            if material not in tannin_share:
                lot = (lots or {}).get(material, Lot())
                prior = priors.tannin_prior(material, lot).unknown
                tannin_share[material] = prior.value(rng.standard_normal(DRAWS))
            given = given + 1000.0 * weight * tannin_share[material] / pelt
        codes = [
            patch.code
            for patch in seen.patches
            if patch.treatment == treatment.key and patch.code in before and patch.code in after
        ]
        degree = used = None
        too_much = False
        if codes:
            raw = sum(before[code] for code in codes) * hide_share
            dry = sum(after[code] for code in codes) * (1.0 - water)
            gain = np.maximum(dry - raw, 0.0)
            degree = _range(100.0 * gain / raw)
            taken = 1000.0 * gain / sum(before[code] for code in codes)
            if kg:
                used = _range(np.clip(taken / np.maximum(given, 1e-9), 0.0, 1.0))
                too_much = bool(np.median(taken > given) > 0.5)
        out.append(
            TookUp(
                treatment=treatment.key,
                label=treatment.label,
                kg_per_kg={material: weight / pelt for material, weight in kg.items()},
                tannin_g_per_kg=_range(given),
                degree=degree,
                used=used,
                weighed=len(codes),
                more_than_given=too_much,
            )
        )
    return tuple(out)


def cheapest_as_good(
    result: QualityResult, account: Sequence[TookUp]
) -> tuple[TookUp, TookUp] | None:
    """A treatment that takes a quarter less material than the best and is not even maybe worse.

    Gives (the cheaper, the best), ``None`` when the quality has no wanted end or none is cheaper.
    """
    if result.better == "by-use" or not account:
        return None
    sign = 1.0 if result.better == "more" else -1.0
    by_key = {item.treatment: item for item in account}
    known = [effect for effect in result.effects if effect.treatment in by_key]
    if len(known) < 2:
        return None
    best = max(known, key=lambda effect: sign * effect.typical.p50)
    worse = {
        frozenset((pair.upper, pair.lower))
        for pair in result.pairs
        if pair.verdict in ("apart", "leaning")
    }
    price = {key: sum(item.kg_per_kg.values()) for key, item in by_key.items()}
    as_good = [
        effect
        for effect in known
        if effect is not best
        and frozenset((effect.treatment, best.treatment)) not in worse
        and price[effect.treatment] <= 0.75 * price[best.treatment]
    ]
    if not as_good:
        return None
    cheap = min(as_good, key=lambda effect: price[effect.treatment])
    return by_key[cheap.treatment], by_key[best.treatment]


def _weights(seen: Seen, name: str) -> dict[str, float]:
    """Mean weight of each patch, g."""
    found: dict[str, list[float]] = {}
    measure = grading_measure(name)
    reading: Measure
    for reading in seen.measures:
        if grading_measure(reading.name).id == measure.id:
            found.setdefault(reading.code, []).append(measure.checked(reading.value))
    return {code: sum(values) / len(values) for code, values in found.items()}


def _range(values: Floats) -> Range:
    low, middle, high = (float(v) for v in np.percentile(values, (5.0, 50.0, 95.0)))
    return Range(low, middle, high)
