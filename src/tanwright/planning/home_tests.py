"""Tests that one can do at home on a plant nobody knows, and what their results make likely."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tanwright.errors import InputError
from tanwright.planning.answers import Range
from tanwright.planning.phrases import of_ten
from tanwright.reference import home_tests as reference
from tanwright.reference import materials, priors
from tanwright.reference.cautions import Caution, cautions_for
from tanwright.reference.home_tests import CLASSES, PlantTest
from tanwright.reference.materials import Material
from tanwright.science.belief import class_and_strength as belief
from tanwright.science.belief.unknowns import Floats

SLIPS = 0.03
"""Share of results that are misread (from memory)."""
LITTLE_PCT = 3.0
"""Below so much tannin a material is not worth the cooking (from memory)."""
GOOD_PCT = 7.0
"""From so much on it is worth a trial by itself (from memory)."""
SOAPY_TRUST = 0.5
"""What gelatin and pucker count when the plant foams (from memory)."""
SOAPY = ("gelatin", "pucker")
SIGNS_OF_CLASS = ("iron", "lime-water", "standing", "sour-boil")
"""Tests that look at the same phenols by another door: several of them repeat each other."""
CLASS_KNOWN = 0.85
"""Chance that the class printed for a named plant is right; most are from memory."""
NOT_TO_TASTE = frozenset({"poisonous", "irritant", "allergen", "look-alike"})
EATEN = frozenset(
    (
        "agrimonia-eupatoria-whole-herb", "alchemilla-vulgaris-whole-herb",
        "bistorta-officinalis-rhizome", "camellia-sinensis-leaf",
        "chamaenerion-angustifolium-leaf", "coffea-arabica-fruit", "diospyros-kaki-fruit",
        "fragaria-vesca-leaf", "garcinia-mangostana-fruit-hull", "geum-urbanum-root",
        "olea-europaea-leaf", "phyllanthus-emblica-fruit", "potentilla-erecta-rhizome",
        "punica-granatum-fruit", "punica-granatum-fruit-hull", "rhus-coriaria-fruit",
        "rubus-fruticosus-leaf", "terminalia-chebula-fruit", "vitis-vinifera-fruit",
    )
)  # fmt: skip
"""What people eat, chew or brew as tea (from memory): only of these may a crumb be chewed. That no
danger is told of a plant does not make it harmless."""
BLANK = {"unnamed": 0.25, "no figure": 0.05, "figures": 0.01}
"""Chance that the stuff holds next to no tannin, as most plants do: the priors are of plants that
somebody thought worth printing (from memory)."""
BLANK_PCT = (0.03, 2.5)
"""Strength of such stuff, even in the logarithm (from memory)."""
_Z = np.linspace(-4.0, 4.0, 161)


@dataclass(frozen=True)
class Result:
    """One thing that may be seen: its word, and what it is a sign of."""

    id: str
    words: str
    meaning: str


@dataclass(frozen=True)
class HomeTest:
    """One test. ``place`` is "home" or "laboratory"; the latter is told of, never asked for.

    ``how`` are the steps in order, ``results`` what may be seen.
    """

    id: str
    name: str
    place: str
    asks: str
    how: tuple[str, ...]
    results: tuple[Result, ...]
    limits: str
    cautions: tuple[Caution, ...]
    source: str


@dataclass(frozen=True)
class Judged:
    """What the results make likely.

    Attributes
    ----------
    classes:
        Chance of each of :data:`CLASSES`; they sum to 1.
    tannin_pct:
        Tannin of the air-dry material, 5th, 50th and 95th percentile.
    tannin_before_pct:
        The same before any test.
    hardly_any:
        Chance that there is less than 3 % of it, too little to tan with.
    verdict:
        What to do, in plain words.
    reasons:
        What each result did to the belief.
    limits:
        What the tests cannot tell.
    sources:
        Keys of the sources behind the likelihoods and the prior.
    """

    classes: Mapping[str, float]
    tannin_pct: Range
    tannin_before_pct: Range
    hardly_any: float
    verdict: str
    reasons: tuple[str, ...]
    limits: tuple[str, ...]
    cautions: tuple[Caution, ...]
    sources: tuple[str, ...]


@lru_cache(maxsize=1)
def home_tests() -> tuple[HomeTest, ...]:
    """All tests: those for home first, then those that need a laboratory."""
    return tuple(_shown(test) for test in reference.plant_tests())


def judge(part: str, results: Mapping[str, str], material_id: str | None = None) -> Judged:
    """Belief about class and strength after the tests.

    Bayes' rule on a grid of classes and strengths; tests are taken to be independent once class
    and strength are given, but for signs of the class, which repeat each other. See
    docs/method/home-tests.md.

    Parameters
    ----------
    part:
        Part of the plant: bark, leaf, gall.
    results:
        Id of the result seen, by id of the test. None leaves the prior as it is.
    material_id:
        The plant, when it is known; otherwise an unknown plant of that part.

    Raises
    ------
    InputError
        For an unknown part, test or result, a test that is not for home, or a crumb chewed of a
        plant that is unnamed or may harm.
    UnknownMaterialError
        For an unknown material.
    """
    item = _item(part, material_id)
    done = _checked(results, item)
    tannin_pct, weights = _strengths(item)
    joint = _class_prior(item)[:, None] * weights[None, :]
    before = _range(tannin_pct, joint)
    soapy = results.get("foam") == "lasting"
    # k such signs count as much as the root of k would if none knew of the others (from memory).
    alike = max(sum(test.id in SIGNS_OF_CLASS for test, _ in done), 1) ** -0.5
    reasons = []
    for test, result in done:
        foams = soapy and test.id in SOAPY
        trust = SOAPY_TRUST if foams else alike if test.id in SIGNS_OF_CLASS else 1.0
        after = belief.updated(joint, _chance(test, result, tannin_pct), trust)
        reasons.append(_reason(test, result, tannin_pct, joint, after, foams=foams))
        joint = after
    by_class = {name: float(share) for name, share in zip(CLASSES, joint.sum(axis=1), strict=True)}
    strength = joint.sum(axis=0)
    hardly = float(strength[tannin_pct < LITTLE_PCT].sum())
    after_range = _range(tannin_pct, joint)
    return Judged(
        classes=by_class,
        tannin_pct=after_range,
        tannin_before_pct=before,
        hardly_any=hardly,
        verdict=_verdict(item, bool(done), by_class, after_range, hardly),
        reasons=tuple(reasons),
        limits=_limits(done),
        cautions=_cautions(item, done),
        sources=tuple(
            dict.fromkeys(
                [
                    *(test.source for test, _ in done),
                    *(_result(test, result).source for test, result in done),
                    *priors.tannin_prior(item.id).unknown.sources,
                    "memory",
                ]
            )
        ),
    )


Done = list[tuple[PlantTest, str]]


def _item(part: str, material_id: str | None) -> Material:
    if material_id:
        item = materials.material(material_id)
        if item.part != part:
            raise InputError(
                f"{item.id} is a {item.part}, not a {part}",
                place="part",
                remedy=f"write {item.part}, or leave the plant out",
            )
        return item
    if part not in materials.PARTS:
        raise InputError(
            f'no part of a plant is called "{part}"',
            place="part",
            remedy="write one of " + ", ".join(materials.PARTS),
        )
    return materials.material(f"unknown-{part}")


def _checked(results: Mapping[str, str], item: Material) -> Done:
    """Tests and results in the order of the table."""
    for id, result in results.items():
        test = reference.find_test(id)
        if test.place != "home":
            raise InputError(
                f"{test.name} is for a laboratory", place=id, remedy="leave it out of a home test"
            )
        known = [each.id for each in reference.results_of(id)]
        if result not in known:
            raise InputError(
                f'"{result}" is no result of the test {test.name}',
                place=id,
                remedy="write one of " + ", ".join(known),
            )
    if "pucker" in results and not may_be_tasted(item):
        raise InputError(
            "a plant that is not known as harmless must not be tasted",
            place="pucker",
            remedy="leave that test out; if it was chewed and makes you ill, call a doctor",
        )
    return [(test, results[test.id]) for test in reference.plant_tests() if test.id in results]


def may_be_tasted(item: Material) -> bool:
    """Whether a crumb may be chewed: one of :data:`EATEN`, without a hazard of its own."""
    return item.id in EATEN and not NOT_TO_TASTE & set(item.hazards)


def _strengths(item: Material) -> tuple[Floats, Floats]:
    """Grid of strengths [%], rising, and their weights, both (n,): the prior of a lot, and beside
    it the chance that there is next to nothing in it."""
    unknown = priors.tannin_prior(item.id).unknown
    lot = np.exp(-0.5 * _Z**2)
    figures = any(row.use == "prior" for row in item.observations)
    blank = BLANK["figures" if figures else "no figure" if item.known else "unnamed"]
    little = np.geomspace(*BLANK_PCT, 41)
    pct = np.concatenate([little, 100.0 * unknown.value(_Z)])
    weights = np.concatenate([np.full(41, blank / 41.0), (1.0 - blank) * lot / lot.sum()])
    order = np.argsort(pct, kind="stable")
    return pct[order], weights[order]


def _class_prior(item: Material) -> Floats:
    """Chance of each class, (c,): of the plant, or of the listed plants of its part."""
    if item.tannin_class in CLASSES:
        left = (1.0 - CLASS_KNOWN) / (len(CLASSES) - 1)
        return np.array([CLASS_KNOWN if name == item.tannin_class else left for name in CLASSES])
    if item.tannin_class == "hydrolysable":
        return np.array([0.03, 0.45, 0.45, 0.07])
    everywhere = _counts(None)
    counts = _counts(item.part) + 2.0 * everywhere / everywhere.sum()
    return np.asarray(counts / counts.sum())


@lru_cache(maxsize=16)
def _counts(part: str | None) -> Floats:
    """Listed materials of each class, (c,); a plain "hydrolysable" counts half for each kind."""
    counts = dict.fromkeys(CLASSES, 0.0)
    for item in materials.materials():
        if part is not None and item.part != part:
            continue
        if item.tannin_class == "hydrolysable":
            counts["gallotannin"] += 0.5
            counts["ellagitannin"] += 0.5
        elif item.tannin_class in counts:
            counts[item.tannin_class] += 1.0
    return np.array(list(counts.values()))


def _chance(test: PlantTest, result: str, tannin_pct: Floats) -> Floats:
    """Chance of the result, (c, n)."""
    found = reference.results_of(test.id)
    index = [each.id for each in found].index(result)
    see, spread = test.see_pct or 1.0, test.see_spread or 1.0
    limits = [each.from_pct for each in found if each.from_pct is not None]
    if limits:
        none = [each.none for each in found]
        graded = belief.grading(tannin_pct, limits, none, index, see, spread)
        chance = np.tile(graded, (len(CLASSES), 1))
    else:
        here = found[index]
        chance = belief.naming(tannin_pct, here.shares, here.none, see, spread)
    return belief.with_slips(chance, len(found), SLIPS)


def _result(test: PlantTest, result: str) -> reference.PlantTestResult:
    return next(each for each in reference.results_of(test.id) if each.id == result)


def _range(tannin_pct: Floats, joint: Floats) -> Range:
    weights = joint.sum(axis=0)
    low, middle, high = (
        belief.percentile(tannin_pct, weights, share) for share in (0.05, 0.5, 0.95)
    )
    return Range(low, middle, high)


def _reason(
    test: PlantTest, result: str, tannin_pct: Floats, old: Floats, new: Floats, *, foams: bool
) -> str:
    here = _result(test, result)
    told = f"{test.name[:1].upper()}{test.name[1:]}: {here.words}, a sign of: {here.meaning}."
    change = new.sum(axis=1) - old.sum(axis=1)
    most = int(np.argmax(np.abs(change)))
    effects = []
    if abs(change[most]) >= 0.03:
        effects.append(
            f"{CLASSES[most]} goes from {100 * old.sum(axis=1)[most]:.0f} to "
            f"{100 * new.sum(axis=1)[most]:.0f} %"
        )
    was, now = _range(tannin_pct, old).p50, _range(tannin_pct, new).p50
    if abs(now / was - 1.0) >= 0.05:
        effects.append(f"the likely strength goes from {was:.2g} to {now:.2g} %")
    told += f" By it {' and '.join(effects)}." if effects else " It changes little."
    if foams:
        told += " It counts half, since the plant foams."
    return told


def _verdict(
    item: Material, tested: bool, classes: Mapping[str, float], tannin: Range, hardly: float
) -> str:
    if not item.may_be_suggested:
        return f"Leave it alone, whatever the tests say: {item.cautions}."
    name = max(classes, key=lambda each: classes[each])
    if classes[name] >= 0.6:
        kind = f"Its tannin is most likely {WORDS[name]} ({of_ten(classes[name])})"
    else:
        second = sorted(classes, key=lambda each: -classes[each])[1]
        kind = f"The class stays open: {WORDS[name]} or {WORDS[second]}"
    if hardly >= 0.5:
        return (
            f"Probably hardly any tannin ({of_ten(hardly)}): not worth the cooking. {kind}, as far "
            "as there is any."
        )
    if tannin.p50 >= GOOD_PCT and hardly < 0.1:
        worth = "Worth a trial on an offcut beside a plant that you trust"
    else:
        worth = "Perhaps worth it: cook a small pot and read its strength before you gather more"
    unsaid = "" if tested else " Nothing was tested yet."
    return f"{worth}. {kind}.{unsaid}"


WORDS = {
    "condensed": "condensed, as in most barks",
    "gallotannin": "gallotannin, as in sumac and galls",
    "ellagitannin": "ellagitannin, as in oak wood and valonia",
    "mixed": "a mixture of the kinds, as in oak bark",
}


def _limits(done: Done) -> tuple[str, ...]:
    general = (
        "None of the shares behind these answers was measured: they are judgements from memory, so "
        "take the chances as rough.",
        "Only a hydrometer in a cook of known amounts, or hide powder in a laboratory, tells how "
        "strong it is.",
    )
    return (*(f"{test.name}: {test.limits}" for test, _ in done), *general)


def _cautions(item: Material, done: Done) -> tuple[Caution, ...]:
    topics = [topic for test, _ in done for topic in test.cautions]
    if item.known:
        topics = [topic for topic in topics if topic != "unnamed-plant"]
        topics.append(f"material:{item.id}")
    else:
        topics.append("unnamed-plant")
    return cautions_for(dict.fromkeys(topics))


def _shown(test: PlantTest) -> HomeTest:
    return HomeTest(
        id=test.id,
        name=test.name,
        place=test.place,
        asks=test.asks,
        how=test.how,
        results=tuple(
            Result(each.id, each.words, each.meaning) for each in reference.results_of(test.id)
        ),
        limits=test.limits,
        cautions=cautions_for(test.cautions),
        source=test.source,
    )
