"""What a phone kept arrives once, whatever happens on the way."""

from __future__ import annotations

import json
import random
import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.db import DatabaseError
from django.test import Client
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tanwright.yard.journal.models import Entry
from tanwright.yard.people.models import Person
from tanwright.yard.shed import services
from tanwright.yard.shed.services import take_in
from tanwright.yard.tannage.models import Tannage

ClientOf = Callable[[Person | None], Client]


def entry_for(vat: Tannage, what: str = "look", **data: Any) -> dict[str, Any]:
    return {
        "id": str(uuid.uuid4()),
        "tannage": str(vat.pk),
        "what": what,
        "data": data or {"look": "tea"},
        "note": "",
        "happened_at": timezone.now().isoformat(),
    }


def post(client: Client, body: object) -> Any:
    return client.post("/shed/send/", json.dumps(body), content_type="application/json")


def test_a_helper_sends_and_sends_again(vat: Tannage, helper: Person, client_of: ClientOf) -> None:
    entry = entry_for(vat)
    first = post(client_of(helper), {"entries": [entry]}).json()
    again = post(client_of(helper), {"entries": [entry, entry]}).json()
    assert [item["outcome"] for item in first["outcomes"]] == ["written"]
    assert [item["outcome"] for item in again["outcomes"]] == ["known", "known"]
    kept = Entry.objects.get(pk=entry["id"])
    assert kept.by == helper
    assert kept.data == {"look": "tea"}
    assert "now" in first


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"data": {"look": "beer"}}, "choose one of these"),
        ({"what": "sing"}, "is not noted from the shed page"),
        ({"tannage": str(uuid.UUID(int=7))}, "no such vat"),
        ({"happened_at": "yesterday"}, "this is not an entry"),
        ({"happened_at": "2190-01-01T00:00:00+00:00"}, "cannot be the time"),
        ({"id": "x"}, "this is not an entry"),
        ({"data": 7}, "this is not an entry"),
    ],
)
def test_a_refused_one_says_why_and_holds_up_no_other(
    vat: Tannage, keeper: Person, client_of: ClientOf, change: dict[str, Any], words: str
) -> None:
    good = entry_for(vat)
    told = post(client_of(keeper), {"entries": [{**entry_for(vat), **change}, good]}).json()
    assert [item["outcome"] for item in told["outcomes"]] == ["refused", "written"]
    assert words in told["outcomes"][0]["why"]


@pytest.mark.parametrize("body", [[], {}, {"entries": 3}, {"entries": None}, "text", 5])
def test_what_is_no_list_of_entries_is_refused(
    vat: Tannage, keeper: Person, client_of: ClientOf, body: object
) -> None:
    answer = post(client_of(keeper), body)
    assert answer.status_code == 400
    assert "list of entries" in answer.json()["problem"]


def test_broken_bytes_and_entries_that_are_none(
    vat: Tannage, keeper: Person, client_of: ClientOf
) -> None:
    client = client_of(keeper)
    for raw in (b"\xff\xfe", b"{", b"[" * 3000, b""):
        assert client.post("/shed/send/", raw, content_type="application/json").status_code == 400
    told = post(client, {"entries": [3, None, [], "x"]}).json()
    assert {item["outcome"] for item in told["outcomes"]} == {"refused"}


def test_a_stranger_sends_nothing(vat: Tannage, client_of: ClientOf, on_network: None) -> None:
    before = Entry.objects.count()
    assert post(client_of(None), {"entries": [entry_for(vat)]}).status_code == 302
    assert Entry.objects.count() == before


def test_without_its_token_a_form_is_refused(vat: Tannage, keeper: Person) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(keeper, backend="django.contrib.auth.backends.ModelBackend")
    assert post(client, {"entries": [entry_for(vat)]}).status_code == 403
    token = client.get("/shed/token/").json()["token"]
    answer = client.post(
        "/shed/send/",
        json.dumps({"entries": [entry_for(vat)]}),
        content_type="application/json",
        headers={"X-CSRFToken": token},
    )
    assert answer.status_code == 200


def test_what_the_database_cannot_write_now_stays_on_the_phone(
    vat: Tannage, keeper: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*args: object) -> None:
        raise DatabaseError("database or disk is full")

    monkeypatch.setattr(services, "log_from_phone", full)
    assert take_in([entry_for(vat)], keeper)[0].outcome == "later"


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(seed=st.integers(0, 10**6), count=st.integers(1, 6), cuts=st.lists(st.integers(0, 12)))
def test_any_order_with_repeats_and_broken_sendings_keeps_each_once(
    vat: Tannage, keeper: Person, seed: int, count: int, cuts: list[int]
) -> None:
    entries = [entry_for(vat) for _ in range(count)]
    chance = random.Random(seed)
    waiting = {entry["id"]: entry for entry in entries}
    for cut in cuts:
        batch = chance.choices(entries, k=chance.randint(1, 2 * count))
        outcomes = take_in(batch, keeper)
        # The answer is lost on the way for all but the first few: the phone keeps those.
        for item in outcomes[:cut]:
            waiting.pop(item.id, None)
    take_in(list(waiting.values()), keeper)
    kept = Entry.objects.filter(pk__in=[entry["id"] for entry in entries])
    assert kept.count() == count


def test_the_page_lists_running_vats_and_works_as_links(
    vat: Tannage, helper: Person, client_of: ClientOf
) -> None:
    text = client_of(helper).get("/shed/").content.decode()
    assert vat.title in text
    assert f"/tannages/{vat.pk}/" in text
    assert "shed-said" in text


def test_without_a_vat_the_page_teaches(keeper: Person, client_of: ClientOf) -> None:
    assert "No vat is running" in client_of(keeper).get("/shed/").content.decode()


def test_the_worker_is_for_this_page_alone(keeper: Person, client_of: ClientOf) -> None:
    answer = client_of(keeper).get("/shed/sw.js")
    assert answer["Content-Type"].startswith("text/javascript")
    assert '"page": "/shed/"' in answer.content.decode()


def test_what_is_next_is_told_in_the_readers_units(
    vat: Tannage, helper: Person, client_of: ClientOf
) -> None:
    Tannage.objects.filter(pk=vat.pk).update(next_headline="Cook 2.5 kg oak bark")
    assert "Cook 2.5 kg" in client_of(helper).get("/shed/").content.decode()
    helper.system = "us"
    helper.save()
    page = client_of(helper).get("/shed/").content.decode()
    assert "Cook 5 lb 8 oz" in page
    assert "2.5 kg" not in page
