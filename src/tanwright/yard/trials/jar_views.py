"""Pages of the jars: what is in them, what is noted of them, and the way to a skin."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from tanwright.errors import TanwrightError
from tanwright.yard.people.access import keeper_only, person_of, system_of
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.views import entry_of, problem
from tanwright.yard.trials import queries, services
from tanwright.yard.trials import to_skin as onward
from tanwright.yard.trials.actions import actions_for
from tanwright.yard.trials.blinding import veil_of
from tanwright.yard.trials.change_form import ToSkinForm
from tanwright.yard.trials.due import next_day
from tanwright.yard.trials.jar_forms import COLUMNS, AllJarsForm, CookForm, StartForm
from tanwright.yard.trials.models import Trial
from tanwright.yard.trials.reckoning import is_outdated, treatments_of
from tanwright.yard.trials.renewing import renew_if_stale

NOTED = "Noted. The forecast of the jars is being made anew."


def jars(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Every jar with its amounts, one list, one schedule."""
    trial = queries.trial_of(id)
    renew_if_stale(trial)
    context = {
        "trial": trial,
        "shown": queries.jars_shown(trial, system_of(request)),
        "veil": veil_of(trial, person_of(request)),
        "outdated": trial.begun_at is None and is_outdated(trial),
    }
    return render(request, "trials/jars.html", context)


def lids(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """A label for every lid to print: the number, and nothing of what is in the jar."""
    trial = queries.trial_of(id)
    numbers = list(trial.jars.values_list("number", flat=True))
    return render(request, "trials/lids.html", {"trial": trial, "numbers": numbers})


def start(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """The patches go in."""
    trial, system = queries.trial_of(id), system_of(request)
    if trial.state != Trial.State.CUT:
        messages.warning(request, "The jars are not waiting to be filled.")
        return redirect(trial)
    shown = queries.jars_shown(trial, system)
    first = shown.schedule.days[0] if shown.schedule and shown.schedule.days else None
    initial = {"part_pct": round(100 * first.material)} if first and first.material else {}
    form = StartForm(request.POST or None, system=system, initial=initial)
    if request.method == "POST" and form.is_valid():
        part = form.cleaned_data.get("part_pct")
        try:
            services.start(
                trial, person_of(request), part=part / 100.0 if part else None,
                **entry_of(request, form),
            )  # fmt: skip
        except TanwrightError as error:
            problem(form, error)
        else:
            messages.success(request, "The patches are in the jars.")
            return redirect(trial)
    context = {"form": form, "trial": trial, "shown": shown}
    return render(request, "trials/start.html", context)


def log(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """One column of all jars at once: strength, look, cut, or those that come out."""
    trial, what = queries.trial_of(id), request.GET.get("what", "look")
    if what not in COLUMNS:
        raise Http404
    if trial.state != Trial.State.RUNNING:
        messages.warning(request, "No patch lies in a jar now.")
        return redirect(trial)
    form = AllJarsForm(
        request.POST or None, system=system_of(request), jars=queries.open_jars(trial), what=what
    )
    if request.method == "POST" and form.is_valid() and _noted(request, trial, what, form):
        trial.refresh_from_db()
        messages.success(request, NOTED)
        return redirect(trial)
    heading, lead = COLUMNS[what]
    context = {"form": form, "trial": trial, "what": what, "heading": heading, "lead": lead,
               "columns": [(key, title) for key, (title, _) in COLUMNS.items()]}  # fmt: skip
    return render(request, "trials/log_all.html", context)


def _noted(request: HttpRequest, trial: Trial, what: str, form: AllJarsForm) -> bool:
    kind = "taken_out" if what == "out" else what
    try:
        services.log_jars(trial, kind, form.rows(), person_of(request), **entry_of(request, form))
    except TanwrightError as error:
        problem(form, error)
        return False
    return True


def log_one(request: HttpRequest, id: uuid.UUID, what: str) -> HttpResponse:
    """Note one thing: of one jar, or of the trial as a whole."""
    trial = queries.trial_of(id)
    action = next((item for item in actions_for(trial) if item.what == what), None)
    if action is None:
        raise Http404
    initial: dict[str, Any] = {}
    if (jar := request.GET.get("jar", "")).isdecimal():
        initial["jar"] = int(jar[:3])
    if what == "cooked":
        day = next_day(trial, timezone.now())
        if day is not None and day.material:
            initial["part_pct"] = round(100 * day.material)
    form = action.form(
        request.POST or None, request.FILES or None, system=system_of(request), initial=initial
    )
    if request.method == "POST" and form.is_valid():
        try:
            _note(request, trial, what, form)
        except TanwrightError as error:
            problem(form, error)
        else:
            messages.success(request, NOTED if trial.state == Trial.State.RUNNING else "Noted.")
            return redirect(trial)
    return render(request, "trials/log_one.html", {"form": form, "trial": trial, "action": action})


def _note(request: HttpRequest, trial: Trial, what: str, form: Any) -> None:
    by, entry = person_of(request), entry_of(request, form)
    if isinstance(form, CookForm):
        services.cook(trial, form.cleaned_data["part_pct"] / 100.0, by, **entry)
    else:
        photo = form.cleaned_data.get("photo")
        services.log(trial, what, form.data_of_entry(), by, photo=photo, **entry)


@keeper_only
def to_skin(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """The chosen way with the amounts of a whole skin; it becomes a tannage that is planned."""
    trial = queries.trial_of(id)
    if not trial.treatments:
        messages.warning(request, "It is not said yet what this trial compares.")
        return redirect(trial)
    if trial.begun_at is None:
        messages.warning(request, "No patch was in a jar yet: nothing is known of any treatment.")
        return redirect(trial)
    asked = request.GET.get("treatment") or trial.chosen or trial.treatments[0]["key"]
    form = ToSkinForm(
        request.POST or None, system=system_of(request), trial=trial, initial={"treatment": asked}
    )
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        skins = list(Skin.objects.filter(pk__in=said.get("skins") or []))
        try:
            vat = onward.to_skin(
                trial, said["treatment"], person_of(request), skins=skins, pelt_kg=said["pelt_kg"],
                **entry_of(request, form),
            )  # fmt: skip
        except TanwrightError as error:
            problem(form, error)
        else:
            messages.success(request, f"{vat.title} is planned with the amounts of a whole skin.")
            return redirect("tannage:step", id=vat.pk, step="skins" if not skins else "vat")
    context = {
        "form": form, "trial": trial, "lessons": onward.lessons_of(trial),
        "examples": [onward.scaled(trial, item, 1.0) for item in treatments_of(trial)],
    }  # fmt: skip
    return render(request, "trials/to_skin.html", context)


@require_POST
@keeper_only
def learn(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Carry what the jars taught to the lots."""
    trial = queries.trial_of(id)
    taught = onward.learn(trial, person_of(request))
    if taught:
        names = ", ".join(lot.title for lot in taught)
        messages.success(request, f"Carried to {names}. It can be withdrawn in its log.")
    else:
        messages.warning(request, "There was nothing new to carry.")
    return redirect(trial)
