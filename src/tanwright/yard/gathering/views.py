"""Pages of this area."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from tanwright.errors import TanwrightError
from tanwright.reference.cautions import cautions_for
from tanwright.yard.gathering import queries, services
from tanwright.yard.gathering.actions import ACTIONS, Action, actions_for
from tanwright.yard.gathering.calendar import source_words, year_of
from tanwright.yard.gathering.forms import (
    NEW_LOT,
    ChangePlaceForm,
    GatheredForm,
    NewPlaceForm,
    facts_initial,
    written_plant,
)
from tanwright.yard.gathering.models import Place
from tanwright.yard.journal.models import Entry
from tanwright.yard.journal.queries import log_of
from tanwright.yard.people.access import keeper_only, person_of, system_of
from tanwright.yard.shell.forms import EntryForm
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.views import entry_of, page_number, problem


def places(request: HttpRequest) -> HttpResponse:
    asked = {key: request.GET.get(key, "")[:80] for key in ("q", "what", "plant", "show")}
    found = queries.places(asked["q"], asked["what"], asked["plant"], asked["show"])
    page = Paginator(found, 50).get_page(page_number(request))
    system, today, home = system_of(request), timezone.localdate(), queries.home_place()
    context = {
        **asked,
        "rows": [queries.row_of(place, system, today, home) for place in page.object_list],
        "page": page,
        "sorts": Place.What.choices,
        "plants": queries.plants_of_places(),
        "filtered": any(asked.values()),
        "any_gone": not page.object_list and Place.objects.filter(gone_at__isnull=False).exists(),
    }
    return render(request, "gathering/places.html", context)


def calendar(request: HttpRequest) -> HttpResponse:
    today = timezone.localdate()
    text = request.GET.get("year", "")
    number = int(text) if text.isdecimal() and text.isascii() and len(text) == 4 else today.year
    number = min(max(number, today.year - 50), today.year + 50)
    year = year_of(number, today)
    context = {
        "year": year,
        "before": number - 1,
        "after": number + 1,
        "any_stand": any(month.stands for month in year.months),
        "sources": source_words(year.sources),
        "cautions": cautions_for(["permission", "living-tree"]) if year.plants else (),
    }
    return render(request, "gathering/calendar.html", context)


@keeper_only
def new(request: HttpRequest) -> HttpResponse:
    person = person_of(request)
    initial = {"permission": Place.Permission.NOT_ASKED.value}
    if plant := request.GET.get("plant", "")[:60]:
        initial["plant"] = written_plant(plant)
    form = NewPlaceForm(request.POST or None, system=system_of(request), initial=initial)
    if request.method == "POST" and form.is_valid():
        data, entry = form.cleaned_data, entry_of(request, form)
        said = {key: data[key] for key in ("permission", "by_role", "until")}
        try:
            place = services.open_place(person, **form.facts(), **said, **entry)
        except TanwrightError as error:
            problem(form, error)
        else:
            messages.success(request, f"{place.title} is on the list.")
            return redirect(place)
    context = {"form": form, "cautions": cautions_for(["permission"])}
    return render(request, "gathering/new.html", context)


def place(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    person, place, system = person_of(request), queries.place_of(id), system_of(request)
    return render(
        request,
        "gathering/place.html",
        {
            "page": queries.page_of(place, system, timezone.localdate()),
            "place": place,
            "actions": actions_for(place, person),
            "lines": log_of(place, system, page_number(request)),
        },
    )


def log(request: HttpRequest, id: uuid.UUID, what: str) -> HttpResponse:
    person, place, action = person_of(request), queries.place_of(id), ACTIONS.get(what)
    if action is None or not action.fits(place):
        raise Http404
    if action.keeper and not person.is_keeper:
        raise PermissionDenied("Only a keeper may do this. A helper logs what was done and seen.")
    form = _form(request, place, action)
    if request.method == "POST" and form.is_valid():
        try:
            said = _note(request, place, action, form)
        except TanwrightError as error:
            problem(form, error)
        else:
            messages.success(request, said)
            return redirect(place)
    context: dict[str, Any] = {"form": form, "place": place, "action": action}
    if what in ("gathered", "trunks", "cut"):
        today = timezone.localdate()
        dangers = queries.dangers_at(place)
        context["cautions"] = queries.cautions_of(place) if what == "cut" else dangers
        if not place.may_gather(today):
            context["permission"] = queries.permission_words(place, today)
    return render(request, "gathering/log.html", context)


def _form(request: HttpRequest, place: Place, action: Action) -> EntryForm:
    more: dict[str, Any] = {}
    if action.form is GatheredForm:
        more = {
            "plants": place.plant_ids,
            "lots": queries.lots_to_add_to(place),
            "may_open": person_of(request).is_keeper,
        }
    initial = action.initial(place)
    if action.form is GatheredForm and place.rained_at is not None:
        initial["rained_on"] = "yes"
    return action.form(
        request.POST or None,
        request.FILES or None,
        system=system_of(request),
        initial=initial,
        **more,
    )


def _note(request: HttpRequest, place: Place, action: Action, form: EntryForm) -> str:
    """Write what the form tells; what to say of it."""
    person, data, entry = person_of(request), form.data_of_entry(), entry_of(request, form)
    if isinstance(form, GatheredForm):
        into = form.cleaned_data["into"]
        lot = None if into in ("new", "later") else Lot.objects.filter(pk=into).first()
        kept = services.gather(
            place, person, **data, into=lot, as_lot=into == NEW_LOT, history=form.history(), **entry
        )
        if kept is None:
            return "Noted. A keeper takes it into stock on this page."
        return f"Noted. It is in stock as {kept.title}."
    photo = form.cleaned_data.get("photo")
    services.log(place, action.what, data, person, photo=photo, **entry)
    return action.noted


@require_POST
@keeper_only
def take_in(request: HttpRequest, id: uuid.UUID, entry: uuid.UUID) -> HttpResponse:
    """What a helper gathered becomes a lot."""
    place = queries.place_of(id)
    found = get_object_or_404(Entry, pk=entry, record=place.pk)
    try:
        lot = services.take_in(found, person_of(request))
    except TanwrightError as error:
        messages.error(request, f"{error.what[:1].upper()}{error.what[1:]}; {error.remedy}.")
        return redirect(place)
    messages.success(request, f"It is in stock as {lot.title}.")
    return redirect(lot)


@keeper_only
def change(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    person, place = person_of(request), queries.place_of(id)
    form = ChangePlaceForm(
        request.POST or None, system=system_of(request), initial=facts_initial(place)
    )
    if request.method == "POST" and form.is_valid():
        try:
            services.change_place(place, form.facts(), person)
        except TanwrightError as error:
            problem(form, error)
        else:
            messages.success(request, "Changed; what was before is kept in its log.")
            return redirect(place)
    return render(request, "gathering/change.html", {"form": form, "place": place})
