"""The short path to a new tannage: its small pages, and what each of them keeps."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from django.db import transaction

from tanwright.yard.people.models import Person
from tanwright.yard.shell.forms import YardForm
from tanwright.yard.skins.models import Skin
from tanwright.yard.skins.services import new_skin
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.services import new_lot
from tanwright.yard.tannage import planning_forms as forms
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.tannage.services import (
    begin_draft,
    set_facts,
    set_materials,
    set_skins,
    settle,
)


@dataclass(frozen=True)
class Step:
    """One small page. ``next`` is the name of the one after it, "review" at the end."""

    name: str
    heading: str
    lead: str
    form: type[YardForm]
    next: str


STEPS: Final = {
    step.name: step
    for step in (
        Step("skins", "Which skins", "A skin of your list, or one you think of: an animal is "
             "enough for a first answer.", forms.SkinsForm, "plants"),
        Step("plants", "Which plants", "A pile that lies here, or a plant that you might gather.",
             forms.PlantsForm, "vat"),
        Step("vat", "Which vat, and how cold", "All of it may stay empty; each answer narrows the "
             "time or the amount.", forms.VatForm, "aim"),
        Step("aim", "Which leather, and when", "The usual leather for the skin is taken when you "
             "say nothing.", forms.AimForm, "review"),
    )
}  # fmt: skip
FIELDS: Final = {
    "vat": ("vat", "vat_volume_l", "temperature_c", "move", "water"),
    "aim": ("leather", "start", "wanted_by"),
}


def form_of(step: Step, tannage: Tannage | None, data: Any, system: Any) -> YardForm:
    """The form of ``step``, holding what was said before."""
    own: dict[str, Any] = {}
    if step.name in ("skins", "plants"):
        own["tannage"] = tannage
    elif tannage is not None:
        own["initial"] = {name: getattr(tannage, name) for name in FIELDS[step.name]}
    return step.form(data, system=system, **own)


_SKIN: Final = ("animal", "keeping", "kg", "count", "thickness_mm", "hair_on")
_LOT: Final = ("plant", "kg")


@transaction.atomic
def save(step: Step, tannage: Tannage | None, said: Mapping[str, Any], by: Person,
         draft_id: uuid.UUID | None = None) -> Tannage:  # fmt: skip
    """Keep what was said on one page; the first one opens the draft."""
    tannage = tannage or begin_draft(by, id=draft_id)
    if step.name == "skins":
        _skins(tannage, said, by)
    elif step.name == "plants":
        _plants(tannage, said, by)
    else:
        fields = {name: said[name] for name in FIELDS[step.name]}
        set_facts(tannage, fields, by)
    if step.next == "review" and tannage.places.exists() and tannage.materials.exists():
        settle(tannage, by)
    return tannage


def _skins(tannage: Tannage, said: Mapping[str, Any], by: Person) -> None:
    chosen = list(Skin.objects.filter(pk__in=said.get("skins") or []))
    if said.get("animal"):
        chosen.append(
            new_skin(by, said["animal"], id=_id_of(tannage, said, _SKIN), weight_kg=said["kg"],
                     count=said["count"], thickness_mm=said["thickness_mm"],
                     hair_on=said["hair_on"], keeping=said.get("keeping") or "frozen")
        )  # fmt: skip
    set_skins(tannage, chosen, by)


def _id_of(tannage: Tannage, said: Mapping[str, Any], names: tuple[str, ...]) -> uuid.UUID:
    """The same for the same answers, so that a page sent twice opens one record."""
    return uuid.uuid5(tannage.pk, repr([(name, said.get(name)) for name in names]))


def _plants(tannage: Tannage, said: Mapping[str, Any], by: Person) -> None:
    lots = list(Lot.objects.filter(pk__in=said.get("lots") or []))
    wanted = []
    if said.get("plant") and said.get("kg") is not None:
        lots.append(new_lot(by, said["plant"], id=_id_of(tannage, said, _LOT), kg=said["kg"]))
    elif said.get("plant"):
        wanted.append(said["plant"])
    set_materials(tannage, lots, wanted, by)
