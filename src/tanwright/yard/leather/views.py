"""Pages of this area."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from tanwright.errors import TanwrightError
from tanwright.yard.journal.queries import is_kept, log_of
from tanwright.yard.leather import queries, services
from tanwright.yard.leather.actions import ACTIONS
from tanwright.yard.leather.forms import BegunForm, ChangeForm, EndedForm, OpenForm
from tanwright.yard.leather.models import Leather
from tanwright.yard.people.access import keeper_only, person_of, system_of
from tanwright.yard.shell.forms import EntryForm
from tanwright.yard.skins.models import Skin
from tanwright.yard.tannage.models import Tannage


def page_number(request: HttpRequest) -> int:
    """The page that ``?page=`` asks for, 1 when it is none."""
    text = request.GET.get("page", "1")
    return int(text) if text.isdecimal() and len(text) < 7 else 1


def leathers(request: HttpRequest) -> HttpResponse:
    """All leather, newest first."""
    text = request.GET.get("q", "")[:80]
    page = Paginator(queries.leathers(text), 50).get_page(page_number(request))
    rows = [queries.row_of(item, system_of(request)) for item in page.object_list]
    return render(request, "leather/leathers.html", {"rows": rows, "page": page, "q": text})


@keeper_only
def new(request: HttpRequest) -> HttpResponse:
    """A skin that was taken out of a vat becomes a leather."""
    tannage = _asked(Tannage, request.GET.get("tannage"))
    if tannage is None:
        places = Tannage.objects.filter(withdrawn_at=None, places__taken_out_at__isnull=False)
        found = places.distinct().order_by("-number")[:50]
        return render(request, "leather/choose.html", {"tannages": found})
    skins = queries.to_open(tannage)
    if not skins:
        return render(request, "leather/choose.html", {"tannage": tannage, "tannages": []})
    asked = request.GET.get("skin") or str(skins[0].pk)
    start = {"skin": asked, "entry_id": uuid.uuid4()}
    form = OpenForm(request.POST or None, initial=start, skins=skins)
    if request.method == "POST" and form.is_valid() and (made := _opened(request, tannage, form)):
        messages.success(request, f"{made.title} is on the list.")
        return redirect(made)
    return render(request, "leather/new.html", {"form": form, "tannage": tannage})


def _opened(request: HttpRequest, tannage: Tannage, form: OpenForm) -> Leather | None:
    data = form.cleaned_data
    try:
        return services.open_leather(
            person_of(request),
            tannage,
            get_object_or_404(Skin, pk=data["skin"]),
            id=data["entry_id"],
            name=data["name"],
            aim=data["aim"],
        )
    except TanwrightError as error:
        form.add_problem(error, error.place or None)
        return None


def _asked(model: type[Tannage], text: str | None) -> Tannage | None:
    """The record that an address names; a page that says there is none for a wrong one."""
    if not text:
        return None
    try:
        id = uuid.UUID(text)
    except ValueError:
        raise Http404 from None
    return get_object_or_404(model, pk=id)


def leather(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """One leather: what next, what it proved to be, what was noted."""
    item, system = queries.leather_of(id), system_of(request)
    context = {
        "leather": item,
        "page": queries.page_of(item, system),
        "actions": ACTIONS.values(),
        "lines": log_of(item, system, page_number(request)),
    }
    return render(request, "leather/leather.html", context)


def begin(request: HttpRequest, id: uuid.UUID, stage: str) -> HttpResponse:
    """A finishing stage begins."""
    item, system = queries.leather_of(id), system_of(request)
    shown = next((part for part in queries.page_of(item, system).stages if part.key == stage), None)
    if shown is None:
        raise Http404
    form = BegunForm(request.POST or None, system=system, initial={"stage": stage})
    if request.method == "POST" and form.is_valid():
        form.cleaned_data["stage"] = stage
        if _logged(request, item, "leather.stage_begun", form):
            messages.success(request, f"{shown.name}: begun.")
            return redirect(item)
    return render(request, "leather/begin.html", {"form": form, "leather": item, "stage": shown})


def ended(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """How the stage that runs looked."""
    item, system = queries.leather_of(id), system_of(request)
    if is_kept(request.POST.get("entry_id", "")):
        return redirect(item)
    if request.POST.get("stage", item.step) != item.step:
        messages.warning(
            request,
            "Nothing was noted: somebody went on with this leather since your page was opened.",
        )
        return redirect(item)
    page = queries.page_of(item, system)
    if not item.step or page.next is None:
        messages.warning(request, "No stage runs now.")
        return redirect(item)
    form = EndedForm(request.POST or None, system=system, initial={"stage": item.step})
    if request.method == "POST" and form.is_valid():
        form.cleaned_data["stage"] = page.next.key
        if _logged(request, item, "leather.stage_ended", form):
            messages.success(request, _after(page.next, form.cleaned_data["looked"]))
            return redirect(item)
    return render(
        request, "leather/ended.html", {"form": form, "leather": item, "stage": page.next}
    )


def _after(stage: queries.StageShown, looked: str) -> str:
    """What follows a look."""
    told = {"not-yet": stage.not_yet, "trouble": stage.trouble}
    return told.get(looked, "The end test is met: go on.")


def log(request: HttpRequest, id: uuid.UUID, what: str) -> HttpResponse:
    """Note a weight, a measure, a test, a photo or a note."""
    item, system, action = queries.leather_of(id), system_of(request), ACTIONS.get(what)
    if action is None:
        raise Http404
    initial = {**action.initial, **({"state": "damp"} if _wants_damp(item, what) else {})}
    form = action.form(request.POST or None, request.FILES or None, system=system, initial=initial)
    if request.method == "POST" and form.is_valid() and _logged(request, item, action.kind, form):
        messages.success(request, "Noted.")
        return redirect(item)
    context: dict[str, Any] = {"form": form, "leather": item, "action": action}
    if action.test:
        context["scale"] = queries.scale_shown(action.test, system)
    return render(request, "leather/log.html", context)


def _wants_damp(item: Leather, what: str) -> bool:
    return what == "weighed" and item.damp_kg is None and item.finished_at is None


def _logged(request: HttpRequest, item: Leather, kind: str, form: EntryForm) -> bool:
    """Write the entry; a refusal becomes an error of the form."""
    try:
        services.log(
            item,
            kind,
            form.data_of_entry(),
            person_of(request),
            id=form.cleaned_data["entry_id"],
            happened_at=form.cleaned_data["happened_at"],
            note=form.cleaned_data.get("note", ""),
            photo=form.cleaned_data.get("photo"),
            device=getattr(request, "device", None),
        )
    except TanwrightError as error:
        form.add_problem(error, "happened_at" if error.place == "when" else error.place or None)
        return False
    return True


@keeper_only
def change(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Its name and what it is to become."""
    item = queries.leather_of(id)
    form = ChangeForm(request.POST or None, initial={"name": item.name, "aim": item.aim})
    if request.method == "POST" and form.is_valid():
        services.change_leather(item, form.cleaned_data, person_of(request))
        messages.success(request, "Changed; what was before is kept in its log.")
        return redirect(item)
    return render(request, "leather/change.html", {"form": form, "leather": item})
