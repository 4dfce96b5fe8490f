"""The list of skins, the page of one, and what is noted there."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from tanwright.errors import TanwrightError
from tanwright.yard.journal.queries import log_of
from tanwright.yard.people.access import keeper_only, person_of, system_of
from tanwright.yard.shell.forms import EntryForm, YardForm
from tanwright.yard.skins import queries, services
from tanwright.yard.skins.actions import ACTIONS
from tanwright.yard.skins.coming import next_of
from tanwright.yard.skins.forms import ANOTHER, ChangeSkinForm, NewSkinForm
from tanwright.yard.skins.models import Skin
from tanwright.yard.skins.ways import USUAL_C, basis_of

_FACTS = ("animal", "count", "hair_on", "taken_on", "origin", "name")


def entry_of(request: HttpRequest, form: EntryForm) -> dict[str, Any]:
    """What a service needs of who wrote the entry and when."""
    return {
        "id": form.cleaned_data["entry_id"],
        "happened_at": form.cleaned_data["happened_at"],
        "note": form.cleaned_data.get("note", ""),
        "device": getattr(request, "device", None),
    }


def problem(form: YardForm, error: TanwrightError) -> None:
    """Show a refusal beside the field it speaks of."""
    form.add_problem(error, {"when": "happened_at"}.get(error.place, error.place) or None)


def page_number(request: HttpRequest) -> int:
    """The page that ``?page=`` asks for, 1 when it is none."""
    text = request.GET.get("page", "1")
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 7 else 1


def skins(request: HttpRequest) -> HttpResponse:
    """The list."""
    text, show = request.GET.get("q", "")[:80], request.GET.get("show", "")
    page = Paginator(queries.skins(text, show), 50).get_page(page_number(request))
    context = {
        "rows": queries.list_page(list(page.object_list), system_of(request), timezone.now()),
        "page": page,
        "q": text,
        "show": show,
        "shows": queries.SHOWS,
    }
    return render(request, "skins/skins.html", context)


@keeper_only
def new(request: HttpRequest) -> HttpResponse:
    """Put a skin on the list."""
    form = NewSkinForm(request.POST or None, system=system_of(request))
    if request.method == "POST" and form.is_valid():
        data, entry = form.cleaned_data, entry_of(request, form)
        facts = {name: data[name] for name in (*_FACTS, "keeping", "place")}
        try:
            skin = services.new_skin(
                person_of(request),
                weight_kg=data["weight"],
                thickness_mm=data["thickness"],
                **facts,
                **entry,
            )
        except TanwrightError as error:
            problem(form, error)
        else:
            messages.success(request, f"{skin.title} is on the list.")
            return redirect(skin)
    return render(request, "skins/new.html", {"form": form})


def skin(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """One skin: what now comes first, what is known, and its log."""
    found, system = queries.skin_of(id), system_of(request)
    warmth = found.step_temperature_c or USUAL_C
    context = {
        "skin": found,
        "page": queries.page_of(found),
        "next": next_of(found, warmth, system, timezone.now()),
        "basis": basis_of(found, system),
        "actions": ACTIONS.values(),
        "lines": log_of(found, system, page_number(request)),
    }
    return render(request, "skins/skin.html", context)


def log(request: HttpRequest, id: uuid.UUID, what: str) -> HttpResponse:
    """Note one thing of a skin."""
    found, action = queries.skin_of(id), ACTIONS.get(what)
    if action is None:
        raise Http404
    form = action.form(
        request.POST or None,
        request.FILES or None,
        system=system_of(request),
        initial=action.initial(found),
    )
    if request.method == "POST" and form.is_valid():
        photo = form.cleaned_data.get("photo")
        try:
            services.log(
                found, f"skin.{what}", form.data_of_entry(), person_of(request), photo=photo,
                **entry_of(request, form),
            )  # fmt: skip
        except TanwrightError as error:
            problem(form, error)
        else:
            messages.success(request, "Noted.")
            return redirect(found)
    return render(request, "skins/log.html", {"form": form, "skin": found, "action": action})


@keeper_only
def change(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Change what is known of a skin."""
    found = queries.skin_of(id)
    form = ChangeSkinForm(request.POST or None, system=system_of(request), initial=_facts_of(found))
    if request.method == "POST" and form.is_valid():
        fields = {name: form.cleaned_data[name] for name in _FACTS}
        try:
            services.change_skin(found, fields, person_of(request))
        except TanwrightError as error:
            problem(form, error)
        else:
            messages.success(request, "Changed; what was before is kept in its log.")
            return redirect(found)
    return render(request, "skins/change.html", {"form": form, "skin": found})


def _facts_of(skin: Skin) -> dict[str, Any]:
    return {name: getattr(skin, name) for name in _FACTS} | {"animal": skin.animal or ANOTHER}
