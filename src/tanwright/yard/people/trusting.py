"""The page on how a device comes to trust the yard's certificate, and the file for it."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from tanwright.yard.people.certificate import kept_authority


@login_not_required
def trust(request: HttpRequest) -> HttpResponse:
    """One step for each device; open to strangers, because it comes before signing in."""
    kept = kept_authority(settings.YARD_FOLDER) if settings.HTTPS else None
    return render(request, "people/trust.html", {"fingerprint": kept[1] if kept else ""})


@login_not_required
def authority(request: HttpRequest) -> HttpResponse:
    """The authority's certificate (public by nature; its key never leaves the yard's folder)."""
    kept = kept_authority(settings.YARD_FOLDER) if settings.HTTPS else None
    if kept is None:
        raise Http404
    return HttpResponse(
        kept[0],
        content_type="application/x-x509-ca-cert",
        headers={"Content-Disposition": 'attachment; filename="tannery-yard.crt"'},
    )
