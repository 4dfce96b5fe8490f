"""The forecast follows the log: inline, by the worker, after a crash, and told when refused."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tanwright.yard.journal.services import correct, restore, withdraw
from tanwright.yard.people.models import Person
from tanwright.yard.tannage import renewing, worker
from tanwright.yard.tannage.models import Forecast, Tannage
from tanwright.yard.tannage.page import page_of
from tanwright.yard.tannage.renewing import is_stale, keep, renew_now, renew_soon
from tanwright.yard.tannage.services import pour_in

from .conftest import Log, days_ago

ClientOf = Callable[[Person | None], Client]


def latest(tannage: Tannage) -> Forecast:
    return tannage.forecasts.latest()


def test_a_plan_before_the_start_and_a_forecast_after(
    planned: Tannage, keeper: Person, log: Log
) -> None:
    plan = renew_now(planned.pk)
    assert plan is not None
    assert plan.what == "plan"
    log(planned, "started", {}, 15)
    forecast = renew_now(planned.pk)
    assert forecast is not None
    assert forecast.what == "forecast"
    assert forecast.answer is not None
    planned.refresh_from_db()
    assert planned.next_headline
    assert planned.next_on is not None
    assert planned.forecasts.filter(what="plan").exists()  # kept, to compare with


def test_correcting_and_withdrawing_changes_the_forecast(
    running: Tannage, log: Log, keeper: Person
) -> None:
    entry = log(running, "cut", {"share": 0.25, "place": "neck"}, 2).entry

    def through() -> float:
        forecast = renew_now(running.pk)
        assert forecast is not None
        assert forecast.answer is not None
        return float(forecast.answer["struck_through"]["p50"])

    pale = through()
    better = correct(entry, id=uuid4(), data={"share": 0.85, "place": "neck"},
                     happened_at=days_ago(2), by=keeper).entry  # fmt: skip
    dark = through()
    assert dark > pale + 0.1
    withdraw(better, keeper)
    without = through()
    assert abs(without - dark) > 0.01
    restore(better, keeper)
    assert through() == pytest.approx(dark)


def test_an_odd_reading_is_remarked_at_its_line_of_the_log(
    running: Tannage, log: Log, keeper: Person, client_of: ClientOf
) -> None:
    odd = log(running, "strength", {"value": 70.0, "scale": "bk"}, 10).entry
    forecast = renew_now(running.pk)
    assert forecast is not None
    running.refresh_from_db()
    page = page_of(running, "metric", forecast.seen_from)
    assert odd.pk in page.remarks
    shown = client_of(keeper).get(running.get_absolute_url()).content.decode()
    assert "odd, but used" in shown or "left out" in shown


def test_a_refusal_is_kept_and_told_in_words(
    running: Tannage, keeper: Person, client_of: ClientOf
) -> None:
    renew_now(running.pk)
    Tannage.objects.filter(pk=running.pk).update(vat_volume_l=0.4)
    forecast = renew_now(running.pk)
    assert forecast is not None
    assert forecast.answer is None
    assert forecast.problem is not None
    assert forecast.problem["remedy"]
    Tannage.objects.filter(pk=running.pk).update(version=forecast.of_version)
    page = client_of(keeper).get(running.get_absolute_url()).content.decode()
    assert "The engine cannot answer" in page
    assert reverse("tannage:change", args=[running.pk]) in page


def test_only_the_last_forecast_of_a_day_is_kept(running: Tannage, log: Log) -> None:
    for days in (6, 5, 4):
        log(running, "turned", {}, days)
        renew_now(running.pk)
    assert running.forecasts.filter(what="forecast").count() == 1


def test_stale_is_told_by_the_database_alone(running: Tannage, log: Log) -> None:
    renew_now(running.pk)
    running.refresh_from_db()
    assert not is_stale(running, latest(running))
    log(running, "turned", {})
    running.refresh_from_db()
    assert is_stale(running, latest(running))


def test_a_look_at_the_page_has_it_made_after_a_crash(
    running: Tannage, log: Log, keeper: Person, client_of: ClientOf, settings: Any
) -> None:
    settings.FORECASTS = "off"
    log(running, "cut", {"share": 0.5, "place": "neck"})
    page = client_of(keeper).get(running.get_absolute_url())
    assert b"being made anew" in page.content
    settings.FORECASTS = "inline"
    page = client_of(keeper).get(running.get_absolute_url())
    assert b"being made anew" not in page.content
    assert b"Struck through" in page.content


def test_the_fragment_asks_again_until_it_is_there(
    running: Tannage, log: Log, keeper: Person, client_of: ClientOf, settings: Any
) -> None:
    client, url = client_of(keeper), reverse("tannage:now", args=[running.pk])
    settings.FORECASTS = "off"
    waiting = client.get(url, headers={"HX-Request": "true"})
    assert b"hx-get" in waiting.content
    assert "HX-Refresh" not in waiting.headers
    settings.FORECASTS = "inline"
    there = client.get(url, headers={"HX-Request": "true"})
    assert there.headers["HX-Refresh"] == "true"
    assert client.get(url).status_code == 302


def test_a_fault_of_ours_is_kept_as_a_problem_and_asked_no_more(
    running: Tannage, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*asked: Any) -> dict[str, Any]:
        raise RuntimeError("a fault")

    monkeypatch.setattr(worker, "compute", broken)
    asked = renewing.asked_of(running)
    keep(asked, renewing._compute_or_say_why(asked))
    running.refresh_from_db()
    assert not is_stale(running, latest(running))
    assert "could not be worked out" in latest(running).problem["what"]  # type: ignore[index]


def test_the_worker_answers_as_the_server_itself_would(running: Tannage) -> None:
    asked = renewing.asked_of(running, 60)
    worker.warm()
    try:
        there = worker.compute(asked.tables, asked.readings_csv, asked.today, asked.members)
        here = renewing.answer_to(asked)
        assert there["answer"] == here["answer"]
        assert there["problem"] is None
        assert worker._pool is not None
        # Ctrl-C in the terminal of the server is not its business.
        before = list(worker._pool._processes)
        for pid in before:
            os.kill(pid, signal.SIGINT)
        worker.compute(asked.tables, asked.readings_csv, asked.today, asked.members)
        assert list(worker._pool._processes) == before
        # It is started anew when it died.
        for process in worker._pool._processes.values():
            process.kill()
        again = worker.compute(asked.tables, asked.readings_csv, asked.today, asked.members)
        assert again["answer"] == here["answer"]
    finally:
        worker.stop(wait=True)


def test_of_several_entries_only_the_newest_state_waits(
    running: Tannage, planned: Tannage, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.FORECASTS = "worker"
    begun: list[Any] = []

    class Held:
        def __init__(self, **how: Any) -> None:
            begun.append(how["args"][0])

        def start(self) -> None:
            """Nothing ends here: the worker stays busy with the first one."""

    monkeypatch.setattr(renewing.threading, "Thread", Held)
    other = uuid4()
    monkeypatch.setattr(renewing, "_waiting", {})
    monkeypatch.setattr(renewing, "_busy", set())
    for id in (running.pk, running.pk, other, running.pk, other):
        renew_soon(id)
    assert begun == [running.pk]
    assert list(renewing._waiting) == [running.pk, other]
    assert renewing.is_coming(other)


def test_a_vat_that_is_done_is_seen_from_its_last_reading(running: Tannage, log: Log) -> None:
    last = log(running, "taken_out", {}, 6).entry
    running.refresh_from_db()
    forecast = renew_now(running.pk)
    assert forecast is not None
    assert forecast.seen_from == timezone.localtime(last.happened_at).date()
    assert forecast.answer is not None
    assert not is_stale(running, forecast)


def test_a_phone_whose_clock_is_ahead_stops_no_forecast(running: Tannage, log: Log) -> None:
    log(running, "cut", {"share": 0.5, "place": "neck"}, -0.9)
    forecast = renew_now(running.pk)
    assert forecast is not None
    assert forecast.problem is None


def test_a_line_that_the_engine_refuses_is_one_touch_away(
    running: Tannage, keeper: Person, client_of: ClientOf
) -> None:
    slip = pour_in(running, keeper, id=uuid4(), happened_at=days_ago(3), litres=30.0, bk=20.0).entry
    Tannage.objects.filter(pk=running.pk).update(vat_volume_l=18.0)
    forecast = renew_now(running.pk)
    assert forecast is not None
    assert "more than the vat holds" in (forecast.problem or {})["what"]
    page = client_of(keeper).get(running.get_absolute_url()).content.decode()
    assert f'<a href="/journal/{slip.pk}/">Open that line' in page
