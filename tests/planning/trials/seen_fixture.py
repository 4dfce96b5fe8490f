"""Trials with a known truth, as they are read from files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from tanwright.planning.trials.records import Grade, Measure, Patch, Ranking, Seen, Treatment

OAK, WILLOW, ALDER = "quercus-robur-bark", "salix-caprea-bark", "alnus-glutinosa-bark"


def seen_trial(
    lead: Mapping[str, float],
    *,
    patches: int = 6,
    graders: int = 2,
    qualities: Sequence[str] = ("firmness",),
    jars: int = 2,
    rows: int = 0,
    seed: int = 1,
) -> Seen:
    """Treatments ``lead`` by their true grade on the middle of every scale, in steps."""
    rng = np.random.default_rng(seed)
    keys = list(lead)
    treatments = tuple(Treatment(key, "the usual way" if key == "control" else key) for key in keys)
    laid = []
    for key in keys:
        for number in range(patches):
            code = f"{key[:2]}{number}"
            jar = f"{key} {number % jars + 1}"
            laid.append(Patch(code, "1", "deer", "shanks", f"leg {number % 3}", key, jar))
    grades, rankings = [], []
    for quality in qualities:
        top = 7 if quality == "colour" else 5
        worth = {p.code: (top + 1) / 2 + lead[p.treatment] + rng.normal(0, 0.3) for p in laid}
        for g in range(graders):
            for patch in laid:
                felt = worth[patch.code] + rng.normal(0, 0.5) + 0.3 * g
                grades.append(
                    Grade(patch.code, f"grader {g + 1}", quality, int(np.clip(round(felt), 1, top)))
                )
        for r in range(rows):
            order = sorted(worth, key=lambda c: -(worth[c] + rng.normal(0, 0.3)))
            rankings.append(Ranking(f"grader {r + 1}", quality, tuple((c,) for c in order)))
    return Seen(treatments, tuple(laid), tuple(grades), tuple(rankings))


def blend_trial(*, three: bool = False, patches: int = 4, seed: int = 2) -> Seen:
    """Oak is firm and harsh, willow soft and kind; half and half is kinder than their mean."""
    rng = np.random.default_rng(seed)
    mixes: list[dict[str, float]] = [{OAK: 1.0}, {WILLOW: 1.0}, {OAK: 0.5, WILLOW: 0.5}]
    if three:
        mixes += [{ALDER: 1.0}, {OAK: 0.5, ALDER: 0.5}, {WILLOW: 0.5, ALDER: 0.5}]
    firm, kind = {OAK: 4.5, WILLOW: 2.0, ALDER: 3.0}, {OAK: 1.7, WILLOW: 4.0, ALDER: 2.5}
    treatments, laid, grades, measures = [], [], [], []
    for number, mix in enumerate(mixes):
        key = "control" if number == 0 else f"mix-{number}"
        treatments.append(Treatment(key, "oak alone" if number == 0 else key, mix))
        for p in range(patches):
            code = f"{key}-{p}"
            laid.append(Patch(code, "1", "deer", "shanks", f"leg {p}", key, f"{key} {p % 2}"))
            cross = mix.get(OAK, 0.0) * mix.get(WILLOW, 0.0)
            for quality, truth, bonus in (("firmness", firm, 0.0), ("feel", kind, 3.0)):
                middle = sum(truth[m] * s for m, s in mix.items()) + bonus * cross
                for g in range(2):
                    felt = middle + rng.normal(0, 0.5)
                    grades.append(
                        Grade(code, f"grader {g}", quality, int(np.clip(round(felt), 1, 5)))
                    )
            measures += [
                Measure(code, "pelt-weight", 40.0 + rng.normal(0, 2), "g"),
                Measure(code, "dry-weight", 15.0 + rng.normal(0, 0.5), "g"),
            ]
    return Seen(tuple(treatments), tuple(laid), tuple(grades), (), tuple(measures))
