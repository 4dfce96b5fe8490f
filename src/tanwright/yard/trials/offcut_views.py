"""Pages of offcuts: the list, adding one, laying patches out, the map, reading a code."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from tanwright.errors import TanwrightError
from tanwright.planning.trials.cutting import Cutting, cutting_in_words
from tanwright.planning.trials.maps import Paper, cutting_map
from tanwright.reference.animals import animals, regions
from tanwright.reference.cautions import Caution, cautions_for
from tanwright.science.trials.codes import PLACES, SPOTS, read
from tanwright.yard.people.access import keeper_only, person_of, system_of
from tanwright.yard.stock.views import problem
from tanwright.yard.trials import offcut_services as services
from tanwright.yard.trials import queries
from tanwright.yard.trials.blinding import veil_of
from tanwright.yard.trials.models import Trial
from tanwright.yard.trials.offcut_forms import WAYS, LayForm, MapForm, OffcutForm, UsualForm
from tanwright.yard.trials.offcut_pictures import draw_code, draw_offcut
from tanwright.yard.trials.reckoning import pieces_of


def offcuts(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """All offcuts with their pictures; a POST lays patches out on them."""
    trial = queries.trial_of(id)
    form = LayForm(request.POST or None, system=system_of(request), initial=_initial(trial))
    if request.method == "POST":
        if not person_of(request).is_keeper:
            raise PermissionDenied("Only a keeper may lay out patches.")
        if form.is_valid():
            try:
                made = services.lay_out(trial, form.cut(), person_of(request))
            except TanwrightError as error:
                problem(form, error)
            else:
                messages.success(request, cutting_in_words(made))
                return redirect("trials:offcuts", id=trial.pk)
    cutting = services.cutting_of(trial)
    context = {
        "trial": trial,
        "form": form,
        "rows": _rows(trial, cutting),
        "cutting": cutting,
        "words": cutting_in_words(cutting) if cutting else "",
        "bare_share": 100 * cutting.ratio_of_area if cutting else 0,
        "ways": [(key, way[2]) for key, way in WAYS.items()],
        "map_form": _map_form(request, trial),
        "cautions": _cautions(trial),
        "counted": 0 if cutting else trial.patches.count(),
        "may_change": person_of(request).is_keeper and trial.begun_at is None,
    }
    return render(request, "trials/offcuts.html", context)


@keeper_only
def offcut_add(request: HttpRequest, id: uuid.UUID, way: str) -> HttpResponse:
    """Add offcuts in one of the ways."""
    trial = queries.trial_of(id)
    if way not in WAYS:
        raise Http404
    kind, how, heading, lead = WAYS[way]
    form = kind(
        request.POST or None,
        request.FILES or None,
        system=system_of(request),
        initial={
            "skin": trial.facts.get("skin", ""),
            "animal": trial.facts.get("animal") or "goat",
        },
    )
    if request.method == "POST" and form.is_valid():
        try:
            added = _add(trial, form, how, request)
        except TanwrightError as error:
            problem(form, error)
        else:
            many = f"{added} offcuts are" if added > 1 else "The offcut is"
            messages.success(request, f"{many} on the list. Now lay patches on all of them.")
            return redirect("trials:offcuts", id=trial.pk)
    context = {"trial": trial, "form": form, "way": way, "heading": heading, "lead": lead}
    return render(request, "trials/offcut_add.html", context)


@require_POST
@keeper_only
def offcut_remove(request: HttpRequest, id: uuid.UUID, number: int) -> HttpResponse:
    """Take one offcut out of the trial."""
    trial = queries.trial_of(id)
    try:
        services.remove_offcut(trial, number, person_of(request))
    except TanwrightError as error:
        messages.error(request, f"{error.what}; {error.remedy}.")
    else:
        messages.success(request, f"Offcut {number} is out of the trial.")
    return redirect("trials:offcuts", id=trial.pk)


@require_GET
def cutting_map_pdf(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """The cutting map; ``?paper=`` a4 or us-letter, ``?treatments=on`` with the treatments."""
    trial = queries.trial_of(id)
    cutting = services.cutting_of(trial)
    if cutting is None:
        messages.warning(request, "There is nothing to cut yet: lay the patches out first.")
        return redirect("trials:offcuts", id=trial.pk)
    form = MapForm(request.GET, system=system_of(request))
    said = form.cleaned_data if form.is_valid() else {}
    paper: Paper = "us-letter" if said.get("paper") == "us-letter" else "a4"
    may_see = veil_of(trial, person_of(request)) != "hidden"
    marks = services.marks_of(trial) if said.get("treatments") and may_see else {}
    try:
        pdf = cutting_map(cutting, title=trial.title, paper=paper, marks=marks)
    except TanwrightError as error:
        messages.warning(request, f"{error.what[:1].upper()}{error.what[1:]}: {error.remedy}.")
        return redirect("trials:offcuts", id=trial.pk)
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="cutting-map-{trial.code}.pdf"'
    response["Cache-Control"] = "private, no-store"
    return response


@require_GET
def read_code(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Which patch is this: its nicks ticked on a picture of it, and the key of all."""
    trial = queries.trial_of(id)
    patches = list(trial.patches.order_by("number"))
    ticked = {int(spot) for spot in request.GET.getlist("nick") if spot.isdecimal()}
    asked = "look" in request.GET
    square = all(abs(patch.width_cm - patch.height_cm) < 1e-6 for patch in patches)
    nicks = tuple(spot in ticked for spot in range(SPOTS))
    found = read(nicks, [patch.code for patch in patches], square) if asked else None
    pictures = {
        patch.code: draw_code(
            patch.number,
            patch.code,
            square,
            min(patch.width_cm, patch.height_cm) / max(patch.width_cm, patch.height_cm),
        )
        for patch in patches
        if patch.code
    }
    context = {
        "trial": trial,
        "square": square,
        "sides": [
            [(PLACES * side + place, PLACES * side + place in ticked, words)
             for place, words in enumerate(("first corner", "middle", "last corner"))]
            for side in range(4)
        ],
        "found": found,
        "patch": pictures.get(found.code) if found else None,
        "closest": [pictures[code] for code in found.closest if code in pictures] if found else [],
        "key": list(pictures.values()),
    }  # fmt: skip
    return render(request, "trials/offcut_code.html", context)


def _add(trial: Trial, form: OffcutForm, how: str, request: HttpRequest) -> int:
    region = form.region_of() if isinstance(form, UsualForm) else form.cleaned_data["region"]
    with transaction.atomic():
        for label, outline in form.outlines:
            services.add_offcut(
                trial,
                outline,
                person_of(request),
                region=region,
                how=how,
                label=label,
                skin=form.chosen_skin(),
            )
    return len(form.outlines)


def _cautions(trial: Trial) -> tuple[Caution, ...]:
    """What raw skin of these animals may carry."""
    known = {animal.id for animal in animals()}
    named = {offcut.skin.animal for offcut in services.drawn_offcuts(trial) if offcut.skin}
    named.add(str(trial.facts.get("animal") or ""))
    cases = sorted(f"animal:{animal}" for animal in named if animal in known)
    return cautions_for(cases) if cases else ()


def _map_form(request: HttpRequest, trial: Trial) -> MapForm:
    """Who may not see the treatments is not asked whether to print them."""
    form = MapForm(system=system_of(request))
    if veil_of(trial, person_of(request)) == "hidden" or not services.marks_of(trial):
        del form.fields["treatments"]
    return form


def _initial(trial: Trial) -> dict[str, Any]:
    cut = services.cut_of(trial)
    if cut is not None:
        return {
            "width_cm": cut.width_cm,
            "height_cm": None if cut.square else cut.height_cm,
            "margin_cm": cut.margin_cm,
            "gap_cm": cut.gap_cm,
            "most": cut.most,
            "any_way": not cut.alike,
        }
    pieces = pieces_of(trial)
    square = abs(pieces.width_cm - pieces.height_cm) < 1e-6
    return {
        "width_cm": pieces.width_cm,
        "height_cm": None if square else pieces.height_cm,
        "margin_cm": 0.5,
        "gap_cm": 0.0,
    }


def _rows(trial: Trial, cutting: Cutting | None) -> list[dict[str, Any]]:
    called = {region.id: region.name for region in regions()}
    patches = cutting.patches if cutting else ()
    fits = {one.piece.name: one for one in cutting.pieces} if cutting else {}
    rows = []
    for offcut in services.drawn_offcuts(trial):
        outline = services.outline_kept(offcut)
        own = [patch for patch in patches if patch.offcut == str(offcut.number)]
        rows.append(
            {
                "offcut": offcut,
                "title": f"Offcut {offcut.number}",
                "region": called.get(offcut.region, offcut.region),
                "area_dm2": outline.area_cm2 / 100.0,
                "size_cm": outline.size_cm,
                "patches": len(own),
                "possible": fits[str(offcut.number)].most_possible if fits else None,
                "picture": draw_offcut(outline, own, name=f"Offcut {offcut.number}"),
            }
        )
    return rows
