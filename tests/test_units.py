"""Quantities in and out: what is read, what is refused and in which words."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright import units
from tanwright.errors import InputError, UnitError


@pytest.mark.parametrize(
    ("text", "kg"),
    [
        ("2.4 kg", 2.4),
        ("2,4 kg", 2.4),
        ("2.4KG", 2.4),
        ("about 500 grams", 0.5),
        ("5 lb", 2.26796185),
        ("5 lb 4 oz", 2.3813599425),
        ("5lb, 4oz", 2.3813599425),
        ("1½ lb", 0.6803885550),
        ("1 1/2 lb", 0.6803885550),
        ("2 stone", 12.70058636),
        ("half a pound", 0.226796185),
    ],
)
def test_masses(text: str, kg: float) -> None:
    assert units.mass_kg(text) == pytest.approx(kg, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "litres"),
    [
        ("20 L", 20.0),
        ("250 mL", 0.25),
        ("15 gal", 56.78117676),
        ("5 gallons", 18.92705892),
        ("15 imperial gallons", 68.19135),
        ("15 imp gal", 68.19135),
        ("2 quarts", 1.892705892),
        ("1 bushel", 35.23907016688),
    ],
)
def test_volumes(text: str, litres: float) -> None:
    assert units.volume_l(text) == pytest.approx(litres, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("3 mm", 3.0),
        ("1/8 in", 3.175),
        ('1/8"', 3.175),
        ("⅛ inch", 3.175),
        ("30 cm", 300.0),
        ("2 feet", 609.6),
        ("5 ft 3 in", 1600.2),
        ("5'3\"", 1600.2),
    ],
)
def test_lengths(text: str, mm: float) -> None:
    assert units.length_mm(text) == pytest.approx(mm, rel=1e-9)
    assert units.length_cm(text) == pytest.approx(mm / 10.0, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "celsius"),
    [("15 C", 15.0), ("15°C", 15.0), ("60 F", 15.5556), ("60 °F", 15.5556), ("-5 C", -5.0)],
)
def test_temperatures(text: str, celsius: float) -> None:
    assert units.temperature_c(text) == pytest.approx(celsius, abs=1e-4)


def test_areas_and_spans_of_time() -> None:
    assert units.area_m2("6.5 sq ft") == pytest.approx(0.60386976)
    assert units.area_m2("0.6 m2") == units.area_m2("0.6 m²") == 0.6
    assert units.duration_days("6 weeks") == 42.0
    assert units.duration_days("12 h") == 0.5
    assert units.duration_days("a week") == 7.0


@pytest.mark.parametrize("text", ["big", "3 kg", None])
def test_an_area_has_its_article(text: str | None) -> None:
    with pytest.raises(UnitError, match=r" (is not|cannot be read as) an area;"):
        units.area_m2(text)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "reading"),
    [
        ("12 °Bk", (12.0, "bk")),
        ("12 Bk", (12.0, "bk")),
        ("12 degrees barkometer", (12.0, "bk")),
        ("1.020 SG", (1.020, "sg")),
        ("SG 1.020", (1.020, "sg")),
        ("4 Bx", (4.0, "brix")),
        ("4 °P", (4.0, "plato")),
        ("3 Tw", (3.0, "tw")),
        ("5 Be", (5.0, "be")),
        ("5 °Bé", (5.0, "be")),
    ],
)
def test_strength_readings(text: str, reading: tuple[float, str]) -> None:
    assert units.strength_reading(text) == reading


def test_strength_in_degrees_barkometer() -> None:
    assert units.strength_bk("12 Bk") == 12.0
    assert units.strength_bk("1.020 SG") == pytest.approx(20.0)
    assert units.strength_bk("3 Tw") == pytest.approx(15.0)
    assert units.strength_bk("5 Be") == pytest.approx(1000.0 * 5.0 / 140.0)
    with pytest.raises(InputError, match=r"^--to: specific gravity 3 lies outside"):
        units.strength_bk("3 SG", place="--to")


@pytest.mark.parametrize(
    ("text", "kind", "message"),
    [
        ("5", UnitError, '--have: "5" needs a unit; write 2.4 kg or 5 lb'),
        (5, UnitError, '--have: "5" needs a unit; write 2.4 kg or 5 lb'),
        ("", UnitError, "--have: the mass is empty; write 2.4 kg or 5 lb"),
        (None, UnitError, "--have: None is not a mass; write 2.4 kg or 5 lb"),
        ("3 L", UnitError, '--have: "3 L" is not a mass; write 2.4 kg or 5 lb'),
        ("3 smoots", UnitError, '--have: "smoots" is not a known unit; write 2.4 kg or 5 lb'),
        ("3-4 kg", UnitError, '--have: "3-4 kg" is a range; write one mass: 2.4 kg or 5 lb'),
        ("heavy", UnitError, '--have: "heavy" cannot be read as a mass; write 2.4 kg or 5 lb'),
        ("-2 kg", InputError, '--have: "-2 kg" is below zero; write 2.4 kg or 5 lb'),
        ("nan kg", InputError, '--have: "nan kg" is not a finite number; write 2.4 kg or 5 lb'),
        ("inf kg", InputError, '--have: "inf kg" is not a finite number; write 2.4 kg or 5 lb'),
        ("1/0 kg", InputError, '--have: "1/0 kg" divides by zero; write 2.4 kg or 5 lb'),
        ("1,000 g", InputError, '--have: "1,000 g" can be read in two ways; write 1000 or 1.000'),
    ],
)
def test_refusals_say_what_where_and_how(
    text: object, kind: type[InputError], message: str
) -> None:
    with pytest.raises(InputError) as caught:
        units.mass_kg(text, place="--have")
    assert type(caught.value) is kind
    assert str(caught.value) == message


@pytest.mark.parametrize("text", ["15", "15 kg", "15 C 3 C", "-300 C"])
def test_what_is_no_temperature(text: str) -> None:
    with pytest.raises(InputError, match="write 15 C or 60 F"):
        units.temperature_c(text)


@pytest.mark.parametrize("text", ["12", "12 kg", "-3 Bk", "1.02"])
def test_what_is_no_strength(text: str) -> None:
    with pytest.raises(InputError, match="write 12 Bk, 1.012 SG or 3 Bx"):
        units.strength_reading(text)


PINT_NAMES = {
    "#": "pound", "kilo": "kilogram", "gramme": "gram", "kilogramme": "kilogram", "t": "tonne",
    "gal": "gallon", "us gal": "gallon", "us gallon": "gallon", "imp gal": "imperial_gallon",
    "imperial gal": "imperial_gallon", "imp gallon": "imperial_gallon",
    "imperial gallon": "imperial_gallon", "uk gallon": "imperial_gallon",
    "uk gal": "imperial_gallon", "qt": "quart", "pt": "pint", "fl oz": "fluid_ounce",
    "fluid ounce": "fluid_ounce", "l": "litre", "m3": "metre ** 3", "m³": "metre ** 3",
    '"': "inch", "″": "inch", "'": "foot", "′": "foot", "inche": "inch", "m²": "metre ** 2",
    "m2": "metre ** 2", "sq m": "metre ** 2", "square metre": "metre ** 2",
    "square meter": "metre ** 2", "cm2": "centimetre ** 2", "cm²": "centimetre ** 2",
    "dm2": "decimetre ** 2", "dm²": "decimetre ** 2", "sq ft": "foot ** 2", "ft2": "foot ** 2",
    "ft²": "foot ** 2", "square foot": "foot ** 2", "square feet": "foot ** 2",
    "sq in": "inch ** 2", "in2": "inch ** 2", "d": "day", "hr": "hour", "wk": "week", "yr": "year",
}  # fmt: skip


@pytest.mark.parametrize(
    ("table", "base"),
    [
        (units.MASS_KG, "kilogram"),
        (units.VOLUME_L, "litre"),
        (units.LENGTH_MM, "millimetre"),
        (units.AREA_M2, "metre ** 2"),
        (units.DURATION_DAYS, "day"),
    ],
)
def test_the_everyday_table_agrees_with_pint(table: dict[str, float], base: str) -> None:
    registry = pint.UnitRegistry()
    for name, factor in table.items():
        expected = registry.Quantity(1.0, PINT_NAMES.get(name, name)).to(base).magnitude
        assert factor == pytest.approx(expected, rel=1e-12), name


@given(st.text(max_size=20))
def test_any_text_is_read_or_refused_in_one_line(text: str) -> None:
    for read in (units.mass_kg, units.length_mm, units.temperature_c, units.strength_bk):
        try:
            value = read(text)
        except InputError as error:
            told = str(error)
        else:
            told = str(value) if math.isfinite(value) else ""
        assert told
        assert "\n" not in told.replace(text, "")


@given(st.floats(0.001, 1e5))
def test_what_is_shown_reads_back_within_its_rounding(kg: float) -> None:
    systems: tuple[units.System, ...] = ("metric", "us")
    for system in systems:
        assert units.mass_kg(units.format_mass(kg, system)) == pytest.approx(kg, rel=0.051)
        assert units.volume_l(units.format_volume(kg, system)) == pytest.approx(kg, rel=0.051)
        length = units.format_range(kg, kg, "length", system)
        assert units.length_mm(length) == pytest.approx(kg, rel=0.051)


@pytest.mark.parametrize(
    ("shown", "text"),
    [
        (units.format_mass(2.41, "metric"), "2.4 kg"),
        (units.format_mass(2.41257), "2.413 kg"),
        (units.format_volume(8.53333), "8.533 L"),
        (units.format_mass(0.35), "350 g"),
        (units.format_mass(0.9999, "metric"), "1 kg"),
        (units.format_mass(2.4, "us"), "5 lb 5 oz"),
        (units.format_mass(0.4535, "us"), "1 lb"),
        (units.format_mass(16.0, "us"), "35 lb"),
        (units.format_mass(0.1, "us"), "3.5 oz"),
        (units.format_volume(20.0), "20 L"),
        (units.format_volume(0.25), "250 mL"),
        (units.format_volume(20.0, "us"), "5.3 gal"),
        (units.format_volume(1.0, "us"), "1.1 qt"),
        (units.format_range(2.5, 2.5, "thickness"), "2.5 mm"),
        (units.format_range(3.175, 3.175, "thickness", "us"), "0.12 in"),
        (units.format_range(300.0, 300.0, "length"), "30 cm"),
        (units.format_range(300.0, 300.0, "length", "us"), "12 in"),
        (units.format_range(0.6, 0.6, "area", "us"), "6.5 sq ft"),
        (units.format_temperature(15.56), "16 °C"),
        (units.format_temperature(15.56, "us"), "60 °F"),
        (units.format_range(7.1, 15.6, "mass"), "7.1 to 16 kg"),
        (units.format_range(0.2, 1.5, "mass"), "0.2 to 1.5 kg"),
        (units.format_range(2.0, 2.01, "volume"), "2 L"),
        (units.rounded(0.0), "0"),
        (units.rounded(1234.0), "1200"),
        (units.rounded(math.inf), "any amount"),
    ],
)
def test_what_is_shown(shown: str, text: str) -> None:
    assert shown == text
