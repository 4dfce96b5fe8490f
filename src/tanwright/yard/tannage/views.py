"""Pages that show vats."""

from __future__ import annotations

import uuid

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from tanwright.yard.journal.queries import log_of
from tanwright.yard.people.access import person_of, system_of
from tanwright.yard.stock.views import page_number
from tanwright.yard.tannage import queries
from tanwright.yard.tannage.actions import actions_for
from tanwright.yard.tannage.facts import facts_of, links_of
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.tannage.page import numbers_of, page_of
from tanwright.yard.tannage.renewing import renew_if_stale


def tannages(request: HttpRequest) -> HttpResponse:
    text, show = request.GET.get("q", "")[:80], request.GET.get("show", "")
    page = Paginator(queries.tannages(text, show), 50).get_page(page_number(request))
    today, system = timezone.localdate(), system_of(request)
    rows = [queries.row_of(tannage, today, system) for tannage in page.object_list]
    context = {"rows": rows, "page": page, "q": text, "show": show}
    return render(request, "tannage/tannages.html", context)


def tannage(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """One vat: what to do now, how it stands, its log."""
    found, system = queries.tannage_of(id), system_of(request)
    if found.state == Tannage.State.DRAFT and person_of(request).is_keeper:
        return redirect("tannage:step", id=id, step="skins")
    renew_if_stale(found)
    page = page_of(found, system, timezone.localdate())
    actions = actions_for(found)
    context = {
        "tannage": found,
        "page": page,
        "facts": facts_of(found, system),
        "links": links_of(found),
        "quick": [action for action in actions if action.quick],
        "others": [action for action in actions if not action.quick],
        "lines": log_of(found, system, page_number(request), page.remarks),
    }
    return render(request, "tannage/tannage.html", context)


def now(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """The upper part of the page alone, as soon as the forecast is there; else the wait."""
    found, system = queries.tannage_of(id), system_of(request)
    renew_if_stale(found)
    page = page_of(found, system, timezone.localdate())
    if not request.htmx:  # type: ignore[attr-defined]
        return redirect(found)
    context = {"tannage": found, "page": page}
    if page.stale:
        return render(request, "tannage/coming.html", context)
    response = render(request, "tannage/coming.html", context)
    response["HX-Refresh"] = "true"
    return response


def plan(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """The whole plan or forecast with what stands behind it."""
    found, system = queries.tannage_of(id), system_of(request)
    renew_if_stale(found)
    page = page_of(found, system, timezone.localdate())
    return render(request, "tannage/plan.html", {"tannage": found, "page": page})


def numbers(request: HttpRequest, id: uuid.UUID, picture: str) -> HttpResponse:
    """Every number of one picture as CSV."""
    found = queries.tannage_of(id)
    latest = found.forecasts.filter(answer__isnull=False).order_by("-made_at").first()
    text = numbers_of(latest, picture, system_of(request), timezone.localdate()) if latest else None
    if text is None:
        raise Http404
    response = HttpResponse(text, content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{found.code}-{picture}.csv"'
    return response
