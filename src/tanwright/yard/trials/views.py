"""Pages that show trials."""

from __future__ import annotations

import uuid

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from tanwright.yard.journal.queries import log_of
from tanwright.yard.people.access import person_of, system_of
from tanwright.yard.stock.views import page_number
from tanwright.yard.trials import queries
from tanwright.yard.trials.actions import actions_for
from tanwright.yard.trials.jar_forms import COLUMNS
from tanwright.yard.trials.models import Trial
from tanwright.yard.trials.next_step import next_of
from tanwright.yard.trials.renewing import renew_if_stale
from tanwright.yard.trials.to_skin import lessons_of


def trials(request: HttpRequest) -> HttpResponse:
    """All trials, newest first."""
    text = request.GET.get("q", "")[:80]
    page = Paginator(queries.trials(text), 50).get_page(page_number(request))
    rows = [queries.row_of(item) for item in page.object_list]
    return render(request, "trials/trials.html", {"rows": rows, "page": page, "q": text})


def trial(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """One trial: what next, how its jars stand, its log."""
    found, system = queries.trial_of(id), system_of(request)
    renew_if_stale(found)
    context = {
        "trial": found,
        "next": next_of(found, person_of(request).is_keeper),
        "shown": queries.jars_shown(found, system),
        "running": found.state == Trial.State.RUNNING,
        "columns": [(key, title) for key, (title, _) in COLUMNS.items()],
        "actions": actions_for(found),
        "regions": queries.patches_by_region(found),
        "lessons": lessons_of(found) if found.begun_at else (),
        "lines": log_of(found, system, page_number(request)),
    }
    return render(request, "trials/trial.html", context)
