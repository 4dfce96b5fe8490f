"""The year of the person's own plants, what is brought up of it, and stands that grow again."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from django.utils.html import escape

from tanwright.errors import InputError
from tanwright.reference import materials, rotations, seasons
from tanwright.yard.gathering import services
from tanwright.yard.gathering.calendar import year_of
from tanwright.yard.gathering.due import AFTER_DAYS, AHEAD_DAYS, LOOK_DAYS, due, stock_wanted
from tanwright.yard.gathering.models import Place
from tanwright.yard.gathering.regrowth import stand_of
from tanwright.yard.people.models import Person
from tanwright.yard.plants.models import HomePlace, OwnPlant
from tanwright.yard.stock import services as stock

OAK, WILLOW = "quercus-robur-bark", "salix-caprea-bark"
YEAR = timezone.localdate().year
ClientOf = Callable[[Person | None], Client]

pytestmark = pytest.mark.django_db


@pytest.fixture
def own_oak(keeper: Person) -> OwnPlant:
    return OwnPlant.objects.create(material_id=OAK, by=keeper)


def opening(material_id: str = OAK) -> date:
    """When the best time of the plant begins, as the reference tells it."""
    found = seasons.windows_for(material_id, latitude=None, year=YEAR)
    return next(window.start for window in found if window.best)


def at(day: date) -> datetime:
    return timezone.make_aware(datetime(day.year, day.month, day.day, 12))


def test_without_plants_it_teaches(client_of: ClientOf, helper: Person) -> None:
    shown = client_of(helper).get(reverse("gathering:calendar")).content.decode()
    assert "No plant of your own yet" in shown
    assert reverse("plants:plants") in shown


def test_the_year_tells_the_windows_of_the_reference(own_oak: OwnPlant) -> None:
    year = year_of(YEAR, date(YEAR, 5, 10))
    assert year.now is not None
    assert year.now.name == "May"
    for window in seasons.windows_for(OAK, latitude=None, year=YEAR):
        month = year.months[window.start.month - 1]
        found = [one for one in month.windows if one.window.start == window.start]
        assert found
        assert found[0].window.best == window.best
    best = next(one for one in year.now.windows if one.window.best)
    assert best.window.material_id == OAK


def test_further_north_it_is_later(own_oak: OwnPlant, keeper: Person) -> None:
    """Hopkins's law: a degree further north is about four days later in spring."""

    def begins() -> date:
        months = year_of(YEAR, date(YEAR, 5, 10)).months
        return next(one.window.start for month in months for one in month.windows
                    if one.window.best)  # fmt: skip

    HomePlace.objects.create(latitude=50.0, longitude=9.0, altitude_m=0.0, by=keeper)
    south = begins()
    HomePlace.objects.update(latitude=55.0)
    assert (begins() - south).days == pytest.approx(20, abs=1)


def test_a_region_of_the_south_turns_the_year_and_one_of_the_tropics_has_no_days(
    own_oak: OwnPlant, keeper: Person
) -> None:
    home = HomePlace.objects.create(place_code="NZ", by=keeper)
    year = year_of(YEAR, date(YEAR, 5, 1))
    starts = {one.window.start for month in year.months for one in month.windows if one.window.best}
    assert starts
    assert all(start.month >= 9 for start in starts)
    home.place_code = "KE"
    home.save()
    year = year_of(YEAR, date(YEAR, 5, 1))
    assert not any(month.windows for month in year.months)
    assert year.without_days


def test_years_of_plenty_are_noted_where_the_window_opens(
    client_of: ClientOf, keeper: Person
) -> None:
    """Of the first plant whose window comes with a note in the reference."""
    noted = next(
        window
        for item in materials.materials()
        for window in seasons.windows_for(item.id, latitude=None, year=YEAR)
        if window.note and not window.all_year and window.start.year == YEAR
    )
    OwnPlant.objects.create(material_id=noted.material_id, by=keeper)
    months = year_of(YEAR, date(YEAR, 1, 10)).months
    told = [one.note for month in months for one in month.windows if one.note]
    assert any(noted.note.rstrip(".")[1:] in note for note in told)
    shown = client_of(keeper).get(reverse("gathering:calendar"), {"year": YEAR}).content.decode()
    assert escape(noted.note.rstrip(".")[1:]) in shown


def test_best_is_said_in_words(client_of: ClientOf, keeper: Person, own_oak: OwnPlant) -> None:
    shown = client_of(keeper).get(reverse("gathering:calendar"), {"year": YEAR}).content.decode()
    assert "best time" in shown
    assert "bark slips" in shown
    assert "Nobody has said where your yard is" in shown
    assert len(shown) < 60_000


@pytest.mark.parametrize("year", ["", "0", "9999", "next", "20٢6", "-1", "2026.5", "\x00"])
def test_any_year_in_the_address_is_answered(
    client_of: ClientOf, keeper: Person, own_oak: OwnPlant, year: str
) -> None:
    answer = client_of(keeper).get(reverse("gathering:calendar"), {"year": year})
    assert answer.status_code == 200


def test_an_opening_is_brought_up_only_around_it_and_when_stock_is_low(
    own_oak: OwnPlant, keeper: Person
) -> None:
    opens = opening()

    def told(day: date) -> list[str]:
        return [one.headline for one in due(at(day)) if one.kind == "window"]

    for days in (-AHEAD_DAYS, 0, AFTER_DAYS):
        (headline,) = told(opens + timedelta(days=days))
        assert "bark slips" in headline
        assert re.search(rf"about {opens.day} {opens:%B}", headline)
    for days in (-AHEAD_DAYS - 1, AFTER_DAYS + 1):
        assert told(opens + timedelta(days=days)) == []
    assert stock_wanted((OAK,)) == (OAK,)
    stock.new_lot(keeper, OAK, kg=200.0)
    assert told(opens) == []


def test_a_place_is_worth_a_look_when_its_season_opens(windfall: Place) -> None:
    assert windfall.look_on is not None
    assert windfall.look_on > timezone.localdate()
    assert "bark slips" in windfall.look_why
    before, then = at(windfall.look_on - timedelta(days=1)), at(windfall.look_on)
    assert due(before) == []
    (found,) = due(then)
    assert found.headline == f"Look at {windfall.title}"
    assert found.weight < 0.3
    assert due(at(windfall.look_on + timedelta(days=LOOK_DAYS + 1))) == []


def test_a_day_that_somebody_named_stands_in_the_calendar_ahead(
    windfall: Place, helper: Person
) -> None:
    again = timezone.localdate() + timedelta(days=50)
    services.log(windfall, "visited", {"again_on": again}, helper)
    (found,) = due(timezone.now())
    assert found.at is not None
    assert timezone.localtime(found.at).date() == again


def test_what_waits_and_leave_that_ends_are_brought_up(
    windfall: Place, helper: Person, keeper: Person
) -> None:
    services.gather(windfall, helper, OAK, kg=4.0)
    until = timezone.localdate() + timedelta(days=5)
    services.log(windfall, "permission", {"permission": "given", "until": until}, keeper)
    headlines = [one.headline for one in due(timezone.now())]
    assert any("into stock" in one for one in headlines)
    assert any("Leave to gather" in one for one in headlines)


def willow(keeper: Person, **facts: object) -> Place:
    return services.open_place(keeper, "coppice", plants=WILLOW, permission="given", **facts)


def test_a_stand_may_be_cut_again_after_the_printed_rotation(keeper: Person) -> None:
    told = rotations.regrowth_of(WILLOW)
    assert told.years_low is not None
    assert told.years_high is not None
    cut_at = timezone.now() - timedelta(days=200)
    stand = willow(keeper)
    services.log(stand, "cut", {}, keeper, happened_at=cut_at)
    on = timezone.localtime(cut_at).date()
    assert stand.cut_from is not None
    assert stand.cut_to is not None
    assert (stand.cut_from - on).days == pytest.approx(365.25 * told.years_low, abs=2)
    assert (stand.cut_to - on).days == pytest.approx(365.25 * told.years_high, abs=2)
    page = stand_of(stand, timezone.localdate(), "metric")
    assert page is not None
    assert "Nothing of it should be cut before" in page.words
    assert page.sources


def test_parts_are_cut_in_turn_and_never_add_up_to_more_than_the_stand(keeper: Person) -> None:
    stand = willow(keeper, compartments=4)
    for n, part in enumerate(("north", "gate", "bend")):
        services.log(
            stand, "cut", {"part": part}, keeper,
            happened_at=timezone.now() - timedelta(days=1000 - 300 * n),
        )  # fmt: skip
    page = stand_of(stand, timezone.localdate(), "metric")
    assert page is not None
    assert len(page.pieces) == 4
    with pytest.raises(InputError) as caught:
        services.log(stand, "cut", {"part": "heath", "share_pct": 60.0}, keeper)
    assert caught.value.place == "share_pct"


def test_cut_too_soon_the_page_says_what_it_does(
    client_of: ClientOf, keeper: Person, helper: Person
) -> None:
    stand = willow(keeper, stools=60)
    for days in (400, 30):
        services.log(stand, "cut", {}, helper, happened_at=timezone.now() - timedelta(days=days))
    shown = client_of(helper).get(stand.get_absolute_url()).content.decode()
    assert "Stumps cut too often grow weak and die" in shown
