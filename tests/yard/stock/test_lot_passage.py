"""A lot on its way: ground, lost by cause, dried, as stored and as dry matter, and all weighed."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.yard.gathering import services as gathering
from tanwright.yard.journal.models import Entry
from tanwright.yard.people.models import Person
from tanwright.yard.stock import services
from tanwright.yard.stock.account import Happening, Standing, standing_after
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.passage import dry_words, way_of, went_of
from tanwright.yard.stock.tables import material_table

OAK = "quercus-robur-bark"
NOW = timezone.now() - timedelta(days=30)
ClientOf = Callable[[Person | None], Client]

amounts = st.floats(min_value=0.001, max_value=500.0)
told = st.lists(
    st.one_of(
        st.tuples(st.just("lot.got"), amounts),
        st.tuples(st.just("place.gathered"), amounts),
        st.tuples(st.just("lot.lost"), amounts),
        st.tuples(st.just("lot.ground"), st.one_of(st.none(), amounts)),
        st.tuples(st.just("lot.stocktake"), amounts),
        st.tuples(st.just("lot.dried"), amounts),
    ),
    max_size=25,
)


def standing(told: list[tuple[str, float | None]]) -> Standing:
    causes = ("mould", "given", "")
    rows = []
    for n, (kind, kg) in enumerate(told):
        data: dict[str, Any] = {"state": "fresh", "grind": "fine", "cause": causes[n % 3]}
        if kg is not None:
            data["kg"] = kg
        rows.append(Happening(NOW + timedelta(hours=n), kind, data))
    return standing_after(OAK, rows)


def sent(**fields: Any) -> dict[str, Any]:
    now = timezone.localtime().strftime("%Y-%m-%dT%H:%M")
    return {"entry_id": str(uuid.uuid4()), "happened_at": now, **fields}


@given(told)
def test_losses_by_cause_are_all_that_was_lost(told: list[tuple[str, float | None]]) -> None:
    now = standing(told)
    assert sum(kg for _, kg in now.losses) == pytest.approx(now.lost_kg, abs=1e-6)
    assert all(kg >= 0.0 for _, kg in now.losses)
    if now.raw_kg is None:
        return
    assert now.raw_kg == pytest.approx(now.got_kg + now.seen_kg - now.lost_kg, abs=1e-6)
    gone = sum(kg for _, kg in went_of(now))
    assert now.got_kg - gone <= now.raw_kg + 1e-6


def test_grinding_loses_dust_and_makes_it_fine() -> None:
    now = standing([("lot.got", 10.0), ("lot.ground", 9.2)])
    assert now.ground == "fine"
    assert now.left_kg == 9.2
    assert dict(now.losses) == pytest.approx({"grinding": 0.8})
    heavier = standing([("lot.got", 10.0), ("lot.ground", 10.5)])
    assert (heavier.left_kg, heavier.losses) == (10.5, ())
    unweighed = standing([("lot.got", None), ("lot.ground", None)])
    assert (unweighed.ground, unweighed.left_kg) == ("fine", None)


@pytest.mark.django_db
class TestOnThePage:
    @pytest.fixture
    def lot(self, keeper: Person) -> Lot:
        return services.new_lot(keeper, OAK, kg=10.0, state="fresh", where="loft")

    def test_the_way_follows_the_lot(self, lot: Lot, helper: Person) -> None:
        assert [stage.standing for stage in way_of(lot)] == ["done", "now", "next", "next"]
        services.log(lot, "lot.dried", {"kg": 6.0}, helper)
        assert [stage.standing for stage in way_of(lot)] == ["done", "done", "next", "now"]
        services.log(lot, "lot.ground", {"grind": "coarse", "kg": 5.8}, helper)
        assert [stage.standing for stage in way_of(lot)] == ["done", "done", "done", "now"]
        services.log(lot, "lot.stocktake", {"kg": 0.0}, helper)
        assert {stage.standing for stage in way_of(lot)} == {"done"}

    def test_what_is_ground_is_reckoned_as_ground(self, lot: Lot, helper: Person) -> None:
        assert "grind" not in material_table(lot)
        services.log(lot, "lot.ground", {"grind": "fine"}, helper)
        assert material_table(lot)["grind"] == "fine"
        for wrong in ({}, {"grind": "dust"}, {"grind": "fine", "kg": -1.0}):
            with pytest.raises(InputError):
                services.log(lot, "lot.ground", wrong, helper)

    def test_dry_matter_does_not_change_as_water_leaves(self, lot: Lot, helper: Person) -> None:
        def middle() -> float:
            return float(dry_words(lot, "metric").split()[1])

        before = middle()
        services.log(lot, "lot.dried", {}, helper)
        assert lot.left_kg is not None
        assert lot.left_kg < 9.0
        assert middle() == pytest.approx(before, rel=0.05)

    def test_the_page_tells_it_all(self, client_of: ClientOf, keeper: Person, lot: Lot) -> None:
        services.log(lot, "lot.dried", {"kg": 6.0}, keeper)
        services.log(lot, "lot.lost", {"kg": 0.5, "cause": "mould", "why": "wet corner"}, keeper)
        services.set_tannin(lot, 8.0, 11.0, "Goat in oak", keeper)
        shown = client_of(keeper).get(lot.get_absolute_url()).content.decode()
        wanted = (
            "Water that dried out",
            "Lost: mould",
            "dry matter",
            "Goat in oak",
            "8 to 11 % tannin",
            "mould: wet corner",
            "Its way through the barn",
        )
        assert [words for words in wanted if words not in shown] == []

    def test_a_lot_begins_with_the_plant_and_the_place_asked_for(
        self, client_of: ClientOf, keeper: Person
    ) -> None:
        place = gathering.open_place(keeper, "mill", name="upper mill", plants=OAK)
        client = client_of(keeper)
        url = reverse("stock:new") + f"?plant={OAK}&place={place.pk}"
        shown = client.get(url).content.decode()
        assert 'value="English oak bark"' in shown
        assert place.get_absolute_url() in shown
        data = sent(material_id="English oak bark", kg="7", state="dry", came_from=str(place.pk))
        assert client.post(url, data).status_code == 302
        place.refresh_from_db()
        assert (Lot.objects.get().left_kg, place.taken_kg) == (7.0, 7.0)

    @pytest.mark.parametrize(
        "query", ["?plant=moon&place=x", "?place=", "?plant=%00", f"?place={uuid.uuid4()}"]
    )
    def test_nonsense_in_the_address_begins_an_empty_lot(
        self, client_of: ClientOf, keeper: Person, query: str
    ) -> None:
        answer = client_of(keeper).get(reverse("stock:new") + query)
        assert answer.status_code == 200
        assert "counts there as gathered" not in answer.content.decode()

    def test_a_lot_comes_from_no_skin(self, keeper: Person, lot: Lot) -> None:
        with pytest.raises(InputError):
            services.new_lot(keeper, OAK, kg=1.0, came_from=lot)
        assert Lot.objects.count() == 1


@pytest.mark.django_db
class TestStocktake:
    @pytest.fixture
    def lots(self, keeper: Person) -> tuple[Lot, Lot, Lot]:
        one, two = (services.new_lot(keeper, OAK, kg=kg, where="loft") for kg in (9.0, 4.0))
        three = services.new_lot(keeper, "picea-abies-bark", kg=2.0, where="cellar")
        return one, two, three

    def test_a_helper_weighs_all_in_one_go(
        self, client_of: ClientOf, helper: Person, lots: tuple[Lot, Lot, Lot]
    ) -> None:
        client, url = client_of(helper), reverse("stock:stocktake")
        shown = client.get(url).content.decode()
        assert shown.count("reckoned: ") == 3
        one, two, three = lots
        data = sent(**{f"kg_{one.number}": "8.5", f"kg_{two.number}": "0"}, note="with the spring")
        for _ in range(2):
            assert client.post(url, data)["Location"] == reverse("stock:lots")
        for lot in lots:
            lot.refresh_from_db()
        assert (one.left_kg, two.left_kg, three.left_kg) == (8.5, 0.0, 2.0)
        assert Entry.objects.filter(kind="lot.stocktake").count() == 2

    def test_one_store_at_a_time(
        self, client_of: ClientOf, helper: Person, lots: tuple[Lot, Lot, Lot]
    ) -> None:
        client = client_of(helper)
        shown = client.get(reverse("stock:stocktake"), {"where": "cellar"}).content.decode()
        assert shown.count("reckoned: ") == 1
        for where in ("moon", "\x00", "x" * 500):
            answer = client.get(reverse("stock:stocktake"), {"where": where})
            assert answer.status_code == 200

    @pytest.mark.parametrize("wrong", ["", "much", "-2", "1e99"])
    def test_what_cannot_be_weighed_is_said(
        self, client_of: ClientOf, helper: Person, lots: tuple[Lot, Lot, Lot], wrong: str
    ) -> None:
        answer = client_of(helper).post(
            reverse("stock:stocktake"), sent(**{f"kg_{lots[0].number}": wrong})
        )
        assert answer.status_code == 200
        assert "error-summary" in answer.content.decode()
        assert not Entry.objects.filter(kind="lot.stocktake").exists()
