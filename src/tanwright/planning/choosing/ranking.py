"""The ranking itself."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from tanwright.planning.answers import Range
from tanwright.planning.choosing import amount, words
from tanwright.planning.choosing.facts import Facts, facts_of
from tanwright.planning.choosing.purpose import Near, Purpose
from tanwright.planning.choosing.season import Season, season_of
from tanwright.reference import materials as reference
from tanwright.reference.materials import Material
from tanwright.reference.seasons import lies_in_tropics, lies_south
from tanwright.reference.world import grows_in
from tanwright.science.belief.unknowns import Floats
from tanwright.units import System, format_mass

PARTS = ("quality", "amount", "evidence", "source", "effort")
"""The parts of a score, in the order in which they are shown."""
LIGHT_KG, HEAVY_KG = 0.5, 20.0
"""Air-dry material per kg of green skin that counts as little (1) and as too much (0)."""
FAR, UNSEEN, BEYOND = 0.5, 0.6, 0.2
"""Factor on the effort: at the end of one's reach, not seen within it, beyond it."""


@dataclass(frozen=True)
class Ranked:
    """One material for the purpose, the best first.

    Attributes
    ----------
    score:
        Weighted mean of the parts, 0 to 1.
    parts:
        Each of :data:`PARTS`, 0 (bad) to 1 (good).
    reasons:
        Why each part is what it is, a few words each, by the names of the parts.
    kg:
        Air-dry material for the skin, 5th, 50th and 95th percentile.
    tannin_pct:
        Tannin of one lot, % of the air-dry mass.
    skins_words:
        How much of the material in plain words: "about 3 to 9 kg for the 2 kg goat skin".
    sentence:
        Why it stands where it stands, in one sentence.
    proven:
        Used by the trade or by tradition.
    season_words:
        When it is gathered, and whether that is now.
    warnings:
        Poison, look-alikes, protection, and kin that must be left alone.
    near:
        Where it was seen, None when nothing is known.
    """

    material_id: str
    name: str
    score: float
    parts: Mapping[str, float]
    reasons: Mapping[str, str]
    kg: Range
    tannin_pct: Range
    skins_words: str
    sentence: str
    proven: bool
    season_words: str
    warnings: tuple[str, ...]
    near: Near | None


def rank(
    purpose: Purpose,
    *,
    materials: Sequence[Material] | None = None,
    system: System = "metric",
) -> tuple[Ranked, ...]:
    """Materials that fit the purpose, the best first; what must be avoided is never among them.

    Parameters
    ----------
    purpose:
        What the plant is for. Only plants of ``purpose.place`` are ranked, or those in
        ``purpose.seen``. For a beginner the proven ones come first.
    materials:
        The materials to choose from, those of the reference when None.
    system:
        Units of the words.

    Returns
    -------
    tuple of Ranked
        Empty when nothing fits.
    """
    everything = reference.materials() if materials is None else tuple(materials)
    suggested = tuple(item for item in everything if item.may_be_suggested)
    facts = facts_of(suggested)
    fits = np.flatnonzero([_fits(item, purpose) for item in suggested])
    if not fits.size:
        return ()
    latitude, south = _sun(purpose)
    seasons = [
        season_of(suggested[row], latitude, purpose.day, south, purpose.altitude_m) for row in fits
    ]
    kg = amount.kg_quantiles(facts.drawn[fits], _need_g(facts, purpose)[facts.part[fits]])
    parts = {
        "quality": facts.quality[purpose.leather][fits],
        "amount": amount_part(kg[:, 1] / purpose.skin_kg),
        "evidence": facts.evidence[fits],
        "source": facts.source[fits],
        "effort": _effort(facts, fits, seasons, purpose),
    }
    shares = purpose.weights.shares()
    score = sum(shares[name] * parts[name] for name in PARTS)
    later = ~facts.proven[fits] if purpose.beginner else np.zeros(fits.size, dtype=bool)
    skin = format_mass(purpose.skin_kg, system)
    order = np.lexsort((fits, -np.asarray(score), later))
    return tuple(
        _ranked(
            facts,
            int(fits[place]),
            purpose,
            score=float(np.asarray(score)[place]),
            parts={name: float(parts[name][place]) for name in PARTS},
            kg=Range(*(float(value) for value in kg[place])),
            season=seasons[place],
            shares=shares,
            skin=skin,
            system=system,
        )
        for place in order
    )


def amount_part(kg_per_kg: Floats) -> Floats:
    """1 for LIGHT_KG of material per kg of green skin or less, 0 for HEAVY_KG or more, and straight
    in the logarithm between; ``kg_per_kg`` of any shape."""
    far = np.log(np.maximum(kg_per_kg, 1e-9) / LIGHT_KG) / np.log(HEAVY_KG / LIGHT_KG)
    return np.asarray(1.0 - np.clip(far, 0.0, 1.0))


def _fits(item: Material, purpose: Purpose) -> bool:
    if item.id in purpose.seen or purpose.place is None:
        return True
    return grows_in(item, purpose.place)


def _sun(purpose: Purpose) -> tuple[float | None, bool | None]:
    """Latitude for the seasons, and the half of the earth where only the place tells of it."""
    if purpose.latitude is not None or purpose.place is None:
        return purpose.latitude, None
    if lies_in_tropics(purpose.place):
        return 0.0, None
    return None, lies_south(purpose.place)


def _need_g(facts: Facts, purpose: Purpose) -> Floats:
    """Quantiles of the need for each part of ``facts.parts``, shape (parts, levels)."""
    return np.stack(
        [
            amount.need_g(purpose.animal, purpose.skin_kg, purpose.leather, part)
            for part in facts.parts
        ]
    )


def _effort(facts: Facts, fits: np.ndarray, seasons: list[Season], purpose: Purpose) -> Floats:
    way = np.array([_way(purpose, facts.items[row].id) for row in fits])
    return np.asarray(facts.ease[fits] * way * np.array([season.factor for season in seasons]))


def _way(purpose: Purpose, id: str) -> float:
    """1 at the door, FAR at the end of one's reach; UNSEEN for what was not seen."""
    near = purpose.seen.get(id)
    if near is None:
        return UNSEEN if purpose.seen else 1.0
    if purpose.reach_km is None:
        return 1.0
    if near.km > purpose.reach_km:
        return BEYOND
    return 1.0 - (1.0 - FAR) * near.km / purpose.reach_km


def _ranked(
    facts: Facts,
    row: int,
    purpose: Purpose,
    *,
    score: float,
    parts: dict[str, float],
    kg: Range,
    season: Season,
    shares: Mapping[str, float],
    skin: str,
    system: System,
) -> Ranked:
    item, proven = facts.items[row], bool(facts.proven[row])
    near = purpose.seen.get(item.id)
    amount_told = words.mass(kg, system)
    reasons = words.reasons_of(
        item,
        purpose,
        amount=amount_told,
        figures=facts.figures[row],
        season=season,
        near=near,
        system=system,
    )
    return Ranked(
        material_id=item.id,
        name=item.name,
        score=score,
        parts=parts,
        reasons=reasons,
        kg=kg,
        tannin_pct=facts.tannin_pct[row],
        skins_words=f"{amount_told}, most likely {format_mass(kg.p50, system)}, for {skin} of skin",
        sentence=words.sentence_of(
            parts, reasons, shares, proven=proven, beginner=purpose.beginner
        ),
        proven=proven,
        season_words=season.words,
        warnings=facts.warnings[row],
        near=near,
    )
