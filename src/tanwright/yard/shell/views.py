"""Error pages, and the page that shows every component."""

from __future__ import annotations

from typing import cast

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from tanwright.units import System
from tanwright.yard.shell import style_page


def _told(request: HttpRequest, status: int, what: str, remedy: str) -> HttpResponse:
    return render(request, "shell/error.html", {"what": what, "remedy": remedy}, status=status)


@login_not_required
def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return _told(request, 400, "The yard could not read that.", "Go back and send it again.")


@login_not_required
def not_allowed(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    what = str(exception or "") or "Only a keeper may do this."
    return _told(request, 403, what, "Ask a keeper of the yard.")


@login_not_required
def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return _told(request, 404, "There is no such page.", "Look on Today, or search for it.")


@login_not_required
def failed(request: HttpRequest) -> HttpResponse:
    what = "Something in the yard broke. Whatever was acknowledged before is kept."
    return _told(request, 500, what, "Go back, reload and try again.")


@login_not_required
def csrf_refused(request: HttpRequest, reason: str = "") -> HttpResponse:
    what = "This form was open too long, or came from another place."
    return _told(request, 403, what, "Go back, reload the page and send it again.")


def style(request: HttpRequest) -> HttpResponse:
    """Every component on one page, for whoever works on the look."""
    system = cast(System, getattr(request.user, "system", "metric"))
    return render(request, "shell/style.html", style_page.shown(system))
