"""Pages of a trial's results."""

from __future__ import annotations

import uuid
from typing import TYPE_CHECKING, Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from tanwright.errors import InputError
from tanwright.planning.trials import files
from tanwright.reference.grading import grading_measures, grading_scales
from tanwright.yard.people.access import system_of
from tanwright.yard.trials.grading_sheets import (
    graded_patches,
    graders_wanted,
    is_open,
    missing_sheets,
    seen_of,
    sheets_of,
)
from tanwright.yard.trials.models import Trial

if TYPE_CHECKING:
    from tanwright.yard.trials.result_page import Wish

FILES = ("patches", "grades", "ranks", "measures")


def wishes_asked(request: HttpRequest, choices: dict[str, Any]) -> tuple[Wish, ...] | None:
    """What ``?firmness=more`` asks for; ``None`` when the form was not sent."""
    if "wished" not in request.GET:
        return None
    found = []
    for quality, allowed in choices.items():
        word = request.GET.get(quality, "")
        if word and word in {value for value, _ in allowed}:
            found.append((quality, word))
    return tuple(found)


def results(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """What the trial says; covered as long as sheets are missing and nobody uncovered it."""
    # The engine is heavy to import; a server that shows no results should not wait for it.
    from tanwright.yard.trials.result_page import page_of, usual_wishes, wish_choices

    trial = get_object_or_404(Trial, pk=id)
    patches, sheets = graded_patches(trial), sheets_of(trial)
    numbers = [patch.number for patch in patches]
    context: dict[str, Any] = {"trial": trial, "any": sheets.any}
    if not sheets.any or not is_open(trial, sheets, numbers):
        context |= {
            "missing": missing_sheets(trial, sheets, numbers),
            "wanted": graders_wanted(trial),
            "there": len(sheets.graders),
        }
        return render(request, "trials/result_covered.html", context)
    seen = seen_of(trial, sheets, patches)
    choices = dict(wish_choices(trial, seen))
    wishes = wishes_asked(request, choices)
    try:
        page = page_of(trial, wishes, system_of(request))
    except InputError as trouble:
        return render(request, "trials/result_covered.html", {**context, "trouble": trouble})
    chosen = dict(wishes if wishes is not None else usual_wishes(trial, seen))
    names = {scale.id: scale.name for scale in grading_scales()}
    names |= {measure.id: measure.name for measure in grading_measures()}
    context |= {
        "page": page,
        "files": FILES,
        "wishes": [
            {
                "id": quality,
                "name": names[quality],
                "choices": [
                    (value, words, chosen.get(quality, "") == value) for value, words in of
                ],
            }
            for quality, of in choices.items()
        ],
    }
    return render(request, "trials/result.html", context)


def numbers(request: HttpRequest, id: uuid.UUID, picture: str) -> HttpResponse:
    """Every number of one picture as CSV."""
    from tanwright.yard.trials.result_page import page_of, pictures_of

    trial = _open_trial(id)
    try:
        found = pictures_of(page_of(trial, None, system_of(request))).get(picture)
    except InputError:
        found = None
    if found is None:
        raise Http404
    return _csv(f"{trial.code}-{picture}.csv", found.numbers)


def file(request: HttpRequest, id: uuid.UUID, name: str) -> HttpResponse:
    """One of the files that ``tanwright trial analyse`` reads."""
    if name not in FILES:
        raise Http404
    trial = _open_trial(id)
    seen = seen_of(trial, sheets_of(trial), graded_patches(trial))
    text = {
        "patches": lambda: files.patches_csv(seen.patches),
        "grades": lambda: files.grades_csv(seen.grades),
        "ranks": lambda: files.ranks_csv(seen.rankings),
        "measures": lambda: files.measures_csv(seen.measures),
    }[name]()
    return _csv(f"{name}.csv", text)


def _open_trial(id: uuid.UUID) -> Trial:
    trial = get_object_or_404(Trial, pk=id)
    numbers = [patch.number for patch in graded_patches(trial)]
    if not is_open(trial, sheets_of(trial), numbers):
        raise Http404
    return trial


def _csv(name: str, text: str) -> HttpResponse:
    response = HttpResponse(text, content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
