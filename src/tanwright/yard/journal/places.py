"""Where the page of a record is."""

from __future__ import annotations

from typing import Final

from django.urls import reverse

from tanwright.yard.journal.models import Record

_PAGES: Final = {
    Record.Kind.SKIN: "skins:skin",
    Record.Kind.LOT: "stock:lot",
    Record.Kind.LIQUOR: "liquors:liquor",
    Record.Kind.TANNAGE: "tannage:tannage",
    Record.Kind.LEATHER: "leather:leather",
    Record.Kind.PLACE: "gathering:place",
    Record.Kind.TRIAL: "trials:trial",
}


def url_of(record: Record) -> str:
    """Address of the page of ``record``."""
    return reverse(_PAGES[Record.Kind(record.kind)], args=[record.pk])
