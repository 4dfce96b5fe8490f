"""What is kept of a place follows from its entries, and again after corrections and marks."""

from __future__ import annotations

import uuid
from datetime import date, timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.utils import timezone

from tanwright.errors import InputError, UnknownMaterialError
from tanwright.yard.gathering import services
from tanwright.yard.gathering.models import Place
from tanwright.yard.gathering.wording import permission_words
from tanwright.yard.journal.models import Entry, Record
from tanwright.yard.journal.services import correct, withdraw
from tanwright.yard.people.models import Person
from tanwright.yard.stock import services as stock
from tanwright.yard.stock.models import Lot

OAK = "quercus-robur-bark"
TODAY = timezone.localdate()

pytestmark = pytest.mark.django_db


def test_what_it_is_is_enough(keeper: Person) -> None:
    place = services.open_place(keeper, "mill")
    assert place.kind == Record.Kind.PLACE
    assert place.permission == Place.Permission.NOT_ASKED
    assert place.title == f"Mill, place {place.number}"
    assert [entry.kind for entry in place.entries.all()] == ["place.found"]


def test_sent_twice_it_is_one_place(keeper: Person) -> None:
    id = uuid.uuid4()
    for _ in range(2):
        services.open_place(keeper, "mill", id=id, permission="asked", note="by the river")
    assert Place.objects.count() == 1
    assert Entry.objects.count() == 2


@pytest.mark.parametrize(
    ("facts", "at"),
    [
        ({"what": "castle"}, "what"),
        ({"what": "mill", "ended_on": TODAY + timedelta(days=2)}, "ended_on"),
        ({"what": "mill", "permission": "perhaps"}, "permission"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(
    keeper: Person, facts: dict[str, object], at: str
) -> None:
    with pytest.raises(InputError) as caught:
        services.open_place(keeper, **facts)  # type: ignore[arg-type]
    assert caught.value.place == at
    assert caught.value.remedy
    assert not Place.objects.exists()


def test_an_unknown_plant_is_refused(keeper: Person) -> None:
    with pytest.raises(UnknownMaterialError):
        services.open_place(keeper, "mill", plants="moon-bark")


def test_leave_to_gather_is_the_latest_that_was_said(windfall: Place, keeper: Person) -> None:
    assert windfall.may_gather(TODAY)
    until = TODAY + timedelta(days=10)
    said = {"permission": "given", "by_role": "the forester", "until": until}
    services.log(windfall, "permission", said, keeper)
    assert windfall.may_gather(until)
    assert not windfall.may_gather(until + timedelta(days=1))
    assert "that is over" in permission_words(windfall, until + timedelta(days=1))
    refused = services.log(windfall, "permission", {"permission": "refused"}, keeper)
    assert not windfall.may_gather(TODAY)
    assert "gather nothing" in permission_words(windfall, TODAY)
    withdraw(refused.entry, keeper)
    windfall.refresh_from_db()
    assert windfall.may_gather(TODAY)


def test_trunks_tell_bark_and_the_skin_it_tans(windfall: Place, helper: Person) -> None:
    data = {"material_id": OAK, "trunks": [{"diameter_cm": 30.0, "length_m": 4.0}]}
    first = services.log(windfall, "trunks", data, helper)
    one = (windfall.bark_low_kg, windfall.bark_likely_kg, windfall.bark_high_kg)
    assert None not in one
    assert 0.0 < one[0] < one[1] < one[2]  # type: ignore[operator]
    assert first.entry.data["bark_kg"] == pytest.approx(list(one))
    services.log(windfall, "trunks", data, helper)
    assert windfall.bark_likely_kg == pytest.approx(2.0 * one[1], rel=0.1)  # type: ignore[operator]
    withdraw(first.entry, helper)
    windfall.refresh_from_db()
    assert windfall.bark_likely_kg == pytest.approx(one[1])


@pytest.mark.parametrize(
    "trunks",
    [
        [],
        [{"diameter_cm": -3.0}],
        [{"diameter_cm": 30.0, "length_m": 4.0, "bark_mm": 151.0}],
        [{"diameter_cm": 5.0, "length_m": 4.0, "bark_mm": 25.0}],
        [{"diameter_cm": float("nan"), "length_m": 4.0}],
        [{"diameter_cm": 30.0, "count": 0}],
        ["thick"],
        "thick",
    ],
)
def test_trunks_that_cannot_be(windfall: Place, keeper: Person, trunks: object) -> None:
    with pytest.raises(InputError):
        services.log(windfall, "trunks", {"material_id": OAK, "trunks": trunks}, keeper)


def test_rain_counts_from_the_day_it_fell(windfall: Place, keeper: Person) -> None:
    before = timezone.now() - timedelta(days=20)
    services.log(windfall, "rained", {"rain": "days"}, keeper, happened_at=before)
    assert windfall.rain_words == "days"
    services.change_place(windfall, {"ended_on": TODAY - timedelta(days=5)}, keeper)
    assert windfall.rain_words == ""
    services.log(windfall, "rained", {"rain": "shower"}, keeper)
    assert windfall.rain_words == "shower"


def test_what_is_gathered_counts_here_and_in_the_lot(windfall: Place, keeper: Person) -> None:
    lot = services.gather(windfall, keeper, OAK, kg=12.0, state="fresh", as_lot=True, where="loft")
    assert lot is not None
    assert (lot.left_kg, lot.got_kg, lot.state, lot.where) == (12.0, 12.0, "fresh", "loft")
    assert lot.gathered_on == TODAY
    assert windfall.taken_kg == 12.0
    services.gather(windfall, keeper, OAK, kg=3.0, state="fresh", into=lot)
    lot.refresh_from_db()
    windfall.refresh_from_db()
    assert (lot.left_kg, windfall.taken_kg) == (15.0, 15.0)
    assert Lot.objects.count() == 1


def test_corrected_or_withdrawn_it_moves_in_both(windfall: Place, keeper: Person) -> None:
    lot = services.gather(windfall, keeper, OAK, kg=12.0, state="dry", as_lot=True)
    assert lot is not None
    entry = windfall.entries.get(kind="place.gathered")
    better = correct(
        entry,
        id=uuid.uuid4(),
        data={**entry.data, "kg": 10.0},
        happened_at=entry.happened_at,
        by=keeper,
    )
    lot.refresh_from_db()
    windfall.refresh_from_db()
    assert (lot.left_kg, windfall.taken_kg) == (10.0, 10.0)
    withdraw(better.entry, keeper)
    lot.refresh_from_db()
    windfall.refresh_from_db()
    assert (lot.left_kg, windfall.taken_kg) == (None, 0.0)


def test_a_helper_gathers_and_a_keeper_takes_it_in(
    windfall: Place, helper: Person, keeper: Person
) -> None:
    with pytest.raises(PermissionDenied):
        services.gather(windfall, helper, OAK, kg=5.0, as_lot=True)
    assert services.gather(windfall, helper, OAK, kg=5.0, state="fresh") is None
    waiting = windfall.entries.get(kind="place.gathered")
    with pytest.raises(PermissionDenied):
        services.take_in(waiting, helper)
    lot = services.take_in(waiting, keeper)
    again = services.take_in(waiting, keeper)
    assert again == lot
    windfall.refresh_from_db()
    assert (lot.left_kg, lot.state, windfall.taken_kg) == (5.0, "fresh", 5.0)
    now = windfall.entries.get(kind="place.gathered", standing="live")
    with pytest.raises(InputError):
        services.take_in(now, keeper)


def test_a_lot_of_another_state_takes_nothing_of_it(windfall: Place, keeper: Person) -> None:
    lot = stock.new_lot(keeper, OAK, kg=2.0, state="dry")
    with pytest.raises(InputError) as caught:
        services.gather(windfall, keeper, OAK, kg=5.0, state="fresh", into=lot)
    assert caught.value.place == "into"


def test_nothing_left_until_somebody_finds_more(windfall: Place, helper: Person) -> None:
    past = timezone.now() - timedelta(days=3)
    services.log(windfall, "gone", {"why": "carted off"}, helper, happened_at=past)
    assert windfall.gone_at == past
    assert windfall.look_on is None
    services.log(windfall, "visited", {}, helper)
    assert windfall.gone_at is None


def test_a_look_on_a_day_that_somebody_named(windfall: Place, helper: Person) -> None:
    again = date(TODAY.year + 1, 5, 2)
    services.log(windfall, "visited", {"again_on": again}, helper)
    assert windfall.look_on == again
    later = services.log(windfall, "visited", {}, helper)
    assert windfall.look_on != again
    withdraw(later.entry, helper)
    windfall.refresh_from_db()
    assert windfall.look_on == again


def test_facts_are_changed_with_what_was_before(windfall: Place, keeper: Person) -> None:
    services.change_place(windfall, {"whose": "a neighbour", "plants": f"{OAK} {OAK}"}, keeper)
    assert windfall.plant_ids == (OAK,)
    entry = windfall.entries.get(kind="place.changed")
    assert entry.data["before"]["whose"] == "the forest office"
