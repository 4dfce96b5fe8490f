"""Quantities at the edges: a text with a unit in, a plain float in the unit of the function's name
out, and back to a short text in metric or US units.

Everyday units go through a table of their exact definitions; anything rarer ("2 stone", "1 peck")
through pint, which is imported only then.  Inside the program there are no quantities, only floats
whose names end in their unit.

Sources: the international yard and pound (1959) define lb = 0.45359237 kg and in = 25.4 mm; the US
gallon is 231 cubic inches and the imperial gallon 4.54609 L by law.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Final, Literal

from tanwright.errors import InputError, UnitError

_LB: Final = 0.45359237
_GAL: Final = 3.785411784
_IMP_GAL: Final = 4.54609

MASS_KG: Final[Mapping[str, float]] = {
    "kg": 1.0, "kilo": 1.0, "kilogram": 1.0, "kilogramme": 1.0, "g": 1e-3, "gram": 1e-3,
    "gramme": 1e-3, "mg": 1e-6, "t": 1000.0, "tonne": 1000.0, "lb": _LB, "pound": _LB,
    "#": _LB, "oz": _LB / 16.0, "ounce": _LB / 16.0,
}  # fmt: skip
VOLUME_L: Final[Mapping[str, float]] = {
    "l": 1.0, "litre": 1.0, "liter": 1.0, "ml": 1e-3, "millilitre": 1e-3, "milliliter": 1e-3,
    "cl": 1e-2, "dl": 0.1, "hl": 100.0, "m3": 1000.0, "m³": 1000.0, "gal": _GAL, "gallon": _GAL,
    "us gal": _GAL, "us gallon": _GAL, "imp gal": _IMP_GAL, "imperial gal": _IMP_GAL,
    "imp gallon": _IMP_GAL, "imperial gallon": _IMP_GAL, "uk gallon": _IMP_GAL, "uk gal": _IMP_GAL,
    "qt": _GAL / 4.0, "quart": _GAL / 4.0, "pt": _GAL / 8.0, "pint": _GAL / 8.0,
    "cup": _GAL / 16.0, "fl oz": _GAL / 128.0, "fluid ounce": _GAL / 128.0,
}  # fmt: skip
LENGTH_MM: Final[Mapping[str, float]] = {
    "mm": 1.0, "millimetre": 1.0, "millimeter": 1.0, "cm": 10.0, "centimetre": 10.0,
    "centimeter": 10.0, "m": 1000.0, "metre": 1000.0, "meter": 1000.0, "in": 25.4, "inch": 25.4,
    "inche": 25.4, '"': 25.4, "″": 25.4, "ft": 304.8, "foot": 304.8, "feet": 304.8, "'": 304.8,
    "′": 304.8, "yd": 914.4, "yard": 914.4,
}  # fmt: skip
AREA_M2: Final[Mapping[str, float]] = {
    "m2": 1.0, "m²": 1.0, "sq m": 1.0, "square metre": 1.0, "square meter": 1.0, "cm2": 1e-4,
    "cm²": 1e-4, "dm2": 1e-2, "dm²": 1e-2, "sq ft": 0.09290304, "ft2": 0.09290304,
    "ft²": 0.09290304, "square foot": 0.09290304, "square feet": 0.09290304,
    "sq in": 0.00064516, "in2": 0.00064516,
}  # fmt: skip
DURATION_DAYS: Final[Mapping[str, float]] = {
    "d": 1.0, "day": 1.0, "h": 1 / 24, "hr": 1 / 24, "hour": 1 / 24, "min": 1 / 1440,
    "minute": 1 / 1440, "week": 7.0, "wk": 7.0, "fortnight": 14.0, "month": 30.4375,
    "year": 365.25, "yr": 365.25,
}  # fmt: skip

System = Literal["metric", "us"]
"""Which units a text is written in; the command line's ``--units``."""
ENGINE_DIGITS: Final = 4
"""Digits of amounts in the engine's texts, before a reader's voice rounds them."""

_TEMPERATURES: Final[Mapping[str, str]] = {
    "c": "c", "°c": "c", "degc": "c", "deg c": "c", "celsius": "c", "centigrade": "c", "℃": "c",
    "f": "f", "°f": "f", "degf": "f", "deg f": "f", "fahrenheit": "f", "℉": "f", "k": "k",
    "kelvin": "k",
}  # fmt: skip
_STRENGTHS: Final[Mapping[str, str]] = {
    "bk": "bk", "bkr": "bk", "barkometer": "bk", "sg": "sg", "specific gravity": "sg",
    "bx": "brix", "brix": "brix", "plato": "plato", "p": "plato", "tw": "tw", "twaddell": "tw",
    "twaddle": "tw", "be": "be", "bé": "be", "baume": "be", "baumé": "be",
}  # fmt: skip

_FRACTIONS: Final[Mapping[str, str]] = {
    "¼": " 1/4", "½": " 1/2", "¾": " 3/4", "⅓": " 1/3", "⅔": " 2/3", "⅛": " 1/8", "⅜": " 3/8",
    "⅝": " 5/8", "⅞": " 7/8",
}  # fmt: skip
_WORDS: Final[Mapping[str, str]] = {
    "half a": "0.5", "half an": "0.5", "a": "1", "an": "1", "one": "1", "two": "2", "three": "3",
    "four": "4", "five": "5", "six": "6",
}  # fmt: skip
_WORD: Final = re.compile(
    rf"^({'|'.join(sorted(_WORDS, key=len, reverse=True))})\s+", re.IGNORECASE
)
_ABOUT: Final = re.compile(r"^(?:about|approx\.?|roughly|circa|ca\.?|~|≈)\s*", re.IGNORECASE)
_RANGE: Final = re.compile(r"\d\s*(?:-|–|to\b)\s*[\d.]")
_TERM: Final = re.compile(
    r"""\s*(?:and\s+|,\s*)?
    (?P<sign>[-−+]?)\s*
    (?:(?P<whole>\d+)\s+(?=\d+/))?
    (?P<top>\d+(?:[.,]\d+)?(?:e[-+]?\d+)?|\.\d+|nan\b|inf(?:inity)?\b)
    (?:/(?P<bottom>\d+))?
    \s*(?P<unit>[^\d\s.,+−-][^\d,+−-]*(?:(?<=[mtn])[23](?!\s*[\w.]))?)?""",
    re.VERBOSE | re.IGNORECASE,
)


def mass_kg(text: object, *, place: str = "") -> float:
    """A mass in kg: ``"2.4 kg"``, ``"5 lb"``, ``"5 lb 4 oz"``. Raises UnitError, InputError."""
    return _total(text, "mass", MASS_KG, "kilogram", "2.4 kg or 5 lb", place)


def volume_l(text: object, *, place: str = "") -> float:
    """A volume in litres: ``"20 L"``, ``"15 gal"`` (US), ``"15 imperial gallons"``.

    Raises UnitError, InputError.
    """
    return _total(text, "volume", VOLUME_L, "litre", "20 L or 5 gal", place)


def length_mm(text: object, *, place: str = "") -> float:
    """A length in mm: ``"3 mm"``, ``"1/8 in"``. Raises UnitError, InputError."""
    return _total(text, "length", LENGTH_MM, "millimetre", "3 mm or 1/8 in", place)


def length_cm(text: object, *, place: str = "") -> float:
    """A length in cm: ``"30 cm"``, ``"12 in"``, ``"5 ft 3 in"``. Raises UnitError, InputError."""
    return _total(text, "length", LENGTH_MM, "millimetre", "30 cm or 12 in", place) / 10.0


def area_m2(text: object, *, place: str = "") -> float:
    """An area in m²: ``"0.6 m2"``, ``"6.5 sq ft"``. Raises UnitError, InputError."""
    return _total(text, "area", AREA_M2, "metre ** 2", "0.6 m2 or 6.5 sq ft", place)


def duration_days(text: object, *, place: str = "") -> float:
    """A span of time in days: ``"40 days"``, ``"6 weeks"``, ``"12 h"``.

    Raises UnitError, InputError.
    """
    return _total(text, "span of time", DURATION_DAYS, "day", "40 days or 6 weeks", place)


def temperature_c(text: object, *, place: str = "") -> float:
    """A temperature in °C: ``"15 C"``, ``"60 F"``, ``"60 °F"``. May be below zero.

    Raises UnitError, and InputError below absolute zero.
    """
    number, unit = _single(text, "temperature", "15 C or 60 F", place)
    scale = _TEMPERATURES.get(unit)
    if scale is None:
        raise UnitError(f'"{text}" is not a temperature', place=place, remedy="write 15 C or 60 F")
    celsius = {"c": number, "f": (number - 32.0) / 1.8, "k": number - 273.15}[scale]
    if celsius < -273.15:
        raise InputError(
            f'"{text}" is below absolute zero', place=place, remedy="write 15 C or 60 F"
        )
    return celsius


def strength_reading(text: object, *, place: str = "") -> tuple[float, str]:
    """A strength as ``(number, scale)``; the scale is bk, sg, brix, plato, tw or be.

    Takes ``"12 °Bk"``, ``"12 Bk"``, ``"1.020 SG"``, ``"4 Bx"``, ``"3 Tw"``, ``"5 Be"``.
    Raises UnitError, InputError.
    """
    example = "12 Bk, 1.012 SG or 3 Bx"
    written = re.sub(
        r"^\s*(sg|specific gravity)[\s:=]*([\d.,]+)\s*$", r"\2 sg", str(text), flags=re.I
    )
    number, unit = _single(written, "strength", example, place)
    scale = _STRENGTHS.get(re.sub(r"^(°|degrees?|deg)\s*", "", unit))
    if scale is None:
        raise UnitError(
            f'"{text}" is not a strength', place=place, remedy=f"write {example}, Tw or Be"
        )
    if number < 0.0:
        raise InputError(f'"{text}" is below zero', place=place, remedy=f"write {example}")
    return number, scale


def strength_bk(text: object, *, place: str = "") -> float:
    """A strength in °Bk, from any scale that :func:`strength_reading` takes.

    No correction for temperature is made. Raises UnitError, InputError.
    """
    number, scale = strength_reading(text, place=place)
    if scale == "bk":
        return number
    from tanwright.science import strength

    try:
        return float(strength.convert(number, scale, "bk"))
    except InputError as error:
        raise type(error)(
            error.what, place=place, remedy=error.remedy or "write 12 Bk, 1.012 SG or 3 Bx"
        ) from None


def terms(text: object, *, kind: str, example: str, place: str = "") -> list[tuple[float, str]]:
    """The ``(number, unit)`` pairs of a text such as ``"5 lb 4 oz"``, units in lower case.

    Numbers may be decimals (point or comma), fractions or, in front, words up to six. Raises
    UnitError when a unit is missing or the text is no quantity, InputError when a number is not
    finite.
    """
    remedy = f"write {example}"
    if isinstance(text, bool) or not isinstance(text, (str, int, float)):
        raise UnitError(f"{text!r} is not {_a(kind)}", place=place, remedy=remedy)
    written = _ABOUT.sub("", str(text).strip())
    written = _WORD.sub(lambda found: _WORDS[found[1].lower()] + " ", written)
    for sign, plain in _FRACTIONS.items():
        written = written.replace(sign, plain)
    if _RANGE.search(re.sub(r"e-(?=\d)", "", written)):
        raise UnitError(f'"{text}" is a range', place=place, remedy=f"write one {kind}: {example}")
    found: list[tuple[float, str]] = []
    at = 0
    while at < len(written):
        match = _TERM.match(written, at)
        if match is None or match.end() == at:
            raise UnitError(f'"{text}" cannot be read as {_a(kind)}', place=place, remedy=remedy)
        number = _number(match, text, place, remedy)
        unit = re.sub(r"\s+", " ", (match["unit"] or "").strip().lower()).rstrip(".")
        unit = re.sub(r"\s+and$", "", unit)
        if not unit:
            raise UnitError(f'"{text}" needs a unit', place=place, remedy=remedy)
        found.append((number, unit))
        at = match.end()
    if not found:
        raise UnitError(f"the {kind} is empty", place=place, remedy=remedy)
    return found


def _a(kind: str) -> str:
    return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"


def _number(match: re.Match[str], text: object, place: str, remedy: str) -> float:
    top = match["top"]
    if re.fullmatch(r"\d{1,3},\d{3}", top):
        raise InputError(
            f'"{text}" can be read in two ways',
            place=place,
            remedy=f"write {top.replace(',', '')} or {top.replace(',', '.')}",
        )
    number = float(top.replace(",", "."))
    if match["bottom"]:
        if int(match["bottom"]) == 0:
            raise InputError(f'"{text}" divides by zero', place=place, remedy=remedy)
        number /= int(match["bottom"])
    number += float(match["whole"] or 0)
    if match["sign"] in ("-", "−"):
        number = -number
    if not math.isfinite(number):
        raise InputError(f'"{text}" is not a finite number', place=place, remedy=remedy)
    return number


def _single(text: object, kind: str, example: str, place: str) -> tuple[float, str]:
    found = terms(text, kind=kind, example=example, place=place)
    if len(found) > 1:
        raise UnitError(f'"{text}" is not one {kind}', place=place, remedy=f"write {example}")
    return found[0]


def _total(
    text: object, kind: str, table: Mapping[str, float], base: str, example: str, place: str
) -> float:
    total = 0.0
    for number, unit in terms(text, kind=kind, example=example, place=place):
        if number < 0.0:
            raise InputError(f'"{text}" is below zero', place=place, remedy=f"write {example}")
        factor = table.get(unit) or table.get(unit.removesuffix("s"))
        if factor is None:
            factor = _rare_factor(unit, text, kind, base, example, place)
        total += number * factor
    return total


_VESSELS: Final = frozenset({
    "armful", "bag", "barrel", "barrow", "basin", "basket", "bin", "bowl", "box", "bucket",
    "bundle", "can", "cask", "churn", "crate", "crock", "drum", "dustbin", "handful", "jar", "keg",
    "mug", "pail", "pan", "pot", "sack", "scoop", "shovel", "tin", "trug", "tub", "vat",
    "wheelbarrow",
})  # fmt: skip
"""Household measures that hold what they hold."""


def _own_measure(unit: str, kind: str) -> str:
    """How to make a household measure known, for a remedy; empty for any other word."""
    holds = {"mass": ("weigh", "2 kg"), "volume": ("measure", "12 L")}.get(kind)
    words = (unit, unit.removesuffix("s"), unit.removesuffix("es"))
    word = next((each for each in words if each in _VESSELS), None)
    if holds is None or word is None:
        return ""
    return f', or {holds[0]} one {word} and write [container.{word}] holds = "{holds[1]}"'


_registry: object = None


def _rare_factor(unit: str, text: object, kind: str, base: str, example: str, place: str) -> float:
    """Size of one ``unit`` in ``base`` according to pint."""
    import pint

    global _registry
    if not isinstance(_registry, pint.UnitRegistry):
        _registry = pint.UnitRegistry()
    remedy = f"write {example}{_own_measure(unit, kind)}"
    if re.fullmatch(r"[^\W\d_][\w ]*", unit):
        try:
            return float(_registry.Quantity(1.0, unit.replace(" ", "_")).to(base).magnitude)
        except pint.DimensionalityError:
            raise UnitError(f'"{text}" is not {_a(kind)}', place=place, remedy=remedy) from None
        except pint.PintError:
            pass
    raise UnitError(f'"{unit}" is not a known unit', place=place, remedy=remedy)


_SHOWN: Final[Mapping[tuple[str, System], tuple[tuple[float, str, float], ...]]] = {
    # from this size on (in the base unit), the sign, and base units in one of it; largest first
    ("mass", "metric"): ((1.0, "kg", 1.0), (0.0, "g", 1e-3)),
    ("mass", "us"): ((_LB, "lb", _LB), (0.0, "oz", _LB / 16.0)),
    ("volume", "metric"): ((1.0, "L", 1.0), (0.0, "mL", 1e-3)),
    ("volume", "us"): ((_GAL, "gal", _GAL), (_GAL / 4, "qt", _GAL / 4), (0.0, "fl oz", _GAL / 128)),
    ("thickness", "metric"): ((0.0, "mm", 1.0),),
    ("thickness", "us"): ((0.0, "in", 25.4),),
    ("length", "metric"): ((1000.0, "m", 1000.0), (10.0, "cm", 10.0), (0.0, "mm", 1.0)),
    ("length", "us"): ((914.4, "ft", 304.8), (0.0, "in", 25.4)),
    ("area", "metric"): ((0.0, "m²", 1.0),),
    ("area", "us"): ((0.0, "sq ft", 0.09290304),),
}


def rounded(value: float, digits: int = 2) -> str:
    """``value`` with so many significant digits, never in powers of ten: ``"7"``, ``"0.35"``,
    ``"120"``. Trailing zeros after the point are left out."""
    if not math.isfinite(value):
        return "any amount" if value > 0 else "?"
    if value == 0.0:
        return "0"
    places = digits - 1 - math.floor(math.log10(abs(value)))
    number = round(value, places)
    if places <= 0:
        return f"{number:.0f}"
    text = f"{number:.{places}f}"
    return text.rstrip("0").rstrip(".")


def format_mass(kg: float, system: System | None = None, *, digits: int | None = None) -> str:
    """``2.4`` -> ``"2.4 kg"``, or ``"5 lb 5 oz"`` in US units (pounds alone from 10 lb).

    For a reader two digits; without a system it is a text of the engine, metric with four digits,
    so that it is rounded only once, when it is told.
    """
    ounces = round(kg / _LB * 16.0)
    if system == "us" and 16 <= ounces < 160:
        pounds, rest = divmod(ounces, 16)
        return f"{pounds} lb {rest} oz" if rest else f"{pounds} lb"
    return _shown("mass", (kg,), system or "metric", digits or _digits(system))


def format_volume(litres: float, system: System | None = None, *, digits: int | None = None) -> str:
    """``20`` -> ``"20 L"`` or ``"5.3 gal"``; without a system as in :func:`format_mass`."""
    return _shown("volume", (litres,), system or "metric", digits or _digits(system))


def _digits(system: System | None) -> int:
    return ENGINE_DIGITS if system is None else 2


def format_temperature(celsius: float, system: System = "metric") -> str:
    """``15.6`` -> ``"16 °C"`` or ``"60 °F"``, to the degree."""
    if system == "us":
        return f"{round(celsius * 1.8 + 32.0)} °F"
    return f"{round(celsius)} °C"


def format_range(
    low: float, high: float, quantity: str, system: System = "metric", *, digits: int = 2
) -> str:
    """A range in one unit: ``(7, 16, "mass")`` -> ``"7 to 16 kg"``; one number if both round alike.

    ``quantity`` is mass (kg), volume (L), thickness (mm), length (mm) or area (m²).
    """
    return _shown(quantity, (low, high), system, digits)


def _shown(quantity: str, values: tuple[float, ...], system: System, digits: int) -> str:
    largest = max(abs(value) for value in values)
    steps = _SHOWN[quantity, system]
    _, sign, size = next(step for step in steps if largest >= step[0] * 0.995 or step is steps[-1])
    texts = [rounded(value / size, digits) for value in values]
    return f"{' to '.join(dict.fromkeys(texts))} {sign}"
