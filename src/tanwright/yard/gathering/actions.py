"""What may be noted on the page of a place: the form, its heading and what it is good for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from tanwright.yard.gathering import forms
from tanwright.yard.gathering.models import Place
from tanwright.yard.people.models import Person
from tanwright.yard.shell.forms import EntryForm

_W = Place.What
DEAD: Final = (_W.WINDFALL, _W.STANDING_DEAD, _W.MILL, _W.FIREWOOD, _W.TREE_SERVICE, _W.OTHER)
CUT: Final = (_W.COPPICE, _W.LEAVES, _W.PODS, _W.OTHER)


def _nothing(place: Place) -> dict[str, Any]:
    return {}


def _first_plant(place: Place) -> dict[str, Any]:
    return {"material_id": place.plant_ids[0]} if place.plant_ids else {}


def _permission(place: Place) -> dict[str, Any]:
    return {
        "permission": place.permission,
        "by_role": place.permission_by,
        "until": place.permission_until,
    }


@dataclass(frozen=True)
class Action:
    """One thing to note of a place. ``at`` are the sorts of place that offer it; none: all."""

    what: str
    heading: str
    lead: str
    form: type[EntryForm]
    initial: Callable[[Place], dict[str, Any]] = _nothing
    at: tuple[str, ...] = ()
    keeper: bool = False
    noted: str = "Noted."

    def fits(self, place: Place) -> bool:
        """Whether it is noted at places of that sort."""
        return not self.at or place.what in self.at


ACTIONS: Final = {
    action.what: action
    for action in (
        Action(
            "gathered",
            "Gathered",
            "What you took, and where it goes: a lot of its own keeps its strength apart.",
            forms.GatheredForm,
        ),
        Action(
            "visited",
            "Looked at it",
            "Whether the bark slips, whether pods are ripe, whether it still lies there.",
            forms.VisitedForm,
        ),
        Action(
            "trunks",
            "Measure trunks",
            "How thick and how long tells how much bark there is, and how much skin that tans.",
            forms.TrunksForm,
            _first_plant,
            at=DEAD,
        ),
        Action(
            "rained",
            "Rained on",
            "Rain washes tannin out of bark that is dead; what comes from here will be expected "
            "to be weaker.",
            forms.RainedForm,
            at=DEAD,
        ),
        Action(
            "cut",
            "Cut",
            "When it was cut tells when it may be cut again without wearing it out.",
            forms.CutForm,
            at=CUT,
        ),
        Action(
            "permission",
            "Leave to gather",
            "Whether you may gather here, by whose word, and until when.",
            forms.PermissionForm,
            _permission,
            keeper=True,
        ),
        Action(
            "gone",
            "Nothing left",
            "The place leaves the list; what it gave is kept.",
            forms.GoneForm,
        ),
        Action(
            "photo",
            "Photo",
            "Shown in its log; place and camera data are taken out.",
            forms.PhotoForm,
        ),
        Action("note", "Note", "Anything worth remembering.", forms.NoteForm),
    )
}


def actions_for(place: Place, person: Person) -> tuple[Action, ...]:
    """What ``person`` may note of ``place``, the most used first."""
    return tuple(
        action
        for action in ACTIONS.values()
        if action.fits(place) and (person.is_keeper or not action.keeper)
    )
