"""A full or read-only disk, told in plain words instead of as a fault of the program."""

from __future__ import annotations

import errno
import logging
import sys
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from django.contrib.auth.decorators import login_not_required
from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string

from tanwright.yard.shell import views as shell

log = logging.getLogger(__name__)

NO_ROOM: Final = 507
NOT_NOW: Final = 503


@dataclass(frozen=True)
class Trouble:
    """What the disk refused, as a person needs to hear it."""

    status: int
    what: str
    remedy: str


FULL: Final = Trouble(
    NO_ROOM,
    "The disk of the yard is full: this was not kept.",
    "Free some space on the machine that runs the yard, then go back and send it again. "
    "What was acknowledged before is safe.",
)
READ_ONLY: Final = Trouble(
    NOT_NOW,
    "The yard may not write to its folder: this was not kept.",
    "Let the person who runs the yard write to its folder again, then go back and send it again. "
    "What was acknowledged before is safe.",
)
BUSY: Final = Trouble(
    NOT_NOW,
    "The yard was too busy to keep this.",
    "Wait a moment, then go back and send it again.",
)
GONE: Final = Trouble(
    NOT_NOW,
    "The yard cannot reach its database: this was not kept.",
    "Look whether its folder (or its database server) is there, then go back and send it again.",
)
_BY_WORDS: Final = (
    ("database or disk is full", FULL),
    ("no space left", FULL),
    ("disk i/o error", FULL),
    ("could not extend file", FULL),
    ("readonly database", READ_ONLY),
    ("read-only", READ_ONLY),
    ("permission denied", READ_ONLY),
    ("database is locked", BUSY),
    ("unable to open database file", GONE),
    ("connection refused", GONE),
)


def told_of(error: BaseException) -> Trouble | None:
    """The trouble behind ``error`` (of the database or of a file), or None when it is another."""
    if isinstance(error, DatabaseError):
        words = str(error).lower()
        return next((trouble for part, trouble in _BY_WORDS if part in words), None)
    if isinstance(error, OSError):
        if error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
            return FULL
        if error.errno in (errno.EROFS, errno.EACCES, errno.EPERM):
            return READ_ONLY
    return None


class DiskTrouble:
    """Middleware: what a view could not keep becomes a page with a remedy (507 full, else 503)."""

    def __init__(self, respond: Callable[[HttpRequest], HttpResponse]) -> None:
        self.respond = respond

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.respond(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        return _page(request, error)


@login_not_required
def failed(request: HttpRequest) -> HttpResponse:
    """The error page of last resort; troubles of the disk in other middleware come here."""
    error = sys.exc_info()[1]
    told = _page(request, error) if error is not None else None
    return told or shell.failed(request)


def _page(request: HttpRequest, error: BaseException) -> HttpResponse | None:
    trouble = told_of(error)
    if trouble is None:
        return None
    log.error("%s %s: %s (%s)", request.method, request.path, trouble.what, error)
    # Without the request: finding out who reads it would ask the database again.
    page = render_to_string(
        "exchange/trouble.html", {"what": trouble.what, "remedy": trouble.remedy}
    )
    return HttpResponse(page, status=trouble.status)
