"""What is worked out once is there before the first visitor."""

from __future__ import annotations

import pytest
from django.test import Client

from tanwright.yard.people.models import Person
from tanwright.yard.plants import almanac_views, catalogue, warming


def test_it_needs_no_database() -> None:
    """Pytest refuses a database to a test without its mark."""
    catalogue.catalogue.cache_clear()
    almanac_views.all_contradictions.cache_clear()
    warming.warm()
    assert catalogue.catalogue.cache_info().currsize == 1
    assert almanac_views.all_contradictions.cache_info().currsize == 1


@pytest.mark.django_db
def test_it_fills_what_the_first_ranking_asks_for(client_of: object, helper: Person) -> None:
    """The form's first answer is for the skin and the leather that were warmed."""
    client: Client = client_of(helper)  # type: ignore[operator]
    purpose = client.get("/plants/choose/").context["purpose"]
    assert (purpose.animal, purpose.leather) == (warming.ANIMAL, warming.LEATHER)
