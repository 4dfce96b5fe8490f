"""A full yard is searched with a handful of queries, however much lies in it."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tanwright.yard.journal.models import Entry, Record
from tanwright.yard.journal.services import open_record
from tanwright.yard.people.local import keeper_of_this_machine
from tanwright.yard.search.asked import asked
from tanwright.yard.search.entries import entries
from tanwright.yard.search.queries import records
from tanwright.yard.skins.models import Skin

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("count", [1, 40])
def test_the_number_of_queries_does_not_grow(
    count: int,
    note: Callable[..., Entry],
    client: Client,
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    for _ in range(count):
        note(open_record(Skin, Record.Kind.SKIN, keeper_of_this_machine(), name="Roe"), "a roe")
    with django_assert_num_queries(8):
        records(asked("roe"))
        entries(asked("roe"), "metric")
