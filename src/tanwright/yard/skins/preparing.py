"""Preparation of a skin: its stages, the choice of the way, beginning and ending a stage."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from tanwright.errors import TanwrightError
from tanwright.units import System
from tanwright.yard.journal.queries import is_kept
from tanwright.yard.people.access import keeper_only, person_of, system_of
from tanwright.yard.shell.fields import TemperatureField
from tanwright.yard.shell.forms import YardForm
from tanwright.yard.skins import queries, services
from tanwright.yard.skins.coming import look_at
from tanwright.yard.skins.forms import BegunForm, EndedForm, WayForm
from tanwright.yard.skins.models import Skin
from tanwright.yard.skins.views import entry_of, problem
from tanwright.yard.skins.ways import (
    USUAL_C,
    StageShown,
    basis_of,
    general_cautions,
    look_words,
    next_step,
    off_the_way,
    shown,
)


class WarmthForm(YardForm):
    """For which warmth times are told."""

    temperature = TemperatureField(label="Bath or room", least=0.1, most=60.0)


def warmth_of(request: HttpRequest, skin: Skin) -> tuple[WarmthForm, float]:
    """The form and the warmth that it asks for; the running stage's or a cool room's otherwise."""
    usual = skin.step_temperature_c or USUAL_C
    asked = request.GET if "temperature" in request.GET else None
    form = WarmthForm(asked, system=system_of(request), initial={"temperature": usual})
    return form, form.cleaned_data["temperature"] if asked and form.is_valid() else usual


def preparation(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """All stages of the way, for this skin and the warmth that is asked for."""
    skin, system = queries.skin_of(id), system_of(request)
    form, warmth = warmth_of(request, skin)
    look, now = look_at(skin), timezone.now()
    context = {
        "skin": skin,
        "form": form,
        "warmth": f"{warmth:g} °C",
        "basis": basis_of(skin, system),
        "general": general_cautions(skin.animal, system),
        "stages": shown(skin, warmth, system),
        "ended": queries.page_of(skin).ended,
        "look": look_words(look.earliest, look.latest, now) if look else "",
        "chosen": skin.hair_on or bool(skin.unhair),
    }
    return render(request, "skins/preparation.html", context)


@keeper_only
def way(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Choose how the hair and the lime come out."""
    skin = queries.skin_of(id)
    chosen = {
        "unhair": skin.unhair or "lime", "delime": skin.delime or "boric", "bate": skin.bate,
    }  # fmt: skip
    form = WayForm(request.POST or None, system=system_of(request), initial=chosen)
    if request.method == "POST" and form.is_valid():
        try:
            services.choose_way(skin, by=person_of(request), **form.cleaned_data)
        except TanwrightError as error:
            problem(form, error)
        else:
            messages.success(request, "Chosen. The stages follow it from here on.")
            return redirect("skins:preparation", skin.pk)
    return render(request, "skins/way.html", {"form": form, "skin": skin})


def begin(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Begin the next stage, or the one that ``?step=`` names."""
    skin, system = queries.skin_of(id), system_of(request)
    _, warmth = warmth_of(request, skin)
    step = request.GET.get("step") or next_step(skin)
    if request.method == "POST" and (gone_on := _gone_on(request, skin, step)):
        return gone_on
    stage = _stage(skin, step, warmth, system)
    if stage is None:
        messages.warning(request, "No stage waits to be begun here.")
        return redirect(skin)
    form = BegunForm(request.POST or None, system=system, initial=_begin_with(stage, warmth))
    if request.method == "POST" and form.is_valid() and _begun(request, skin, form, stage):
        return redirect(skin)
    return render(request, "skins/begin.html", {"form": form, "skin": skin, "stage": stage})


def _begin_with(stage: StageShown, warmth: float) -> dict[str, Any]:
    amounts = [
        {"what": item.what, item.unit: item.likely, "hint": f"Usual: {item.words}", "used": False}
        for item in stage.amounts
    ]
    return {"step": stage.key, "temperature_c": warmth, "amounts": amounts}


def _begun(request: HttpRequest, skin: Skin, form: BegunForm, stage: StageShown) -> bool:
    data = form.data_of_entry()
    try:
        services.begin_stage(
            skin, stage.key, data["temperature_c"], person_of(request), amounts=data["amounts"],
            place=data.get("place", ""), **entry_of(request, form),
        )  # fmt: skip
    except TanwrightError as error:
        problem(form, error)
        return False
    messages.success(request, f"{stage.name} has begun. The yard says when to look.")
    return True


def end(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Say what was found of the running stage, or of the one that ``?step=`` names."""
    skin, system = queries.skin_of(id), system_of(request)
    warmth = skin.step_temperature_c or USUAL_C
    step = request.GET.get("step") or skin.step
    if request.method == "POST" and (gone_on := _gone_on(request, skin, step)):
        return gone_on
    stage = _stage(skin, step, warmth, system)
    if stage is None:
        messages.warning(request, "No stage runs here.")
        return redirect(skin)
    form = EndedForm(
        request.POST or None, request.FILES or None, system=system, initial={"step": stage.key}
    )
    if request.method == "POST" and form.is_valid() and _ended(request, skin, form, stage):
        return redirect(skin)
    return render(request, "skins/end.html", {"form": form, "skin": skin, "stage": stage})


def _ended(request: HttpRequest, skin: Skin, form: EndedForm, stage: StageShown) -> bool:
    data, system = form.cleaned_data, system_of(request)
    try:
        odd = services.odd_weight(skin, stage.key, data["kg"], system) if data["kg"] else ""
        services.end_stage(
            skin, stage.key, data["looked"], person_of(request), kg=data["kg"],
            look_again_at=data["look_again_at"], photo=data["photo"], **entry_of(request, form),
        )  # fmt: skip
    except TanwrightError as error:
        problem(form, error)
        return False
    said = {"done": stage.then, "not-yet": stage.not_yet, "trouble": stage.trouble}
    messages.success(request, f"Noted. {said[data['looked']]}")
    if odd:
        messages.warning(request, odd)
    return True


def _gone_on(request: HttpRequest, skin: Skin, step: str) -> HttpResponse | None:
    """For a page that is behind: sent twice it was kept; of another stage it is not noted."""
    if is_kept(request.POST.get("entry_id", "")):
        return redirect(skin)
    asked = request.POST.get("step", step)
    if asked == step:
        return None
    messages.warning(
        request,
        "Nothing was noted: somebody went on with this skin since your page was opened. See where "
        "it stands, and note it again.",
    )
    return redirect(skin)


def _stage(skin: Skin, key: str, warmth: float, system: System) -> StageShown | None:
    found = next((stage for stage in shown(skin, warmth, system) if stage.key == key), None)
    if found is None and key and key == skin.step:
        # The way was changed while this stage ran: it can still be ended.
        return off_the_way(skin, warmth, system)
    return found
