"""The short path to a trial, its design, and its change."""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from tanwright.errors import TanwrightError
from tanwright.yard.journal.models import Record
from tanwright.yard.people.access import keeper_only, person_of, system_of
from tanwright.yard.stock.views import problem
from tanwright.yard.trials import queries, services
from tanwright.yard.trials.blinding import veil_of
from tanwright.yard.trials.change_form import ChangeForm
from tanwright.yard.trials.models import Trial
from tanwright.yard.trials.planning_steps import STEPS, form_of, save


@keeper_only
def new(request: HttpRequest) -> HttpResponse:
    """The first small page, under the id that the trial will have: sent twice, it is one."""
    return redirect("trials:step", id=uuid.uuid4(), step="question")


@keeper_only
def step(request: HttpRequest, id: uuid.UUID, step: str) -> HttpResponse:
    """One small page of the path. Nothing is opened before the first one is sent."""
    now, trial = STEPS.get(step), Trial.objects.filter(pk=id).first()
    taken = trial is None and (step != "question" or Record.objects.filter(pk=id).exists())
    if now is None or taken:
        raise Http404
    if trial is not None and trial.begun_at is not None:
        messages.warning(request, "The patches are in the jars: the plan stands as it is.")
        return redirect(trial)
    form = form_of(now, trial, request.POST or None, system_of(request))
    if request.method == "POST" and form.is_valid():
        try:
            trial = save(now, trial, form, person_of(request), id)
        except TanwrightError as error:
            problem(form, error)
        else:
            if now.next == "design":
                return redirect("trials:design", id=trial.pk)
            return redirect("trials:step", id=trial.pk, step=now.next)
    context = {"form": form, "step": now, "steps": STEPS.values(), "trial": trial}
    if trial is not None and now.name == "pieces":
        context["laid"] = queries.laid_shown(trial)
        context["dealt"] = trial.state == Trial.State.CUT
    return render(request, "trials/step.html", context)


def design(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """How sure it would be, and which patch gets what; a POST deals the patches out."""
    trial = queries.trial_of(id)
    if request.method == "POST":
        if not person_of(request).is_keeper:
            raise PermissionDenied("Only a keeper may lay out a trial.")
        return _deal(request, trial)
    context = {
        "trial": trial,
        "shown": queries.design_shown(trial),
        "steps": STEPS.values(),
        "marks": queries.marks_shown(trial),
        "regions": queries.patches_by_region(trial),
        "entry_id": uuid.uuid4(),
        "veil": veil_of(trial, person_of(request)),
    }
    return render(request, "trials/design.html", context)


def _deal(request: HttpRequest, trial: Trial) -> HttpResponse:
    try:
        id = uuid.UUID(request.POST.get("entry_id", ""))
        services.make_the_design(
            trial, person_of(request), id=id, device=getattr(request, "device", None)
        )
    except ValueError as error:
        told = str(error) if isinstance(error, TanwrightError) else "Load the page again first."
        messages.error(request, f"{told[:1].upper()}{told[1:].rstrip('.')}.")
        return redirect("trials:design", id=trial.pk)
    messages.success(request, "Dealt out. Cut by the map, and fill the jars.")
    return redirect(reverse("trials:jars", args=[trial.pk]))


@keeper_only
def change(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Its name and the leather it is for."""
    trial = queries.trial_of(id)
    initial = {"name": trial.name, "leather": trial.leather}
    form = ChangeForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        services.change_trial(trial, form.cleaned_data, person_of(request))
        messages.success(request, "Changed; what was before is kept in its log.")
        return redirect(trial)
    return render(request, "trials/change.html", {"form": form, "trial": trial})
