"""The kept state of a tannage, brought up to date after every entry."""

from __future__ import annotations

import uuid
from functools import partial

from django.db import transaction
from django.db.models import QuerySet

from tanwright.yard.journal.models import Entry
from tanwright.yard.tannage.models import Tannage, TannageSkin
from tanwright.yard.tannage.renewing import renew_soon

_LEFT_OUT = {"tannage.changed"}


def fold(tannage_id: uuid.UUID) -> None:
    """Work out where ``tannage_id`` stands from its live entries, and have it forecast anew."""
    tannage = Tannage.objects.get(pk=tannage_id)
    entries = Entry.objects.filter(record_id=tannage_id, standing=Entry.Standing.LIVE)
    state = _state(tannage, entries)
    last = entries.exclude(kind__in=_LEFT_OUT).order_by("-happened_at").first()
    no = entries.filter(kind="tannage.not_done").order_by("-happened_at").first()
    Tannage.objects.filter(pk=tannage_id).update(
        state=state,
        last_logged_at=last.happened_at if last else None,
        gate_asked_at=no.happened_at if no else None,
    )
    transaction.on_commit(partial(renew_soon, tannage_id))


def _state(tannage: Tannage, entries: QuerySet[Entry]) -> str:
    """Drafts and plans stay so until the skins go in; out of the vat when the last one is out."""
    moves = entries.filter(
        kind__in=("tannage.started", "tannage.taken_out", "tannage.put_back")
    ).order_by("happened_at", "written_at")
    out: dict[str, object] = {}
    state = tannage.state
    if state in (Tannage.State.RUNNING, Tannage.State.ENDED):
        state = Tannage.State.PLANNED
    for entry in moves:
        if entry.kind == "tannage.taken_out":
            named = entry.data.get("skins")
            every = [str(id) for id in _skins(tannage)]
            out |= dict.fromkeys(named or every, entry.happened_at)
            if not named or set(every) <= out.keys():
                state = Tannage.State.ENDED
        else:
            out.clear()
            state = Tannage.State.RUNNING
    for place in TannageSkin.objects.filter(tannage=tannage):
        when = out.get(str(place.skin_id))
        if place.taken_out_at != when:
            place.taken_out_at = when  # type: ignore[assignment]
            place.save(update_fields=["taken_out_at"])
    return state


def _skins(tannage: Tannage) -> list[uuid.UUID]:
    return list(tannage.places.values_list("skin_id", flat=True))
