"""Pages of this area."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def plants(request: HttpRequest) -> HttpResponse:
    return render(request, "plants/plants.html")
