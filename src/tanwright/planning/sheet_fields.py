"""Typed, checked access to one table of a sheet, with an error that names table and key."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import NoReturn

from tanwright.errors import InputError
from tanwright.planning.sheet import TanninFigure

Convert = Callable[[str], float]

_RANGE = re.compile(
    r"^\s*(?P<low>\d+(?:\.\d+)?)\s*%?\s*(?:(?:-|–|to|\.\.)\s*(?P<high>\d+(?:\.\d+)?))?\s*(?P<unit>%?)\s*$"
)
_YEARS = re.compile(
    r"^\s*(?P<number>\d+(?:\.\d+)?)\s*(?P<unit>y|yr|yrs|years?|months?|weeks?)?\s*$"
)


def did_you_mean(word: str, words: Iterable[str], *, otherwise: str = "") -> str:
    """Remedy for a misspelt ``word``: the nearest of ``words``, else all of them."""
    known = sorted(set(words))
    near = difflib.get_close_matches(word.lower(), known, n=3, cutoff=0.6)
    if near:
        return "did you mean " + " or ".join(near) + "?"
    return otherwise or "write one of: " + ", ".join(known)


def parse_day(value: object) -> date | None:
    """A TOML date, a date-time or an ISO string as a date; ``None`` if it is none of them."""
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    if isinstance(value, str):
        try:
            return date.fromisoformat(value.strip())
        except ValueError:
            return None
    return None


def parse_pair(text: str) -> tuple[float, float] | None:
    """``"9"``, ``"9 %"``, ``"7-11 %"`` or ``"7 to 11"`` as (low, high); ``None`` if it is not."""
    match = _RANGE.match(text)
    if match is None:
        return None
    low = float(match["low"])
    return low, float(match["high"]) if match["high"] else low


LEAST, MOST = 1e-3, 1e5
"""An amount in kg, L, mm or m2 beyond these is a slip: under a gram, over a hundred tonnes."""
FIRST_YEAR, LAST_YEAR = 1800, 2200
MOST_SKINS = 10_000


class Fields:
    """One table of a sheet.

    Parameters
    ----------
    data:
        The table as TOML gives it.
    where:
        Turns a key into the place shown in an error (``""`` stands for the table itself).
    allowed:
        The keys this table may have; any other is refused with its nearest match.

    Raises
    ------
    InputError
        From every method, when the value cannot be used; the message names the place.
    """

    def __init__(
        self, data: Mapping[str, object], where: Callable[[str], str], allowed: Sequence[str]
    ) -> None:
        self._data = data
        self._where = where
        for key in data:
            if key not in allowed:
                self.refuse(key, f'there is no key "{key}" here', did_you_mean(key, allowed))

    def refuse(self, key: str, what: str, remedy: str) -> NoReturn:
        """Raise the one-line error for ``key``."""
        raise InputError(what, place=self._where(key), remedy=remedy)

    def place(self, key: str) -> str:
        """The place of ``key`` as an error shows it."""
        return self._where(key)

    def has(self, key: str) -> bool:
        """Whether ``key`` was given."""
        return key in self._data

    def raw(self, key: str) -> object:
        """The value as TOML gave it, or ``None``."""
        return self._data.get(key)

    def text(self, key: str) -> str | None:
        """A text that is not empty."""
        value = self._data.get(key)
        if value is None:
            return None
        if not isinstance(value, str) or not value.strip():
            self.refuse(key, "this must be a text", f'write {key} = "..."')
        return value.strip()

    def choice(
        self, key: str, words: Sequence[str], also: Mapping[str, str] | None = None
    ) -> str | None:
        """One of ``words``; ``also`` maps harmless variants to them."""
        value = self._data.get(key)
        if value is None:
            return None
        also = also or {}
        word = str(value).strip().lower() if isinstance(value, (str, bool)) else None
        if word is None:
            self.refuse(key, "this must be a word in quotes", "write one of: " + ", ".join(words))
        if word in words or word in also:
            return also.get(word, word)
        return self.refuse(key, f'"{value}" is not known', did_you_mean(word, words))

    def yes_no(self, key: str) -> bool | None:
        """True or false; "yes" and "no" are taken too."""
        word = self.choice(key, ("true", "false"), {"yes": "true", "no": "false"})
        return None if word is None else word == "true"

    def quantity(self, key: str, convert: Convert, example: str) -> float | None:
        """An amount above nought, written with its unit."""
        value = self._data.get(key)
        if value is None:
            return None
        amount = self.convert(key, value, convert, example)
        if amount <= 0.0:
            self.refuse(key, f'"{value}" is not above nought', f'write for example "{example}"')
        if not LEAST <= amount <= MOST:
            much = "much" if amount > MOST else "little"
            self.refuse(
                key, f'"{value}" is too {much} to be right', "check the number and the unit"
            )
        return amount

    def temperature(self, key: str, convert: Convert, low: float, high: float) -> float | None:
        """A temperature between ``low`` and ``high`` °C, written with its unit."""
        value = self._data.get(key)
        if value is None:
            return None
        degrees = self.convert(key, value, convert, "12 C")
        if not low <= degrees <= high:
            self.refuse(
                key,
                f'"{value}" is outside {low:g} to {high:g} °C',
                "check the unit (C or F) and the number",
            )
        return degrees

    def convert(self, key: str, value: object, convert: Convert, example: str) -> float:
        """``value`` through ``convert``, whose own complaint is repeated with the place."""
        if not isinstance(value, str):
            self.refuse(key, f"{value!r} has no unit", f'write it in quotes, like "{example}"')
        try:
            return convert(value)
        except InputError as error:
            raise type(error)(
                error.what,
                place=self._where(key),
                remedy=error.remedy or f'write for example "{example}"',
            ) from None

    def whole(self, key: str) -> int | None:
        """A whole number of at least one."""
        value = self._data.get(key)
        if value is None:
            return None
        if isinstance(value, str) and value.strip().lstrip("-").isdigit():
            value = int(value)
        if isinstance(value, bool) or not isinstance(value, int) or value < 1:
            self.refuse(key, f"{value!r} is not a count", "write a whole number from 1 up")
        if value > MOST_SKINS:
            self.refuse(key, f"{value:.6g} is too many to be right", "check the number")
        return value

    def years(self, key: str, *, most: float) -> float | None:
        """A span of up to ``most`` years, as a number or like "18 months"."""
        value = self._data.get(key)
        if value is None:
            return None
        match = None if isinstance(value, bool) else _YEARS.match(str(value))
        if match is None:
            self.refuse(key, f'"{value}" is not a number of years', 'write for example "2 years"')
        unit = match["unit"] or "years"
        per_year = 12.0 if unit.startswith("month") else 52.18 if unit.startswith("week") else 1.0
        years = float(match["number"]) / per_year
        if not 0.0 < years <= most:
            self.refuse(key, f"{years:g} years cannot be", f"write up to {most:g} years")
        return years

    def day(self, key: str) -> date | None:
        """A date: a TOML date or a text like "2026-03-01"."""
        value = self._data.get(key)
        if value is None:
            return None
        found = parse_day(value)
        if found is None:
            self.refuse(key, f'"{value}" is not a date', "write it year first, like 2026-03-01")
        if not FIRST_YEAR <= found.year <= LAST_YEAR:
            self.refuse(key, f"the year {found.year} cannot be right", "check the year")
        return found

    def tannin(self, key: str) -> TanninFigure | None:
        """Tannin in percent: "9 %" or "7-11 %"."""
        value = self._data.get(key)
        if value is None:
            return None
        pair = parse_pair(value) if isinstance(value, str) and "%" in value else None
        if pair is None:
            self.refuse(key, f'"{value}" is not a percentage', 'write "9 %" or "7-11 %"')
        low, high = pair
        if not 0.0 < low <= high:
            self.refuse(key, f'"{value}" does not run from low to high', 'write "7-11 %"')
        if high > 80.0:
            self.refuse(key, f'"{value}" is more tannin than any plant holds', "check the number")
        return TanninFigure(low, high)
