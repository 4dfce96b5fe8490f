"""Words of a readings file turned into numbers: shares of a cut, scales, looks and events."""

from __future__ import annotations

import re
from typing import Final, Literal

Side = Literal["both", "flesh", "grain"]
Zone = Literal["thick", "thin", "usual"]

SCALES: Final[dict[str, str]] = {
    "bk": "bk", "°bk": "bk", "degbk": "bk", "barkometer": "bk", "bark": "bk",
    "sg": "sg", "specific gravity": "sg", "gravity": "sg", "g/ml": "sg", "g/cm3": "sg",
    "tw": "tw", "°tw": "tw", "degtw": "tw", "twaddell": "tw", "twaddle": "tw",
    "be": "be", "°be": "be", "bé": "be", "°bé": "be", "degbe": "be", "baume": "be",
    "baumé": "be", "brix": "brix", "°brix": "brix", "bx": "brix", "°bx": "brix",
    "plato": "plato", "°p": "plato", "g/l": "solubles", "solids": "solubles",
}  # fmt: skip
"""What may stand in the unit column of a strength, and the scale it means.

``solubles`` is total dissolved solids in g/L, as a dried-down sample gives them.
"""

EVENTS: Final[dict[str, str]] = {
    "frozen": "frozen", "froze": "frozen", "thawed": "thawed", "thaw": "thawed",
    "away": "away", "gone": "away", "back": "back", "heat": "heat", "hot": "heat",
    "left alone": "left alone", "left": "left alone", "not moved": "left alone",
    "moved": "moved", "moved to": "moved", "topped up": "topped up", "taken out": "taken out",
    "out": "taken out", "put back": "put back", "started": "started", "start": "started",
    "done": "done", "finished": "done", "ready": "done", "not done": "not done",
    "not yet done": "not done", "not ready": "not done",
}  # fmt: skip
"""Events by what people write."""

_FRACTIONS: Final[dict[str, float]] = {
    "nothing": 0.0, "none": 0.0, "no colour": 0.0, "a tenth": 0.1, "a fifth": 0.2,
    "a quarter": 0.25, "one quarter": 0.25, "quarter": 0.25, "a third": 1 / 3, "third": 1 / 3,
    "one third": 1 / 3, "half": 0.5, "a half": 0.5, "one half": 0.5, "two thirds": 2 / 3,
    "three quarters": 0.75, "four fifths": 0.8, "most": 0.8, "nearly all": 0.93, "all": 1.0,
}  # fmt: skip
_WHOLE_PHRASES: Final[dict[str, float]] = {
    "through": 1.0, "struck through": 1.0, "right through": 1.0, "coloured through": 1.0,
    "no pale line": 1.0, "nearly through": 0.93, "almost through": 0.93, "pale line": 0.93,
    "a pale line": 0.93, "a thin pale line": 0.93, "thin pale line": 0.93, "a hairline": 0.97,
    "hairline": 0.97, "raw": 0.0, "just the rim": 0.05, "a thin rim": 0.05, "thin rim": 0.05,
    "rim": 0.05,
}  # fmt: skip
_PALE = ("pale", "white", "raw", "glassy", "left")
_TANNED = ("through", "struck", "brown", "tanned", "coloured", "colored", "in")
_THICK = ("thick", "neck", "butt", "rump", "haunch", "backbone", "spine", "shoulder", "bend")
_THIN = ("thin", "belly", "flank", "armpit", "shank", "leg", "edge")
_ABOUT_THE_CUT = re.compile(r"^(?:(?:the|a) )?cut (?:is |looks )?|^looks ")
_NUMBER = r"(?:\d+(?:\.\d+)?|\.\d+)"
_LIQUOR = re.compile(rf"(?P<number>{_NUMBER})\s*(?P<scale>[°a-zé/]+)", re.IGNORECASE)
_TEMPERATURE = re.compile(r"-?\d+(?:[.,]\d+)?\s*°?\s*(?:C|F)\b", re.IGNORECASE)


def number_in(text: str) -> float | None:
    """A plain number; one decimal comma is taken as a point. ``None`` if it is not one."""
    clean = text.strip()
    if clean.count(",") == 1 and "." not in clean:
        clean = clean.replace(",", ".")
    if not re.fullmatch(rf"[+-]?{_NUMBER}", clean):
        return None
    return float(clean)


def share_struck_through(text: str, unit: str) -> float | None:
    """Share of the thickness that is tanned, from "0.4", "40 %", "a third pale" or "through".

    Returns a number that may lie outside 0 to 1 when the text says so, and ``None`` when the text
    cannot be understood (a bare "40" could be a per cent or a slip, so it is not understood).
    """
    phrase = " ".join(text.lower().replace("percent", "%").replace("per cent", "%").split())
    if unit.strip() in ("%", "percent", "per cent"):
        phrase += " %"
    phrase = _ABOUT_THE_CUT.sub("", phrase)
    if phrase in _WHOLE_PHRASES:
        return _WHOLE_PHRASES[phrase]
    pale = False
    words = phrase.split()
    if unit.strip().lower() in _PALE:
        pale = True
    while len(words) > 1 and words[-1] in (*_PALE, *_TANNED):
        pale = pale or words.pop() in _PALE
        if words[-1] in (*_TANNED, *_PALE) and len(words) > 1 and words[-2] == "still":
            words.pop()
    words = [word for word in words if word not in ("still", "is", "the", "of")] or words
    share = _share(" ".join(words))
    if share is None:
        return None
    return 1.0 - share if pale else share


def _share(phrase: str) -> float | None:
    if phrase in _FRACTIONS:
        return _FRACTIONS[phrase]
    if phrase.endswith("%"):
        number = number_in(phrase[:-1])
        return None if number is None else number / 100.0
    top, slash, bottom = phrase.partition("/")
    if slash:
        upper, lower = number_in(top), number_in(bottom)
        return None if upper is None or not lower else upper / lower
    number = number_in(phrase)
    return None if number is None or number > 1.0 else number


def side_of(place: str) -> Side:
    """The side of the skin a place speaks of; ``both`` unless it names one."""
    low = place.lower()
    if "flesh" in low:
        return "flesh"
    return "grain" if "grain" in low or "hair side" in low else "both"


def zone_of(place: str) -> Zone:
    """Whether a place on the skin is a thick one, a thin one or neither."""
    words = re.findall(r"[a-z]+", place.lower())
    if any(word in _THICK for word in words):
        return "thick"
    return "thin" if any(word in _THIN for word in words) else "usual"


def strength_in(text: str) -> tuple[float, str] | None:
    """The first strength written in ``text``, like "35 Bk" or "1.035 SG", as (number, scale)."""
    for match in _LIQUOR.finditer(text):
        scale = SCALES.get(match["scale"].lower().rstrip("."))
        if scale is not None:
            return float(match["number"]), scale
    return None


def temperature_in(text: str) -> str | None:
    """The first temperature written in ``text``, as written ("8 C"), or ``None``."""
    match = _TEMPERATURE.search(text)
    return match[0] if match else None


_MASS = re.compile(rf"^\s*{_NUMBER}\s*(?:kg|g|lb|lbs|pounds?|oz)\b", re.IGNORECASE)
_VOLUME = re.compile(rf"{_NUMBER}\s*(?:l|litres?|liters?|ml|gal|gallons?|qt)\b", re.IGNORECASE)


def is_a_mass(text: str) -> bool:
    """Whether ``text`` is a weight ("1.5 kg") rather than a volume."""
    return _MASS.match(text) is not None


def volume_in(text: str) -> str | None:
    """The first volume written in ``text``, as written ("13 L"), or ``None``."""
    match = _VOLUME.search(text)
    return match[0] if match else None


def event_in(text: str) -> str | None:
    """The event that ``text`` begins with, or ``None``."""
    low = " ".join(text.lower().split())
    for said in sorted(EVENTS, key=len, reverse=True):
        if low == said or low.startswith(said + " "):
            return EVENTS[said]
    return None
