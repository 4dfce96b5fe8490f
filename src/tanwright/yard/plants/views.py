"""Pages of this area: the list of plants, one plant, several side by side."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from tanwright.errors import TanwrightError
from tanwright.reference import materials
from tanwright.yard.people.access import keeper_only, person_of, system_of
from tanwright.yard.plants import compare_page, plant_page, queries, services
from tanwright.yard.plants.forms import FindForm, NoteForm
from tanwright.yard.plants.models import OwnPlant
from tanwright.yard.plants.seasons import sun_of
from tanwright.yard.plants.seen import seen_by_material

ON_A_PAGE = 40


def page_number(request: HttpRequest) -> int:
    """The page that ``?page=`` asks for, 1 when it is none."""
    text = request.GET.get("page", "1")
    return int(text) if text.isdecimal() and len(text) < 7 else 1


def plants(request: HttpRequest) -> HttpResponse:
    """All plants, or those that fit what is asked."""
    form = FindForm(request.GET, system=system_of(request))
    form.is_valid()
    own, home = queries.own_ids(), queries.home_place()
    found = queries.found(form.asked(own), home)
    page = Paginator(found, ON_A_PAGE).get_page(page_number(request))
    filters = queries.filters_of(form, request.GET)
    return render(
        request,
        "plants/plants.html",
        {
            "form": form,
            "page": page,
            "count": len(found),
            "rows": [queries.list_row(row, own) for row in page.object_list],
            "filters": filters,
            "picked": queries.picked(request.GET),
            "near": () if found else queries.near(form.cleaned_data.get("q", "")),
            "home": home,
            "has_own": bool(own),
        },
    )


def plant(request: HttpRequest, id: str) -> HttpResponse:
    """One plant."""
    id = id.lower()
    if not queries.is_known(id):
        return no_such_plant(request, id)
    home = queries.home_place()
    return render(
        request,
        "plants/plant.html",
        {
            "page": plant_page.page_of(
                id, sun_of(home), timezone.localdate().year, system_of(request)
            ),
            "own": OwnPlant.objects.filter(material_id=id).first(),
            "seen": plant_page.seen_words(seen_by_material(home).get(id), home, system_of(request)),
        },
    )


def no_such_plant(request: HttpRequest, id: str) -> HttpResponse:
    """A page that says so, with what may have been meant."""
    context = {"id": id, "near": queries.near(id)}
    return render(request, "plants/no_such_plant.html", context, status=404)


@require_POST
@keeper_only
def keep(request: HttpRequest, id: str) -> HttpResponse:
    """Put a plant on the yard's list, or take it off (``do=drop``)."""
    id = id.lower()
    if not queries.is_known(id):
        return no_such_plant(request, id)
    name = materials.material(id).name
    try:
        if request.POST.get("do") == "drop":
            services.drop_plant(id, person_of(request))
            messages.success(request, f"{name} is no longer on your list.")
        else:
            services.add_plant(id, person_of(request))
            messages.success(request, f"{name} is on your list: the calendar tells its seasons.")
    except TanwrightError as error:
        messages.error(request, f"{error.what[:1].upper()}{error.what[1:]}; {error.remedy}.")
    return redirect("plants:plant", id)


@keeper_only
def note(request: HttpRequest, id: str) -> HttpResponse:
    """The yard's own note on a plant."""
    id = id.lower()
    if not queries.is_known(id):
        return no_such_plant(request, id)
    own = OwnPlant.objects.filter(material_id=id).first()
    form = NoteForm(
        request.POST or None, system=system_of(request), initial={"note": own.note if own else ""}
    )
    if request.method == "POST" and form.is_valid():
        try:
            services.note_plant(id, form.cleaned_data["note"], person_of(request))
        except TanwrightError as error:
            form.add_problem(error, "note")
        else:
            messages.success(request, "Noted.")
            return redirect("plants:plant", id)
    return render(request, "plants/note.html", {"form": form, "item": materials.material(id)})


def compare(request: HttpRequest) -> HttpResponse:
    """Up to four plants side by side."""
    ids = list(dict.fromkeys(id.lower() for id in request.GET.getlist("id")))
    home = queries.home_place()
    page = compare_page.page_of(ids, sun_of(home), timezone.localdate().year, system_of(request))
    return render(request, "plants/compare.html", {"page": page})
