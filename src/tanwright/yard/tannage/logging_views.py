"""Pages that note something of a vat."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from tanwright.errors import TanwrightError
from tanwright.yard.liquors.models import Liquor
from tanwright.yard.liquors.queries import overdrawn_words as overdrawn_liquor
from tanwright.yard.people.access import keeper_only, person_of, system_of
from tanwright.yard.shell.forms import EntryForm
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.queries import overdrawn_words as overdrawn_lot
from tanwright.yard.stock.views import entry_of, problem
from tanwright.yard.tannage import queries, services
from tanwright.yard.tannage.actions import Action, actions_for
from tanwright.yard.tannage.forms import (
    CookInForm,
    CutForm,
    GateForm,
    KeepLiquorForm,
    MoveSkinForm,
    TakeOutForm,
)
from tanwright.yard.tannage.models import Tannage

NOTED = "Noted. The forecast is being made anew."


def more(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Everything that may be noted."""
    found = queries.tannage_of(id)
    return render(
        request, "tannage/more.html", {"tannage": found, "actions": actions_for(found)}
    )  # fmt: skip


def log(request: HttpRequest, id: uuid.UUID, what: str) -> HttpResponse:
    """Note one thing: a tiny page with big choices."""
    tannage = queries.tannage_of(id)
    action = next((item for item in actions_for(tannage) if item.what == what), None)
    if action is None:
        raise Http404
    form = _form_for(request, tannage, action)
    if request.method == "POST" and form.is_valid():
        try:
            _note(tannage, action.what, form, request)
        except TanwrightError as error:
            problem(form, error)
        else:
            messages.success(request, NOTED)
            return redirect(tannage)
    context = {"form": form, "tannage": tannage, "action": action}
    return render(request, "tannage/log.html", context)


def _form_for(request: HttpRequest, tannage: Tannage, action: Action) -> EntryForm:
    own: dict[str, Any] = {}
    if action.form in (CookInForm, TakeOutForm):
        own["tannage"] = tannage
    elif action.form is CutForm:
        own["hair_on"] = tannage.skins.filter(hair_on=True).exists()
    return action.form(
        request.POST or None, request.FILES or None, system=system_of(request), **own
    )


def _note(tannage: Tannage, what: str, form: EntryForm, request: HttpRequest) -> None:
    by, entry, said = person_of(request), entry_of(request, form), form.data_of_entry()
    if what == "pour":
        liquor = Liquor.objects.filter(pk=said["liquor"]).first() if said.get("liquor") else None
        services.pour_in(tannage, by, litres=said["litres"], liquor=liquor, bk=said.get("bk"),
                         how=said["how"], **entry)  # fmt: skip
        if liquor is not None:
            liquor.refresh_from_db()
            _warn(request, overdrawn_liquor(liquor, system_of(request)))
    elif what == "cook":
        lot = Lot.objects.get(pk=said["lot"])
        services.cook_in(tannage, by, lots={lot: said["kg"]}, in_litres=said.get("in_litres"),
                         **entry)  # fmt: skip
        lot.refresh_from_db()
        _warn(request, overdrawn_lot(lot, system_of(request)))
    elif what == "taken_out":
        inside = tannage.places.filter(taken_out_at=None).count()
        skins = list(Skin.objects.filter(pk__in=said["skins"]))
        some = skins if len(skins) < inside else []
        services.take_out(tannage, by, skins=some, **entry)
    else:
        photo = form.cleaned_data.get("photo")
        services.log(tannage, what, said, by, photo=photo, **entry)


def _warn(request: HttpRequest, words: str) -> None:
    """Say it when more was taken of a liquor or a lot than was noted to be there."""
    if words:
        messages.warning(request, words)


def gate(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """The three questions before anything is called leather."""
    tannage = queries.tannage_of(id)
    if tannage.state != Tannage.State.RUNNING:
        messages.info(request, "The questions are asked while the skins lie in the vat.")
        return redirect(tannage)
    form = GateForm(request.POST or None, system=system_of(request))
    if request.method == "POST" and form.is_valid():
        answers = {name: form.cleaned_data[name] for name in services.GATE_WORDS}
        try:
            services.answer_gate(tannage, answers, person_of(request), **entry_of(request, form))
        except TanwrightError as error:
            problem(form, error)
        else:
            messages.success(request, _after_gate(done=form.is_done))
            return redirect(tannage)
    return render(request, "tannage/gate.html", {"form": form, "tannage": tannage})


def _after_gate(*, done: bool) -> str:
    if done:
        return "All three say yes. Take the skins out when it suits you."
    return "Not yet, then: it goes on in the vat, and the forecast is being made anew."


@keeper_only
def keep_liquor(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Keep what stands in the vat for the next skin."""
    tannage = queries.tannage_of(id)
    if tannage.state not in (Tannage.State.RUNNING, Tannage.State.ENDED):
        messages.info(request, "Nothing stands in this vat yet.")
        return redirect(tannage)
    form = KeepLiquorForm(
        request.POST or None, system=system_of(request), initial={"litres": tannage.vat_volume_l}
    )  # fmt: skip
    if request.method == "POST" and form.is_valid():
        said = form.data_of_entry()
        try:
            liquor = services.keep_liquor(
                tannage, said["litres"], person_of(request), where=said.get("where", ""),
                name=said.get("name", ""), **entry_of(request, form),
            )  # fmt: skip
        except TanwrightError as error:
            problem(form, error)
        else:
            messages.success(request, "Kept: the mildest first bath for the next skin.")
            return redirect(liquor)
    return render(request, "tannage/keep_liquor.html", {"form": form, "tannage": tannage})


@keeper_only
def move_skin(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Let one skin go on in another vat."""
    tannage = queries.tannage_of(id)
    if tannage.state != Tannage.State.RUNNING:
        messages.info(request, "No skin lies in this vat.")
        return redirect(tannage)
    form = MoveSkinForm(request.POST or None, system=system_of(request), tannage=tannage)
    if request.method == "POST" and form.is_valid():
        skin = Skin.objects.get(pk=form.cleaned_data["skin"])
        to = _chosen_vat(form.cleaned_data["to"])
        try:
            to = services.move_skin(
                tannage, skin, to, person_of(request), **entry_of(request, form)
            )
        except TanwrightError as error:
            problem(form, error)
        else:
            messages.success(request, f"{skin.title} is out of this vat and planned for the other.")
            return redirect("tannage:step", id=to.pk, step="skins")
    return render(request, "tannage/move_skin.html", {"form": form, "tannage": tannage})


def _chosen_vat(id: str) -> Tannage | None:
    return Tannage.objects.filter(pk=id).first() if id else None


@require_POST
def learn(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Carry what it taught to the lots."""
    tannage = queries.tannage_of(id)
    if not person_of(request).is_keeper:
        raise PermissionDenied("Only a keeper may carry a figure to a lot.")
    taught = services.learn(tannage, person_of(request))
    if taught:
        names = ", ".join(lot.title for lot in taught)
        messages.success(request, f"Carried to {names}: its next plan starts from this.")
    else:
        messages.info(request, "Nothing new to carry.")
    return redirect(tannage)
