"""Lots against what the open tannages still have to cook, and windows in the calendar."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar
from scipy import stats

from tanwright.yard.people.models import Person
from tanwright.yard.plants.models import OwnPlant
from tanwright.yard.stock import services as stock
from tanwright.yard.stock.models import Lot
from tanwright.yard.tannage.models import Forecast, Tannage, TannageMaterial
from tanwright.yard.tannage.services import cook_in
from tanwright.yard.today.running_short import chance_short, claims, running_short

OAK = "quercus-robur-bark"
Vat = Callable[..., Tannage]


def answered(tannage: Tannage, lot: Lot, low: float, likely: float, high: float) -> None:
    """The tannage uses the lot, and its forecast says that it needs so many kg in all."""
    TannageMaterial.objects.create(tannage=tannage, lot=lot, material_id=lot.material_id)
    need = {"material_id": lot.material_id, "need_kg": {"p05": low, "p50": likely, "p95": high}}
    today = timezone.localdate()
    Forecast.objects.create(
        tannage=tannage, what="forecast", seen_from=today, of_version=tannage.version, tables={},
        answer={"kept_version": 1, "needs": [need]}, members=100, seconds=0.1,
    )  # fmt: skip


@given(
    st.floats(min_value=0.5, max_value=50.0),
    st.floats(min_value=1.1, max_value=4.0),
    st.floats(min_value=0.01, max_value=200.0),
)
def test_the_chance_is_that_of_a_lognormal_need(likely: float, spread: float, left: float) -> None:
    """Against scipy's lognormal distribution, whose 5th and 95th percentile are given."""
    sigma = stats.norm.ppf(0.95)
    need = stats.lognorm(s=math.log(spread) / sigma, scale=likely)
    found = chance_short(left, likely / spread, likely, likely * spread)
    assert found == pytest.approx(float(need.sf(left)), abs=1e-6)


def test_the_ends_of_the_chance() -> None:
    assert chance_short(0.0, 1.0, 2.0, 3.0) == 1.0
    assert chance_short(5.0, 0.0, 0.0, 0.0) == 0.0
    assert chance_short(3.0, 1.0, 2.0, 3.0) == pytest.approx(0.05)
    assert chance_short(1.0, 1.0, 2.0, 3.0) == pytest.approx(0.95)
    assert chance_short(2.0, 2.0, 2.0, 2.0) == pytest.approx(0.5)


@pytest.mark.django_db
class TestClaims:
    @pytest.fixture
    def lot(self, keeper: Person) -> Lot:
        return stock.new_lot(keeper, OAK, kg=6.0)

    def test_plenty_says_nothing(self, keeper: Person, vat: Vat, lot: Lot) -> None:
        answered(vat(), lot, 1.0, 2.0, 3.0)
        (claim,) = claims()
        assert not claim.is_short
        assert running_short(timezone.now(), "metric") == []

    def test_two_that_share_a_lot_are_added(self, keeper: Person, vat: Vat, lot: Lot) -> None:
        answered(vat(name="Goat"), lot, 2.0, 3.0, 4.5)
        answered(vat(name="Kid"), lot, 2.5, 4.0, 6.0)
        (claim,) = claims()
        assert (claim.low_kg, claim.likely_kg, claim.high_kg) == (4.5, 7.0, 10.5)
        assert claim.left_kg == 6.0
        assert 0.5 < claim.chance_short < 0.9
        (found,) = running_short(timezone.now(), "metric")
        assert "Get more English oak bark" in found.headline
        assert "Goat" in found.reason
        assert "Kid" in found.reason
        assert found.url == lot.get_absolute_url()

    def test_what_was_cooked_for_it_is_taken_off(self, keeper: Person, vat: Vat, lot: Lot) -> None:
        tannage = vat()
        answered(tannage, lot, 4.0, 5.0, 6.0)
        cook_in(
            tannage, keeper, id=uuid4(), happened_at=timezone.now(), lots={lot: 3.5}, in_litres=8.0
        )
        (claim,) = claims()
        assert (claim.low_kg, claim.likely_kg, claim.high_kg) == pytest.approx((0.5, 1.5, 2.5))
        assert claim.left_kg == pytest.approx(2.5)

    def test_ended_and_withdrawn_ones_want_nothing(self, vat: Vat, lot: Lot) -> None:
        answered(vat(state=Tannage.State.ENDED), lot, 20.0, 30.0, 40.0)
        answered(vat(withdrawn_at=timezone.now()), lot, 20.0, 30.0, 40.0)
        assert claims() == ()

    def test_list_and_page_of_the_lot_say_so(
        self, client_of: Any, helper: Person, vat: Vat, lot: Lot
    ) -> None:
        tannage = vat(name="Goat in oak")
        answered(tannage, lot, 5.0, 9.0, 14.0)
        client = client_of(helper)
        assert (
            "too little for what is planned" in client.get(reverse("stock:lots")).content.decode()
        )
        shown = client.get(lot.get_absolute_url()).content.decode()
        assert "still to be cooked" in shown
        assert tannage.get_absolute_url() in shown
        helper.system = "us"
        helper.save()
        shown = client.get(lot.get_absolute_url()).content.decode()
        assert "20 lb" in shown

    @pytest.mark.parametrize(
        "answer",
        [{}, {"needs": None}, {"needs": ["x"]}, {"needs": [{"material_id": OAK}]},
         {"needs": [{"material_id": OAK, "need_kg": {"p05": "inf", "p50": 1, "p95": 2}}]}],
    )  # fmt: skip
    def test_an_answer_that_is_not_whole_wants_nothing(
        self, vat: Vat, lot: Lot, answer: dict[str, Any]
    ) -> None:
        tannage = vat()
        answered(tannage, lot, 5.0, 9.0, 14.0)
        Forecast.objects.filter(tannage=tannage).update(answer=answer)
        assert claims() == ()


@pytest.mark.django_db
class TestWindowsInTheCalendar:
    def events(self, client_of: Any, person: Person) -> list[Any]:
        url = reverse("today:feed", args=[person.calendar_token])
        body = client_of(None).get(url).content
        return [
            event
            for event in Calendar.from_ical(body).walk("VEVENT")
            if "window" in event["CATEGORIES"].cats
        ]

    def test_a_year_of_windows_stands_in_the_feed(self, client_of: Any, keeper: Person) -> None:
        assert self.events(client_of, keeper) == []
        OwnPlant.objects.create(material_id=OAK, by=keeper)
        found = self.events(client_of, keeper)
        assert found
        assert len({str(event["UID"]) for event in found}) == len(found)
        (slips,) = [event for event in found if "bark slips" in str(event["SUMMARY"])]
        assert "best time" in str(slips["SUMMARY"])
        days = slips["DTEND"].dt - slips["DTSTART"].dt
        assert timedelta(days=20) < days < timedelta(days=120)
        assert slips["TRANSP"] == "TRANSPARENT"
        assert str(slips["URL"]).endswith(reverse("gathering:calendar"))
        again = {str(event["UID"]) for event in self.events(client_of, keeper)}
        assert again == {str(event["UID"]) for event in found}
