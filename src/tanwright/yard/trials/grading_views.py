"""Pages of grading: blind by number, one quality at a time."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from tanwright.errors import InputError, TanwrightError
from tanwright.reference.grading import (
    GradingMeasure,
    GradingScale,
    grading_measures,
    grading_scales,
)
from tanwright.yard.people.access import keeper_only, person_of, system_of
from tanwright.yard.shell.forms import EntryForm
from tanwright.yard.trials import grading_services as services
from tanwright.yard.trials.grading_forms import (
    ConfirmForm,
    GraderForm,
    MeasureForm,
    RowForm,
    SheetForm,
)
from tanwright.yard.trials.grading_kinds import grader_named
from tanwright.yard.trials.grading_sheets import (
    Sheets,
    graded_patches,
    graders_wanted,
    is_open,
    missing_sheets,
    sheets_of,
    shuffled,
)
from tanwright.yard.trials.models import Trial, TrialPatch

HOT = "Water near the boil and its steam scald: tongs, a wide pot that stands firm, children away."
"""Usual caution for tests in hot water (common practice, no source)."""


@dataclass(frozen=True)
class QualityRow:
    """One quality of the overview for the grader at hand."""

    scale: GradingScale
    graded: int
    laid: int
    address: str
    row_address: str


@dataclass(frozen=True)
class MeasureRow:
    """One measure of the overview."""

    measure: GradingMeasure
    done: int
    address: str


def grading(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Who grades, what there is to grade, and which sheets are missing."""
    trial = get_object_or_404(Trial, pk=id)
    patches = graded_patches(trial)
    sheets, numbers = sheets_of(trial), [patch.number for patch in patches]
    grader = grader_asked(request, sheets)
    names = {scale.id: scale.name for scale in grading_scales()}
    missing = [
        {"grader": item.grader, "what": names[item.quality], "left": item.left}
        for item in missing_sheets(trial, sheets, numbers)
    ]
    context = {
        "trial": trial,
        "patches": len(patches),
        "grader": grader,
        "form": GraderForm(initial={"grader": grader}),
        "graders": [name for name in sheets.graders if name != grader],
        "qualities": [_quality_row(trial, scale, sheets, grader) for scale in grading_scales()],
        "measures": [_measure_row(trial, item, sheets) for item in grading_measures()],
        "missing": missing,
        "wanted": graders_wanted(trial),
        "there": len(sheets.graders),
        "open": is_open(trial, sheets, numbers),
        "in_jars": trial.state in (Trial.State.CUT, Trial.State.RUNNING),
        "any": sheets.any,
    }
    return render(request, "trials/grading.html", context)


def grader_asked(request: HttpRequest, sheets: Sheets) -> str:
    """The grader that ``?grader=`` names, else the person who is signed in.

    A name that differs only in capitals is that of the grader who has begun: one hand, one name.
    """
    try:
        asked = grader_named(request.GET.get("grader", ""))
    except InputError:
        asked = grader_named(str(person_of(request))[:40] or "a grader")
    same = (name for name in sheets.graders if name.casefold() == asked.casefold())
    return next(same, asked)


def _address(name: str, trial: Trial, what: str, grader: str) -> str:
    return f"{reverse(f'trials:{name}', args=[trial.pk, what])}?{urlencode({'grader': grader})}"


def _quality_row(trial: Trial, scale: GradingScale, sheets: Sheets, grader: str) -> QualityRow:
    key = (grader, scale.id)
    return QualityRow(
        scale=scale,
        graded=len(sheets.grades.get(key, {})),
        laid=sum(len(heap) for heap in sheets.rows.get(key, [])),
        address=_address("grade", trial, scale.id, grader),
        row_address=_address("row", trial, scale.id, grader),
    )


def _measure_row(trial: Trial, measure: GradingMeasure, sheets: Sheets) -> MeasureRow:
    done = len(sheets.figures.get(measure.id, {}))
    return MeasureRow(measure, done, reverse("trials:measure", args=[trial.pk, measure.id]))


def _ready(trial: Trial, request: HttpRequest) -> list[TrialPatch]:
    patches = graded_patches(trial)
    if not patches:
        messages.warning(request, "No patch has a treatment yet: make the design first.")
    return patches


def _scale(quality: str) -> GradingScale:
    found = next((scale for scale in grading_scales() if scale.id == quality), None)
    if found is None:
        raise Http404
    return found


def _in_order(trial: Trial, patches: list[TrialPatch], grader: str, what: str) -> list[TrialPatch]:
    by_number = {patch.number: patch for patch in patches}
    return [by_number[n] for n in shuffled(trial, grader, what, list(by_number))]


def sheet(request: HttpRequest, id: uuid.UUID, quality: str) -> HttpResponse:
    """One grader, one quality: a line of steps for each patch, in an order of the grader's own."""
    trial, scale = get_object_or_404(Trial, pk=id), _scale(quality)
    sheets = sheets_of(trial)
    grader = grader_asked(request, sheets)
    back = f"{reverse('trials:grading', args=[trial.pk])}?{urlencode({'grader': grader})}"
    if not (patches := _ready(trial, request)):
        return redirect(back)
    given = sheets.grades.get((grader, scale.id), {})
    form = SheetForm(
        request.POST or None,
        patches=_in_order(trial, patches, grader, scale.id),
        scale=scale,
        given=given,
        system=system_of(request),
    )
    if request.method == "POST" and form.is_valid():
        grades = form.answers()

        def write(entry: dict[str, Any]) -> None:
            services.grade(trial, grader, scale.id, grades, person_of(request), **entry)

        if _written(request, form, write):
            left = len(patches) - len(set(given) | set(grades))
            more = f"; {left} still to grade" if left else ""
            messages.success(request, f"{scale.name.capitalize()}: {len(grades)} noted{more}.")
            return redirect(back)
    context = {"trial": trial, "scale": scale, "grader": grader, "form": form, "back": back}
    return render(request, "trials/grading_sheet.html", context)


def row(request: HttpRequest, id: uuid.UUID, quality: str) -> HttpResponse:
    """Lay the pieces in a row: drag them, or number them."""
    trial, scale = get_object_or_404(Trial, pk=id), _scale(quality)
    sheets = sheets_of(trial)
    grader = grader_asked(request, sheets)
    back = f"{reverse('trials:grading', args=[trial.pk])}?{urlencode({'grader': grader})}"
    if not (patches := _ready(trial, request)):
        return redirect(back)
    given = sheets.rows.get((grader, scale.id), [])
    ordered = _in_order(trial, patches, grader, f"row {scale.id}")
    places = {number: place for place, heap in enumerate(given) for number in heap}
    ordered.sort(key=lambda patch: places.get(patch.number, len(given)))
    form = RowForm(request.POST or None, patches=ordered, given=given, system=system_of(request))
    if request.method == "POST" and form.is_valid():
        order = form.order()

        def write(entry: dict[str, Any]) -> None:
            services.lay_row(trial, grader, scale.id, order, person_of(request), **entry)

        if _written(request, form, write):
            messages.success(request, f"The row for {scale.name} is noted.")
            return redirect(back)
    context = {"trial": trial, "scale": scale, "grader": grader, "form": form, "back": back}
    return render(request, "trials/grading_row.html", context)


def measure(request: HttpRequest, id: uuid.UUID, measure: str) -> HttpResponse:
    """One measure of all patches."""
    trial = get_object_or_404(Trial, pk=id)
    found = next((item for item in grading_measures() if item.id == measure), None)
    if found is None:
        raise Http404
    back = reverse("trials:grading", args=[trial.pk])
    if not (patches := _ready(trial, request)):
        return redirect(back)
    given = sheets_of(trial).figures.get(found.id, {})
    form = MeasureForm(
        request.POST or None, patches=patches, measure=found, given=given,
        system=system_of(request),
    )  # fmt: skip
    if request.method == "POST" and form.is_valid():
        figures = form.answers()
        new = {number: value for number, value in figures.items() if given.get(number) != value}

        def write(entry: dict[str, Any]) -> None:
            if new:
                services.measure(trial, found.id, new, person_of(request), **entry)

        if _written(request, form, write):
            messages.success(request, f"{found.name.capitalize()}: {len(new)} noted.")
            return redirect(back)
    hot = HOT if found.id in ("shrinkage", "boil") else ""
    context = {"trial": trial, "measure": found, "form": form, "back": back, "hot": hot}
    return render(request, "trials/grading_measure.html", context)


@keeper_only
def uncover(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Show the treatments before every sheet is in; kept in the log."""
    trial = get_object_or_404(Trial, pk=id)
    form = ConfirmForm(request.POST or None, system=system_of(request))
    if request.method == "POST" and form.is_valid():

        def write(entry: dict[str, Any]) -> None:
            services.uncover(trial, person_of(request), **entry)

        if _written(request, form, write):
            messages.success(request, "Uncovered; the log says so.")
            return redirect("trials:results", trial.pk)
    context = {"trial": trial, "form": form, "back": reverse("trials:grading", args=[trial.pk])}
    return render(request, "trials/grading_uncover.html", context)


@keeper_only
def finish(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """The grading is over."""
    trial = get_object_or_404(Trial, pk=id)
    form = ConfirmForm(request.POST or None, system=system_of(request))
    if request.method == "POST" and form.is_valid():

        def write(entry: dict[str, Any]) -> None:
            services.finish(trial, person_of(request), **entry)

        if _written(request, form, write):
            messages.success(request, "The trial is done.")
            return redirect("trials:results", trial.pk)
    context = {"trial": trial, "form": form, "back": reverse("trials:results", args=[trial.pk])}
    return render(request, "trials/grading_finish.html", context)


def _written(request: HttpRequest, form: EntryForm, write: Any) -> bool:
    """Call ``write`` with what belongs to the entry; a refusal becomes an error of the form."""
    try:
        write(
            {
                "id": form.cleaned_data["entry_id"],
                "happened_at": form.cleaned_data["happened_at"],
                "note": form.cleaned_data.get("note", ""),
                "device": getattr(request, "device", None),
            }
        )
    except TanwrightError as error:
        form.add_problem(error, "happened_at" if error.place == "when" else error.place or None)
        return False
    return True
