"""The mass account of a lot adds up from its entries, and refolds after corrections."""

from __future__ import annotations

import uuid
from datetime import timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.yard.journal.models import Entry
from tanwright.yard.journal.services import correct, restore, withdraw
from tanwright.yard.liquors import services as liquors
from tanwright.yard.people.models import Person
from tanwright.yard.stock import services
from tanwright.yard.stock.account import Happening, standing_after
from tanwright.yard.stock.models import Lot

OAK = "quercus-robur-bark"
NOW = timezone.now() - timedelta(days=30)

amounts = st.floats(min_value=0.001, max_value=500.0)
events = st.lists(
    st.one_of(
        st.tuples(st.just("lot.got"), amounts),
        st.tuples(st.just("lot.lost"), amounts),
        st.tuples(st.just("lot.stocktake"), st.floats(min_value=0.0, max_value=500.0)),
        st.tuples(st.just("lot.dried"), amounts),
        st.tuples(st.just("cooked"), amounts),
    ),
    max_size=30,
)


def happening(index: int, kind: str, kg: float) -> Happening:
    at = NOW + timedelta(hours=index)
    if kind == "cooked":
        return Happening(at, "liquor.cooked", {"lots": {}}, kg)
    return Happening(at, kind, {"kg": kg, "state": "fresh"})


@given(events)
def test_what_is_left_is_what_came_less_what_went(told: list[tuple[str, float]]) -> None:
    now = standing_after(OAK, [happening(n, *one) for n, one in enumerate(told)])
    if now.raw_kg is None:
        assert not any(kind in ("lot.got", "lot.stocktake", "lot.dried") for kind, _ in told)
        return
    account = now.got_kg + now.seen_kg - now.cooked_kg - now.lost_kg
    assert now.raw_kg == pytest.approx(account, abs=1e-6)
    assert now.left_kg is not None
    assert now.left_kg - now.over_kg == pytest.approx(now.raw_kg)
    assert now.left_kg >= 0.0
    assert now.over_kg >= 0.0
    assert min(now.left_kg, now.over_kg) == 0.0


@given(events, st.integers(min_value=0, max_value=29))
def test_a_stocktake_makes_all_before_it_irrelevant(told: list[tuple[str, float]], at: int) -> None:
    told = [*told[:at], ("lot.stocktake", 7.0), *told[at:]]
    after = [("lot.stocktake", 7.0), *told[min(at, len(told) - 1) + 1 :]]
    one = standing_after(OAK, [happening(n, *each) for n, each in enumerate(told)])
    other = standing_after(OAK, [happening(n, *each) for n, each in enumerate(after)])
    assert one.raw_kg == pytest.approx(other.raw_kg, abs=1e-9)


def test_drying_raises_the_tannin_figure_as_water_leaves() -> None:
    told = [
        Happening(NOW, "lot.got", {"kg": 10.0, "state": "fresh"}),
        Happening(NOW, "lot.tannin", {"low_pct": 4.0, "high_pct": 6.0, "how": "lab"}),
        Happening(NOW, "lot.dried", {"kg": 5.0}),
    ]
    now = standing_after(OAK, told)
    assert now.state == "dry"
    assert now.tannin == pytest.approx((8.0, 12.0))
    assert now.left_kg == 5.0


def test_drying_without_a_weight_reckons_one() -> None:
    told = [
        Happening(NOW, "lot.got", {"kg": 10.0, "state": "fresh"}),
        Happening(NOW, "lot.dried", {}),
    ]
    now = standing_after(OAK, told)
    assert now.left_kg is not None
    assert 3.0 < now.left_kg < 9.0
    assert now.got_kg + now.seen_kg == pytest.approx(now.left_kg)


@pytest.fixture
def lot(keeper: Person) -> Lot:
    return services.new_lot(keeper, OAK, kg=9.0, state="dry", where="loft", happened_at=NOW)


@pytest.mark.django_db
def test_got_lost_and_weighed(lot: Lot, keeper: Person, helper: Person) -> None:
    assert (lot.left_kg, lot.where, lot.state, lot.got_kg) == (9.0, "loft", "dry", 9.0)
    assert lot.skins_likely is not None
    assert lot.skins_low is not None
    assert 0.0 < lot.skins_low < lot.skins_likely
    services.log(lot, "lot.got", {"kg": 1.0}, helper, happened_at=NOW + timedelta(days=1))
    services.log(lot, "lot.lost", {"kg": 2.5}, helper, happened_at=NOW + timedelta(days=2))
    assert lot.left_kg == 7.5
    services.log(lot, "lot.stocktake", {"kg": 7.0}, helper, happened_at=NOW + timedelta(days=3))
    assert (lot.left_kg, lot.got_kg) == (7.0, 10.0)


@pytest.mark.django_db
def test_the_same_entry_twice_counts_once(lot: Lot, keeper: Person) -> None:
    id = uuid.uuid4()
    assert services.log(lot, "lot.lost", {"kg": 2.0}, keeper, id=id).new
    assert not services.log(lot, "lot.lost", {"kg": 2.0}, keeper, id=id).new
    assert lot.left_kg == 7.0
    again = services.new_lot(keeper, OAK, kg=9.0, id=lot.pk)
    assert again.pk == lot.pk
    assert again.left_kg == 7.0


@pytest.mark.django_db
def test_a_correction_and_a_withdrawal_refold(lot: Lot, keeper: Person) -> None:
    lost = services.log(lot, "lot.lost", {"kg": 2.0}, keeper).entry
    correct(lost, id=uuid.uuid4(), data={"kg": 0.5}, happened_at=lost.happened_at, by=keeper)
    lot.refresh_from_db()
    assert lot.left_kg == 8.5
    live = Entry.objects.get(record=lot, kind="lot.lost", standing="live")
    withdraw(live, keeper)
    lot.refresh_from_db()
    assert lot.left_kg == 9.0
    live.refresh_from_db()
    restore(live, keeper)
    lot.refresh_from_db()
    assert lot.left_kg == 8.5


@pytest.mark.django_db
def test_a_corrected_entry_keeps_its_place_among_entries_of_the_same_minute(
    lot: Lot, keeper: Person
) -> None:
    got = Entry.objects.get(record=lot, kind="lot.got")
    services.log(lot, "lot.stocktake", {"kg": 4.0}, keeper, happened_at=NOW)
    correct(got, id=uuid.uuid4(), data={"kg": 12.0, "state": "dry"}, happened_at=NOW, by=keeper)
    lot.refresh_from_db()
    assert (lot.left_kg, lot.got_kg) == (4.0, 12.0)


@pytest.mark.django_db
def test_a_cook_takes_from_the_lot_and_a_second_water_does_not(lot: Lot, keeper: Person) -> None:
    first = liquors.cook(keeper, {lot: 3.0}, 15.0, volume_l=9.0)
    assert lot.left_kg == 6.0
    liquors.cook(keeper, {lot: 3.0}, 15.0, which=2, into=first)
    lot.refresh_from_db()
    assert lot.left_kg == 6.0
    cooked = Entry.objects.filter(record=first, kind="liquor.cooked").order_by("written_at")
    withdraw(cooked[0], keeper)
    lot.refresh_from_db()
    assert lot.left_kg == 9.0


@pytest.mark.django_db
def test_more_taken_than_noted_is_kept_apart(lot: Lot, keeper: Person) -> None:
    liquors.cook(keeper, {lot: 11.0}, 50.0)
    assert lot.left_kg == 0.0
    assert lot.over_kg == 2.0
    services.log(lot, "lot.stocktake", {"kg": 1.0}, keeper)
    assert (lot.left_kg, lot.over_kg) == (1.0, 0.0)


@pytest.mark.django_db
def test_who_may_do_what(lot: Lot, helper: Person) -> None:
    with pytest.raises(PermissionDenied):
        services.new_lot(helper, OAK, kg=1.0)
    with pytest.raises(PermissionDenied):
        services.set_tannin(lot, 7.0, 11.0, "lab", helper)
    with pytest.raises(PermissionDenied):
        services.change_lot(lot, {"name": "mine"}, helper)
    with pytest.raises(PermissionDenied):
        services.keep_container("bucket", "8 kg", helper)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("kind", "data"),
    [
        ("lot.got", {"kg": -1.0}),
        ("lot.got", {"kg": float("nan")}),
        ("lot.got", {"kg": True}),
        ("lot.got", {"kg": 1.0, "state": "wet"}),
        ("lot.got", {"kg": 1.0, "where": 5}),
        ("lot.lost", {}),
        ("lot.lost", {"kg": "3"}),
        ("lot.stocktake", {"kg": -0.1}),
        ("lot.moved", {"where": " "}),
        ("lot.tannin", {"low_pct": 9.0, "high_pct": 7.0}),
        ("lot.trial", {"material_id": OAK}),
        ("lot.trial", {"material_id": OAK, "iron": "pink"}),
    ],
)
def test_what_cannot_be_is_refused(lot: Lot, keeper: Person, kind: str, data: dict) -> None:
    before = Entry.objects.count()
    with pytest.raises(InputError):
        services.log(lot, kind, data, keeper)
    assert Entry.objects.count() == before


@pytest.mark.django_db
@pytest.mark.parametrize(
    "fields",
    [
        {"history": {"tree_age": "ancient"}},
        {"history": {"sung_to": True}},
        {"material_id": "nonsense"},
        {"gathered_on": timezone.localdate() + timedelta(days=9)},
    ],
)
def test_a_change_that_cannot_be_is_refused(lot: Lot, keeper: Person, fields: dict) -> None:
    with pytest.raises(InputError):
        services.change_lot(lot, fields, keeper)


@pytest.mark.django_db
def test_a_trial_sets_the_figure_and_the_table_carries_it(lot: Lot, keeper: Person) -> None:
    seen = {"mass_kg": 0.25, "water_l": 2.0, "strength": 8.0, "scale": "bk", "liquor_c": 20.0}
    entry = services.try_lot(lot, seen, keeper).entry
    assert lot.tannin_low_pct is not None
    assert 5.0 < lot.tannin_low_pct < 15.0
    table = services.material_table(lot)
    assert table["tannin"].endswith("%")
    assert table["have"] == "9 kg"
    withdraw(entry, keeper)
    lot.refresh_from_db()
    assert lot.tannin_low_pct is None
    assert "tannin" not in services.material_table(lot)


@pytest.mark.django_db
def test_history_and_containers_are_tables_that_the_engine_takes(keeper: Person) -> None:
    from tanwright.planning.sheet_reader import sheet_from_options

    history = {"rained_on": True, "tree_age": 30.0, "part_of_trunk": "bottom", "grind": "fine"}
    lot = services.new_lot(
        keeper, OAK, kg=5.0, state="fresh", history=history,
        gathered_on=timezone.localdate() - timedelta(days=800),
    )  # fmt: skip
    services.keep_container("bucket", "8 kg", keeper, of="pounded pods")
    services.keep_container("tub", "40 L", keeper)
    services.keep_container("bucket", "7 kg", keeper)
    sheet = sheet_from_options(
        {
            "skin": [{"animal": "goat"}],
            "material": [services.material_table(lot)],
            "container": services.container_tables(),
        },
        today=timezone.localdate(),
    )
    assert sheet.lots[0].have_kg == 5.0
    assert sheet.lots[0].history.rained_on is True
    assert sheet.lots[0].history.age_years == pytest.approx(2.2)
    assert {c.name: (c.holds_kg, c.holds_l) for c in sheet.containers} == {
        "bucket": (7.0, None),
        "tub": (None, 40.0),
    }
