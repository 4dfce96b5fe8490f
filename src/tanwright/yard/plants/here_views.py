"""Pages of what grows here: the answer, the yard's own place, and files of records."""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_GET, require_POST

from tanwright.errors import TanwrightError
from tanwright.yard.people.access import keeper_only, person_of, system_of
from tanwright.yard.plants import here_queries as queries
from tanwright.yard.plants import here_services as services
from tanwright.yard.plants.here_forms import HomeForm, RecordsForm
from tanwright.yard.plants.here_upload import ReceivedFile, Receiving
from tanwright.yard.plants.models import HomePlace, SightingsImport

SHOWN_AT_ONCE = 20
UNSEEN_SHOWN = 24


@require_GET
def here(request: HttpRequest) -> HttpResponse:
    """What was seen near, and what else should grow in the region."""
    system, home = system_of(request), HomePlace.objects.first()
    seen = queries.seen_near(home)
    page = Paginator(seen, SHOWN_AT_ONCE).get_page(request.GET.get("page", "1")[:6])
    unseen = queries.of_region_unseen(home, seen)
    return render(
        request,
        "plants/here.html",
        {
            "place": queries.place_of(home, system),
            "rows": [queries.seen_row(item, system) for item in page.object_list],
            "page": page,
            "count": len(seen),
            "kinds": sum(item.level == "species" for item in seen),
            "unseen": unseen[:UNSEEN_SHOWN],
            "unseen_more": max(0, len(unseen) - UNSEEN_SHOWN),
            "imports": queries.imports(),
            "cautions": queries.gathering_cautions(),
        },
    )


@keeper_only
def place(request: HttpRequest) -> HttpResponse:
    """Where the yard is and how far its people go."""
    home = HomePlace.objects.first()
    form = HomeForm(
        request.POST or None, system=system_of(request), initial=services.home_fields(home)
    )
    if request.method == "POST" and form.is_valid():
        try:
            services.set_home(person_of(request), **form.fields_of_home())
        except TanwrightError as error:
            form.add_problem(error, error.place)
        else:
            messages.success(request, "Kept. It stays in this yard.")
            return redirect("plants:here")
    return render(request, "plants/here_place.html", {"form": form})


@csrf_exempt
@keeper_only
def take_in(request: HttpRequest) -> HttpResponseBase:
    """Take in a file of records."""
    # The token is in the same stream as the file, so where the file goes is said before the token
    # is looked for.
    receiving = Receiving(request)
    request.upload_handlers = [receiving]
    try:
        return _take_in(request, receiving)
    except BaseException:
        receiving.let_go()  # a line that broke, a disk that is full
        raise


@csrf_protect
def _take_in(request: HttpRequest, receiving: Receiving) -> HttpResponse:
    form = RecordsForm(system=system_of(request))
    if request.method == "POST":
        form = RecordsForm(request.POST, request.FILES, system=system_of(request))
        if receiving.too_large:
            form.errors.pop("file", None)
            form.add_error("file", "This file is larger than 1 GB; take fewer plants or a smaller "
                           "region, or a zipped one.")  # fmt: skip
        elif form.is_valid():
            file = form.cleaned_data["file"]
            assert isinstance(file, ReceivedFile)
            try:
                begun = services.begin_import(
                    person_of(request), receiving.id, file.name or "records", file.sha256
                )
            except TanwrightError as error:
                form.add_problem(error, error.place)
            else:
                return redirect("plants:here-reading", begun.pk)
        receiving.let_go()
    return render(request, "plants/here_import.html", {"form": form})


@require_GET
@never_cache
def reading(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """How taking in a file goes; the page asks anew while it is being read."""
    services.sweep()
    item = get_object_or_404(SightingsImport, pk=id)
    return render(
        request,
        "plants/here_reading.html",
        {
            "item": item,
            "told": queries.reading_page(item),
            "row": queries.import_row(item),
        },
    )


@require_POST
@keeper_only
def withdraw(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Let go of what a file told."""
    item = get_object_or_404(SightingsImport, pk=id)
    try:
        services.withdraw(item, person_of(request))
        messages.success(request, f"Withdrawn: {item.file_name} counts no longer.")
    except TanwrightError as error:
        messages.error(request, f"{error}.")
    return redirect("plants:here")
