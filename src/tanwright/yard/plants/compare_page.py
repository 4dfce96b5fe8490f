"""Up to four plants side by side: one row for each fact, one scale for all of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.http import urlencode

from tanwright.units import System
from tanwright.yard.plants.pictures import Drawn, compared_picture
from tanwright.yard.plants.plant_page import PlantPage
from tanwright.yard.plants.plant_page import page_of as plant_page_of
from tanwright.yard.plants.queries import AT_ONCE, is_known
from tanwright.yard.plants.seasons import Sun


@dataclass(frozen=True)
class Compared:
    """One of the plants: its name and page, and the address of the comparison without it."""

    id: str
    name: str
    url: str
    without: str


@dataclass(frozen=True)
class Fact:
    """One row: what is compared, and what is so of each plant, in their order."""

    name: str
    values: tuple[tuple[str, str], ...]
    """Name of the plant and what is so of it."""


@dataclass(frozen=True)
class ComparePage:
    """Several plants side by side, or what is wrong with what was asked for."""

    plants: tuple[Compared, ...]
    facts: tuple[Fact, ...]
    picture: Drawn | None
    problems: tuple[str, ...]
    add_url: str


def page_of(ids: Sequence[str], sun: Sun, year: int, system: System) -> ComparePage:
    """The page for ``ids``; what cannot be shown is told as problems, never raised."""
    known = [id for id in ids if is_known(id)]
    problems = [f'No plant is called "{id[:60]}"; pick it from the list.' for id in ids
                if id not in known][:3]  # fmt: skip
    if len(known) > AT_ONCE:
        problems.append(
            f"{len(known)} plants were picked and only {AT_ONCE} fit side by side; the first "
            f"{AT_ONCE} are shown."
        )
        known = known[:AT_ONCE]
    elif len(known) < 2:
        problems.append("Pick two plants or more to compare.")
    pages = [plant_page_of(id, sun, year, system) for id in known]
    return ComparePage(
        plants=tuple(_compared(page, known) for page in pages),
        facts=_facts(pages) if pages else (),
        picture=compared_picture(tuple(known)) if pages else None,
        problems=tuple(problems),
        add_url=f"{reverse('plants:plants')}?{_query(known)}",
    )


def _compared(page: PlantPage, ids: Sequence[str]) -> Compared:
    rest = [id for id in ids if id != page.item.id]
    return Compared(
        id=page.item.id,
        name=page.name,
        url=reverse("plants:plant", args=[page.item.id]),
        without=f"{reverse('plants:compare')}?{_query(rest)}",
    )


def _query(ids: Sequence[str]) -> str:
    return urlencode([("id", id) for id in ids])


def _facts(pages: Sequence[PlantPage]) -> tuple[Fact, ...]:
    rows = (
        ("Tannin in one lot", lambda page: page.strength),
        ("For a goat skin", lambda page: _goat(page)),
        ("Track record", lambda page: page.track.short),
        ("Kind of tannin", lambda page: page.tannin_class.short),
        ("Colour of the leather", lambda page: page.item.leather_colour or "not told"),
        ("Character of the leather", lambda page: page.item.leather_character or "not told"),
        ("What taking it does", lambda page: page.effect.short),
        ("Gathered", lambda page: page.season_words),
        ("Grows in", lambda page: ", ".join(page.item.regions) or "not told"),
        ("Hazards", lambda page: ", ".join(word.short for word in page.hazards) or "none known"),
        ("Published figures", lambda page: _figures(page)),
        ("How it is known", lambda page: page.provenance.short),
    )
    return tuple(
        Fact(name, tuple((page.name, value(page)) for page in pages)) for name, value in rows
    )


def _goat(page: PlantPage) -> str:
    return next((each.words for each in page.amounts if each.skin == "goat"), "leave it alone")


def _figures(page: PlantPage) -> str:
    counted = sum(figure.counted.startswith("counted") for figure in page.figures)
    return f"{counted} of {len(page.figures)} counted" if page.figures else "none"
