"""Numbers of an answer in plain words, in the reader's units, scale and containers."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from tanwright import units
from tanwright.planning.containers import in_containers
from tanwright.planning.looks import look_of

if TYPE_CHECKING:
    from tanwright.planning.answers import DateRange, MaterialNeed, Range
    from tanwright.planning.pictures.reader import Reader
    from tanwright.planning.sheet import Container, ScaleName, Sheet

_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip
_CHANCES = (
    (0.95, "almost surely"),
    (0.8, "very likely"),
    (0.6, "probably"),
    (0.4, "maybe"),
    (0.2, "probably not"),
    (0.05, "very likely not"),
    (0.0, "almost surely not"),
)
_AMOUNT = re.compile(
    r"(?<![\w.+-])(?:(?P<low>\d+(?:\.\d+)?)(?P<to> to |-|–))?(?P<high>\d+(?:\.\d+)?)\s?"
    r"(?P<unit>kg|g|L|mm|°C|°Bk)(?![\w/²³])"
)
_A_DIFFERENCE = re.compile(r" (?:stronger|weaker|higher|lower|too )")
_METRIC_NUMBER = re.compile(r"\d+\.\d+|\d+(?= ?k?g)")
_ISO_DAY = re.compile(r"\b\d{4}-[01]\d-[0-3]\d\b")
_TIGHT_PER_CENT = re.compile(r"(?<=\d)%")
_QUANTITIES = {
    "kg": ("mass", 1.0),
    "g": ("mass", 1e-3),
    "L": ("volume", 1.0),
    "mm": ("thickness", 1.0),
}
_DIGITS = {"sg": 3, "bk": 0, "tw": 1, "be": 1, "brix": 1, "plato": 1}


@dataclass(frozen=True)
class Voice:
    """How to speak to this reader.

    ``scale`` is the scale that the reader's instrument shows, ``None`` for a reader without one.
    """

    system: units.System = "metric"
    scale: ScaleName | None = None
    containers: tuple[Container, ...] = ()
    year: int = 0
    """Year that goes without saying in a date."""
    clock: date | None = None
    """The reader's own day; ``None`` for the day from which the answer is seen."""

    def mass(self, kg: float) -> str:
        """``"5.4 kg"``, or pounds."""
        return units.format_mass(max(kg, 0.0), self.system)

    def masses(self, amount: Range) -> str:
        """``"3.1 to 9.6 kg, most likely 5.4 kg"``."""
        if not (math.isfinite(amount.p05) and math.isfinite(amount.p95)):
            if not math.isfinite(amount.p50):
                return "more than can be said"
            return f"about {self.mass(amount.p50)}, and possibly far more"
        spread = units.format_range(max(amount.p05, 0.0), amount.p95, "mass", self.system)
        middle = self.mass(amount.p50)
        return middle if spread == middle else f"{spread}, most likely {middle}"

    def spread(self, low_kg: float, high_kg: float) -> str:
        """``"3.1 to 9.6 kg"``."""
        return units.format_range(max(low_kg, 0.0), max(high_kg, 0.0), "mass", self.system)

    def in_containers(self, amount: Range, need: MaterialNeed) -> str:
        """``"1 to 2 buckets"`` in the first own container that fits the material, or ``""``."""
        fitting = [item for item in self.containers if _fits(item, need)]
        return in_containers(max(amount.p05, 0.0), amount.p95, fitting)

    def volume(self, litres: float) -> str:
        """``"10 L"``, with the reader's own litre container when there is one."""
        litres = max(litres, 0.0)
        text = units.format_volume(litres, self.system)
        own = in_containers(litres, litres, self.containers, kind="volume")
        return f"{text} ({own})" if own else text

    def thickness(self, amount: Range) -> str:
        """``"1.4 to 2.3 mm"``."""
        return units.format_range(amount.p05, amount.p95, "thickness", self.system)

    def strength(self, strength_bk: float) -> str:
        """What the reader's instrument shows; the look of the liquor for who has none."""
        if self.scale is None:
            return f"{look_of(strength_bk)}, {strength_bk:.0f} °Bk"
        return f"{self.figure(strength_bk)}, {look_of(strength_bk)}"

    def figure(self, strength_bk: float) -> str:
        """The strength as a bare figure with the sign of its scale."""
        from tanwright.science.strength import convert, scale_of

        key = self.scale or "bk"
        value = float(convert(max(strength_bk, 0.0), "bk", key))
        return f"{value:.{_DIGITS[key]}f} {scale_of(key).sign}"

    def words(self, text: str) -> str:
        """A sentence of the engine with its kg, L, mm, °C and °Bk in the reader's units.

        The engine's texts carry more digits than are said, so that every amount is rounded only
        once, here. Compound units ("2 g/L") are left as they stand; dates are written out, and a
        space stands before %.
        """
        text = _ISO_DAY.sub(lambda found: self.day(date.fromisoformat(found[0])), text)
        return _AMOUNT.sub(self._said, _TIGHT_PER_CENT.sub(" %", text))

    def _said(self, found: re.Match[str]) -> str:
        low, high = float(found["low"] or found["high"]), float(found["high"])
        unit = found["unit"]
        if unit == "°Bk":
            if self.scale in (None, "bk"):
                return found[0]
            if self.scale == "sg" and _A_DIFFERENCE.match(found.string, found.end()):
                # A tanner's degree is a thousandth in gravity; the other scales begin at nought.
                return f"{units.rounded(high / 1000.0)} SG"
            figures = [self.figure(value) for value in (low, high)]
            sign = figures[1].rpartition(" ")[2]
            first = figures[0].removesuffix(f" {sign}")
            return f"{first}{found['to']}{figures[1]}" if found["low"] else figures[1]
        if self.system == "metric":
            return _METRIC_NUMBER.sub(_two_digits, found[0]) if unit in _QUANTITIES else found[0]
        if unit == "°C":
            degrees = [units.format_temperature(value, self.system) for value in (low, high)]
            first = degrees[0].removesuffix(" °F")
            return f"{first}{found['to']}{degrees[1]}" if found["low"] else degrees[1]
        quantity, factor = _QUANTITIES[unit]
        if found["low"]:
            return units.format_range(low * factor, high * factor, quantity, self.system)
        if quantity == "mass":
            return units.format_mass(high * factor, self.system)
        return units.format_range(high * factor, high * factor, quantity, self.system)

    def picture_reader(self) -> Reader:
        """The same units and scale for the pictures; looks of the liquor without an instrument."""
        from tanwright.planning.pictures.reader import reader_of

        return reader_of(self.system, self.scale, by_eye=self.scale is None)

    def day(self, day: date) -> str:
        """``"29 March"``, with the year when it is another one."""
        text = f"{day.day} {_MONTHS[day.month - 1]}"
        return text if day.year == self.year else f"{text} {day.year}"

    def short_day(self, day: date) -> str:
        """``"29 Mar"``, for a narrow column."""
        return f"{day.day:>2} {_MONTHS[day.month - 1][:3]}"

    def window(self, window: DateRange) -> str:
        """The finish window as a phrase that follows a verb."""
        if window.p50 is None:
            if window.p05 is None:
                return "not within the time that was looked at"
            return f"{self.day(window.p05)} at the earliest; it may take longer than was looked at"
        likely = f"most likely {self.day(window.p50)}"
        if window.p05 is None:
            return f"about {self.day(window.p50)}"
        if window.p95 is None:
            return f"from {self.day(window.p05)} on, {likely}; it may take far longer"
        if window.p05 == window.p95:
            return self.day(window.p50)
        return f"{self.day(window.p05)} to {self.day(window.p95)}, {likely}"


def _two_digits(found: re.Match[str]) -> str:
    """A number of the engine's texts as it is said: two digits, fewer where it has fewer."""
    if len(found[0].replace(".", "").lstrip("0")) <= 2:
        return found[0]
    return units.rounded(float(found[0]))


def voice_for(sheet: Sheet, system: units.System, clock: date) -> Voice:
    """The voice for the reader who wrote ``sheet`` and for whom it is ``clock``."""
    return Voice(system, sheet.tools.scale, sheet.containers, clock.year, clock)


def chance_word(probability: float) -> str:
    """``"probably"``, ``"very likely not"``: plain words for a probability."""
    return next(word for bound, word in _CHANCES if probability >= bound or bound == 0.0)


def in_hundred(probability: float) -> str:
    """``"63 in 100"``, without claiming none or all where it is only nearly so."""
    if probability < 0.01:
        return "under 1 in 100"
    return "over 99 in 100" if probability > 0.99 else f"{100 * probability:.0f} in 100"


def skins(count: int, name: str) -> str:
    """``"4 sheep skins"``, ``"1 goat skin"``, or an own name with its count after it."""
    if "skin" in name.lower() or "hide" in name.lower() or name[:1].isupper():
        return name if count == 1 else f"{name} ({count})"
    return f"{count} {name} skin{'' if count == 1 else 's'}"


def per_cent(share: float) -> str:
    """A share between 0 and 1 as whole per cent."""
    return f"{100 * min(max(share, 0.0), 1.0):.0f} %"


def count_range(amount: Range) -> str:
    """``"3 to 9"``: whole things, rounded up."""
    if not math.isfinite(amount.p95):
        return (
            "any number of" if not math.isfinite(amount.p05) else f"{math.ceil(amount.p05)} or more"
        )
    low, high = max(math.ceil(amount.p05 - 1e-9), 1), max(math.ceil(amount.p95 - 1e-9), 1)
    return str(low) if low == high else f"{low} to {high}"


def sentence(text: str) -> str:
    """``text`` with a capital first letter and a full stop."""
    text = text.strip()
    if not text:
        return ""
    text = text[0].upper() + text[1:]
    return text if text[-1] in ".!?" else text + "."


def _fits(container: Container, need: MaterialNeed) -> bool:
    if not container.of:
        return True
    words = f"{need.material_id} {need.name}".lower().replace("-", " ").split()
    return any(word in words or word.rstrip("s") in words for word in container.of.lower().split())
