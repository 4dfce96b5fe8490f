"""What a trial with kitchen gear says about a pile: the belief before it, and after.

A trial liquor's strength is a mass balance of one small cook; gelatin tells tannin from other
solids; iron says little but the family; a snip that was struck through in so many days says how
strong the liquor tans, by the sharp front.  All are weighed together by the same update as a
tannage's readings.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tanwright.errors import InputError
from tanwright.planning.answers import MeasureOption, Range
from tanwright.planning.phrases import range_of
from tanwright.planning.setting import LotFacts
from tanwright.planning.sheet import Lot as SheetLot
from tanwright.planning.trial_how import cautions_of_trying
from tanwright.planning.trial_records import Trial, TrialAnswer
from tanwright.planning.worlds import cook_c, response_of
from tanwright.reference import lots, materials, parameters, priors
from tanwright.science import extraction, strength
from tanwright.science.belief import kinds
from tanwright.science.belief.evidence import Reading
from tanwright.science.belief.measure_next import Candidate, expected_narrowing
from tanwright.science.belief.noise import LooksNoise, Noise
from tanwright.science.belief.unknowns import Floats, Unknown, draw
from tanwright.science.belief.updating import DegenerateEnsembleError, update
from tanwright.science.uptake import model

PRESSED_L_PER_KG = 1.0
"""Liquor left in a handful that was pressed out in a cloth (from memory)."""
COOKED_HOURS = 3.0
SMALL_MM = 5.0
BARKS = ("bark", "root-bark")
RICH_BARK = 0.35
"""Air-dry share of tannin that few listed barks pass; their figures mostly end at a third."""
RICH_BARK_ASKS = (
    "More than a third tannin is rare in a bark: read the strength again in cool, clear liquor "
    "(mud, sugar and salt weigh too, and a liquor boiled down reads high), check what was weighed "
    "and how much water there was, and try gelatin. Plan with less until it stands."
)

GELATIN = LooksNoise(
    "gelatin and salt", ("none", "hazy", "cloudy", "curds"), (0.1, 0.8, 4.0), sd=0.9
)
"""Tannin in g/L at which one sign gives way to the next (from memory; the test shows a trace)."""
IRON = LooksNoise("iron", ("none", "grey", "coloured"), (0.03, 0.12), sd=0.9)
"""Tannin in g/L of the liquor; iron also colours with what does not tan (from memory)."""
RELEASE = Unknown(
    "release", "how readily the pieces give up their tannin", extraction.RELEASE_PER_HOUR, 0.5,
    "log", "1/hour", ("memory",),
)  # fmt: skip
SNIP_SD = 0.5
"""Scatter of the log of a snip's days about the sharp front: one sliver a day, uneven snips."""


@dataclass(frozen=True)
class TrialWorlds:
    """What each world makes of the trial, (m,)."""

    tannin_share: Floats
    moisture: Floats
    tannin_g_per_l: Floats
    strength_bk: Floats
    snip_days: Floats


def assess(trial: Trial, *, members: int = 1000, seed: int = 1) -> TrialAnswer:
    """The belief about a pile after ``trial``.

    Raises InputError if the trial lacks what its readings need (mass and water for a strength).
    """
    asks_for_liquor = (trial.strength, trial.litre, trial.snip)
    unknown_cook = trial.mass_kg is None or trial.water_l is None
    if unknown_cook and any(seen is not None for seen in asks_for_liquor):
        raise InputError(
            "a strength says nothing about the pile without what was cooked",
            place="--mass and --water",
            remedy='add --mass "250 g" --water "2 L"',
        )
    material = materials.material(trial.material_id)
    history = lots.Lot(state=trial.state)
    prior = priors.tannin_prior(trial.material_id, history)
    unknowns = _unknowns(trial, prior.unknown)
    rng = np.random.default_rng(seed)
    z = draw(members, unknowns, rng)
    readings, predict, reasons = _evidence(trial)
    told: list[str] = []

    def forward(z: Floats) -> Floats:
        worlds = _worlds(trial, unknowns, z)
        return np.stack([one(worlds) for one in predict], axis=1)

    try:
        posterior = update(z, forward, readings, rng)
    except DegenerateEnsembleError as error:
        if error.partial is None:
            raise
        posterior = error.partial
        told.append("The readings of this trial contradict each other: repeat the clearest one.")
    for check in posterior.checks:
        if check.verdict != "ok" and check.label in ("iron: none", "gelatin: none"):
            told.append(
                f"{check.label} says next to no tannin, against all that is known of "
                f"{material.name}, and moves little: repeat it. If it stays so, the pile is "
                "leached out or another plant."
            )
        elif check.verdict == "set-aside":
            told.append(
                f"{check.label} is far off what any {material.name} gives "
                f"({check.expected.p05:.3g} to {check.expected.p95:.3g}): set aside, measure again."
            )
        elif check.verdict == "odd":
            told.append(f"{check.label} is odd for {material.name}; it is used, but repeat it.")
    before, after = _worlds(trial, unknowns, z), _worlds(trial, unknowns, posterior.z)
    if material.part in BARKS and float(np.median(after.tannin_share)) > RICH_BARK:
        told.append(RICH_BARK_ASKS)
    has_liquor = trial.mass_kg is not None and trial.water_l is not None
    pct = range_of(100.0 * _as_it_lies(after))
    return TrialAnswer(
        material_id=trial.material_id,
        name=material.name,
        before_pct=range_of(100.0 * _as_it_lies(before)),
        after_pct=pct,
        air_dry_pct=range_of(100.0 * after.tannin_share),
        strength_bk=range_of(after.strength_bk) if has_liquor else None,
        verdict=_verdict(material.name, pct),
        reasons=(prior.rule, *reasons),
        told=tuple(told),
        measure_next=_next(trial, after, rng) if has_liquor else (),
        cautions=cautions_of_trying(trial.material_id),
        sources=tuple(dict.fromkeys((*prior.unknown.sources, "procter1903", "bennett1921"))),
    )


def _unknowns(trial: Trial, tannin: Unknown) -> tuple[Unknown, ...]:
    shared = ("extraction_factor", "solubles_per_degree", "diffusivity", "binding_capacity",
              "half_saturation")  # fmt: skip
    return (
        tannin,
        priors.moisture_prior(trial.material_id, trial.state),
        priors.purity_prior(trial.material_id),
        *(parameters.parameter(name) for name in shared),
        RELEASE,
    )


def _worlds(trial: Trial, unknowns: tuple[Unknown, ...], z: Floats) -> TrialWorlds:
    value = [unknown.value(z[:, column]) for column, unknown in enumerate(unknowns)]
    tannin, moisture, purity, factor, per_degree, diffusivity, capacity, half, release = value
    mass, water = trial.mass_kg or 0.25, trial.water_l or 2.0
    fact = _fact(trial)
    base = extraction.air_dry_kg(mass, moisture)
    series = extraction.cooks(
        mass,
        tannin,
        moisture,
        purity,
        water / trial.waters / base,
        trial.waters,
        cook_c(fact),
        COOKED_HOURS,
        response=response_of(fact),
        piece_mm=SMALL_MM,
        held_l_per_kg=PRESSED_L_PER_KG,
        rate_at_reference=release,
    )
    share = np.minimum(series.drawn_share * factor, 0.98)
    grams = series.contained_g * share / water
    solubles = grams / purity
    return TrialWorlds(
        tannin_share=tannin,
        moisture=moisture,
        tannin_g_per_l=grams,
        strength_bk=solubles / per_degree,
        snip_days=_snip_days(trial, grams, diffusivity, capacity, half),
    )


def _snip_days(
    trial: Trial, tannin: Floats, diffusivity: Floats, capacity: Floats, half: Floats
) -> Floats:
    """Sharp front through a snip from both faces: t = rho q l^2 / (2 D c)."""
    snip = trial.snip
    thickness = 1.0 if snip is None or snip.thickness_mm is None else snip.thickness_mm
    warm = 18.0 if snip is None or snip.liquor_c is None else snip.liquor_c
    density = parameters.parameter("pelt_density").median
    hide = parameters.parameter("hide_substance_share").median * density * 1000.0
    bound = hide * capacity * tannin / (half + tannin)
    heat = float(model.heat_factor(warm))
    way = 0.6 * thickness
    return np.asarray(bound * way**2 / (2.0 * diffusivity * heat * np.maximum(tannin, 1e-6)))


def _fact(trial: Trial) -> LotFacts:
    material = materials.material(trial.material_id)
    lot = SheetLot(trial.material_id, material.name, None, True, None, lots.Lot(state=trial.state))
    prior = priors.tannin_prior(trial.material_id)
    return LotFacts(
        lot, material.name, material.part, prior.unknown, prior.unknown, prior.unknown, prior
    )


def _as_it_lies(worlds: TrialWorlds) -> Floats:
    """Tannin as a share of the material as it lies."""
    dry = (1.0 - worlds.moisture) / (1.0 - extraction.AIR_DRY_MOISTURE)
    return np.asarray(worlds.tannin_share * dry)


Prediction = Callable[[TrialWorlds], Floats]


def _evidence(trial: Trial) -> tuple[list[Reading], list[Prediction], list[str]]:
    readings: list[Reading] = []
    predict: list[Prediction] = []
    reasons: list[str] = []

    def add(noise: Noise, observed: float, label: str, one: Prediction, reason: str) -> None:
        readings.append(Reading(noise, observed, "", label))
        predict.append(one)
        reasons.append(reason)

    if trial.strength is not None:
        bk, noise, how = _strength(trial)
        add(noise, bk, f"the strength {bk:.1f} °Bk", lambda w: w.strength_bk,
            f"{how}: {bk:.1f} °Bk at 15.6 °C, of which part is not tannin.")  # fmt: skip
    if trial.litre is not None:
        warm = trial.litre.liquor_c if trial.litre.liquor_c is not None else 20.0
        sg = strength.weighed_to_sg(trial.litre.weight_g, trial.litre.volume_ml, warm)
        bk = float(strength.bk_from_sg(sg))
        add(kinds.LITRE_WEIGHT, bk, f"the weight of a litre ({bk:.0f} °Bk)",
            lambda w: w.strength_bk,
            f"Weight of a litre: about {bk:.0f} °Bk, give or take 3.")  # fmt: skip
    if trial.gelatin is not None:
        add(GELATIN, GELATIN.number(trial.gelatin), f"gelatin: {trial.gelatin}",
            lambda w: w.tannin_g_per_l,
            f"Gelatin and salt: {trial.gelatin}; it answers to tannin only, so it tells tannin "
            "from other solids.")  # fmt: skip
    if trial.iron is not None:
        word = {"none": "none", "grey": "grey"}.get(trial.iron, "coloured")
        family = {
            "blue-black": "points to tannins of the gall and leaf kind (oak bark shows it too)",
            "green-black": "points to tannins of the bark kind (condensed)",
            "grey": "is faint: little tannin, or very thin liquor",
            "none": "says there is next to no tannin",
        }[trial.iron]
        add(IRON, IRON.number(word), f"iron: {trial.iron}", lambda w: w.tannin_g_per_l,
            f"Iron: {trial.iron} {family}.")  # fmt: skip
    if trial.snip is not None:
        from dataclasses import replace

        noise = replace(kinds.STRIKE_DAYS, sd=SNIP_SD)
        add(noise, trial.snip.days, f"the snip of {trial.snip.days:g} days", lambda w: w.snip_days,
            f"A snip struck through in {trial.snip.days:g} days; this leans on how fast the "
            "skin is, which differs more than bark does.")  # fmt: skip
    return readings, predict, reasons


def _strength(trial: Trial) -> tuple[float, Noise, str]:
    shown = trial.strength
    if shown is None:
        raise InputError("there is no strength in this trial")
    if shown.scale in ("brix", "plato"):
        sg = strength.refractometer_to_sg(shown.value)
        return float(strength.bk_from_sg(sg)), kinds.REFRACTOMETER, "Refractometer"
    sg = strength.convert(shown.value, shown.scale, "sg")
    if shown.liquor_c is not None and shown.scale != "solubles":
        usual = strength.BARKOMETER_REFERENCE_C if shown.scale == "bk" else 20.0
        reference = usual if trial.calibrated_at_c is None else trial.calibrated_at_c
        sg = strength.hydrometer_to_sg(sg, shown.liquor_c, reference)
    return float(strength.bk_from_sg(sg)), kinds.HYDROMETER, "Hydrometer"


def _verdict(name: str, pct: Range) -> str:
    if pct.p50 < 4.0:
        word = "weak: it takes a great deal of it, or a stronger plant beside it"
    elif pct.p50 < 8.0:
        word = "on the weak side: fit for thin skins, in quantity"
    elif pct.p50 < 18.0:
        word = "a fair tanning material"
    else:
        word = "strong: start with thin liquors"
    return (
        f"This {name} holds about {pct.p50:.2g} % tannin ({pct.p05:.2g} to {pct.p95:.2g}), {word}."
    )


def _next(trial: Trial, worlds: TrialWorlds, rng: np.random.Generator) -> tuple[MeasureOption, ...]:
    """What another reading of the same liquor should narrow."""
    listed: list[tuple[Candidate, str]] = []
    if trial.strength is None:
        hydrometer = kinds.HYDROMETER.alone()
        candidate = Candidate("strength by hydrometer", hydrometer, worlds.strength_bk)
        listed.append((candidate, "a brewing hydrometer will do"))
        if trial.litre is None:
            litre = kinds.LITRE_WEIGHT.alone()
            candidate = Candidate("weight of a litre", litre, worlds.strength_bk)
            listed.append((candidate, "a scale that shows single grams"))
    if trial.gelatin is None:
        candidate = Candidate("gelatin and salt", GELATIN, worlds.tannin_g_per_l)
        listed.append((candidate, "a few drops into clear liquor"))
    if not listed:
        return ()
    target = {"amount": np.log(np.maximum(worlds.tannin_share, 1e-6))}
    found = expected_narrowing([candidate for candidate, _ in listed], target, rng)
    return tuple(
        MeasureOption(candidate.name, how, 0.0, float(found.of(candidate.name, "amount")))
        for candidate, how in listed
    )
