"""The bar leads to every place and says where the reader stands."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.test import Client, RequestFactory

import tanwright.yard.shell
from tanwright.yard.shell.navigation import ways

ICONS = Path(tanwright.yard.shell.__file__).parent / "static" / "shell" / "icons.svg"


def here(path: str) -> dict[str, str]:
    seen = ways(RequestFactory().get(path))
    return {way.label: way.here for way in (*seen.thumb, *seen.more) if way.here}


def test_the_place_itself_and_what_lies_below_it_are_told_apart() -> None:
    assert here("/") == {"Today": "page"}
    assert here("/skins/") == {"Skins": "page"}
    assert here("/skins/new/") == {"Skins": "true"}
    assert here("/nowhere") == {}


def test_four_places_lie_under_the_thumb_and_none_is_named_twice() -> None:
    seen = ways(RequestFactory().get("/"))
    assert len(seen.thumb) == 4
    labels = [way.label for way in (*seen.thumb, *seen.more)]
    assert len(labels) == len(set(labels))


def test_every_way_has_its_sign() -> None:
    seen = ways(RequestFactory().get("/"))
    drawn = set(re.findall(r'symbol id="([\w-]+)"', ICONS.read_text(encoding="utf-8")))
    assert {way.icon for way in (*seen.thumb, *seen.more)} | {"more", "search"} <= drawn


@pytest.mark.django_db
def test_an_error_page_keeps_the_bar_and_leads_on(client: Client) -> None:
    answer = client.get("/no-such-page")
    assert answer.status_code == 404
    page = answer.content.decode()
    assert "<h1>There is no such page.</h1>" in page
    assert 'aria-label="Pages"' in page
