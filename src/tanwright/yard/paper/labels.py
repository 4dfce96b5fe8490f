"""Labels and tags: what is written on them, and the QR picture that opens the page on a phone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Final

import segno
from django.urls import reverse

from tanwright import units
from tanwright.yard.gathering.models import Place
from tanwright.yard.journal.models import Record
from tanwright.yard.leather.models import Leather
from tanwright.yard.liquors.models import Liquor
from tanwright.yard.paper.pdf import set_pages
from tanwright.yard.paper.plants import plant_name
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.models import Lot
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.tannage.sheet import begun_on
from tanwright.yard.trials.models import Trial

SIZES: Final = {
    "tag": "Tags, eight to a sheet, to cut out",
    "a6": "Labels the size of a postcard, four to a sheet",
    "a5": "Vat cards, two to a sheet",
}


@dataclass(frozen=True)
class Label:
    """One label: ``lines`` are facts in plain words, ``qr`` is SVG text."""

    kind: str
    number: int
    title: str
    lines: tuple[str, ...]
    qr: str
    address: str


def label_of(record: Record, base: str, system: units.System) -> Label:
    """The label of ``record``; ``base`` is the address under which phones reach the yard."""
    address = base + reverse("search:go", args=[record.code])
    # Level Q: a quarter of the code may be wet, torn or stained and it still reads.
    picture = segno.make(address, error="q", micro=False)
    return Label(
        kind=_CALLED[Record.Kind(record.kind)],
        number=record.number,
        title=record.name,
        lines=tuple(line for line in _lines(record, system) if line),
        qr=picture.svg_inline(border=4, scale=1),
        address=address,
    )


def set_labels(labels: Sequence[Label], size: str) -> bytes:
    """``labels`` on A4 sheets with cutting marks, as PDF. ``size`` is a key of :data:`SIZES`."""
    return set_pages("labels", {"size": size, "labels": [asdict(label) for label in labels]})


_CALLED: Final = {
    Record.Kind.SKIN: "Skin",
    Record.Kind.LOT: "Lot",
    Record.Kind.LIQUOR: "Liquor",
    Record.Kind.TANNAGE: "Vat",
    Record.Kind.LEATHER: "Leather",
    Record.Kind.PLACE: "Place",
    Record.Kind.TRIAL: "Trial",
}


def _lines(record: Record, system: units.System) -> list[str]:
    match record.kind:
        case Record.Kind.SKIN:
            return _skin(Skin.objects.get(pk=record.pk), system)
        case Record.Kind.LOT:
            return _lot(Lot.objects.get(pk=record.pk), system)
        case Record.Kind.LIQUOR:
            return _liquor(Liquor.objects.get(pk=record.pk), system)
        case Record.Kind.TANNAGE:
            return _vat(Tannage.objects.get(pk=record.pk), system)
        case Record.Kind.PLACE:
            return _place(Place.objects.get(pk=record.pk))
        case Record.Kind.TRIAL:
            return _trial(Trial.objects.get(pk=record.pk))
        case _:
            return _leather(Leather.objects.select_related("skin", "tannage").get(pk=record.pk))


def _skin(skin: Skin, system: units.System) -> list[str]:
    animal = skin.animal or "skin"
    return [
        f"{skin.count} × {animal}" if skin.count > 1 else animal.capitalize(),
        "hair stays on" if skin.hair_on else "hair comes off",
        f"{units.format_mass(skin.weight_kg, system)} when weighed" if skin.weight_kg else "",
        f"taken {skin.taken_on:%d.%m.%Y}" if skin.taken_on else "",
        skin.origin,
    ]


def _lot(lot: Lot, system: units.System) -> list[str]:
    return [
        plant_name(lot.material_id),
        "dry" if lot.state == "dry" else "fresh",
        f"{units.format_mass(lot.got_kg, system)} got" if lot.got_kg else "",
        f"gathered {lot.gathered_on:%d.%m.%Y}" if lot.gathered_on else "",
        lot.where,
    ]


def _liquor(liquor: Liquor, system: units.System) -> list[str]:
    return [
        ", ".join(plant_name(id) for id in liquor.materials),
        units.format_volume(liquor.volume_l, system) if liquor.volume_l else "",
        f"made {liquor.made_at:%d.%m.%Y}" if liquor.made_at else "",
        liquor.where,
        "Not for drinking. Keep from children and animals.",
    ]


def _vat(tannage: Tannage, system: units.System) -> list[str]:
    return [
        tannage.vat,
        ", ".join(skin.title for skin in tannage.skins.order_by("number")),
        units.format_volume(tannage.vat_volume_l, system) if tannage.vat_volume_l else "",
        begun_words(tannage),
        "No iron in or on this vat. Keep from children and animals.",
    ]


def begun_words(tannage: Tannage) -> str:
    """When its skins went in, or are planned to; empty when neither is known."""
    if day := begun_on(tannage):
        return f"begun {day:%d.%m.%Y}"
    return f"planned for {tannage.start:%d.%m.%Y}" if tannage.start else ""


def _leather(leather: Leather) -> list[str]:
    return [
        leather.skin.title,
        f"from {leather.tannage.title}",
        f"done {leather.finished_at:%d.%m.%Y}" if leather.finished_at else "",
    ]


def _place(place: Place) -> list[str]:
    return [
        str(place.get_what_display()),
        ", ".join(plant_name(id) for id in place.plant_ids),
        "" if place.latitude is None else f"{place.latitude:.4f}, {place.longitude:.4f}",
    ]


def _trial(trial: Trial) -> list[str]:
    # Not the treatments: whoever grades the patches must not read them here.
    return [
        str(trial.get_question_display()),
        f"begun {trial.begun_at:%d.%m.%Y}" if trial.begun_at else "",
        "Keep from children and animals.",
    ]
