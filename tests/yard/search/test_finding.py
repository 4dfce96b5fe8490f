"""What is typed into the search box is found, and what was not meant is not."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime

import pytest
from django.test import Client
from django.utils import timezone
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from tanwright.yard.gathering.models import Place
from tanwright.yard.journal.models import Entry, Record
from tanwright.yard.journal.services import open_record, withdraw_record
from tanwright.yard.people.local import keeper_of_this_machine
from tanwright.yard.search.asked import asked, spellings
from tanwright.yard.search.entries import entries
from tanwright.yard.search.queries import Group, plants, records
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.models import Lot
from tanwright.yard.tannage.models import Tannage, TannageSkin
from tanwright.yard.trials.models import Trial

pytestmark = pytest.mark.django_db


def skin(name: str = "", **fields: object) -> Skin:
    return open_record(Skin, Record.Kind.SKIN, keeper_of_this_machine(), name=name, **fields)


def lot(material_id: str, **fields: object) -> Lot:
    fields["material_id"] = material_id
    return open_record(Lot, Record.Kind.LOT, keeper_of_this_machine(), **fields)


def codes(text: str) -> list[str]:
    return [hit.code for group in records(asked(text)) for hit in group.hits]


def log(text: str) -> Group:
    return entries(asked(text), "metric") or Group("In the log", (), more=False)


@pytest.mark.parametrize(
    ("text", "kind", "number"),
    [
        ("skin-12", "skin", 12),
        ("Skin 12", "skin", 12),
        ("vat 3", "tannage", 3),
        ("place 2", "place", 2),
        ("trial-4", "trial", 4),
        ("7", "", 7),
        ("skin", "", None),
        ("skin-9999999999", "", None),
    ],
)
def test_a_code_is_read_as_written_on_the_label(text: str, kind: str, number: int | None) -> None:
    read = asked(text)
    assert (read.kind, read.number) == (kind, number)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-03-20", date(2026, 3, 20)),
        ("20 March 2026", date(2026, 3, 20)),
        ("March 20, 2026", date(2026, 3, 20)),
        ("20/03/2026", date(2026, 3, 20)),
        ("20.03.2026", date(2026, 3, 20)),
        ("31 February 2026", None),
        ("oak", None),
    ],
)
def test_a_day_is_read_in_the_usual_ways(text: str, day: date | None) -> None:
    assert asked(text).day == day


def test_a_day_without_a_year_is_of_this_year() -> None:
    assert asked("20 March").day == date(timezone.localdate().year, 3, 20)


def test_a_skin_is_found_by_code_name_animal_and_place() -> None:
    first = skin("Neck of the wood", animal="deer")
    Skin.objects.filter(pk=first.pk).update(place="chest freezer")
    skin("Another", animal="goat")
    for text in ("skin-1", "wood", "WOOD", "deer", "freezer", "deer freezer"):
        assert codes(text) == ["skin-1"], text
    assert codes("goat freezer") == []


def test_a_word_is_found_from_its_beginning(note: Callable[..., Entry]) -> None:
    soaked = skin("Soaked one")
    note(soaked, "soaked since Monday", {"place": "cloakroom"})
    assert codes("oak") == []
    assert not log("oak").hits
    assert codes("soak") == ["skin-1"]
    assert log("mon").hits


def test_a_lot_is_found_by_any_name_of_its_plant() -> None:
    lot("quercus-robur-bark")
    lot("acacia-mearnsii-bark")
    for text in ("oak", "quercus", "English oak"):
        assert codes(text) == ["lot-1"], text


def test_a_place_is_found_by_what_it_is_whose_it_is_and_what_it_gives() -> None:
    keeper = keeper_of_this_machine()
    facts = {
        "what": "windfall",
        "whose": "a neighbour",
        "plants": "quercus-robur-bark rhus-typhina",
    }
    open_record(Place, Record.Kind.PLACE, keeper, **facts)
    open_record(Place, Record.Kind.PLACE, keeper, what="mill", plants="picea-abies-bark")
    assert codes("windfall") == codes("neighbour") == codes("oak") == ["place-1"]
    assert codes("norway spruce") == codes("place-2") == ["place-2"]


def test_a_plant_of_the_reference_is_found_by_any_of_its_names(client: Client) -> None:
    group = plants(asked("english oak"))
    assert group is not None
    assert "/plants/quercus-robur-bark/" in [hit.url for hit in group.hits]
    assert plants(asked("roebuck")) is None
    assert "/plants/castanea-sativa-bark/" in client.get("/search/?q=castanea").content.decode()


def test_a_trial_is_found_by_its_name_and_its_question() -> None:
    open_record(Trial, Record.Kind.TRIAL, keeper_of_this_machine(), name="Oak or larch",
                question="which")  # fmt: skip
    assert codes("larch") == codes("which") == codes("trial 1") == ["trial-1"]


def test_a_tannage_with_two_skins_is_found_once() -> None:
    tannage = open_record(Tannage, Record.Kind.TANNAGE, keeper_of_this_machine(), vat="blue tub")
    for name in ("Roe", "Doe"):
        TannageSkin.objects.create(tannage=tannage, skin=skin(name, animal="deer"))
    assert codes("blue") == ["tannage-1"]
    assert codes("deer") == ["skin-2", "skin-1", "tannage-1"]


def test_withdrawn_records_are_found_and_marked() -> None:
    withdraw_record(skin("Lost to the fox"), keeper_of_this_machine())
    [group] = records(asked("fox"))
    assert group.hits[0].withdrawn


def test_an_entry_is_found_by_its_note_its_data_and_its_words(note: Callable[..., Entry]) -> None:
    note(skin("Roe"), "Smells of apples", {"place": "loft"})
    for text in ("apples", "APPLES", "loft", "looked", "apples loft"):
        [hit] = log(text).hits
        assert hit.title == "Looked at by day in metric units", text
    assert "Roe" in log("apples").hits[0].note


def test_a_key_of_the_data_is_not_a_word_of_the_entry(note: Callable[..., Entry]) -> None:
    note(skin(), data={"smell": "sour"})
    assert not log("smell").hits
    assert log("sour").hits


def test_an_entry_is_found_by_its_day_where_the_yard_is(note: Callable[..., Entry]) -> None:
    at = timezone.make_aware(datetime(2026, 3, 20, 23, 30))
    note(skin(), at=at)
    assert log("20 March 2026").hits
    assert not log("21 March 2026").hits


def test_corrected_entries_are_left_to_their_better_ones(note: Callable[..., Entry]) -> None:
    note(skin(), "one leaf", standing=Entry.Standing.CORRECTED)
    note(skin(), "one leaf more", standing=Entry.Standing.WITHDRAWN)
    [hit] = log("leaf").hits
    assert hit.withdrawn


def test_letters_beyond_ascii_are_found_in_any_case(note: Callable[..., Entry]) -> None:
    note(skin("Ällgau"), "grüße", {"place": "Öse"})
    assert codes("ällgau") == ["skin-1"]
    assert log("GRÜßE".lower()).hits
    assert log("öse").hits
    assert spellings("oak") == {"oak"}


def test_more_than_fits_is_told() -> None:
    for _ in range(21):
        skin("Rabbit")
    [group] = records(asked("rabbit"))
    assert len(group.hits) == 20
    assert group.more


def test_the_page_groups_what_it_found(client: Client, note: Callable[..., Entry]) -> None:
    note(skin("Roe"), "roe of the wood")
    page = client.get("/search/", {"q": "roe"}).content.decode()
    assert page.index(">Skins<") < page.index(">In the log<")
    assert "skin-1" in page


def test_the_page_teaches_when_nothing_is_asked_or_found(client: Client) -> None:
    assert "Try “skin-12”" in client.get("/search/").content.decode()
    assert "Nothing of that in the yard" in client.get("/search/?q=xyzzy").content.decode()


@pytest.mark.parametrize("text", ["%00", "x" * 500])
def test_what_cannot_be_looked_for_is_refused_beside_the_box(client: Client, text: str) -> None:
    answer = client.get(f"/search/?q={text}")
    assert answer.status_code == 200
    assert 'class="error"' in answer.content.decode()


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(text=st.text(max_size=120))
@example(text="' OR 1=1; --")
@example(text='%_\\"{}[]*?')
@example(text="<script>alert(1)</script>")
@example(text="0000-00-00")
@example(text="1 " * 40)
def test_nothing_typed_breaks_the_page(client: Client, text: str) -> None:
    answer = client.get("/search/", {"q": text})
    assert answer.status_code == 200
    assert "<script>alert" not in answer.content.decode()
