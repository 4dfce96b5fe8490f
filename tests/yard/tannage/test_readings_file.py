"""The log of a vat as a readings file: every entry that the engine can use comes back out of it."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.utils import timezone
from hypothesis import given, settings
from hypothesis import strategies as st

from tanwright.planning.readings_reader import parse_readings
from tanwright.planning.renewal import sheet_of
from tanwright.yard.journal.kinds import kind_of
from tanwright.yard.journal.models import Entry
from tanwright.yard.journal.services import correct, withdraw
from tanwright.yard.people.models import Person
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.tannage.page import page_of
from tanwright.yard.tannage.quick import CUT_SHARES
from tanwright.yard.tannage.readings import readings_from, readings_of
from tanwright.yard.tannage.renewing import asked_of, renew_now

from .conftest import Log, days_ago

BEGAN = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
TABLES = {
    "skin": [{"animal": "goat"}],
    "material": [{"id": "quercus-robur-bark"}],
    "vat": {"volume": "40 L"},
    "aim": {"start": "2026-03-02"},
}
NOTED = st.one_of(
    st.builds(lambda v, c: ("strength", {"value": v, "scale": "bk", "liquor_c": c}),
              st.floats(1.0, 60.0).map(lambda v: round(v, 1)), st.sampled_from([None, 8.0, 15.5])),
    st.builds(lambda v: ("strength", {"value": v, "scale": "sg"}),
              st.floats(1.001, 1.06).map(lambda v: round(v, 3))),
    st.builds(lambda share, place: ("cut", {"share": share, "place": place}),
              st.sampled_from([share for share, _ in CUT_SHARES]),
              st.sampled_from([None, "neck", "belly", "leg", "haunch"])),
    st.sampled_from(["pale tea", "tea", "strong tea", "coffee", "black coffee"])
      .map(lambda look: ("look", {"look": look})),
    st.floats(3.0, 6.0).map(lambda ph: ("ph", {"ph": round(ph, 1)})),
    st.floats(2.0, 25.0).map(lambda c: ("temperature", {"temperature_c": round(c, 1)})),
    st.builds(lambda v, bk, how: ("strengthened", {"litres": v, "bk": bk, "how": how}),
              st.floats(1.0, 20.0).map(lambda v: round(v, 1)), st.sampled_from([15.0, 40.0]),
              st.sampled_from(["swap", "top-up"])),
    st.floats(0.2, 6.0).map(lambda kg: ("strengthened", {
        "lots": {"a": round(kg, 2)}, "plants": {"a": "quercus-robur-bark"}, "in_litres": 8.0})),
    st.floats(0.5, 5.0).map(lambda v: ("topped_up", {"litres": round(v, 1)})),
    st.floats(2.0, 20.0).map(lambda c: ("moved", {"temperature_c": round(c, 1)})),
    st.sampled_from(["frozen", "thawed", "away", "back", "heat", "not_done", "done", "put_back"])
      .map(lambda what: (what, {})),
)  # fmt: skip


def entry(what: str, data: dict[str, Any], after_h: float) -> Entry:
    kind = kind_of(f"tannage.{what}")
    return Entry(
        id=uuid4(),
        kind=kind.name,
        data=kind.clean({key: value for key, value in data.items() if value is not None}),
        happened_at=BEGAN + timedelta(hours=after_h),
    )


@given(st.lists(NOTED, max_size=12))
@settings(max_examples=60, deadline=None)
def test_whatever_is_noted_the_engine_reads_line_by_line(noted: list[Any]) -> None:
    entries = [entry("started", {}, 0.0)]
    entries += [entry(what, data, 5.0 + 7.0 * i) for i, (what, data) in enumerate(noted)]
    made = readings_from(entries)
    sheet = sheet_of(TABLES, date(2026, 6, 1))
    readings = parse_readings(made.text, source="the log", start=date(2026, 3, 2), sheet=sheet)
    read = {row.line for row in readings.rows}
    assert read <= made.entry_by_line.keys()
    # A reading that stands there twice counts once; every other one is taken up.
    lines = made.text.splitlines()
    assert {lines[line - 1] for line in read} == set(lines[1:])


def test_a_line_with_commas_and_quotes_is_one_line() -> None:
    one = entry("strengthened", {"litres": 5.0, "bk": 20.0, "material_id": 'oak, "old"'}, 1.0)
    made = readings_from([one])
    assert made.entry_by_line == {2: one.id}
    assert made.text.count("\n") == 2


@pytest.mark.parametrize("what", ["smell", "note", "photo", "turned"])
def test_what_the_engine_has_no_use_for_makes_no_line(what: str) -> None:
    data = {"smell": "sour"} if what == "smell" else {}
    assert readings_from([entry(what, data, 1.0)]).text == ""


def test_a_correction_stands_in_place_of_what_it_corrects(
    running: Tannage, log: Log, keeper: Person
) -> None:
    before = log(running, "strength", {"value": 80.0, "scale": "bk"}, 3).entry
    correct(before, id=uuid4(), data={"value": 8.0, "scale": "bk"}, happened_at=days_ago(3),
            by=keeper)  # fmt: skip
    text = readings_of(running).text
    assert ",8,Bk" in text
    assert ",80,Bk" not in text


def test_a_withdrawn_entry_is_left_out_and_the_tannage_counts_a_change(
    running: Tannage, log: Log, keeper: Person
) -> None:
    noted = log(running, "cut", {"share": 0.5, "place": "neck"}, 2).entry
    running.refresh_from_db()
    version = running.version
    assert "cut" in readings_of(running).text
    withdraw(noted, keeper)
    running.refresh_from_db()
    assert running.version > version
    assert "cut" not in readings_of(running).text
    assert asked_of(running).version == running.version


def test_a_hot_reading_stops_no_forecast() -> None:
    """The engine puts readings right up to 60 °C; what is hotter goes in as it was put right."""
    made = readings_from([entry("strength", {"value": 12.0, "scale": "bk", "liquor_c": 95.0}, 5.0)])
    sheet = sheet_of(TABLES, date(2026, 6, 1))
    parse_readings(made.text, source="the log", start=date(2026, 3, 2), sheet=sheet)
    assert ",Bk" in made.text


def test_an_entry_from_before_the_start_stops_no_forecast(
    running: Tannage, keeper: Person, log: Log
) -> None:
    noted = log(running, "cut", {"share": 0.5, "place": "neck"}, 2).entry
    slip = correct(noted, id=uuid4(), data=noted.data, happened_at=days_ago(50), by=keeper).entry
    made = readings_of(running)
    assert made.before_start == {slip.pk}
    assert slip.pk not in made.entry_by_line.values()
    forecast = renew_now(running.pk)
    assert forecast is not None
    assert forecast.problem is None
    page = page_of(running, "metric", timezone.localdate())
    assert page.remarks[slip.pk].startswith("left out")
