"""Whatever stands in a sheet or a readings file, it is read or refused in one line."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date
from typing import Any, TypeVar

from hypothesis import given, settings
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.planning.readings import KINDS
from tanwright.planning.readings_reader import COLUMNS, parse_readings
from tanwright.planning.sheet_reader import (
    AIM_KEYS,
    MATERIAL_KEYS,
    SKIN_KEYS,
    TOOL_KEYS,
    VAT_KEYS,
    sheet_from_options,
)

TODAY = date(2026, 3, 1)
WORDS = (
    "goat", "2 kg", "-2 kg", "0 L", "40 L", "12 C", "1e400 kg", "nan kg", "7-11 %", "on", "limed",
    "fresh", "quercus-robur-bark", "unknown-bark", "2026-03-01", "3 buckets", "half a bucket", "",
    "soft", "half", "a third pale", "1/0", "moved to 8 C", "12", "swap 35 Bk", "1/2 kg", "½ kg",
)  # fmt: skip
VALUES = st.one_of(
    st.sampled_from(WORDS),
    st.text(max_size=8),
    st.booleans(),
    st.integers(-9, 9),
    st.floats(),
    st.just(TODAY),
    st.lists(st.one_of(st.integers(), st.dictionaries(st.sampled_from(VAT_KEYS), st.text()))),
    st.dictionaries(st.text(max_size=4), st.text(max_size=4), max_size=2),
)


Made = TypeVar("Made")


def outcome(make: Callable[[], Made]) -> Made | InputError:
    """What ``make`` gives, or the error it refuses with; any other error is let through."""
    try:
        return make()
    except InputError as error:
        return error


def table(keys: tuple[str, ...]) -> st.SearchStrategy[dict[str, Any]]:
    return st.dictionaries(st.sampled_from(keys), VALUES, max_size=4)


@settings(max_examples=300, deadline=None)
@given(
    skin=table(SKIN_KEYS),
    material=table(MATERIAL_KEYS),
    vat=table(VAT_KEYS),
    aim=table(AIM_KEYS),
    tools=table(TOOL_KEYS),
    container=st.dictionaries(st.sampled_from(["bucket", "tin"]), VALUES, max_size=2),
    known=st.dictionaries(st.sampled_from(["unknown-bark", "oak", "from"]), VALUES, max_size=2),
)
def test_a_sheet_is_read_or_refused_in_one_line(
    skin: dict[str, Any], material: dict[str, Any], **tables: dict[str, Any]
) -> None:
    raw: dict[str, object] = {
        "skin": [{"animal": "goat", **skin}],
        "material": [{"id": "unknown-bark", **material}],
        **tables,
    }
    sheet = outcome(lambda: sheet_from_options(raw, today=TODAY))
    if isinstance(sheet, InputError):
        assert sheet.place
        assert sheet.remedy
        return
    numbers = [sheet.skins[0].weight_kg, sheet.lots[0].have_kg, sheet.vat.volume_l]
    assert all(number is None or (math.isfinite(number) and number > 0) for number in numbers)
    assert sheet.skins[0].count >= 1
    assert all(-20 <= spell.temperature_c <= 45 for spell in sheet.vat.temperature)


@settings(max_examples=300, deadline=None)
@given(
    kind=st.sampled_from(KINDS),
    cells=st.dictionaries(
        st.sampled_from(COLUMNS[2:]), st.one_of(st.sampled_from(WORDS), st.text(max_size=8))
    ),
)
def test_a_reading_is_read_or_refused_in_one_line(kind: str, cells: dict[str, str]) -> None:
    row = {"date": "2026-03-02", "kind": kind, **cells}
    quoted = ('"' + row.get(column, "").replace('"', '""') + '"' for column in COLUMNS)
    text = ",".join(COLUMNS) + "\n" + ",".join(quoted) + "\n"
    readings = outcome(lambda: parse_readings(text, source="r.csv", start=TODAY))
    if isinstance(readings, InputError):
        assert readings.place.startswith("r.csv, line ")
        assert readings.remedy
        return
    assert len(readings.rows) == 1
    assert readings.rows[0].when.date() == date(2026, 3, 2)


@settings(max_examples=200, deadline=None)
@given(text=st.text(alphabet=st.sampled_from('date,kindvalue\n"; 2026-03-02ph4\r\t'), max_size=80))
def test_any_text_is_readings_or_refused(text: str) -> None:
    readings = outcome(lambda: parse_readings(text, source="r.csv", start=TODAY))
    if isinstance(readings, InputError):
        assert readings.place.startswith("r.csv")
        assert readings.remedy
    else:
        assert all(reading.when.date() >= TODAY for reading in readings.rows)
