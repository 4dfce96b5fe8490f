"""Noting things in a few touches, and taking in what a phone kept: each entry once."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tanwright.errors import InputError
from tanwright.yard.journal.kinds import kind_of
from tanwright.yard.journal.models import Entry
from tanwright.yard.people.models import Person
from tanwright.yard.tannage.actions import ACTIONS
from tanwright.yard.tannage.from_phone import log_from_phone
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.tannage.quick import QUICK, quick_kinds

from .conftest import form_of

ClientOf = Callable[[Person | None], Client]


def payload(tannage: Tannage, what: str, data: dict[str, Any], **other: Any) -> dict[str, Any]:
    return {
        "id": str(uuid4()),
        "tannage": str(tannage.pk),
        "what": what,
        "data": data,
        "happened_at": timezone.now().isoformat(),
        **other,
    }


def test_sent_twice_it_is_one_entry(running: Tannage, helper: Person) -> None:
    sent = payload(running, "cut", {"share": 0.5, "place": "neck"}, note="at the fire")
    assert log_from_phone(sent, helper).new
    assert not log_from_phone(sent, helper).new
    assert Entry.objects.filter(pk=sent["id"]).count() == 1


@pytest.mark.parametrize(
    "spoiled",
    [
        {"id": "no id"},
        {"tannage": str(uuid4())},
        {"happened_at": "yesterday"},
        {"what": "strenght"},
        {"data": {"share": 7}},
        {"data": ["a"]},
        {"data": {"share": "half"}},
    ],
)
def test_what_cannot_be_an_entry_is_refused_in_words(
    running: Tannage, helper: Person, spoiled: dict[str, Any]
) -> None:
    before = Entry.objects.count()
    with pytest.raises(InputError) as refused:
        log_from_phone({**payload(running, "cut", {"share": 0.5}), **spoiled}, helper)
    assert refused.value.remedy
    assert Entry.objects.count() == before


@pytest.mark.parametrize("system", ["metric", "us"])
def test_every_quick_kind_can_be_drawn_and_filled_by_its_description(
    running: Tannage, helper: Person, system: Any
) -> None:
    kinds = json.loads(json.dumps(quick_kinds(system)))
    numbers = {"value": 8.0, "liquor_c": 54.0, "temperature_c": 54.0, "ph": 4.5}
    for kind in kinds:
        data = {}
        for field in kind["fields"]:
            if field["type"] == "choice":
                data[field["name"]] = field.get("chosen") or field["choices"][0][0]
            else:
                factor, offset = field["to_kept"]
                data[field["name"]] = numbers[field["name"]] * factor + offset
        if kind["what"] == "temperature" and system == "us":
            assert data["temperature_c"] == pytest.approx(12.2, abs=0.1)
        kind_of(f"tannage.{kind['what']}").clean(data)
        assert kind["what"] in ACTIONS


SAID = {
    "look": {"look": "tea"},
    "cut": {"share": "0.5", "place": "neck"},
    "strength": {"value": "1.012", "scale": "sg", "liquor_c": "12"},
    "turned": {},
    "temperature": {"temperature_c": "11"},
    "smell": {"smell": "sour"},
    "ph": {"ph": "4.4"},
    "note": {"note": "The belly is ahead."},
    "topped_up": {"litres": "2"},
    "weight": {"kg": "2.4", "what": "pelt"},
    "moved": {"where": "cellar", "temperature_c": "8"},
    "frozen": {},
    "thawed": {},
    "away": {},
    "back": {},
    "heat": {},
    "pour": {"litres": "5", "bk": "20", "how": "swap"},
}


@pytest.mark.parametrize("what", sorted(SAID))
def test_a_helper_notes_it_on_a_tiny_page(
    running: Tannage, helper: Person, client_of: ClientOf, what: str
) -> None:
    client, url = client_of(helper), reverse("tannage:log", args=[running.pk, what])
    assert client.get(url).status_code == 200
    said = form_of(**SAID[what])
    for _ in range(2):
        answer = client.post(url, said)
        assert answer.status_code == 302, answer.content.decode()
    assert Entry.objects.filter(pk=said["entry_id"], by=helper).count() == 1


def test_bare_degrees_are_in_the_readers_unit(
    running: Tannage, helper: Person, client_of: ClientOf
) -> None:
    helper.system = "us"
    helper.save()
    url = reverse("tannage:log", args=[running.pk, "temperature"])
    client_of(helper).post(url, form_of(temperature_c="50"))
    assert Entry.objects.get(kind="tannage.temperature").data["temperature_c"] == pytest.approx(10)


def test_a_stranger_notes_nothing(running: Tannage, client_of: ClientOf, on_network: None) -> None:
    url = reverse("tannage:log", args=[running.pk, "look"])
    before = Entry.objects.count()
    answer = client_of(None).post(url, form_of(look="tea"))
    assert answer.status_code in (302, 403)
    assert Entry.objects.count() == before


def test_what_cannot_be_is_told_beside_the_field_and_kept(
    running: Tannage, helper: Person, client_of: ClientOf
) -> None:
    url = reverse("tannage:log", args=[running.pk, "strength"])
    page = client_of(helper).post(url, form_of(value="1500", scale="sg", liquor_c="12"))
    assert page.status_code == 200
    assert b"error-summary" in page.content
    assert b'value="1500"' in page.content


def test_saving_takes_no_time_of_the_engine(
    running: Tannage, helper: Person, client_of: ClientOf, settings: Any
) -> None:
    settings.FORECASTS = "off"
    client, url = client_of(helper), reverse("tannage:log", args=[running.pk, "cut"])
    client.post(url, form_of(**SAID["cut"]))
    spent = []
    for _ in range(5):
        begun = time.perf_counter()
        client.post(url, form_of(**SAID["cut"]))
        spent.append(time.perf_counter() - begun)
    assert sorted(spent)[2] < 0.15


def test_what_moves_skins_or_bark_is_not_sent_from_the_shed(
    planned: Tannage, running: Tannage, helper: Person
) -> None:
    skins = {"skins": [str(skin.pk) for skin in running.skins.all()]}
    for what, data in (("started", skins), ("taken_out", skins), ("done", {}),
                       ("strengthened", {"litres": 5.0})):  # fmt: skip
        with pytest.raises(InputError, match="shed page"):
            log_from_phone(payload(running, what, data), helper)


def test_what_the_shed_page_shows_it_may_send(running: Tannage) -> None:
    assert {kind["what"] for kind in quick_kinds("metric")} == QUICK


@pytest.mark.parametrize(
    ("what", "said", "told"),
    [
        ("strength", {"value": "12", "scale": "bk", "liquor_c": "95"}, "cannot be right"),
        ("strength", {"value": "1.020", "scale": "bk"}, "choose specific gravity"),
        ("cut", {"share": "0.5", "happened_at": "2020-01-05T10:00"}, "before the skins went in"),
    ],
)
def test_slips_that_would_mislead_the_forecast_are_told(
    running: Tannage, helper: Person, client_of: ClientOf, what: str, said: dict[str, str],
    told: str,
) -> None:  # fmt: skip
    before = Entry.objects.count()
    url = reverse("tannage:log", args=[running.pk, what])
    assert told in client_of(helper).post(url, form_of(**said)).content.decode()
    assert Entry.objects.count() == before


def test_a_gravity_called_barkometer_is_sent_back_to_the_phone(
    running: Tannage, helper: Person
) -> None:
    with pytest.raises(InputError, match="specific gravity"):
        log_from_phone(payload(running, "strength", {"value": 1.02, "scale": "bk"}), helper)
    assert log_from_phone(payload(running, "strength", {"value": 1.02, "scale": "sg"}), helper).new


def test_no_more_is_swapped_than_the_vat_holds(
    running: Tannage, helper: Person, client_of: ClientOf
) -> None:
    url = reverse("tannage:log", args=[running.pk, "pour"])
    said = form_of(litres="500", bk="20", how="swap", liquor="")
    page = client_of(helper).post(url, said).content.decode()
    assert "more than the vat holds" in page
    assert not Entry.objects.filter(pk=said["entry_id"]).exists()
