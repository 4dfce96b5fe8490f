"""The shed page: logging on a phone that may have no signal."""

from __future__ import annotations

import json
from dataclasses import asdict

from django.conf import settings
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.templatetags.static import static
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from tanwright.planning.telling.voice import Voice
from tanwright.yard.people.access import person_of, system_of
from tanwright.yard.shed.services import take_in
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.tannage.quick import quick_kinds

ASSETS = (
    "shell/identity.css",
    "shell/yard.css",
    "shell/yard.js",
    "shell/mark.svg",
    "shell/icons.svg",
    "django_htmx/htmx-2.min.js",
    "shed/shed.js",
)
"""What the shed page needs to open without the yard."""


@never_cache
def shed(request: HttpRequest) -> HttpResponse:
    """Choose the vat, choose what, say it: kept in the browser until the yard has it."""
    vats = Tannage.objects.filter(withdrawn_at=None, state=Tannage.State.RUNNING).order_by("number")
    say = Voice(system_of(request)).words
    listed = [
        {"id": str(vat.pk), "title": vat.title, "vat": vat.vat, "next": say(vat.next_headline)}
        for vat in vats[:300]
    ]
    said = {
        "vats": listed,
        "kinds": quick_kinds(system_of(request)),
        "person": person_of(request).name,
    }
    return render(request, "shed/shed.html", {"vats": listed, "said": said})


@require_GET
@never_cache
def token(request: HttpRequest) -> JsonResponse:
    """A fresh form token for a page that was open longer than its old one lived."""
    return JsonResponse({"token": get_token(request), "person": person_of(request).name})


@require_POST
@never_cache
def send(request: HttpRequest) -> JsonResponse:
    """Entries as JSON: ``{"entries": [...]}``. Sending one twice changes nothing."""
    try:
        said = json.loads(request.body)
        entries = said["entries"]
        if not isinstance(entries, list):
            raise TypeError
    except (ValueError, KeyError, TypeError, RecursionError):
        why = "This is not a list of entries; reload the shed page."
        return JsonResponse({"problem": why}, status=400)
    found = take_in(entries, person_of(request), getattr(request, "device", None))
    now = timezone.now().isoformat()
    return JsonResponse({"outcomes": [asdict(item) for item in found], "now": now})


@require_GET
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker of this page alone (its scope is this folder)."""
    addresses = {"assets": [static(name) for name in ASSETS], "page": request.path[: -len("sw.js")]}
    response = render(
        request,
        "shed/sw.js",
        {"addresses": json.dumps(addresses), "debug": settings.DEBUG},
        content_type="text/javascript",
    )
    response["Cache-Control"] = "no-cache"
    return response
