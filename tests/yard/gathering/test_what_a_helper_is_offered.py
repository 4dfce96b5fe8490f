"""Every way that the pages of plants, places and stock offer to a helper is open to helpers."""

from __future__ import annotations

import html
import re
from collections import Counter
from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from tanwright.yard.gathering import services
from tanwright.yard.gathering.models import Place
from tanwright.yard.people.models import Person
from tanwright.yard.plants.models import HomePlace, OwnPlant
from tanwright.yard.stock import services as stock

pytestmark = pytest.mark.django_db
OAK = "quercus-robur-bark"
FIRST = (
    "today:today", "plants:plants", "plants:choose", "plants:here", "gathering:places",
    "gathering:calendar", "stock:lots",
)  # fmt: skip
ALIKE = 2
"""Pages of one sort that are looked at."""
AREAS = ("/plants/", "/places/", "/stock/", "/calendar/")


def test_no_closed_door(
    client_of: Callable[[Person | None], Client], keeper: Person, helper: Person, windfall: Place
) -> None:
    HomePlace.objects.create(place_code="DE", latitude=51.0, longitude=9.0, by=keeper)
    OwnPlant.objects.create(material_id=OAK, note="by the ford", by=keeper)
    services.gather(windfall, helper, OAK, kg=5.0)
    stock.new_lot(keeper, OAK, kg=9.0, state="fresh", came_from=windfall)
    client = client_of(helper)
    ahead = [reverse(name) for name in FIRST] + [f"/plants/{OAK}/"]
    seen: set[str] = set()
    sorts: Counter[str] = Counter()
    while ahead:
        url = ahead.pop(0)
        sort = re.sub(r"[0-9a-f-]{36}|[a-z0-9-]+-(bark|leaf|gall|wood|fruit|root)", "one", url)
        sort = re.sub(r"almanac/[^/]+|\?.*", "", sort)
        if url in seen or sorts[sort] >= ALIKE:
            continue
        seen.add(url)
        sorts[sort] += 1
        answer = client.get(url)
        assert answer.status_code == 200, url
        if answer["Content-Type"].startswith("text/html"):
            page = answer.content.decode().partition('<main id="main"')[2]
            links = [html.unescape(link) for link in re.findall(r'href="(/[^"#]*)"', page)]
            ahead += [link for link in links if link.startswith(AREAS)]
    assert len(sorts) > 30
