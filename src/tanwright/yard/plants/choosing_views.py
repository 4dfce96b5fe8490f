"""Which plant for this skin: asked in the address, answered at once."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from tanwright.planning.choosing import Ranked, rank
from tanwright.yard.people.access import system_of
from tanwright.yard.plants.choosing_forms import WEIGHTS, PurposeForm, said_or_usual
from tanwright.yard.plants.queries import AT_ONCE, home_place, own_ids
from tanwright.yard.plants.seen import near_by_material

ON_A_PAGE = 10


@dataclass(frozen=True)
class Part:
    """One side of a plant for the purpose: its points of ten and why."""

    label: str
    points: str
    share: float
    reason: str


@dataclass(frozen=True)
class Answer:
    """One plant of the ranking."""

    place: int
    ranked: Ranked
    name: str
    url: str
    points: str
    parts: tuple[Part, ...]
    own: bool


def choose(request: HttpRequest) -> HttpResponse:
    """The ranking for what is asked; on a first visit for a goat skin at home today."""
    system, home = system_of(request), home_place()
    form = PurposeForm(said_or_usual(request.GET, home), system=system)
    purpose = form.purpose(home, near_by_material(home))
    found = rank(purpose, system=system) if purpose is not None else ()
    text = request.GET.get("page", "1")
    number = int(text) if text.isdecimal() and len(text) < 7 else 1
    page = Paginator(found, ON_A_PAGE).get_page(number)
    own = own_ids()
    side_by_side = [("id", each.material_id) for each in page.object_list[:AT_ONCE]]
    return render(
        request,
        "plants/choose.html",
        {
            "form": form,
            "purpose": purpose,
            "page": page,
            "answers": [
                _answer(page.start_index() + step, each, own)
                for step, each in enumerate(page.object_list)
            ],
            "compare": f"{reverse('plants:compare')}?{urlencode(side_by_side)}",
            "home": home,
        },
    )


def _answer(place: int, each: Ranked, own: frozenset[str]) -> Answer:
    return Answer(
        place=place,
        ranked=each,
        name=each.name[:1].upper() + each.name[1:],
        url=reverse("plants:plant", args=[each.material_id]),
        points=f"{10.0 * each.score:.1f}",
        parts=tuple(
            Part(label, f"{10.0 * each.parts[name]:.0f}", each.parts[name],
                 each.reasons.get(name, ""))
            for name, label in WEIGHTS.items()
        ),
        own=each.material_id in own,
    )  # fmt: skip
