"""A sheet per vat to hang in the shed and fill by hand: what is ahead, room for wet hands."""

from __future__ import annotations

from datetime import date
from typing import Any, Final

from django.utils import timezone

from tanwright import units
from tanwright.planning.looks import liquor_looks
from tanwright.reference import cautions
from tanwright.yard.liquors.models import Tools
from tanwright.yard.paper.labels import label_of
from tanwright.yard.paper.pdf import set_pages
from tanwright.yard.paper.plants import plant_name
from tanwright.yard.shell.templatetags.words import day
from tanwright.yard.tannage.models import Tannage

LINES: Final = 11
"""Rows that fit one landscape A4 page under the head."""
_SIGNS: Final = {"bk": "°Bk", "sg": "SG", "tw": "°Tw", "be": "°Bé", "brix": "°Brix", "plato": "°P"}


def set_shed_sheet(tannage: Tannage, base: str, system: units.System) -> bytes:
    """The sheet of ``tannage`` as PDF; ``base`` as for :func:`labels.label_of`."""
    return set_pages("shed_sheet", sheet_data(tannage, base, system))


def sheet_data(tannage: Tannage, base: str, system: units.System) -> dict[str, Any]:
    """What the typeset sheet shows, as JSON's own types."""
    label = label_of(tannage, base, system)
    tools = Tools.objects.first()
    sign = _SIGNS.get(tools.scale, "") if tools and tools.instrument != "none" else ""
    plants = dict.fromkeys(plant_name(use.material_id) for use in tannage.materials.all())
    facts = [
        ", ".join(skin.title for skin in tannage.skins.order_by("number")),
        units.format_volume(tannage.vat_volume_l, system) if tannage.vat_volume_l else "",
        ", ".join(plants),
        f"begun {day(tannage.start)}" if tannage.start else "",
    ]
    return {
        "title": tannage.title,
        "facts": [fact for fact in facts if fact] or ["nothing is known of it yet"],
        "next": f"{tannage.next_headline} ({day(tannage.next_on)})" if tannage.next_on else "",
        "qr": label.qr,
        "address": label.address,
        "printed": f"{timezone.localdate():%d.%m.%Y}",
        "ahead": _ahead(tannage),
        "scale": f"({sign})" if sign else "if you have an instrument",
        "degrees": "(°C)" if system == "metric" else "(°F)",
        "looks": list(liquor_looks()),
        "lines": LINES,
        "cautions": [
            {"topic": item.topic.replace("-", " ").capitalize(), "text": item.text}
            for item in cautions.cautions()
            if item.topic in ("effluent", "iron")
        ],
    }


def _ahead(tannage: Tannage) -> list[dict[str, str]]:
    """The steps of the latest answer from today on, at most six."""
    latest = tannage.forecasts.exclude(answer=None).order_by("-made_at").first()
    if latest is None or not isinstance(latest.answer, dict):
        return []
    today = timezone.localdate().isoformat()
    steps = [step for step in latest.answer.get("schedule", ()) if str(step["date"]) >= today]
    return [
        {"day": day(date.fromisoformat(step["date"])), "what": step["headline"]}
        for step in steps[:6]
    ]
