"""Pages of this area."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from tanwright.errors import TanwrightError
from tanwright.yard.journal.queries import log_of
from tanwright.yard.liquors import cooking, queries, services
from tanwright.yard.liquors.actions import ACTIONS, actions_for
from tanwright.yard.liquors.forms import JoinedForm, NameForm
from tanwright.yard.liquors.models import Liquor
from tanwright.yard.liquors.tables import scale_of_the_yard, tools_of_the_yard
from tanwright.yard.liquors.tools_form import ToolsForm
from tanwright.yard.people.access import keeper_only, person_of, system_of
from tanwright.yard.shell.forms import EntryForm
from tanwright.yard.stock.views import entry_of, page_number, problem


def liquors(request: HttpRequest) -> HttpResponse:
    system, scale = system_of(request), scale_of_the_yard()
    text, show = request.GET.get("q", "")[:80], request.GET.get("show", "")
    page = Paginator(queries.liquors(text, show), 50).get_page(page_number(request))
    rows = [queries.row_of(liquor, system, scale) for liquor in page.object_list]
    return render(
        request, "liquors/liquors.html", {"rows": rows, "page": page, "q": text, "show": show}
    )


def liquor(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    liquor, system = queries.liquor_of(id), system_of(request)
    return render(
        request,
        "liquors/liquor.html",
        {
            "page": queries.page_of(liquor, system, scale_of_the_yard(), timezone.now()),
            "liquor": liquor,
            "actions": actions_for(liquor, person_of(request)),
            "lines": log_of(liquor, system, page_number(request)),
            "again": cooking.again_url(liquor),
        },
    )


@keeper_only
def cook(request: HttpRequest) -> HttpResponse:
    form = cooking.form_for(request)
    reckoned = ""
    if request.method == "POST" and form.is_valid():
        reckoned = cooking.expected_words(form, system_of(request), scale_of_the_yard())
        if request.htmx or "reckon" in request.POST:  # type: ignore[attr-defined]
            pass
        elif liquor := cooking.cooked(request, form, entry_of(request, form), problem):
            messages.success(request, f"{liquor.title} is on the list. {reckoned}")
            return redirect(liquor)
    context = {
        "form": form,
        "cautions": queries.cook_cautions(cooking.material_ids(form), system_of(request)),
        "reckoned": reckoned,
    }
    htmx = bool(request.htmx)  # type: ignore[attr-defined]
    return render(request, "liquors/expected.html" if htmx else "liquors/cook.html", context)


def log(request: HttpRequest, id: uuid.UUID, what: str) -> HttpResponse:
    person, liquor, action = person_of(request), queries.liquor_of(id), ACTIONS.get(what)
    if action is None:
        raise Http404
    if action.keeper and not person.is_keeper:
        raise PermissionDenied("Only a keeper may do this. A helper logs what was done and seen.")
    own = {"liquor": liquor} if action.form is JoinedForm else {}
    form = action.form(
        request.POST or None, request.FILES or None, system=system_of(request), **own
    )
    if request.method == "POST" and form.is_valid():
        try:
            goal = _noted(liquor, what, form, person, entry_of(request, form))
        except TanwrightError as error:
            problem(form, error)
        else:
            _tell(request, liquor, action.noted)
            return redirect(goal)
    cautions = queries.effluent_cautions() if what == "thrown" else ()
    context = {
        "form": form,
        "liquor": liquor,
        "action": action,
        "cautions": cautions,
        "page": queries.page_of(liquor, system_of(request), scale_of_the_yard(), timezone.now())
        if what in ("strength", "look")
        else None,
    }
    return render(request, "liquors/log.html", context)


def _noted(
    liquor: Liquor, what: str, form: EntryForm, person: Any, entry: dict[str, Any]
) -> Liquor:
    """Write it down; gives the liquor whose page comes next."""
    data = form.data_of_entry()
    if what == "joined":
        other = queries.liquor_of(uuid.UUID(data["other"]))
        services.join(liquor, other, person, litres=data.get("litres"), **entry)
    elif what == "split":
        where = data.get("where", "")
        return services.split(liquor, data["litres"], person, where=where, **entry)
    else:
        photo = form.cleaned_data.get("photo")
        services.log(liquor, f"liquor.{what}", data, person, photo=photo, **entry)
    return liquor


def _tell(request: HttpRequest, liquor: Liquor, noted: str) -> None:
    messages.success(request, noted)
    if odd := queries.overdrawn_words(liquor, system_of(request)):
        messages.warning(request, odd)


@keeper_only
def change(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    liquor = queries.liquor_of(id)
    form = NameForm(request.POST or None, initial={"name": liquor.name})
    if request.method == "POST" and form.is_valid():
        services.change_liquor(liquor, {"name": form.cleaned_data["name"]}, person_of(request))
        messages.success(request, "Changed; what was before is kept in its log.")
        return redirect(liquor)
    return render(request, "liquors/change.html", {"form": form, "liquor": liquor})


@keeper_only
def tools(request: HttpRequest) -> HttpResponse:
    kept = tools_of_the_yard()
    names = ("instrument", "scale", "calibrated_at_c", "pot_l", "litre_scale")
    initial = {name: getattr(kept, name) for name in names}
    form = ToolsForm(request.POST or None, system=system_of(request), initial=initial)
    if request.method == "POST" and form.is_valid():
        services.set_tools(person_of(request), **form.cleaned_data)
        messages.success(request, "Kept: strengths are read and shown with these from now on.")
        return redirect("liquors:liquors")
    return render(request, "liquors/tools.html", {"form": form})
