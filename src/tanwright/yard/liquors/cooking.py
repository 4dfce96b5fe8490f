"""The page of a cook: what its form starts with, what it should give, and writing it down."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest
from django.urls import reverse

from tanwright.errors import TanwrightError
from tanwright.units import System, format_volume
from tanwright.yard.journal.models import Entry
from tanwright.yard.liquors import services
from tanwright.yard.liquors.entry_kinds import MOST_LOTS, clean_cooked
from tanwright.yard.liquors.forms import CookedForm
from tanwright.yard.liquors.models import Liquor
from tanwright.yard.liquors.strengths import told_range
from tanwright.yard.people.access import person_of, system_of
from tanwright.yard.shell.forms import YardForm
from tanwright.yard.stock.models import Lot


def form_for(request: HttpRequest) -> CookedForm:
    """The form of a cook, begun with a lot (``?lot=``) or a cook to repeat (``?again=``)."""
    initial: dict[str, Any] = {}
    again = _uuid(request.GET.get("again", ""))
    if again and (entry := Entry.objects.filter(pk=again, kind="liquor.cooked").first()):
        kept = ("lots", "water_l", "temperature_c", "hours", "where")
        initial = {key: entry.data[key] for key in kept if key in entry.data}
        initial["which"] = str(min(int(entry.data.get("which", 1)) + 1, 4))
    elif (lot := _uuid(request.GET.get("lot", ""))) and Lot.objects.filter(pk=lot).exists():
        initial = {"lots": {str(lot): None}}
    return CookedForm(request.POST or None, system=system_of(request), initial=initial)


def material_ids(form: CookedForm) -> list[str]:
    """Plants of the lots that the form names so far."""
    named = [*(form.initial.get("lots") or {})]
    named += [form.data.get(f"lot_{n}", "") for n in range(1, MOST_LOTS + 1)]
    ids = [id for text in named if (id := _uuid(str(text)))]
    found = Lot.objects.filter(pk__in=ids).values_list("material_id", flat=True)
    return sorted(set(found))


def again_url(liquor: Liquor) -> str:
    """Where the same material is cooked once more; empty when nothing was cooked here."""
    entry = (
        Entry.objects.filter(record=liquor.pk, kind="liquor.cooked", standing=Entry.Standing.LIVE)
        .order_by("-happened_at")
        .values_list("pk", flat=True)
        .first()
    )
    return f"{reverse('liquors:cook')}?{urlencode({'again': str(entry)})}" if entry else ""


def expected_words(form: CookedForm, system: System, scale: str) -> str:
    """What the cook in a valid form should give, one sentence."""
    data = clean_cooked(form.data_of_entry())
    found = data["expected"]
    litres = format_volume(data.get("volume_l", found["volume_l"]), system)
    span = told_range(found["low"], found["high"], scale)
    likely = told_range(found["likely"], found["likely"], scale)
    more = " on top of what the older liquor brings" if form.cleaned_data.get("in_liquor") else ""
    return f"It should give about {litres} of {span}, most likely {likely}{more}."


def cooked(
    request: HttpRequest,
    form: CookedForm,
    entry: dict[str, Any],
    problem: Callable[[YardForm, TanwrightError], None],
) -> Liquor | None:
    """Write the cook of a valid form down; ``None``, with an error shown, when it cannot be."""
    data = form.data_of_entry()
    kg = data["lots"]
    lots = {lot: kg[str(lot.pk)] for lot in Lot.objects.filter(pk__in=list(kg))}
    cleaned = form.cleaned_data
    try:
        return services.cook(
            person_of(request),
            lots,
            data["water_l"],
            into=_liquor(cleaned.get("into")),
            in_liquor=_liquor(cleaned.get("in_liquor")),
            in_litres=data.get("in_litres"),
            volume_l=data.get("volume_l"),
            temperature_c=data.get("temperature_c"),
            hours=data.get("hours"),
            which=data["which"],
            where=data.get("where", ""),
            name=cleaned.get("name", ""),
            **entry,
        )
    except TanwrightError as error:
        problem(form, error)
        return None


def _liquor(id: Any) -> Liquor | None:
    return Liquor.objects.filter(pk=id).first() if id else None


def _uuid(text: str) -> uuid.UUID | None:
    try:
        return uuid.UUID(text)
    except ValueError:
        return None
