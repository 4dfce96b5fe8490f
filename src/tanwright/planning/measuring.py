"""Which reading to take next, and which missing fact of the sheet buys most."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tanwright.planning.answers import Cause, MeasureOption, Worth
from tanwright.planning.outcome import Outcome
from tanwright.planning.phrases import cut_places
from tanwright.planning.setting import Setting
from tanwright.planning.worlds import Worlds
from tanwright.science.belief import kinds
from tanwright.science.belief.causes import shares_of_variance
from tanwright.science.belief.measure_next import Candidate, expected_narrowing
from tanwright.science.belief.noise import AmountNoise
from tanwright.science.belief.unknowns import Floats

COARSE_LITRE = replace(kinds.LITRE_WEIGHT, sd_at_zero=6.0)
"""A litre on a kitchen scale of unknown fineness: twice the error of a fine one (from memory)."""

THICKNESS = AmountNoise("thickness", "mm", sd=0.07)
"""A calliper or a stack of paper on a wet fold (from memory)."""

FACTS = {
    "skin.thickness": (
        "thickness:",
        "measure it with a calliper at three places and take the mean",
    ),
    "skin.weight": ("pelt:", "weigh it, drained, on a kitchen or hanging scale"),
    "material.tannin": ("tannin:", "make a trial cook of 250 g: tanwright try"),
    "tools.strength": ("purity:", "a brewing hydrometer on the first cook"),
}

REMEDIES = {
    "tannin": "a trial cook or the strength of the first pot tells it",
    "pelt": "weigh the pelt after liming",
    "thickness": "measure it in a few places",
    "diffusivity": "the first cut tells it",
    "half_saturation": "the strength after a few quiet days tells it",
    "binding_capacity": "the strength after a few quiet days tells it",
    "moisture": "dry the lot until its weight holds, then weigh it",
    "purity": "the fall of the strength while the skin drinks tells it",
    "hide_substance_share": "weigh the finished leather, for next time",
    "extraction_factor": "the strength of the first pot tells it",
}


def causes(setting: Setting, z: Floats, target: Floats, *, log: bool) -> tuple[Cause, ...]:
    """What makes the range of ``target`` (m,) wide, largest first; inf is allowed on ranks."""
    shares = shares_of_variance(z, target, scale="log" if log else "rank")
    found = [
        Cause(u.name, u.label, float(share), REMEDIES.get(u.name.split(":")[0], ""))
        for u, share in zip(setting.unknowns, shares.share, strict=True)
    ]
    found.sort(key=lambda cause: -cause.share)
    kept = [cause for cause in found if cause.share >= 0.03][:6]
    rest = 1.0 - sum(cause.share for cause in kept)
    if rest > 0.005:
        kept.append(Cause("rest", "everything else together", rest))
    return tuple(kept)


def candidates(
    setting: Setting, worlds: Worlds, outcome: Outcome, now: float
) -> list[tuple[Candidate, str]]:
    """Readings possible now, with how to take each."""
    found: list[tuple[Candidate, str]] = []
    strength = outcome.result.at(max(now, 0.0), outcome.strength_bk)
    begun = now > 0.0
    where = "the vat" if begun else "the first liquor"
    if setting.sheet.tools.strength == "hydrometer":
        found.append(
            (
                Candidate(f"strength of {where} (hydrometer)", kinds.HYDROMETER.alone(), strength),
                "stir, take a glassful, read at the bottom of the curve, note its temperature",
            )
        )
    elif setting.sheet.tools.strength == "refractometer":
        found.append(
            (
                Candidate(
                    f"strength of {where} (refractometer)", kinds.REFRACTOMETER.alone(), strength
                ),
                "stir, one drop on the glass, read Brix",
            )
        )
    else:
        fine = setting.sheet.tools.litre_scale
        noise = kinds.LITRE_WEIGHT if fine else COARSE_LITRE
        how = "fill a measured litre to the mark on a kitchen scale"
        found.append(
            (
                Candidate(f"weight of a litre of {where}", noise.alone(), strength),
                how if fine else f"{how}; one that shows single grams tells far more",
            )
        )
        found.append(
            (
                Candidate(
                    f"strength of {where} (a borrowed hydrometer)",
                    kinds.HYDROMETER.alone(),
                    strength,
                ),
                "a brewing hydrometer will do",
            )
        )
    found.append(
        (
            Candidate(f"look of {where} in a glass", kinds.LOOKS.alone(), strength),
            "a white cup in daylight: pale tea, tea, strong tea, coffee or black coffee",
        )
    )
    if begun:
        through = outcome.result.at(now, outcome.through)
        found.append(
            (
                Candidate("a cut at the thick place", kinds.CUT, through),
                f"a thin sliver {cut_places(setting)}, look at the wet edge",
            )
        )
    for index, skin in enumerate(setting.skins):
        said = setting.sheet.skins[index]
        if said.thickness_mm is None:
            found.append(
                (
                    Candidate(
                        f"thickness of the {skin.name or 'skin'}",
                        THICKNESS,
                        worlds.thickness_mm[:, index],
                    ),
                    "calliper, three places, mean",
                )
            )
        # Wet hair weighs more than the pelt under it.
        unweighed = said.stage not in ("limed", "delimed") or said.weight_kg is None
        if not begun and not skin.hair_on and unweighed:
            found.append(
                (
                    Candidate(
                        f"weight of the pelt of the {skin.name or 'skin'}",
                        kinds.PELT_WEIGHT.alone(),
                        worlds.pelt_kg[:, index] / skin.count,
                    ),
                    f"after {'scaling' if said.animal == 'fish' else 'unhairing'} and fleshing, "
                    "drained for ten minutes",
                )
            )
    return found


def measure_next(
    setting: Setting,
    worlds: Worlds,
    outcome: Outcome,
    amount_kg: Floats,
    now: float,
    rng: np.random.Generator,
) -> tuple[MeasureOption, ...]:
    """Expected narrowing of the finish day and of the log of the amount, most telling first."""
    listed = candidates(setting, worlds, outcome, now)
    targets = {"finish": outcome.finish_day, "amount": np.log(np.maximum(amount_kg, 1e-3))}
    found = expected_narrowing([c for c, _ in listed], targets, rng)
    options = [
        MeasureOption(
            candidate.name,
            how,
            float(found.of(candidate.name, "finish")),
            float(found.of(candidate.name, "amount")),
        )
        for candidate, how in listed
    ]
    options.sort(key=lambda option: -(option.narrows_finish + option.narrows_amount))
    return tuple(options)


def worth_knowing(setting: Setting, amount_causes: tuple[Cause, ...]) -> tuple[Worth, ...]:
    """What a better answer to each missing fact would take off the spread of the amount."""
    found: list[Worth] = []
    left_out = set(setting.sheet.left_out) | {"material.tannin"}
    if setting.sheet.tools.strength != "none":
        left_out.discard("tools.strength")
    for fact in sorted(left_out & set(FACTS)):
        prefix, how = FACTS[fact]
        share = sum(cause.share for cause in amount_causes if cause.name.startswith(prefix))
        narrowing = 1.0 - float(np.sqrt(max(0.0, 1.0 - share)))
        if narrowing >= 0.01:
            found.append(Worth(fact, narrowing, how))
    found.sort(key=lambda worth: -worth.narrows_amount)
    return tuple(found)
