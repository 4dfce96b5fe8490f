"""The demonstration yard: a scenario of our own, written through the areas' services only.

Everything in it is invented. Dates are counted back from today, so that the vat is in the middle
of its work whenever the demo is loaded.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from django.conf import settings
from django.db import transaction

from tanwright.errors import InputError
from tanwright.yard.exchange import demo_scenes as scenes
from tanwright.yard.exchange.demo_cast import id_of, people
from tanwright.yard.journal.models import Record
from tanwright.yard.people.local import keeper_of_this_machine
from tanwright.yard.people.models import Person
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.tannage.renewing import renew_now

MARK: Final = id_of("lot: oak bark")
"""The record by which a demo yard is known."""


@dataclass(frozen=True)
class Standing:
    """Whether this yard is the demo, and whether the demo could be loaded."""

    loaded: bool
    possible: bool


@dataclass(frozen=True)
class Loaded:
    """What :func:`load` found or made."""

    new: bool
    records: int


def standing() -> Standing:
    """Whether the demo is in this yard, or may come in."""
    loaded = Record.objects.filter(pk=MARK).exists()
    return Standing(loaded=loaded, possible=not loaded and not Record.objects.exists())


@transaction.atomic
def load(by: Person) -> Loaded:
    """Fill an empty yard with the demonstration, written in the name of the keeper ``by``.

    In a yard that is the demo already nothing is changed. Raises InputError for a yard that holds
    records of its own: invented records must never stand among real ones.
    """
    now = standing()
    if now.loaded:
        return Loaded(new=False, records=Record.objects.count())
    if not now.possible:
        raise InputError(
            "the demo comes only into an empty yard, and this one has records",
            place="demo",
            remedy='give it a folder of its own: tanwright demo --yard "demo-yard"',
        )
    cast = people(by)
    for scene in scenes.ALL:
        scene(cast)
    return Loaded(new=True, records=Record.objects.count())


def load_here() -> Loaded:
    """:func:`load` in the name of the keeper of this machine, with the vats' forecasts made.

    For the command line: nobody else serves this yard now, so the engine runs here and at once.
    """
    before, settings.FORECASTS = settings.FORECASTS, "off"
    try:
        loaded = load(keeper_of_this_machine())
    finally:
        settings.FORECASTS = before
    if loaded.new:
        for vat in Tannage.objects.order_by("number"):
            renew_now(vat.pk)
    return loaded
