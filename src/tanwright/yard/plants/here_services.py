"""The yard's own place, and taking in files of occurrence records."""

from __future__ import annotations

import hashlib
import shutil
import uuid
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.utils import timezone

from tanwright.errors import InputError
from tanwright.planning.occurrences.nearby import LONGEST_REACH_KM
from tanwright.reference import world
from tanwright.yard.people.models import Person
from tanwright.yard.plants import here_reading
from tanwright.yard.plants.models import HomePlace, Sighting, SightingsImport

State = SightingsImport.State

_AT_ONCE: Final = 20_000


@transaction.atomic
def set_home(
    by: Person,
    *,
    place_code: str = "",
    name: str = "",
    latitude: float | None = None,
    longitude: float | None = None,
    altitude_m: float | None = None,
    reach_km: float = 20.0,
) -> HomePlace:
    """Keep where the yard is (degrees, metres) and how far its people go (km); for keepers.

    Raises InputError for a place that the reference does not know, for half a position and for a
    reach that cannot be.
    """
    _only_keeper(by, "say where the yard is")
    if place_code:
        place_code = world.place(place_code).code
    if (latitude is None) != (longitude is None):
        raise InputError(
            "a position has two numbers", place="position", remedy="write it like 51.2, 9.4"
        )
    if not 0.5 <= reach_km <= LONGEST_REACH_KM:
        raise InputError(
            f"nobody goes {reach_km:g} km for it",
            place="reach",
            remedy=f"write 1 to {LONGEST_REACH_KM:g} km",
        )
    home, _ = HomePlace.objects.update_or_create(
        pk=HomePlace.THE_ONE,
        defaults={
            "place_code": place_code, "name": name, "latitude": latitude, "longitude": longitude,
            "altitude_m": altitude_m, "reach_km": reach_km, "by": by, "changed_at": timezone.now(),
        },
    )  # fmt: skip
    return home


def incoming(id: uuid.UUID) -> Path:
    """Folder of an import while it is being read; the file lies in it as ``records``."""
    return Path(settings.YARD_FOLDER) / "incoming" / str(id)


def begin_import(
    by: Person, id: uuid.UUID, file_name: str, sha256: str, *, at_once: bool = False
) -> SightingsImport:
    """Take in the file that lies as ``records`` in the folder of ``id``; for keepers.

    It is read in the background, or ``at_once``; the row that is given back tells how it goes.
    Raises InputError when the same file was taken in before.
    """
    _only_keeper(by, "take in a file of records")
    sweep()
    known = SightingsImport.objects.filter(
        sha256=sha256, state__in=(State.READING, State.WRITING, State.DONE)
    ).first()
    if known is not None:
        shutil.rmtree(incoming(id), ignore_errors=True)
        when = timezone.localtime(known.begun_at)
        raise InputError(
            f"this file was taken in before, on {when.day} {when:%B %Y}",
            place="file",
            remedy="withdraw that import first if it should be read again",
        )
    made = SightingsImport.objects.create(id=id, file_name=file_name[:200], sha256=sha256, by=by)
    read = here_reading.read_now if at_once else here_reading.read_soon
    read(made.pk, incoming(id))
    made.refresh_from_db()
    return made


def take_in_now(by: Person, file_name: str, content: bytes) -> SightingsImport:
    """Take in a small file at once, here and now; for keepers. Raises InputError."""
    id = uuid.uuid4()
    incoming(id).mkdir(parents=True, mode=0o700)
    (incoming(id) / "records").write_bytes(content)
    return begin_import(by, id, file_name, hashlib.sha256(content).hexdigest(), at_once=True)


def withdraw(import_: SightingsImport, by: Person) -> None:
    """Let go of the sightings of an import; its row stays, marked. For keepers.

    Raises InputError while it is being read.
    """
    _only_keeper(by, "withdraw an import")
    if import_.is_running:
        raise InputError("it is still being read", remedy="wait until it is done")
    if import_.state != State.DONE:
        return
    with transaction.atomic():
        import_.state, import_.withdrawn_by = State.WITHDRAWN, by
        import_.ended_at = timezone.now()
        import_.save(update_fields=["state", "withdrawn_by", "ended_at"])
    drop_sightings(import_.pk)


def drop_sightings(id: uuid.UUID) -> None:
    """Delete the sightings of an import, some at a time, so that others may write between."""
    rows = Sighting.objects.filter(source_id=id)
    while keys := list(rows.order_by("pk").values_list("pk", flat=True)[:_AT_ONCE]):
        rows.filter(pk__range=(keys[0], keys[-1])).delete()


def sweep() -> None:
    """Put right what a server that was killed left behind: half-read imports and their files."""
    silent = timezone.now() - SightingsImport.SILENCE
    for left in SightingsImport.objects.filter(
        state__in=(State.READING, State.WRITING), heard_at__lt=silent
    ):
        if not here_reading.is_at_work(left.pk):
            here_reading.fail(left.pk, here_reading.BROKEN_OFF)
    for gone in (State.FAILED, State.WITHDRAWN):
        for id in Sighting.objects.filter(source__state=gone).values_list("source_id", flat=True)[
            :1
        ]:
            drop_sightings(id)


def _only_keeper(by: Person, what: str) -> None:
    if not by.is_keeper:
        raise PermissionDenied(f"Only a keeper may {what}. A helper logs what was done and seen.")


def home_fields(home: HomePlace | None) -> dict[str, Any]:
    """What a form shows of the yard's place at first."""
    if home is None:
        return {"reach": 20.0}
    return {
        "place": world.place(home.place_code).name if home.place_code else "",
        "name": home.name,
        "position": (home.latitude, home.longitude) if home.has_position else "",
        "altitude": home.altitude_m,
        "reach": home.reach_km,
    }
