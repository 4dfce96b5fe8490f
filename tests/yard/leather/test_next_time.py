"""What a finished leather says about the next tannage, from figures."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone

from tanwright.yard.leather import queries
from tanwright.yard.leather.lessons import Happened, Planned, advice, happened
from tests.yard.leather.conftest import OUT

PLAN = Planned(50, 15.0, 20.0, {"oak": 3.0}, {"oak": "oak bark"})


def log(**more: Any) -> Happened:
    given = {"days": 62, "temperature_c": 15.0, "strength_bk": 20.0, "used_kg": {}, "had_kg": {},
             "poured_l": 0.0}  # fmt: skip
    return Happened(**{**given, **more})


def test_longer_and_colder_names_the_cold() -> None:
    (found,) = advice(PLAN, log(temperature_c=9.0), "metric")
    assert found.figures.startswith("It took 12 days longer than planned (62), likely because")
    assert "9 °C and not at 15 °C" in found.figures
    assert "Plan the next one with 9 °C" in found.next_time


def test_longer_and_weaker_names_the_liquor() -> None:
    (found,) = advice(PLAN, log(strength_bk=10.0), "metric")
    assert "read 10 °Bk on average where the plan had 20" in found.figures


def test_longer_without_a_cause_points_to_the_skin() -> None:
    (found,) = advice(PLAN, log(), "metric")
    assert "because" not in found.figures
    assert "thicker or denser" in found.next_time


def test_as_planned_changes_nothing() -> None:
    (found,) = advice(PLAN, log(days=52), "metric")
    assert "plan the next one alike" in found.next_time


def test_sooner_is_said_too() -> None:
    (found,) = advice(PLAN, log(days=38), "metric")
    assert "12 days before the plan said" in found.figures


def test_what_was_used_stands_against_what_lay_there() -> None:
    used = log(days=50, used_kg={"oak": 3.1}, had_kg={"oak": 4.5})
    found = advice(PLAN, used, "metric")[1]
    assert "It used 3.1 kg of 4.5 kg of oak bark" in found.figures
    assert "amount was right" in found.next_time


@pytest.mark.parametrize(("used", "words"), [(4.0, "Gather a fifth more"), (1.0, "a start for")])
def test_more_and_less_than_planned(used: float, words: str) -> None:
    found = advice(PLAN, log(days=50, used_kg={"oak": used}), "metric")[1]
    assert words in found.next_time


def test_amounts_are_told_in_the_units_of_the_reader() -> None:
    found = advice(PLAN, log(temperature_c=9.0, used_kg={"oak": 3.1}), "us")
    assert "48 °F" in found[0].figures
    assert "lb" in found[1].figures
    assert "kg" not in found[1].figures


def test_without_a_plan_the_amount_alone_is_told() -> None:
    (found,) = advice(None, log(used_kg={"picea-abies-bark": 2.0}), "metric")
    assert "2 kg of Norway spruce bark" in found.figures


def test_the_log_is_summed_from_the_day_it_went_in() -> None:
    began = timezone.make_aware(datetime(2026, 3, 1, 9))
    entries: list[tuple[str, datetime, dict[str, Any]]] = [
        ("tannage.started", began, {}),
        ("tannage.strength", began, {"bk": 10.0, "liquor_c": 8.0}),
        ("tannage.strength", began, {"bk": 20.0, "liquor_c": 12.0}),
        ("tannage.strengthened", began, {"lots": {"a": 2.0}}),
        ("tannage.strengthened", began, {"litres": 5.0}),
    ]
    found = happened(entries, began + timedelta(days=30), {}, {"a": "oak"})
    assert (found.days, found.temperature_c, found.strength_bk) == (30, 10.0, 15.0)
    assert (found.used_kg, found.poured_l) == ({"oak": 2.0}, 5.0)


def test_a_finished_leather_tells_it_on_its_page(leather: Any, note: Any) -> None:
    note(leather, "stage_ended", {"stage": "stake", "looked": "done"}, 500.0)
    leather.refresh_from_db()
    assert leather.finished_at == OUT + timedelta(hours=500)
    figures = [item.figures for item in queries.page_of(leather, "metric").advice]
    assert any("It used 3.1 kg of 4.5 kg" in text for text in figures)
