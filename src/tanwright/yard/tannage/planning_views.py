"""The short path to a new tannage."""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from tanwright.errors import TanwrightError
from tanwright.yard.journal.models import Record
from tanwright.yard.people.access import keeper_only, person_of, system_of
from tanwright.yard.shell.forms import EntryForm
from tanwright.yard.stock.views import entry_of, problem
from tanwright.yard.tannage import queries, services
from tanwright.yard.tannage.change_form import FactsForm, initial_of
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.tannage.page import page_of
from tanwright.yard.tannage.planning_steps import STEPS, Step, form_of, save
from tanwright.yard.tannage.renewing import renew_if_stale


@keeper_only
def new(request: HttpRequest) -> HttpResponse:
    """The first small page, under the id that the draft will have: sent twice, it is one."""
    where = reverse("tannage:step", args=[uuid.uuid4(), "skins"])
    asked = request.GET.urlencode()
    return redirect(f"{where}?{asked}" if asked else where)


@keeper_only
def step(request: HttpRequest, id: uuid.UUID, step: str) -> HttpResponse:
    """One small page of the path. Nothing is opened before the first one is sent."""
    now, tannage = STEPS.get(step), Tannage.objects.filter(pk=id).first()
    taken = tannage is None and (step != "skins" or Record.objects.filter(pk=id).exists())
    if now is None or taken:
        raise Http404
    if tannage is not None and tannage.state in (Tannage.State.RUNNING, Tannage.State.ENDED):
        return redirect(tannage)
    form = form_of(now, tannage, request.POST or None, system_of(request))
    if tannage is None and (skin := request.GET.get("skin")):
        form.initial["skins"] = [skin]
    if request.method == "POST" and form.is_valid():
        try:
            tannage = save(now, tannage, form.cleaned_data, person_of(request), id)
        except TanwrightError as error:
            problem(form, error)
        else:
            return _onward(now, tannage)
    context = {"form": form, "step": now, "steps": STEPS.values(), "tannage": tannage}
    return render(request, "tannage/step.html", context | _so_far(request, tannage))


def _onward(now: Step, tannage: Tannage) -> HttpResponse:
    if now.next == "review":
        return redirect("tannage:review", id=tannage.pk)
    return redirect("tannage:step", id=tannage.pk, step=now.next)


def _so_far(request: HttpRequest, tannage: Tannage | None) -> dict[str, object]:
    if tannage is None:
        return {}
    renew_if_stale(tannage)
    return {"page": page_of(tannage, system_of(request), timezone.localdate())}


def so_far(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """The answer so far, loaded after the page."""
    tannage = queries.tannage_of(id)
    if not request.htmx:  # type: ignore[attr-defined]
        return redirect("tannage:review", id=id)
    context = {"tannage": tannage, **_so_far(request, tannage)}
    return render(request, "tannage/so_far.html", context)


@keeper_only
def review(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """The plan, and the start."""
    tannage = queries.tannage_of(id)
    if tannage.state in (Tannage.State.RUNNING, Tannage.State.ENDED):
        return redirect(tannage)
    if not (tannage.places.exists() and tannage.materials.exists()):
        messages.info(request, "A plan needs a skin and a plant at least.")
        missing = "plants" if tannage.places.exists() else "skins"
        return redirect("tannage:step", id=id, step=missing)
    form = EntryForm(system=system_of(request))
    context = {"tannage": tannage, "form": form, "steps": STEPS.values()}
    return render(request, "tannage/review.html", context | _so_far(request, tannage))


@keeper_only
def start(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """The skins go in."""
    tannage = queries.tannage_of(id)
    if tannage.state not in (Tannage.State.DRAFT, Tannage.State.PLANNED):
        return redirect(tannage)
    form = EntryForm(request.POST or None, system=system_of(request))
    if request.method == "POST" and form.is_valid():
        try:
            services.start(tannage, person_of(request), **entry_of(request, form))
        except TanwrightError as error:
            problem(form, error)
        else:
            messages.success(request, "Begun. From now on each thing that you note sharpens it.")
            return redirect(tannage)
    unready = [skin.title for skin in tannage.skins.order_by("number") if not skin.is_ready]
    context = {"tannage": tannage, "form": form, "unready": unready}
    return render(request, "tannage/start.html", context)


@keeper_only
def change(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Facts of the vat and the aim, kept with what they were."""
    tannage = queries.tannage_of(id)
    form = FactsForm(
        request.POST or None, system=system_of(request), initial=initial_of(tannage)
    )  # fmt: skip
    if request.method == "POST" and form.is_valid():
        try:
            services.set_facts(tannage, form.cleaned_data, person_of(request))
        except TanwrightError as error:
            problem(form, error)
        else:
            messages.success(request, "Changed; what was before is kept in the log.")
            return redirect(tannage)
    return render(request, "tannage/change.html", {"tannage": tannage, "form": form})
