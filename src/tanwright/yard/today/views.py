"""Pages of this area: what to do now, and the calendar."""

from __future__ import annotations

import uuid
from typing import Final

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.http import http_date
from django.views.decorators.http import require_safe

from tanwright.units import System
from tanwright.yard.people.access import person_of, system_of
from tanwright.yard.people.models import Person
from tanwright.yard.today import calendar as calendars
from tanwright.yard.today.gathering import day_at

AT_ONCE: Final = 25
"""Things to do on the page; nobody works through more in a day."""


def today(request: HttpRequest) -> HttpResponse:
    """What to do now, over everything in the yard; ``?all=1`` shows what can wait as well."""
    whole = request.GET.get("all") == "1"
    day = day_at(timezone.now(), system_of(request), most=None if whole else AT_ONCE)
    return render(request, "today/today.html", {"day": day})


def calendar(request: HttpRequest) -> HttpResponse:
    """How to get all this into a calendar program."""
    address = f"{_base(request)}{reverse('today:feed', args=[person_of(request).calendar_token])}"
    return render(request, "today/calendar.html", {"address": address})


@require_safe
def download(request: HttpRequest) -> HttpResponse:
    """The calendar as it is now, as a file."""
    response = _sent(request, system_of(request))
    response["Content-Disposition"] = 'attachment; filename="yard.ics"'
    return response


@require_safe
@login_not_required
def feed(request: HttpRequest, token: uuid.UUID) -> HttpResponse:
    """The calendar for who holds the address; calendar programs cannot sign in."""
    person = Person.objects.filter(calendar_token=token, is_active=True).first()
    if person is None:
        raise Http404
    return _sent(request, "us" if person.system == Person.System.US else "metric")


def _sent(request: HttpRequest, system: System) -> HttpResponse:
    made = calendars.feed(timezone.now(), system, _base(request))
    response = HttpResponse(made.body, content_type="text/calendar; charset=utf-8")
    response["ETag"], response["Last-Modified"] = made.etag, http_date(made.changed_at.timestamp())
    response["Cache-Control"] = "private, max-age=0, must-revalidate"
    # The tag alone decides: what is said changes with the clock, too.
    found = get_conditional_response(request, etag=made.etag, response=response)
    return found if isinstance(found, HttpResponse) else response


def _base(request: HttpRequest) -> str:
    return str(settings.ADDRESS or request.build_absolute_uri("/")).rstrip("/")
