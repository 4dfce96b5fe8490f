"""What places and seasons ask for, from kept columns."""

from __future__ import annotations

import uuid
from datetime import date, datetime, time, timedelta
from typing import Final

from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

from tanwright.yard.gathering.calendar import own_plants
from tanwright.yard.gathering.folding import CUT_AGAIN, MEANT_TO
from tanwright.yard.gathering.models import Place
from tanwright.yard.gathering.seasons import Window, here, windows_between
from tanwright.yard.gathering.wording import day_words
from tanwright.yard.journal.due import Due
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.wanting import wanted

AHEAD_DAYS: Final = 14
"""A window is brought up so long before it opens, and an end of leave so long before it comes."""
AFTER_DAYS: Final = 3
"""So long after it opened a window is still brought up."""
LOOK_DAYS: Final = 30
"""So long a look is asked for; after that only the list of places says that it is worth one."""
WINDOW: Final = "window"
"""Kind of a due that tells of a window; the calendar shows the window itself instead."""
_SPACE: Final = uuid.UUID("6b0a3c4e-5d0f-5f37-9b8e-6c1f3f1f0c52")
MOST: Final = 60


def due(now: datetime) -> list[Due]:
    """Windows that open soon, places worth a look, leave that ends, things not in stock yet."""
    today = timezone.localtime(now).date()
    return [*_windows(today), *_places(today)]


def window_id(window: Window) -> uuid.UUID:
    """An id that stays the same as long as the window is this one of this year."""
    return uuid.uuid5(_SPACE, f"{window.material_id} {window.what} {window.start.year}")


def _windows(today: date) -> list[Due]:
    plants = stock_wanted(own_plants())
    if not plants:
        return []
    first, last = today - timedelta(days=AFTER_DAYS), today + timedelta(days=AHEAD_DAYS)
    url = reverse("gathering:calendar")
    return [
        Due(
            at=_at(window.start),
            late=False,
            weight=0.12,
            headline=f"{window.words}",
            reason=f"{window.reason} Little of it is left in your stock.".strip(),
            url=url,
            record_id=window_id(window),
            kind=WINDOW,
        )
        for window in windows_between(plants, today, last, here())
        if window.best and window.start >= first
    ]


def stock_wanted(plants: tuple[str, ...]) -> tuple[str, ...]:
    """Those of ``plants`` of which less than a goat skin takes is left, or a tannage waits for."""
    if not plants:
        return ()
    enough: dict[str, float] = {}
    rows = Lot.objects.filter(withdrawn_at__isnull=True, material_id__in=plants)
    for material_id, skins in rows.values_list("material_id", "skins_likely"):
        enough[material_id] = enough.get(material_id, 0.0) + (skins or 0.0)
    short = {claim.material_id for claim in wanted() if claim.is_short}
    return tuple(id for id in plants if enough.get(id, 0.0) < 1.0 or id in short)


def _places(today: date) -> list[Due]:
    """What places ask for (1 query)."""
    soon = today + timedelta(days=AHEAD_DAYS)
    ending = Q(
        permission=Place.Permission.GIVEN,
        permission_until__gte=today,
        permission_until__lte=soon,
        gone_at__isnull=True,
    )
    since = today - timedelta(days=LOOK_DAYS)
    asking = Place.objects.filter(
        Q(look_on__gte=since, gone_at__isnull=True) | Q(waiting__gt=0) | ending,
        withdrawn_at__isnull=True,
    )
    found = []
    for place in asking.order_by("look_on", "-created_at")[:MOST]:
        if _wants_look(place, since, today):
            found.append(_look(place, today))
        ends = place.permission_until is not None and today <= place.permission_until <= soon
        if ends and place.permission_until is not None and place.gone_at is None:
            found.append(_ending(place, place.permission_until))
        if place.waiting:
            found.append(_waiting(place))
    return found


def _wants_look(place: Place, since: date, today: date) -> bool:
    """Days that somebody named, or that a cut gave, stand in the calendar ahead of time; seasons
    stand there by themselves."""
    if place.look_on is None or place.look_on < since or place.gone_at is not None:
        return False
    return place.look_on <= today or place.look_why in (MEANT_TO, CUT_AGAIN)


def _look(place: Place, today: date) -> Due:
    assert place.look_on is not None
    why = place.look_why[:1].upper() + place.look_why[1:]
    ask = "" if place.may_gather(today) else " Ask for leave before you gather."
    return _due(place, _at(place.look_on), 0.15, f"Look at {place.title}", f"{why}.{ask}")


def _ending(place: Place, until: date) -> Due:
    return _due(
        place,
        _at(until),
        0.2,
        f"Leave to gather at {place.title} ends {day_words(until)}",
        "Ask again in time if you mean to come back.",
    )


def _waiting(place: Place) -> Due:
    return _due(
        place,
        None,
        0.2,
        f"Take what was gathered at {place.title} into stock",
        "It was noted, and no lot holds it yet.",
    )


def _due(place: Place, at: datetime | None, weight: float, headline: str, reason: str) -> Due:
    return Due(
        at=at,
        late=False,
        weight=weight,
        headline=headline,
        reason=reason,
        url=place.get_absolute_url(),
        record_id=place.pk,
        kind="place",
    )


def _at(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time(9)))
