"""The report of a tannage: what was planned, done and seen, with pictures, figures and sources."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from tanwright import units
from tanwright.yard.journal.models import Entry
from tanwright.yard.journal.queries import label_of, words_of
from tanwright.yard.paper.labels import label_of as label_for
from tanwright.yard.paper.pdf import set_pages
from tanwright.yard.paper.plants import plant_name
from tanwright.yard.shell.templatetags.words import area, day, mass, thickness, volume
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.tannage.page import Page, page_of
from tanwright.yard.tannage.sheet import begun_on

Part = dict[str, Any]


def set_report(tannage: Tannage, base: str, system: units.System) -> bytes:
    """The report as PDF, in the reader's units; ``base`` as for labels."""
    return set_pages("report", report_data(tannage, base, system))


def report_data(tannage: Tannage, base: str, system: units.System) -> dict[str, Any]:
    """What the report shows, as JSON's own types."""
    page = page_of(tannage, system, timezone.localdate())
    told = page.told
    parts = [
        *([_next(page)] if told and tannage.state != Tannage.State.ENDED else []),
        *_answer(page),
        _pictures(page),
        _account(page),
        _leather(tannage, system),
        _log(tannage, system),
    ]
    return {
        "title": tannage.title,
        "lead": told.title + "." if told else tannage.get_state_display().capitalize() + ".",
        "qr": label_for(tannage, base, system).qr,
        "printed": f"{timezone.localdate():%d.%m.%Y}",
        "facts": _facts(tannage, system),
        "parts": [part for part in parts if part is not None],
        "cautions": [
            {"topic": topic.replace("-", " ").capitalize(), "text": text}
            for topic, text in (told.cautions if told else ())
        ],
        "sources": [f"{source.words} [{source.key}]" for source in page.sources],
    }


def _part(
    heading: str,
    paragraphs: list[str] | None = None,
    points: list[str] | None = None,
    table: dict[str, Any] | None = None,
    pictures: list[dict[str, str]] | None = None,
) -> Part:
    return {
        "heading": heading,
        "paragraphs": paragraphs or [],
        "points": points or [],
        "table": table,
        "pictures": pictures or [],
    }


def _facts(tannage: Tannage, system: units.System) -> list[list[str]]:
    uses = tannage.materials.select_related("lot")
    plants = [
        plant_name(use.material_id)
        + (f", {units.format_mass(use.have_kg, system)} in hand" if use.have_kg else "")
        for use in uses
    ]
    rows = [
        ("Skins", ", ".join(skin.title for skin in tannage.skins.order_by("number"))),
        ("Plants", "; ".join(dict.fromkeys(plants))),
        ("Vat", ", ".join(x for x in (tannage.vat, volume(tannage.vat_volume_l, system)) if x)),
        ("Begun", day(begun_on(tannage))),
        ("Planned for", day(tannage.start) if begun_on(tannage) is None else ""),
        ("State", tannage.get_state_display()),
    ]
    return [[name, value] for name, value in rows if value]


def _next(page: Page) -> Part:
    assert page.told is not None
    step = page.told.next
    lines = [f"{step.when}: {step.what}.", step.why, step.look]
    return _part("Next", [line for line in lines if line])


def _answer(page: Page) -> list[Part]:
    told = page.told
    if told is None:
        return []
    wanted = (
        ("Is it enough?", told.enough),
        ("How much", told.amount),
        ("When", told.when),
        ("How far it is", told.now),
    )
    found = [_part(heading, list(lines)) for heading, lines in wanted if lines]
    if told.changes:
        found.append(_part("What the readings changed, and why", points=list(told.changes)))
    return found


def _pictures(page: Page) -> Part | None:
    if not page.pictures:
        return None
    drawn = [
        {"svg": str(item.svg), "title": item.title, "words": item.words} for item in page.pictures
    ]
    return _part("In pictures", pictures=drawn)


def _account(page: Page) -> Part | None:
    if page.told is None or not page.told.account:
        return None
    rows = [[line.what, line.likely, line.between] for line in page.told.account]
    table = {"head": ["Tannin", "Likely", "Nine times in ten"], "rows": rows}
    return _part("Where the tannin is", ["The middle column adds up."], table=table)


def _leather(tannage: Tannage, system: units.System) -> Part | None:
    rows = [
        [
            item.title,
            mass(item.weight_kg, system),
            area(item.area_m2, system),
            thickness(item.thickness_mm, system),
            day(item.finished_at),
        ]
        for item in tannage.leathers.filter(withdrawn_at=None).order_by("number")
    ]
    if not rows:
        return None
    head = ["Leather", "Weight", "Area", "Thickness", "Finished"]
    return _part("The leather", table={"head": head, "rows": rows})


def _log(tannage: Tannage, system: units.System) -> Part:
    entries = (
        Entry.objects.filter(record_id=tannage.pk, standing=Entry.Standing.LIVE)
        .exclude(kind="tannage.changed")
        .select_related("by")
        .order_by("happened_at", "written_at")
    )
    rows = [
        [
            f"{timezone.localtime(entry.happened_at):%d.%m.%Y %H:%M}",
            label_of(entry),
            "; ".join(text for text in (words_of(entry, system), entry.note) if text),
            entry.by.name,
        ]
        for entry in entries
    ]
    table = {"head": ["When", "What", "In words", "Who"], "rows": rows} if rows else None
    return _part("The log", [] if rows else ["Nothing has been noted yet."], table=table)
