"""Pages of single entries: what happened to them, correcting, withdrawing, and photos."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.module_loading import import_string
from django.views.decorators.http import require_POST

from tanwright.errors import InputError
from tanwright.yard.journal import services
from tanwright.yard.journal.kinds import kind_of
from tanwright.yard.journal.models import Entry, Photo, Record
from tanwright.yard.journal.photos import add_photo
from tanwright.yard.journal.queries import history_of, label_of, lines, words_of
from tanwright.yard.people.access import keeper_only, person_of, system_of


def entry(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """One entry, with all that happened to it."""
    found = get_object_or_404(
        Entry.objects.select_related("record", "by", "device", "corrects"), pk=id
    )
    context = {
        "entry": found,
        "record": found.record,
        "history": history_of(found, system_of(request)),
        "may_change": may_change(request, found),
        "can_correct": bool(form_of(found)),
        "is_change": is_change(found),
    }
    return render(request, "journal/entry.html", context)


def correct(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Enter it again; what was there is kept."""
    found = get_object_or_404(Entry.objects.select_related("record", "by"), pk=id)
    only_if_allowed(request, found)
    form_class = form_of(found)
    if form_class is None or found.standing != Entry.Standing.LIVE:
        messages.warning(request, "This entry cannot be corrected; withdraw it instead.")
        return redirect("journal:entry", id=found.pk)
    system = system_of(request)
    old = {**found.data, "note": found.note, "happened_at": found.happened_at}
    form = form_class(request.POST or None, request.FILES or None, initial=old, system=system)
    if request.method == "POST" and form.is_valid() and (done := _corrected(request, found, form)):
        return done
    context = {
        "form": form,
        "record": found.record,
        "label": label_of(found),
        "words": words_of(found, system),
        "back": f"/journal/{found.pk}/",
    }
    return render(request, "journal/correct.html", context)


def _corrected(request: HttpRequest, found: Entry, form: Any) -> HttpResponseRedirect | None:
    try:
        written = services.correct(
            found,
            id=form.cleaned_data["entry_id"],
            data=form.data_of_entry(),
            happened_at=form.cleaned_data["happened_at"],
            note=form.cleaned_data.get("note", ""),
            by=person_of(request),
            device=getattr(request, "device", None),
        )
        if (picture := form.cleaned_data.get("photo")) is not None:
            add_photo(written.entry, picture, form.cleaned_data.get("note", ""))
    except InputError as error:
        form.add_problem(error, {"when": "happened_at"}.get(error.place, error.place))
        return None
    messages.success(request, "Corrected. What it said before is kept.")
    return redirect(found.record.get_absolute_url())


@require_POST
def withdraw(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Let an entry count no longer."""
    found = get_object_or_404(Entry.objects.select_related("record"), pk=id)
    only_if_allowed(request, found)
    if is_change(found):
        messages.warning(request, "A change is not withdrawn; change it back on the page itself.")
        return redirect("journal:entry", id=found.pk)
    services.withdraw(found, person_of(request), request.POST.get("why", "")[:200])
    messages.success(request, "Withdrawn. It can be put back on this page.")
    return redirect("journal:entry", id=found.pk)


@require_POST
def restore(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Let a withdrawn entry count again."""
    found = get_object_or_404(Entry.objects.select_related("record"), pk=id)
    only_if_allowed(request, found)
    services.restore(found, person_of(request))
    messages.success(request, "It stands again.")
    return redirect("journal:entry", id=found.pk)


@require_POST
@keeper_only
def withdraw_record(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Leave a record out of the lists."""
    found = get_object_or_404(Record, pk=id)
    services.withdraw_record(found, person_of(request), request.POST.get("why", "")[:200])
    messages.success(request, f"{found.title} is withdrawn. Its page offers to put it back.")
    return redirect(found.get_absolute_url())


@require_POST
@keeper_only
def restore_record(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """Put a record back into the lists."""
    found = get_object_or_404(Record, pk=id)
    services.restore_record(found, person_of(request))
    messages.success(request, f"{found.title} is back.")
    return redirect(found.get_absolute_url())


def photo(request: HttpRequest, id: uuid.UUID) -> FileResponse:
    """A photo in its full size."""
    return _picture(get_object_or_404(Photo, pk=id).file)


def thumbnail(request: HttpRequest, id: uuid.UUID) -> FileResponse:
    """A photo, small."""
    return _picture(get_object_or_404(Photo, pk=id).thumbnail)


def photo_page(request: HttpRequest, id: uuid.UUID) -> HttpResponse:
    """A photo with what it belongs to."""
    found = get_object_or_404(Photo.objects.select_related("entry__by", "record"), pk=id)
    context = {
        "photo": found,
        "record": found.record,
        "line": lines([found.entry], system_of(request))[0],
    }
    return render(request, "journal/photo.html", context)


def _picture(file: Any) -> FileResponse:
    try:
        response = FileResponse(file.open("rb"), content_type="image/jpeg")
    except FileNotFoundError:
        raise Http404 from None
    # A photo never changes: what is written under an id stays.
    response["Cache-Control"] = "private, max-age=31536000, immutable"
    response["Content-Disposition"] = "inline"
    return response


def form_of(entry: Entry) -> Any:
    """The form that enters this kind, or ``None`` when it cannot be corrected by hand."""
    try:
        path = kind_of(entry.kind).form
    except InputError:
        return None
    return import_string(path) if path else None


def is_change(entry: Entry) -> bool:
    """Whether it tells of changed facts, which no withdrawal would bring back."""
    return entry.kind.endswith(".changed")


def may_change(request: HttpRequest, entry: Entry) -> bool:
    """A keeper may correct and withdraw everything, a helper what they wrote themselves."""
    person = person_of(request)
    return person.is_keeper or entry.by_id == person.pk


def only_if_allowed(request: HttpRequest, entry: Entry) -> None:
    if not may_change(request, entry):
        raise PermissionDenied("A helper may correct and withdraw their own entries only.")
