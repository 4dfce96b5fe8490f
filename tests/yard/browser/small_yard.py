"""A yard with some of everything, for pages to have something to show: the demo, and what it lacks.

Made by the areas' own services. Several values for a part of an address are several pages.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final
from uuid import uuid4

from django.utils import timezone
from PIL import Image

from tanwright.yard.exchange.backing_up import make_backup
from tanwright.yard.exchange.demo import load_here
from tanwright.yard.gathering.actions import actions_for as actions_for_place
from tanwright.yard.gathering.models import Place
from tanwright.yard.journal.kinds import kind_of
from tanwright.yard.journal.models import Entry, Photo, Record
from tanwright.yard.journal.photos import add_photo
from tanwright.yard.journal.services import open_record
from tanwright.yard.leather.actions import ACTIONS as leather_actions
from tanwright.yard.leather.models import Leather
from tanwright.yard.leather.queries import leather_of, page_of
from tanwright.yard.liquors.actions import ACTIONS as liquor_actions
from tanwright.yard.liquors.models import Liquor
from tanwright.yard.people.local import keeper_of_this_machine
from tanwright.yard.people.models import Device, Person
from tanwright.yard.people.pairing import make_code
from tanwright.yard.plants.models import SightingsImport
from tanwright.yard.skins.actions import ACTIONS as skin_actions
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.actions import ACTIONS as lot_actions
from tanwright.yard.stock.models import Container, Lot
from tanwright.yard.tannage.actions import actions_for
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.tannage.planning_steps import STEPS
from tanwright.yard.trials.actions import ACTIONS as trial_actions
from tanwright.yard.trials.models import Trial
from tanwright.yard.trials.offcut_forms import WAYS
from tanwright.yard.trials.planning_steps import STEPS as TRIAL_STEPS

Parts = Mapping[str, Mapping[str, Any]]
MOST_OF_A_STATE: Final = 1
"""Records of one area in one state whose pages are all walked."""


def small_yard() -> Parts:
    """Make it; what stands for the parts of each area's addresses."""
    load_here()
    keeper = keeper_of_this_machine()
    skin = Skin.objects.first() or open_record(Skin, Record.Kind.SKIN, keeper, animal="deer")
    if not Liquor.objects.exists():
        open_record(Liquor, Record.Kind.LIQUOR, keeper)
    if not Leather.objects.exists():
        ended = Tannage.objects.filter(state=Tannage.State.ENDED)[0]
        open_record(Leather, Record.Kind.LEATHER, keeper, tannage=ended, skin=ended.skins.all()[0])
    container = Container.objects.first() or Container.objects.create(name="bucket", holds_l=10.0)
    device = Device.objects.create(person=keeper, name="phone in the shed")
    photo = a_photo()
    lots, liquors = one_of_each(Lot, "state"), one_of_each(Liquor, "state")
    skins, leathers = one_of_each(Skin, "stage", "step"), one_of_each(Leather, "step")
    draft = open_record(Tannage, Record.Kind.TANNAGE, keeper, vat="blue tub", vat_volume_l=40.0)
    running = Tannage.objects.filter(state=Tannage.State.RUNNING)[0]
    places = one_of_each(Place, "what")
    windfall = Place.objects.filter(what="windfall")[0]
    waiting = Entry.objects.filter(kind="place.gathered")[0]
    sightings = SightingsImport.objects.all()[0]
    graded, tried, planned = (
        Trial.objects.filter(state=state)[0] for state in ("done", "running", "draft")
    )
    leather_page = page_of(leather_of(leathers[0]), "metric")
    return {
        "search": {"code": skin.code},
        "skins": {"id": skins[0]},
        "skins:skin": {"id": skins},
        "skins:preparation": {"id": skins},
        "skins:end": {"id": Skin.objects.exclude(step="").values_list("pk", flat=True)[0]},
        "skins:log": {"id": skins[0], "what": list(skin_actions)},
        "stock": {"id": lots[0]},
        "stock:lot": {"id": lots},
        "stock:log": {"id": lots[0], "what": list(lot_actions)},
        "stock:drop-container": {"id": container.pk},
        "liquors": {"id": liquors[0]},
        "liquors:liquor": {"id": liquors},
        "liquors:log": {"id": liquors[0], "what": list(liquor_actions)},
        "tannage": {"id": running.pk},
        "tannage:tannage": {"id": one_of_each(Tannage, "state")},
        "tannage:review": {"id": draft.pk},
        "tannage:step": {"id": draft.pk, "step": list(STEPS)},
        "tannage:log": {"id": running.pk, "what": [one.what for one in actions_for(running)]},
        "tannage:numbers": {"id": running.pk, "picture": ["strength", "cut", "causes"]},
        "leather": {"id": leathers[0]},
        "leather:leather": {"id": leathers},
        "leather:log": {"id": leathers[0], "what": list(leather_actions)},
        "leather:begin": {"id": leathers[0], "stage": [one.key for one in leather_page.stages]},
        "plants": {"id": "quercus-robur-bark", "key": "procter1903"},
        "plants:plant": {"id": ["quercus-robur-bark", "unknown-bark", "metopium-toxiferum-leaf"]},
        "plants:here-reading": {"id": sightings.pk},
        "plants:here-withdraw": {"id": sightings.pk},
        "gathering": {"id": places[0], "entry": waiting.pk},
        "gathering:place": {"id": places},
        "gathering:log": {"id": windfall.pk, "what": what_of(windfall, keeper)},
        "trials": {"id": graded.pk, "number": 1},
        "trials:trial": {"id": [graded.pk, tried.pk, planned.pk]},
        "trials:step": {"id": planned.pk, "step": list(TRIAL_STEPS)},
        "trials:offcuts": {"id": [graded.pk, planned.pk]},
        "trials:offcut-add": {"id": planned.pk, "way": list(WAYS)},
        "trials:log": {"id": tried.pk},
        "trials:jars": {"id": [tried.pk, graded.pk]},
        "trials:log-one": {"id": tried.pk, "what": list(trial_actions)},
        "trials:grade": {"id": graded.pk, "quality": ["firmness", "colour"]},
        "trials:row": {"id": graded.pk, "quality": "firmness"},
        "trials:measure": {"id": graded.pk, "measure": "thickness"},
        "trials:result-numbers": {"id": graded.pk, "picture": "trial-firmness"},
        "trials:result-file": {"id": graded.pk, "name": ["patches", "grades"]},
        "journal": {"id": photo.entry_id},
        "journal:correct": {"id": entries_by_hand()},
        "journal:photo": {"id": photo.pk},
        "journal:photo-page": {"id": photo.pk},
        "journal:thumbnail": {"id": photo.pk},
        "journal:withdraw-record": {"id": running.pk},
        "journal:restore-record": {"id": running.pk},
        "paper": {"id": running.pk},
        "exchange": {"name": make_backup().path.name},
        "people": {"pk": keeper.pk, "code": make_code(keeper)},
        "people:revoke": {"pk": device.pk},
        "today": {"token": keeper.calendar_token},
    }


def what_of(place: Place, keeper: Person) -> list[str]:
    """What may be noted of ``place``."""
    return [action.what for action in actions_for_place(place, keeper)]


def one_of_each(model: type[Record], *states: str) -> list[Any]:
    """Ids of records that show every state there is of a model."""
    found: dict[tuple[Any, ...], list[Any]] = {}
    for pk, *state in model._default_manager.values_list("pk", *states):
        found.setdefault(tuple(state), []).append(pk)
    return [pk for pks in found.values() for pk in pks[:MOST_OF_A_STATE]]


def entries_by_hand() -> list[Any]:
    """The latest entry of each kind that a form writes."""
    latest = {
        kind: pk for pk, kind in Entry.objects.filter(standing="live").values_list("pk", "kind")
    }
    return [pk for kind, pk in sorted(latest.items()) if kind_of(kind).form]


def a_photo() -> Photo:
    """A photo with an entry of its own."""
    lot = Lot.objects.first()
    assert lot is not None
    entry = Entry.objects.create(
        id=uuid4(),
        record=lot,
        kind="lot.note",
        happened_at=timezone.now(),
        by=Person.objects.all()[0],
        note="How the bark looks.",
    )
    return add_photo(entry, Image.new("RGB", (640, 480), (120, 80, 40)), "bark in a sack")
