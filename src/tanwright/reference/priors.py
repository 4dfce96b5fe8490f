"""What is believed of a lot's tannin, water and purity before anything is measured.

The statistical rule is written out in docs/method/priors.md and tested; no prior is a point.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tanwright.reference.evidence import Pooled, expit, lot_spread_floor, pooled
from tanwright.reference.loader import table
from tanwright.reference.lots import Lot, Modifier, modifiers_for
from tanwright.reference.materials import Material, Observation, material, materials
from tanwright.science.belief.unknowns import Floats, Unknown

UNNAMED_SHIFT = -0.35
"""Log-odds by which a plant that nobody named is weaker than the listed ones (from memory)."""
UNNAMED_SPREAD = 0.45
"""Extra spread of a plant that nobody named (from memory)."""
_MEAN_SD = 1.0
_SPECIES_FLOOR = 0.15
_PSEUDO_PLANTS = 4.0


@dataclass(frozen=True)
class TanninPrior:
    """Prior of the tannin share of air-dry mass, for one lot of one material."""

    unknown: Unknown
    evidence: tuple[Observation, ...]
    rule: str
    modifiers: tuple[Modifier, ...]


@dataclass(frozen=True)
class Kinship:
    """Variances of plants' means within one part, in log-odds squared."""

    family: float
    genus: float
    species: float

    @property
    def total(self) -> float:
        """Variance between any two plants of the part, halved: that of one plant's mean."""
        return self.family + self.genus + self.species


def tannin_prior(material_id: str, lot: Lot | None = None) -> TanninPrior:
    """Prior of the tannin share (0 to 1, air-dry mass) of one lot of a material.

    Raises UnknownMaterialError for an unknown id and InputError for a lot that cannot be.
    """
    item = material(material_id)
    centre, variance, rule, sources = _mean_of(item)
    own = pooled(item) if item.known else None
    lots = own.lot_spread if own else lot_spread_floor()
    modifiers = modifiers_for(item, lot) if lot is not None else ()
    centre += sum(part.log_shift for part in modifiers)
    variance += lots**2 + sum(part.extra_spread**2 for part in modifiers)
    keys = [*sources, *(key for part in modifiers for key in part.sources)]
    evidence = tuple(row for row in item.observations if row.use == "prior")
    unknown = Unknown(
        name=f"tannin:{item.id}",
        label=f"how strong the {item.name} is",
        median=expit(centre),
        spread=math.sqrt(variance),
        shape="logit",
        unit="share of air-dry mass",
        sources=tuple(dict.fromkeys(keys)),
    )
    return TanninPrior(unknown, evidence, rule, modifiers)


def moisture_prior(material_id: str, state: str = "dry") -> Unknown:
    """Share of water in the mass as it lies, for ``state`` ``"dry"`` or ``"fresh"``."""
    item = material(material_id)
    Lot(state=state)
    rows = {(row.text("part"), row.text("state")): row for row in table("moistures")}
    row = rows.get((item.part, state)) or rows["any", state]
    median, source = row.number("water_median"), row.text("source")
    if state == "fresh" and item.part == "bark":
        for tree in table("bark_properties"):
            if tree.text("material_id") == item.id:
                moisture = tree.number("green_moisture_pct")
                median, source = moisture / (100.0 + moisture), tree.text("source")
    return Unknown(
        name=f"water:{item.id}",
        label=f"how much water is in the {item.name}",
        median=median,
        spread=row.number("spread"),
        shape="logit",
        unit="share of the mass as it lies",
        sources=(source,),
    )


def purity_prior(material_id: str) -> Unknown:
    """Tannin over tannin and non-tannin in the fresh liquor of a material (0 to 1)."""
    item = material(material_id)
    measured = measured_purities().get(item.id)
    if measured is not None:
        median, spread, source = measured, 0.25, "parker1895"
    else:
        rows = {(row.text("part"), row.text("tannin_class")): row for row in table("purities")}
        row = (
            rows.get((item.part, item.tannin_class))
            or rows.get((item.part, "any"))
            or rows["any", "any"]
        )
        median, spread = row.number("purity_median"), row.number("spread")
        source = row.text("source")
    return Unknown(
        name=f"purity:{item.id}",
        label=f"how pure the liquor of the {item.name} is",
        median=median,
        spread=spread,
        shape="logit",
        unit="share of the solubles",
        sources=(source,),
    )


@lru_cache(maxsize=1)
def measured_purities() -> dict[str, float]:
    """Purity of the materials whose lots were extracted in their best band (parker1895)."""
    best: dict[str, float] = {}
    for row in table("extraction"):
        best[row.text("series")] = max(best.get(row.text("series"), 0.0), row.number("tannin_pct"))
    shares: dict[str, list[float]] = {}
    for row in table("extraction_series"):
        tannin = best[row.text("id")]
        share = tannin / (tannin + row.number("nontannin_pct"))
        shares.setdefault(row.text("material_id"), []).append(share)
    return {id: sum(values) / len(values) for id, values in shares.items()}


@lru_cache(maxsize=16)
def kinship(part: str) -> Kinship:
    """How unlike the means of two plants are within a part, by moments of the table.

    Variances within genus, family and part are pooled over all parts, less the mean error of the
    figures; the part's own variance scales them, shrunk to the pooled one by four pseudo-plants.
    """
    groups = _pooled_by_part()
    error = _mean([own.error**2 for found in groups.values() for _, own in found])
    within_genus = _within(groups, lambda item: (item.part, item.genus))
    within_family = _within(groups, lambda item: (item.part, item.family))
    within_part = _within(groups, lambda item: (item.part,))
    species = max(within_genus - error, _SPECIES_FLOOR**2)
    genus = max(within_family - within_genus, 0.0)
    family = max(within_part - within_family, 0.0)
    centres = [own.centre for _, own in groups.get(part, [])]
    scatter, count = 0.0, 0
    if len(centres) > 1:
        mean = _mean(centres)
        scatter, count = sum((value - mean) ** 2 for value in centres), len(centres) - 1
    own_variance = (_PSEUDO_PLANTS * within_part + scatter) / (_PSEUDO_PLANTS + count)
    scale = own_variance / within_part
    return Kinship(family * scale, genus * scale, species * scale)


def left_out_scores(part: str) -> Floats:
    """How far each plant's figures lie from what its kin alone foretell, in standard deviations.

    Shape (plants of the part with figures,). A check of the rule: the scores should look like
    draws from a standard normal.
    """
    found = _pooled_by_part()[part]
    data = np.array([own.centre for _, own in found]) - _grand_mean()
    precision = _precision(part)
    return np.asarray((precision @ data) / np.sqrt(np.diag(precision)))


def _mean_of(item: Material) -> tuple[float, float, str, tuple[str, ...]]:
    """Centre and variance of a plant's mean over lots, the rule in words, and the sources."""
    found = _pooled_by_part().get(item.part, [])
    kin = kinship(item.part)
    part = item.part.replace("-", " ")
    if not item.known:
        centre, variance = _condition(item, found, kin)
        rule = (
            f"plant not named: from the {len(found)} listed {_plural(part)} with figures, set lower"
            " and wider because only plants worth printing are listed"
        )
        return centre + UNNAMED_SHIFT, variance + UNNAMED_SPREAD**2, rule, ("derived", "memory")
    centre, variance = _condition(item, found, kin)
    own = next((own for other, own in found if other.id == item.id), None)
    if own is not None:
        sources = tuple(dict.fromkeys(row.observation.source for row in own.statements))
        count, groups = len(own.statements), len({row.group for row in own.statements})
        figures = "one published figure" if count == 1 else f"{count} published figures"
        rule = (
            f"from {figures} of {groups} independent source{'s' if groups > 1 else ''},"
            " drawn a little towards its kin, wide enough for one lot"
        )
        return centre, variance, rule, sources
    genus = [other for other, _ in found if other.genus == item.genus]
    family = [other for other, _ in found if other.family == item.family]
    if genus:
        near = f"the {_plural(part)} of {len(genus)} other {item.genus}"
    elif family:
        near = f"the {_plural(part)} of {len(family)} other {item.family}"
    else:
        near = f"all {len(found)} listed {_plural(part)} with figures"
    return centre, variance, f"no published figure: taken from {near}", ("derived",)


def _condition(
    item: Material, found: list[tuple[Material, Pooled]], kin: Kinship
) -> tuple[float, float]:
    """Mean and variance of a plant's centre, given the pooled figures of all plants of its part.

    Plants are jointly normal: they share a mean of the part, an effect of the family and one of
    the genus.
    """
    grand = _grand_mean()
    if not found:
        return grand, _MEAN_SD**2 + kin.total
    cross = _shared(item, item.part)
    data = np.array([own.centre for _, own in found]) - grand
    weights = _precision(item.part) @ cross
    mean = grand + float(weights @ data)
    variance = _MEAN_SD**2 + kin.total - float(weights @ cross)
    return mean, max(variance, 1e-6)


@lru_cache(maxsize=16)
def _precision(part: str) -> Floats:
    """Inverse covariance of the pooled figures of all plants of a part, about the grand mean."""
    found = _pooled_by_part()[part]
    shared = np.stack([_shared(item, part) for item, _ in found])
    return np.asarray(np.linalg.inv(shared + np.diag([own.error**2 for _, own in found])))


def _shared(item: Material, part: str) -> Floats:
    """Covariance of a plant's mean with those of all plants of its part that have figures."""
    kin = kinship(part)
    families, genera, ids = _kin_names(part)
    if not item.known:
        return np.full(ids.size, _MEAN_SD**2)
    family = families == item.family
    genus = family & (genera == item.genus)
    return np.asarray(
        _MEAN_SD**2 + kin.family * family + kin.genus * genus + kin.species * (ids == item.id)
    )


@lru_cache(maxsize=16)
def _kin_names(part: str) -> tuple[NDArray[np.str_], NDArray[np.str_], NDArray[np.str_]]:
    plants = [item for item, _ in _pooled_by_part()[part]]
    return (
        np.array([item.family for item in plants]),
        np.array([item.genus for item in plants]),
        np.array([item.id for item in plants]),
    )


@lru_cache(maxsize=1)
def _pooled_by_part() -> dict[str, list[tuple[Material, Pooled]]]:
    groups: dict[str, list[tuple[Material, Pooled]]] = {}
    for item in materials():
        own = pooled(item)
        if own is not None:
            groups.setdefault(item.part, []).append((item, own))
    return groups


@lru_cache(maxsize=1)
def _grand_mean() -> float:
    return _mean([_mean([own.centre for _, own in found]) for found in _pooled_by_part().values()])


def _within(
    groups: dict[str, list[tuple[Material, Pooled]]],
    key: Callable[[Material], tuple[str, ...]],
) -> float:
    """Pooled variance of centres within the groups that ``key`` makes."""
    sets: dict[tuple[str, ...], list[float]] = {}
    for found in groups.values():
        for item, own in found:
            sets.setdefault(key(item), []).append(own.centre)
    scatter, count = 0.0, 0
    for values in sets.values():
        mean = _mean(values)
        scatter += sum((value - mean) ** 2 for value in values)
        count += len(values) - 1
    return scatter / count


def _mean(values: list[float]) -> float:
    return sum(values) / len(values)


def _plural(part: str) -> str:
    return {"leaf": "leaves", "twig leaf": "twigs with leaves", "bark": "barks"}.get(
        part, part if part.endswith("s") else part + "s"
    )
