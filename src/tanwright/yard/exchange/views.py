"""Pages of this area: backups, export and the demonstration. For keepers only."""

from __future__ import annotations

import tempfile
from pathlib import Path

from django.conf import settings
from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from tanwright.errors import TanwrightError
from tanwright.yard.exchange import demo, queries
from tanwright.yard.exchange.backing_up import make_backup
from tanwright.yard.exchange.package import export
from tanwright.yard.people.access import keeper_only, person_of


@require_GET
@keeper_only
def keeping(request: HttpRequest) -> HttpResponse:
    """Backups, disk space, export, how to restore."""
    context = {"keeping": queries.keeping(), "demo": demo.standing()}
    return render(request, "exchange/keeping.html", context)


@require_POST
@keeper_only
def back_up(request: HttpRequest) -> HttpResponse:
    """Make a backup now."""
    try:
        made = make_backup()
        messages.success(request, f"Backup made: {made.path.name}.")
    except TanwrightError as error:
        messages.error(request, f"No backup was made. {error}.")
    return redirect("exchange:keeping")


@require_GET
@keeper_only
def download(request: HttpRequest, name: str) -> HttpResponseBase:
    """One of the yard's own backups as a file."""
    backup = queries.backup_called(name)
    if backup is None:
        raise Http404
    return _file(backup.path, backup.path.name)


@require_POST
@keeper_only
def export_all(request: HttpRequest) -> HttpResponseBase:
    """The whole yard as an open package; the file on the server is gone once it is sent."""
    try:
        with tempfile.TemporaryDirectory(prefix=".export-", dir=settings.YARD_FOLDER) as room:
            done = export(Path(room) / "yard.zip")
            # An open file outlives its name on every system that lets it be deleted while open.
            return _file(done.path, f"yard-{timezone.localdate()}.zip")
    except TanwrightError as error:
        messages.error(request, f"Nothing was exported. {error}.")
    return redirect("exchange:keeping")


@require_POST
@keeper_only
def load_demo(request: HttpRequest) -> HttpResponse:
    """Fill an empty yard with the demonstration."""
    try:
        demo.load(person_of(request))
        messages.success(request, "The demo yard is in. Everything in it is invented.")
    except TanwrightError as error:
        messages.error(request, f"{error}.")
        return redirect("exchange:keeping")
    return redirect("today:today")


def _file(path: Path, name: str) -> FileResponse:
    response = FileResponse(path.open("rb"), as_attachment=True, filename=name)
    response["Content-Type"] = "application/zip"
    response["Cache-Control"] = "private, no-store"
    return response
