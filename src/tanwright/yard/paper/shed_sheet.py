"""A sheet per vat to hang in the shed and fill by hand: what is ahead, room for wet hands."""

from __future__ import annotations

from typing import Any, Final

from django.utils import timezone

from tanwright import units
from tanwright.planning.looks import liquor_looks
from tanwright.planning.telling.told import Told
from tanwright.reference import cautions
from tanwright.yard.liquors.models import Tools
from tanwright.yard.paper.labels import begun_words, label_of
from tanwright.yard.paper.pdf import set_pages
from tanwright.yard.paper.plants import plant_name
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.tannage.page import page_of

LINES: Final = 9
"""Rows that fit one landscape A4 page when nothing is ahead; two rows of what is ahead take one."""
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
        begun_words(tannage),
    ]
    told = page_of(tannage, system, timezone.localdate()).told
    if tannage.state == Tannage.State.ENDED:
        told = None
    ahead = _ahead(told)
    return {
        "title": tannage.title,
        "facts": [fact for fact in facts if fact] or ["nothing is known of it yet"],
        "next": f"{told.next.what} ({told.next.when})" if told else "",
        "qr": label.qr,
        "address": label.address,
        "printed": f"{timezone.localdate():%d.%m.%Y}",
        "ahead": ahead,
        "scale": f"({sign})" if sign else "if you have an instrument",
        "degrees": "(°C)" if system == "metric" else "(°F)",
        "looks": list(liquor_looks()),
        "lines": LINES - (len(ahead) + 3) // 4,
        "cautions": [
            {"topic": item.topic.replace("-", " ").capitalize(), "text": item.text}
            for item in cautions.cautions()
            if item.topic in ("effluent", "iron")
        ],
    }


def _ahead(told: Told | None) -> list[dict[str, str]]:
    """The next steps of the latest answer, at most six."""
    days = told.days[:6] if told is not None else ()
    return [{"day": item.when, "what": item.what} for item in days]
