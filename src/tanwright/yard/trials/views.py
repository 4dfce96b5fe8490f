"""Pages of this area."""

from __future__ import annotations

import uuid

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from tanwright.yard.trials.models import Trial


def trials(request: HttpRequest) -> HttpResponse:
    return render(request, "trials/trials.html", {"rows": Trial.objects.all()[:50]})


def trial(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    return render(request, "trials/trial.html", {"trial": get_object_or_404(Trial, pk=id)})
