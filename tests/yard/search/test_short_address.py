"""``/go/skin-12``, which a label's picture holds, opens the page of that record."""

from __future__ import annotations

import pytest
from django.test import Client

from tanwright.yard.journal.models import Record
from tanwright.yard.journal.services import open_record
from tanwright.yard.people.local import keeper_of_this_machine
from tanwright.yard.skins.models import Skin

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("code", ["skin-1", "SKIN-1", "Skin-1"])
def test_it_leads_to_the_record(client: Client, code: str) -> None:
    skin = open_record(Skin, Record.Kind.SKIN, keeper_of_this_machine())
    answer = client.get(f"/go/{code}")
    assert answer.status_code == 302
    assert answer["Location"] == skin.get_absolute_url()


@pytest.mark.parametrize(
    "code", ["skin-2", "skin-0", "skin-", "skin", "cow-1", "skin-99999999999", "%00", "skin-٣"]
)
def test_what_no_label_says_is_told_as_missing(client: Client, code: str) -> None:
    assert client.get(f"/go/{code}").status_code == 404
