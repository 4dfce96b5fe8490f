"""Pages of this area."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def liquors(request: HttpRequest, **kwargs: object) -> HttpResponse:
    return render(request, "shell/coming.html")
