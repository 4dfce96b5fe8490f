"""Paper: labels, shed sheets and reports as PDF."""

from __future__ import annotations

import uuid
from urllib.parse import urlsplit

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from tanwright.yard.journal.models import Record
from tanwright.yard.paper.forms import LabelsForm
from tanwright.yard.paper.labels import label_of, set_labels
from tanwright.yard.paper.report import set_report
from tanwright.yard.paper.shed_sheet import set_shed_sheet
from tanwright.yard.people.access import system_of
from tanwright.yard.people.queries import base_address
from tanwright.yard.tannage.models import Tannage


def paper(request: HttpRequest) -> HttpResponse:
    """Choose what to print; with a valid choice of labels, the labels."""
    system = system_of(request)
    asked = LabelsForm(request.GET or None, system=system)
    if request.GET and asked.is_valid():
        base = base_of(request)
        labels = [label_of(record, base, system) for record in asked.records()]
        return as_pdf(set_labels(labels, asked.cleaned_data["size"]), "labels")
    vats = Tannage.objects.filter(withdrawn_at=None).exclude(state=Tannage.State.ENDED)[:50]
    return render(
        request,
        "paper/paper.html",
        {"form": asked, "vats": vats, "only_here": is_only_here(request), "base": base_of(request)},
    )


def label(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """One label of one record; ``?size=`` tag, a6 or a5."""
    record = get_object_or_404(Record, pk=id)
    size = LabelsForm.size_from(request.GET.get("size", ""), record)
    text = label_of(record, base_of(request), system_of(request))
    return as_pdf(set_labels([text], size), record.code)


def shed_sheet(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """The sheet of one vat to fill by hand."""
    tannage = get_object_or_404(Tannage, pk=id)
    pdf = set_shed_sheet(tannage, base_of(request), system_of(request))
    return as_pdf(pdf, f"shed-sheet-{tannage.code}")


def report(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """The report of one tannage."""
    tannage = get_object_or_404(Tannage, pk=id)
    pdf = set_report(tannage, base_of(request), system_of(request))
    return as_pdf(pdf, f"report-{tannage.code}")


def base_of(request: HttpRequest) -> str:
    """Scheme, host and port under which phones find the yard, like the picture that pairs them."""
    return base_address(request)


def is_only_here(request: HttpRequest) -> bool:
    """Whether a code printed now would open on this machine alone."""
    return urlsplit(base_of(request)).hostname in ("localhost", "127.0.0.1", "::1")


def as_pdf(pdf: bytes, name: str) -> HttpResponse:
    """``pdf`` to look at in the browser, with a sensible name for who saves it."""
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    response["Cache-Control"] = "private, no-store"
    return response
