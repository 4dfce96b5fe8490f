"""The page that shows a pairing code; it comes as the answer to the button and is never kept."""

from __future__ import annotations

from datetime import timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from tanwright.yard.people import pairing, queries
from tanwright.yard.people.models import Person


def code_shown(request: HttpRequest, someone: Person, code: str) -> HttpResponse:
    """The QR picture of ``code``, which was just made for ``someone``."""
    until = timezone.now() + timedelta(minutes=pairing.MINUTES)
    shown = queries.pairing_picture(request, code, until)
    context = {"someone": someone, "shown": shown, "minutes": pairing.MINUTES}
    return render(request, "people/code.html", context)
