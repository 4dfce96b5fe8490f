"""The page of an entry: its history, correcting, withdrawing and putting back."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.yard.journal import services
from tanwright.yard.journal.models import Entry, Mark
from tanwright.yard.people.models import Person
from tanwright.yard.skins.models import Skin
from tanwright.yard.skins.services import change_skin, new_skin
from tests.yard.journal.conftest import WriteAs

ClientOf = Callable[[Person | None], Client]

pytestmark = pytest.mark.django_db
CHANGING = ("correct", "withdraw", "restore")


def sent(kg: str, **more: Any) -> dict[str, Any]:
    now = timezone.localtime().strftime("%Y-%m-%dT%H:%M")
    return {
        "entry_id": str(uuid.uuid4()), "happened_at": now, "kg": kg, "stage": "green",
        "on_scale": "1", **more,
    }  # fmt: skip


def url(name: str, entry: Entry) -> str:
    return reverse(f"journal:{name}", args=[entry.pk])


def test_a_correction_shows_what_was_typed_and_keeps_it(
    client_of: ClientOf, helper: Person, weigh: WriteAs, skin: Skin
) -> None:
    client, entry = client_of(helper), weigh(helper, 20.0, note="<i>wet</i>")
    page = client.get(url("correct", entry)).content.decode()
    assert 'value="20"' in page
    assert "&lt;i&gt;wet&lt;/i&gt;" in page
    data = sent("2")
    for _ in range(2):
        answer = client.post(url("correct", entry), data)
    assert answer.status_code == 302
    skin.refresh_from_db()
    assert skin.weight_kg == 2.0
    assert Entry.objects.filter(corrects=entry).count() == 1
    old = client.get(url("entry", entry)).content.decode()
    assert "What stands in its place" in old
    new = client.get(url("entry", Entry.objects.get(corrects=entry))).content.decode()
    assert "<del>20 kg" in new
    log = client.get(skin.get_absolute_url()).content.decode()
    assert "corrected later to: 2 kg" in log


def test_a_corrected_entry_is_not_corrected_again(
    client_of: ClientOf, keeper: Person, weigh: WriteAs
) -> None:
    client, entry = client_of(keeper), weigh(keeper)
    client.post(url("correct", entry), sent("3"))
    answer = client.post(url("correct", entry), sent("4"), follow=True)
    assert "cannot be corrected" in answer.content.decode()
    with pytest.raises(InputError, match="corrected or withdrawn already"):
        services.correct(
            entry, id=uuid.uuid4(), data={"kg": 4.0, "stage": "green"},
            happened_at=timezone.now(), by=keeper,
        )  # fmt: skip
    assert Entry.objects.filter(kind="skin.weighed").count() == 2


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (sent("no"), "no"),
        (sent("2", stage="cooked"), "Select a valid choice"),
        (sent("999"), "no weight of one skin"),
        (sent("2", happened_at="2999-01-01T00:00"), "cannot be the time"),
        (sent("2", entry_id="17"), "valid UUID"),
    ],
)
def test_a_bad_correction_is_told_and_changes_nothing(
    client_of: ClientOf, keeper: Person, weigh: WriteAs, data: dict[str, str], told: str
) -> None:
    entry = weigh(keeper)
    answer = client_of(keeper).post(url("correct", entry), data)
    assert answer.status_code == 200
    assert told in answer.content.decode()
    entry.refresh_from_db()
    assert entry.standing == "live"


def test_withdrawn_with_a_reason_and_put_back(
    client_of: ClientOf, helper: Person, weigh: WriteAs, skin: Skin
) -> None:
    client, entry = client_of(helper), weigh(helper)
    page = client.post(url("withdraw", entry), {"why": "other <b>skin</b>"}, follow=True)
    assert "other &lt;b&gt;skin&lt;/b&gt;" in page.content.decode()
    skin.refresh_from_db()
    assert skin.weight_kg is None
    client.post(url("withdraw", entry))
    assert Mark.objects.count() == 1
    client.post(url("restore", entry))
    skin.refresh_from_db()
    assert skin.weight_kg == 2.0
    assert [mark.what for mark in Mark.objects.all()] == ["withdrawn", "restored"]


def test_a_helper_changes_only_their_own(
    client_of: ClientOf, keeper: Person, helper: Person, weigh: WriteAs
) -> None:
    client, entry = client_of(helper), weigh(keeper)
    assert "Withdraw it" not in client.get(url("entry", entry)).content.decode()
    for name in CHANGING:
        assert client.post(url(name, entry), sent("9")).status_code == 403
    entry.refresh_from_db()
    assert entry.standing == "live"
    assert client_of(keeper).post(url("withdraw", weigh(helper))).status_code == 302


@pytest.mark.usefixtures("on_network")
def test_a_stranger_neither_reads_nor_changes(
    client_of: ClientOf, keeper: Person, weigh: WriteAs, skin: Skin
) -> None:
    entry = weigh(keeper)
    addresses = [url(name, entry) for name in ("entry", *CHANGING)]
    addresses += [
        reverse(f"journal:{name}-record", args=[skin.pk]) for name in ("withdraw", "restore")
    ]
    for address in addresses:
        answer = client_of(None).post(address, sent("9"))
        assert answer.status_code == 302
        assert reverse("people:sign-in") in answer["Location"]
    assert not Mark.objects.exists()


@pytest.mark.parametrize("name", ["withdraw", "restore"])
def test_reading_an_address_changes_nothing(
    client_of: ClientOf, keeper: Person, weigh: WriteAs, name: str
) -> None:
    assert client_of(keeper).get(url(name, weigh(keeper))).status_code == 405


def test_there_is_no_page_for_an_unknown_id(client_of: ClientOf, keeper: Person) -> None:
    client = client_of(keeper)
    for name in ("entry", "correct", "photo", "thumbnail", "photo-page"):
        assert client.get(reverse(f"journal:{name}", args=[uuid.uuid4()])).status_code == 404


def test_a_changed_fact_has_no_form_to_correct(
    client_of: ClientOf, keeper: Person, skin: Skin
) -> None:
    from tanwright.yard.skins.services import change_skin

    change_skin(skin, {"origin": "north"}, keeper)
    entry = Entry.objects.get(kind="skin.changed")
    client = client_of(keeper)
    assert "Correct it" not in client.get(url("entry", entry)).content.decode()
    assert client.get(url("correct", entry))["Location"] == url("entry", entry)


def test_a_helper_may_not_write_a_keepers_kind(helper: Person, skin: Skin) -> None:
    with pytest.raises(PermissionDenied):
        services.write(
            id=uuid.uuid4(), record=skin, kind="skin.changed",
            data={"before": {"name": ""}, "after": {"name": "x"}}, happened_at=timezone.now(),
            by=helper,
        )  # fmt: skip


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    kind=st.sampled_from(
        ["skin.weighed", "skin.measured", "skin.moved", "skin.flaw", "skin.stage_begun",
         "skin.stage_ended", "skin.note", "skin.changed"]
    ),
    data=st.dictionaries(
        st.sampled_from(
            ["kg", "stage", "on_scale", "thickness_mm", "place", "keeping", "what", "step",
             "temperature_c", "amounts", "looked", "look_again_at", "before", "after"]
        ),
        st.recursive(
            st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=20),
            lambda inner: st.lists(inner, max_size=3)
            | st.dictionaries(st.sampled_from(["what", "kg", "l"]), inner, max_size=3),
            max_leaves=6,
        ),
    ),
)  # fmt: skip
def test_any_data_is_written_and_read_or_refused_in_words(
    keeper: Person, skin: Skin, client_of: ClientOf, kind: str, data: dict[str, Any]
) -> None:
    try:
        entry = services.write(
            id=uuid.uuid4(), record=skin, kind=kind, data=data, happened_at=timezone.now(),
            by=keeper,
        ).entry  # fmt: skip
    except InputError:
        return
    assert client_of(keeper).get(url("entry", entry)).status_code == 200
    assert client_of(keeper).get(skin.get_absolute_url()).status_code == 200


def test_a_change_is_changed_back_and_not_withdrawn(client_of: ClientOf, keeper: Person) -> None:
    goat = new_skin(keeper, "goat")
    changed = change_skin(goat, {"animal": "sheep"}, keeper)
    assert changed is not None
    client, url = client_of(keeper), f"/journal/{changed.entry.pk}/"
    page = client.get(url).content.decode()
    assert "change it back" in page
    assert "Withdraw it" not in page
    client.post(f"{url}withdraw/")
    changed.entry.refresh_from_db()
    assert changed.entry.standing == Entry.Standing.LIVE
