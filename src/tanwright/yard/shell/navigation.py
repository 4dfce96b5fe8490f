"""The ways from any page to the others: which there are, and where the reader stands now."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from django.http import HttpRequest
from django.urls import reverse


@dataclass(frozen=True)
class Way:
    """One way: what it is called, where it leads, its sign in ``icons.svg``.

    ``here`` is a value of ``aria-current``: ``"page"`` on that very page, ``"true"`` on a page
    below it, empty elsewhere.
    """

    label: str
    url: str
    icon: str
    here: str


@dataclass(frozen=True)
class Ways:
    """All ways: under the thumb on a phone, the rest of the work, and the keeping of the yard."""

    thumb: tuple[Way, ...]
    work: tuple[Way, ...]
    keeping: tuple[Way, ...]
    search_url: str

    @property
    def more(self) -> tuple[Way, ...]:
        """What a phone shows only when asked."""
        return self.work + self.keeping


_THUMB: Final = (
    ("Today", "today:today", "today"),
    ("Vats", "tannage:tannages", "vats"),
    ("Skins", "skins:skins", "skins"),
    ("Shed", "shed:shed", "shed"),
)
_WORK: Final = (
    ("Liquors", "liquors:liquors", "liquors"),
    ("Stock", "stock:lots", "stock"),
    ("Leather", "leather:leathers", "leather"),
    ("Plants", "plants:plants", "plants"),
    ("Places", "gathering:places", "places"),
    ("Trials", "trials:trials", "trials"),
    ("Search", "search:search", "search"),
)
_KEEPING: Final = (
    ("Calendar", "today:calendar", "calendar"),
    ("On paper", "paper:paper", "paper"),
    ("Keeping safe", "exchange:keeping", "keeping"),
    ("You and units", "people:me", "me"),
)


def ways(request: HttpRequest) -> Ways:
    """The ways as seen from the page that ``request`` asks for."""
    path = request.path
    return Ways(
        thumb=tuple(_way(*way, path) for way in _THUMB),
        work=tuple(_way(*way, path) for way in _WORK),
        keeping=tuple(_way(*way, path) for way in _KEEPING),
        search_url=reverse("search:search"),
    )


def _way(label: str, name: str, icon: str, path: str) -> Way:
    url = reverse(name)
    below = url != "/" and path.startswith(url)
    return Way(label, url, icon, "page" if path == url else "true" if below else "")
