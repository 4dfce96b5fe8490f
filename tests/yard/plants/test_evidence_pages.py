"""Home tests, sources, contradictions and the tables to take along."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from urllib.parse import urlencode

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.html import escape
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tanwright.planning import almanac
from tanwright.planning.home_tests import home_tests, judge
from tanwright.reference import materials
from tanwright.reference.sources import sources
from tanwright.yard.people.models import Person
from tanwright.yard.plants.home_tests_views import at_home

TESTS, ALMANAC = "/plants/home-tests/", "/plants/almanac/"
ClientOf = Callable[[Person | None], Client]

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(client_of: ClientOf, helper: Person) -> Client:
    return client_of(helper)


def text_of(client: Client, url: str, status: int = 200) -> str:
    answer = client.get(url)
    assert answer.status_code == status, url
    assert len(answer.content) <= 150_000, url
    return answer.content.decode()


def test_every_test_says_how_and_every_caution_stands_there(client: Client):
    page = text_of(client, TESTS)
    for test in home_tests():
        assert escape(test.name[:1].upper() + test.name[1:]) in page
        if test.place == "home":
            assert all(escape(step[:1].upper() + step[1:]) in page for step in test.how)
            assert all(escape(caution.text) in page for caution in test.cautions)
            assert f'name="{test.id}"' in page
        else:
            assert f'name="{test.id}"' not in page


def test_results_are_judged_by_the_engine(client: Client):
    test = next(each for each in at_home() if each.id == "iron")
    result = test.results[0]
    page = text_of(client, f"{TESTS}?part=bark&{test.id}={result.id}")
    judged = judge("bark", {test.id: result.id})
    assert escape(judged.verdict.partition(". ")[0].rstrip(".")) in page
    for share in judged.classes.values():
        assert f"{100.0 * share:.0f} %" in page
    assert all(escape(limit[:1].upper() + limit[1:]) in page for limit in judged.limits)


def test_a_keeper_may_keep_what_proved_good(client_of: ClientOf, keeper: Person, client: Client):
    good, bad = f"{TESTS}?part=bark&gelatin=curds", f"{TESTS}?part=bark&gelatin=nothing"
    way = f"{reverse('stock:new')}?plant=unknown-bark"
    assert way in text_of(client_of(keeper), good)
    assert way not in text_of(client_of(keeper), bad)
    assert way not in text_of(client, good)


def test_sources_with_tannin_figures_come_before_lists_of_places(client: Client):
    page = text_of(client, ALMANAC)
    assert page.index("The Principles of Leather Manufacture") < page.index("ISO 3166")


def test_a_named_plant_brings_its_own_part(client: Client):
    page = text_of(client, f"{TESTS}?part=bark&plant=sicilian+sumac+leaf")
    judged = judge("leaf", {}, "rhus-coriaria-leaf")
    assert escape(judged.verdict.partition(". ")[0].rstrip(".")) in page


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("part=elbow", "There is no “elbow”"),
        ("part=bark&plant=triffid", "No material is called"),
        ("part=bark&plant=oak", "fits"),
        ("part=bark&iron=pink-with-stars", "There is no “pink-with-stars”"),
        ("iron=blue-black", "Choose one."),
    ],
)
def test_nonsense_is_told_beside_its_field(client: Client, query: str, said: str):
    page = text_of(client, f"{TESTS}?{query}")
    assert "Please look at this again" in page
    assert said in page
    assert "next-headline" not in page


WORDS = st.text(max_size=20) | st.sampled_from(["bark", "blue-black", "none", "English oak bark"])


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.dictionaries(st.sampled_from(["part", "plant", *(t.id for t in home_tests())]), WORDS))
def test_any_query_gives_a_page(client_of: ClientOf, helper: Person, asked: dict[str, str]):
    text_of(client_of(helper), f"{TESTS}?{urlencode(asked)}")


def test_every_source_has_its_page(client: Client):
    page = text_of(client, ALMANAC)
    for found in sources():
        assert f'href="{ALMANAC}{found.key}/"' in page
        assert escape(found.short.removeprefix(", ")) in page
    for found in sources()[::12]:
        assert escape(found.author) in text_of(client, f"{ALMANAC}{found.key}/")
    assert "To the sources" in text_of(client, f"{ALMANAC}no-such-book/", 404)


def test_a_source_lists_its_figures(client: Client):
    page = text_of(client, f"{ALMANAC}bennett1921/")
    for row in materials.observations():
        if row.source == "bennett1921":
            assert f'href="/plants/{row.material_id}/"' in page


def test_every_contradiction_is_told_with_its_sides(client: Client):
    page = text_of(client, "/plants/contradictions/")
    told = almanac.contradictions()
    assert told
    for each in told:
        assert escape(each.what_is_done[1:]) in page
        for side in each.sides:
            assert escape(side.says[1:]) in page
            assert all(f'href="{ALMANAC}{key}/"' in page for key in side.sources)


def test_the_tables_come_as_a_zip(client: Client):
    answer = client.get("/plants/reference.zip")
    assert answer["Content-Type"] == "application/zip"
    with zipfile.ZipFile(io.BytesIO(answer.content)) as packed:
        assert packed.testzip() is None
        names = packed.namelist()
    assert any(name.endswith("observations.csv") for name in names)
    assert any(name.endswith("references.bib") for name in names)
