"""When the trial cannot say: in words, with what to do about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from tanwright.planning.trials.analysis import QualityResult, TrialAnalysis
from tanwright.planning.trials.board import Board, board, looks_of, measured, rows_of
from tanwright.planning.trials.records import CONTROL, Seen
from tanwright.reference.grading import grading_measure, grading_scale
from tanwright.science.trials import diagnostics

Weight = Literal["cannot say", "with care", "good to know"]
STRANGERS_AGREE = 0.5
"""Kendall's W under which graders are told to talk about the scale first (from memory)."""


@dataclass(frozen=True)
class Note:
    """One thing to know before believing a result.

    ``about`` is empty for the whole trial, else the name of a quality; ``remedy`` says what would
    help.
    """

    weight: Weight
    about: str
    what: str
    remedy: str


def diagnose(seen: Seen, found: TrialAnalysis) -> tuple[Note, ...]:
    """All notes on a trial and its analysis, the gravest first."""
    lie = board(seen)
    notes = _of_the_lie(lie)
    for quality in found.qualities:
        notes += _of_quality(quality, seen, lie)
    notes += _of_one_hand(seen, found)
    notes += [
        Note("cannot say", name, f"{_start(name)} was left out: {why}.", "")
        for name, why in found.left_out.items()
    ]
    order = ("cannot say", "with care", "good to know")
    return tuple(sorted(notes, key=lambda note: (order.index(note.weight), note.about)))


def _of_the_lie(lie: Board) -> list[Note]:
    count = len(lie.treatments)
    notes: list[Note] = []
    if CONTROL not in lie.treatments:
        notes.append(
            Note(
                "with care",
                "",
                "No patch was done the usual way, so treatments are told against each other only.",
                "Put a control into the next trial.",
            )
        )
    single = diagnostics.in_one_jar(lie.treatment, lie.jar, count)
    if single:
        every = "Each treatment" if len(single) == count else _listed(lie, single, capital=True)
        notes.append(
            Note(
                "with care",
                "",
                f"{every} lay in one jar only: a jar's own luck (mould, a warm corner, a weak "
                "cook) looks just like the treatment. The ranges are widened by a guess of what "
                "jars do.",
                "Two small jars for each treatment would tell them apart.",
            )
        )
    mixed = diagnostics.mixed_jars(lie.treatment, lie.jar)
    if mixed:
        jars = sorted({patch.jar for i, patch in enumerate(lie.patches) if lie.jar[i] in mixed})
        notes.append(
            Note(
                "with care",
                "",
                f"Patches of different treatments are written for one jar ({', '.join(jars)}).",
                "Correct the jars, unless the treatments differ before the jar only.",
            )
        )
    if np.unique(lie.block).size == 1:
        notes.append(
            Note(
                "with care",
                "",
                "All patches come from one place of one skin, so the answer holds for that place.",
                "Cut from two regions or two skins next time.",
            )
        )
    else:
        sets = diagnostics.apart_in_blocks(lie.treatment, lie.block, count)
        if len(sets) > 1:
            groups = " and ".join(_listed(lie, group) for group in sets)
            notes.append(
                Note(
                    "cannot say",
                    "",
                    f"{groups} never lay in the same part of a skin, so skin and treatment cannot "
                    "be told apart.",
                    "Spread every treatment over all regions.",
                )
            )
    thin = diagnostics.thin_treatments(lie.treatment, count)
    if thin:
        notes.append(
            Note(
                "with care",
                "",
                f"{_listed(lie, thin, capital=True)} {'has' if len(thin) == 1 else 'have'} fewer "
                f"than {diagnostics.FEW_PATCHES} patches; only a very large difference can show.",
                "Cut more patches of it.",
            )
        )
    return notes


def _of_one_hand(seen: Seen, found: TrialAnalysis) -> list[Note]:
    """Qualities that one person alone judged."""
    alone = []
    for quality in found.qualities:
        if quality.kind == "measure":
            continue
        hands = {g.grader for g in seen.grades if grading_scale(g.quality).id == quality.id}
        hands |= {r.grader for r in seen.rankings if grading_scale(r.quality).id == quality.id}
        if len(hands) == 1:
            alone.append(quality.name)
    if not alone:
        return []
    names = alone[0] if len(alone) == 1 else f"{', '.join(alone[:-1])} and {alone[-1]}"
    what = f"One person judged {names}; another may find it otherwise."
    return [Note("good to know", "", what, "Ask a second person to grade by number.")]


def _of_quality(quality: QualityResult, seen: Seen, lie: Board) -> list[Note]:
    name = quality.name
    notes: list[Note] = []
    if not quality.sure:
        notes.append(
            Note(
                "cannot say",
                name,
                f"The reckoning for {name} did not settle; take its figures as a sketch.",
                "Look for a slip in the grades, or grade more patches.",
            )
        )
    if quality.kind == "measure":
        own = measured(grading_measure(quality.id), seen.measures, lie)
        missing = len(lie.patches) - len({m.code for m in own})
    else:
        notes += _of_grades(quality, seen, lie)
        scale = grading_scale(quality.id)
        looks, _ = looks_of(scale, seen.grades, lie)
        rows = rows_of(scale, seen.rankings, lie)
        graded = set() if looks is None else set(looks.patch.tolist())
        graded |= {piece for row in rows for heap in row for piece in heap}
        missing = len(lie.patches) - len(graded)
    if missing:
        notes.append(
            Note(
                "good to know",
                name,
                f"{missing} of {len(lie.patches)} patches say nothing on {name}.",
                "If they were lost by chance no harm is done; if the worst were thrown away, "
                "the answer flatters.",
            )
        )
    return notes


def _of_grades(quality: QualityResult, seen: Seen, lie: Board) -> list[Note]:
    name, scale = quality.name, grading_scale(quality.id)
    notes: list[Note] = []
    looks, graders = looks_of(scale, seen.grades, lie)
    if looks is not None:
        treatment = lie.treatment[looks.patch]
        for g in diagnostics.flat_graders(looks.grader, looks.grade):
            notes.append(
                Note(
                    "with care",
                    name,
                    f"{graders[g]} gave the same grade for {name} to every patch.",
                    "Ask for a second look with the best and the worst patch side by side.",
                )
            )
        for g in diagnostics.unlike_share(looks.grader, treatment, len(lie.treatments)):
            notes.append(
                Note(
                    "with care",
                    name,
                    f"{graders[g]} did not see every treatment for {name}.",
                    "Let each grader see them all.",
                )
            )
        pairs = diagnostics.never_overlapping(
            treatment, looks.grade.astype(float), len(lie.treatments)
        )
        if pairs:
            lower: dict[int, list[int]] = {}
            for low, high in pairs:
                lower.setdefault(high, []).append(low)
            told = [
                f"{lie.labels[lie.treatments[high]]} above {_listed(lie, tuple(lows[:3]))}"
                for high, lows in list(lower.items())[:2]
            ]
            if sum(map(len, lower.values())) > 3:
                told.append("and others")
            each = "; ".join(told)
            notes.append(
                Note(
                    "good to know",
                    name,
                    f"The grades for {name} never overlap: {each}. That there is a difference is "
                    "plain; how large it is cannot be told from grades.",
                    "",
                )
            )
    if quality.agreement is not None and quality.agreement < STRANGERS_AGREE:
        notes.append(
            Note(
                "with care",
                name,
                f"The graders hardly agree on {name} (Kendall's W {quality.agreement:.2f}; "
                "1 is the same order, 0 none).",
                "Talk the anchors through on two pieces, then grade again.",
            )
        )
    return notes


def _listed(lie: Board, numbers: tuple[int, ...], *, capital: bool = False) -> str:
    names = [lie.labels[lie.treatments[t]] for t in numbers]
    text = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    return _start(text) if capital else text


def _start(text: str) -> str:
    return text[:1].upper() + text[1:]
