"""The search page, and the short address that a label's picture holds."""

from __future__ import annotations

import re

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from tanwright.yard.people.access import system_of
from tanwright.yard.search.asked import asked
from tanwright.yard.search.entries import entries
from tanwright.yard.search.forms import SearchForm
from tanwright.yard.search.queries import by_code, plants, records

_CODE = re.compile(r"^([a-z]{3,8})-([0-9]{1,9})$")


def search(request: HttpRequest) -> HttpResponse:
    """Everything that the words in ``?q=`` may mean, by sort."""
    form = SearchForm(request.GET or None)
    text = form.cleaned_data["q"].strip() if form.is_valid() else ""
    groups = []
    if text:
        want = asked(text)
        log = entries(want, system_of(request))
        groups = [*records(want), *(group for group in (plants(want), log) if group)]
    return render(request, "search/search.html", {"form": form, "text": text, "groups": groups})


def go(request: HttpRequest, code: str) -> HttpResponse:
    """From ``/go/skin-12`` to the page of that skin."""
    match = _CODE.match(code.lower())
    record = by_code(match[1], int(match[2])) if match else None
    if record is None:
        raise Http404(f"No label of this yard says {code}.")
    return redirect(record)
