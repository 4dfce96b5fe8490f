"""What somebody typed into the search box, read as a label's code, as a day, and as words."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from datetime import date
from typing import Final

from django import forms
from django.utils import timezone

MOST_WORDS: Final = 6
LONGEST: Final = 100
_CODE = re.compile(
    r"^(skin|lot|liquor|tannage|vat|leather|place|trial)?s?[\s#-]*([0-9]{1,9})$", re.IGNORECASE
)
_DAYS: Final = ("%Y-%m-%d", "%d.%m.%Y", "%d/%m/%Y", "%d %B %Y", "%d %b %Y", "%B %d %Y", "%b %d %Y")


@dataclass(frozen=True)
class Asked:
    """``kind`` is empty when a bare number was typed; ``words`` must all be found."""

    words: tuple[str, ...]
    kind: str = ""
    number: int | None = None
    day: date | None = None


def asked(text: str) -> Asked:
    """``text`` as a code, a day and words, whichever of them it can be."""
    text = " ".join(text.split())[:LONGEST]
    code = _CODE.match(text)
    kind = (code[1] or "").lower() if code else ""
    return Asked(
        words=tuple(text.split()[:MOST_WORDS]),
        kind="tannage" if kind == "vat" else kind,
        number=int(code[2]) if code else None,
        day=_day(text),
    )


def begins_a_word(word: str, text: str) -> bool:
    """Whether a word of ``text`` begins with ``word``, in small letters or large."""
    return re.search(rf"(^|\W){re.escape(word)}", text, re.IGNORECASE) is not None


def spellings(word: str) -> frozenset[str]:
    """``word`` as a database may hold it.

    SQLite folds the case of plain letters only, so "Änte" is also tried as "änte" and "ÄNTE"; JSON
    keeps such letters escaped.
    """
    if word.isascii():
        return frozenset({word})
    cased = {word, word.lower(), word.upper(), word.capitalize()}
    return frozenset(cased | {json.dumps(one)[1:-1] for one in cased})


def _day(text: str) -> date | None:
    if not any(sign.isdigit() for sign in text):
        return None
    field = forms.DateField(input_formats=_DAYS)
    today = timezone.localdate()
    for tried in (text, f"{text} {today.year}"):
        try:
            found: date = field.clean(tried.replace(",", ""))
        except forms.ValidationError:
            continue
        return found if 1900 <= found.year <= 2200 else None
    return None
