"""Forms of this area: what to look for, what to note of one's own plants."""

from __future__ import annotations

import calendar
from typing import Any, Final

from django import forms
from django.utils import timezone

from tanwright.reference import world
from tanwright.yard.plants.catalogue import Asked, catalogue, parts_in
from tanwright.yard.plants.leather_words import CHARACTERS, COLOURS
from tanwright.yard.plants.wording import CLASSES, EFFECTS, HAZARDS, TRACKS, part_words
from tanwright.yard.shell.fields import ReadField
from tanwright.yard.shell.forms import YardForm

ANY: Final = ("", "any")
NOW: Final = "now"
PICK: Final = {"invalid_choice": "There is no “%(value)s”; pick one of the list."}

MONTHS: Final = [(str(n), calendar.month_name[n]) for n in range(1, 13)]
SORTS: Final = [
    ("track", "best proved first"),
    ("strength", "strongest first"),
    ("evidence", "best known first"),
    ("name", "by name"),
]


class PlaceInput(forms.TextInput):
    """A text box with the countries and regions to pick from; other places may be written."""

    template_name = "plants/place_input.html"

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        list_id = f"{context['widget']['attrs'].get('id', name)}_list"
        context["widget"]["attrs"]["list"] = list_id
        return {**context, "list_id": list_id, "listed": place_names()}


def place_names() -> list[str]:
    """Names that a place box offers."""
    kinds = ("continent", "region", "country")
    return [item.name for item in world.places() if item.kind in kinds]


class PlaceField(ReadField):
    """A country or region by name or code; the cleaned value is a Place, or None."""

    widget = PlaceInput

    def read(self, text: str) -> world.Place:
        return world.place(text)


def _choice(label: str, choices: list[tuple[str, str]], help_text: str = "") -> forms.ChoiceField:
    return forms.ChoiceField(
        label=label,
        choices=[ANY, *choices],
        required=False,
        help_text=help_text,
        error_messages=PICK,
    )


def _short(words: Any) -> list[tuple[str, str]]:
    return [(key, word.short) for key, word in words.items()]


class FindForm(YardForm):
    """What to look for among the plants. Every field may stay empty."""

    q = forms.CharField(
        label="Name",
        required=False,
        max_length=80,
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
    )
    place = PlaceField(label="Grows in", required=False, help_text="A country or region.")
    month = _choice("Gathered in", [(NOW, "this month"), *MONTHS])
    part = _choice("Part of the plant", [])
    track = _choice("Track record", [("proved", "proved: by trade or tradition"), *_short(TRACKS)])
    kind = _choice("Kind of tannin", _short(CLASSES))
    colour = _choice("Colour of the leather", [(word, word) for word in COLOURS])
    character = _choice("Character of the leather", [(word, word) for word in CHARACTERS])
    effect = _choice("What taking it does", [("gentle", "the plant lives on"), *_short(EFFECTS)])
    hazard = _choice("Hazards", [("none", "none known"), *_short(HAZARDS)])
    own = _choice("Your own list", [("yes", "only plants on it")])
    sort = forms.ChoiceField(label="Order", choices=SORTS, required=False, error_messages=PICK)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        part = self.fields["part"]
        assert isinstance(part, forms.ChoiceField)
        part.choices = [ANY, *((word, part_words(word)) for word in parts_in(catalogue()))]

    def asked(self, own: frozenset[str]) -> Asked:
        """What the fields that could be read ask for; ``own`` is the yard's own list."""
        said = self.cleaned_data
        month = said.get("month")
        return Asked(
            text=said.get("q", ""),
            place=said.get("place"),
            month=timezone.localdate().month if month == NOW else int(month) if month else None,
            part=said.get("part", ""),
            tannin_class=said.get("kind", ""),
            track=said.get("track", ""),
            colour=said.get("colour", ""),
            character=said.get("character", ""),
            effect=said.get("effect", ""),
            hazard=said.get("hazard", ""),
            own=own if said.get("own") else None,
            sort=said.get("sort") or "track",
        )

    def active(self) -> list[tuple[str, str, str]]:
        """Field, label and words of every filter that is set, but name and order."""
        found = []
        for name, value in self.cleaned_data.items():
            if name in ("q", "sort") or not value:
                continue
            field = self.fields[name]
            if isinstance(field, forms.ChoiceField):
                words = dict(field.choices).get(value, value)  # type: ignore[arg-type]
            else:
                words = getattr(value, "name", value)
            found.append((name, str(field.label), str(words)))
        return found


class NoteForm(YardForm):
    """What one knows of a plant of one's own."""

    note = forms.CharField(
        label="Your note",
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Where it stands, who to ask, how it did. It stays in this yard.",
    )
