"""The list of plants, the page of one, several side by side: by keeper, helper and stranger."""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import urlencode

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.html import escape
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pytest_django import DjangoAssertNumQueries

from tanwright.errors import InputError
from tanwright.planning.plants import describe
from tanwright.reference import materials
from tanwright.yard.people.models import Person
from tanwright.yard.plants import services
from tanwright.yard.plants.forms import FindForm
from tanwright.yard.plants.models import HomePlace, OwnPlant

OAK, WILLOW, SUMAC = "quercus-robur-bark", "salix-caprea-bark", "rhus-typhina-leaf"
LIST = "/plants/"
MOST_BYTES = 150_000
ClientOf = Callable[[Person | None], Client]

pytestmark = pytest.mark.django_db


def text_of(client: Client, url: str, status: int = 200) -> str:
    answer = client.get(url)
    assert answer.status_code == status, url
    assert len(answer.content) <= MOST_BYTES, url
    return answer.content.decode()


def avoided() -> str:
    return next(item.id for item in materials.materials() if not item.may_be_suggested)


def test_the_list_is_paged_and_counts(client_of: ClientOf, helper: Person):
    client = client_of(helper)
    page = text_of(client, LIST)
    assert f"{len(materials.materials())} plant parts" in page
    assert page.count('name="id"') == 40
    assert "English oak bark" in page
    last = text_of(client, f"{LIST}?page=999")
    assert "Before" in last
    assert "Page 1 of" in text_of(client, f"{LIST}?page=elephant")


def test_filters_are_chips_that_can_be_dropped(client_of: ClientOf, helper: Person):
    page = text_of(client_of(helper), f"{LIST}?place=Germany&part=bark&q=oak&page=1")
    assert "Grows in: Germany" in page
    assert "Part of the plant: bark" in page
    assert 'href="?part=bark&amp;q=oak"' in page
    assert 'href="?place=Germany&amp;q=oak"' in page
    assert "Sicilian sumac" not in page


def test_nonsense_is_told_in_a_line_and_the_rest_still_counts(client_of: ClientOf, helper: Person):
    page = text_of(client_of(helper), f"{LIST}?place=Narnia&part=elbow&sort=taste&q=willow")
    assert "No country or region is called" in page
    assert "There is no “elbow”; pick one of the list." in page
    assert "Goat willow bark" in page
    assert "English oak bark" not in page


def test_an_empty_answer_says_what_to_do(client_of: ClientOf, helper: Person):
    page = text_of(client_of(helper), f"{LIST}?q=englisch+oke")
    assert "No plant fits all of that" in page
    assert "Show all plants" in page
    page = text_of(client_of(helper), f"{LIST}?q=salix&hazard=quarantine")
    assert "Drop one of the filters" in page


def test_the_yards_place_is_offered(client_of: ClientOf, keeper: Person):
    assert "Only what grows in" not in text_of(client_of(keeper), LIST)
    HomePlace.objects.create(place_code="DE", name="the yard", by=keeper)
    assert "Only what grows in the yard" in text_of(client_of(keeper), LIST)


@pytest.mark.parametrize(
    "url", [LIST, f"{LIST}?place=Germany&month=5&sort=strength", f"{LIST}{OAK}/",
            f"{LIST}compare/?id={OAK}&id={WILLOW}", f"{LIST}choose/"],
)  # fmt: skip
def test_few_queries(
    url: str,
    client_of: ClientOf,
    keeper: Person,
    django_assert_max_num_queries: DjangoAssertNumQueries,
):
    client = client_of(keeper)
    for id in (OAK, WILLOW, SUMAC):
        services.add_plant(id, keeper)
    with django_assert_max_num_queries(5):
        client.get(url)


def test_a_plant_shows_every_figure_with_its_source(client_of: ClientOf, helper: Person):
    page = text_of(client_of(helper), f"{LIST}{OAK}/")
    for row in materials.material(OAK).observations:
        assert row.as_given in page
        assert reverse("plants:source", args=[row.source]) in page
    assert "<svg" in page
    assert "One goat skin" in page
    assert "Quercus pedunculata" in page
    for found in describe(OAK).sources:
        assert escape(found.short.removeprefix(", ")) in page


@pytest.mark.parametrize("item", materials.materials()[::17], ids=lambda item: item.id)
def test_pages_of_all_sorts_of_plants(
    item: materials.Material, client_of: ClientOf, helper: Person
):
    page = text_of(client_of(helper), f"{LIST}{item.id}/")
    assert item.scientific_name in page
    for caution in describe(item.id).cautions:
        assert escape(caution.text) in page


def test_what_nobody_should_gather_says_so_first_and_gives_no_amount(
    client_of: ClientOf, keeper: Person
):
    page = text_of(client_of(keeper), f"{LIST}{avoided()}/")
    assert "Leave it alone" in page
    assert "One goat skin" not in page
    assert "Put it on your list" not in page
    assert page.index("Caution") < page.index("How strong it is")


def test_an_unknown_part_has_a_page(client_of: ClientOf, helper: Person):
    assert "Nobody could name it" in text_of(client_of(helper), f"{LIST}unknown-bark/")


def test_an_unknown_id_gives_near_matches(client_of: ClientOf, helper: Person):
    page = text_of(client_of(helper), f"{LIST}quercus-robus-bark/", 404)
    assert f"{LIST}{OAK}/" in page
    text_of(client_of(helper), f"{LIST}zzzzzzzz/", 404)


def test_seasons_move_with_the_yard(client_of: ClientOf, keeper: Person):
    client = client_of(keeper)
    before = text_of(client, f"{LIST}{OAK}/")
    assert "Say where your yard is" in before
    HomePlace.objects.create(place_code="SE", latitude=60.0, longitude=15.0, by=keeper)
    after = text_of(client, f"{LIST}{OAK}/")
    assert "Worked out for where your yard is" in after
    assert "about 15 April to 15 June" in before
    assert "about 15 April to 15 June" not in after


def test_a_keeper_keeps_the_list_and_its_notes(client_of: ClientOf, keeper: Person, helper: Person):
    client = client_of(keeper)
    client.post(f"{LIST}{OAK}/keep/", {"do": "add"})
    client.post(f"{LIST}{OAK}/keep/", {"do": "add"})
    assert OwnPlant.objects.count() == 1
    assert "on your list" in text_of(client, LIST)
    client.post(f"{LIST}{WILLOW}/note/", {"note": "By the old weir.\nAsk the mill."})
    page = text_of(client, f"{LIST}{WILLOW}/")
    assert "By the old weir.<br>Ask the mill." in page
    assert "Change your note" in page
    assert text_of(client, f"{LIST}?own=yes").count('class="row-main"') == 2
    client.post(f"{LIST}{OAK.upper()}/keep/", {"do": "drop"})
    assert [own.material_id for own in OwnPlant.objects.all()] == [WILLOW]
    client.post(f"{LIST}{avoided()}/keep/", {"do": "add"})
    assert OwnPlant.objects.count() == 1
    assert client.post(f"{LIST}nothing-bark/keep/").status_code == 404
    assert client.get(f"{LIST}{OAK}/keep/").status_code == 405

    other = client_of(helper)
    assert other.post(f"{LIST}{OAK}/keep/", {"do": "add"}).status_code == 403
    assert other.post(f"{LIST}{OAK}/note/", {"note": "x"}).status_code == 403
    assert "Put it on your list" not in text_of(other, f"{LIST}{OAK}/")
    with pytest.raises(InputError, match="keeper"):
        services.note_plant(OAK, "x", helper)
    with pytest.raises(InputError, match="keeper"):
        services.drop_plant(WILLOW, helper)


@pytest.mark.usefixtures("on_network")
def test_a_stranger_sees_nothing(client_of: ClientOf):
    for url in (LIST, f"{LIST}{OAK}/", f"{LIST}compare/", f"{LIST}choose/", f"{LIST}home-tests/",
                f"{LIST}almanac/", f"{LIST}reference.zip"):  # fmt: skip
        assert client_of(None).get(url).status_code == 302, url


def compared(client: Client, *ids: str) -> str:
    return text_of(client, f"{LIST}compare/?{urlencode([('id', id) for id in ids])}")


def test_side_by_side(client_of: ClientOf, helper: Person):
    page = compared(client_of(helper), OAK, WILLOW)
    assert "Please look at this again" not in page
    assert page.count('role="columnheader"') == 3
    assert 'data-of="Goat willow bark: "' in page
    assert "<svg" in page
    assert f'href="{LIST}compare/?id={WILLOW}"' in page
    assert f'href="{LIST}?id={OAK}&amp;id={WILLOW}"' in page
    listed = text_of(client_of(helper), f"{LIST}?id={OAK}&id={WILLOW}")
    assert listed.count(f'type="hidden" name="id" value="{OAK}"') == 2


def test_comparing_what_cannot_be_compared(client_of: ClientOf, helper: Person):
    client = client_of(helper)
    five = [item.id for item in materials.materials()[:5]]
    page = compared(client, *five)
    assert "5 plants were picked and only 4 fit side by side" in page
    assert page.count('role="columnheader"') == 5
    assert "Pick two plants or more" in compared(client)
    assert "Pick two plants or more" in compared(client, OAK, OAK)
    assert "No plant is called" in compared(client, OAK, WILLOW, "<script>")
    assert "<script>alert" not in compared(client, "<script>alert")


WORDS = st.text(max_size=30) | st.sampled_from(["now", "5", "Germany", "bark", "proved", "yes"])


@settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.dictionaries(st.sampled_from([*FindForm.base_fields, "id", "page"]), WORDS))
def test_any_query_gives_a_page(client_of: ClientOf, helper: Person, asked: dict[str, str]):
    text_of(client_of(helper), f"{LIST}?{urlencode(asked)}")


def test_months_are_those_of_the_place_asked_for(client_of: ClientOf, keeper: Person) -> None:
    """A yard in Germany asks for New Zealand: November is spring there."""
    HomePlace.objects.create(place_code="DE", latitude=51.0, longitude=9.0, by=keeper)
    client = client_of(keeper)

    def listed(**asked: str) -> set[str]:
        page = client.get("/plants/", {"part": "bark", **asked}).context
        return {row.id for row in page["rows"]}

    spring = listed(place="New Zealand", month="11")
    assert "phyllocladus-trichomanoides-bark" in spring
    assert "phyllocladus-trichomanoides-bark" not in listed(place="New Zealand", month="5")
    assert "quercus-robur-bark" in listed(place="Middle Europe", month="5")
