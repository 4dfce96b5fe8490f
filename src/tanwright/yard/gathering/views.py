"""Pages of this area."""

from __future__ import annotations

import uuid

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from tanwright.yard.gathering.models import Place


def places(request: HttpRequest) -> HttpResponse:
    return render(request, "gathering/places.html", {"rows": Place.objects.all()[:50]})


def place(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    return render(request, "gathering/place.html", {"place": get_object_or_404(Place, pk=id)})
