"""The search box."""

from __future__ import annotations

from django import forms

from tanwright.yard.search.asked import LONGEST
from tanwright.yard.shell.forms import YardForm


class SearchForm(YardForm):
    """One box for everything."""

    q = forms.CharField(
        label="Look for",
        max_length=LONGEST,
        required=False,
        help_text="A label's code, a name, an animal, a plant, a place, a day, words of a note.",
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
    )
