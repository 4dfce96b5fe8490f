"""A vat that takes more of a liquor or a lot than was noted there: told in words, never refused."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from tanwright.yard.liquors import services as liquors
from tanwright.yard.people.models import Person
from tanwright.yard.stock import services as stock
from tanwright.yard.tannage.models import Tannage

from .conftest import form_of

ClientOf = Callable[[Person | None], Client]


@pytest.mark.parametrize(("litres", "left", "over"), [("5", 7.0, 0.0), ("15", 0.0, 3.0)])
def test_a_liquor_poured_into_a_vat(
    running: Tannage,
    keeper: Person,
    client_of: ClientOf,
    litres: str,
    left: float,
    over: float,
) -> None:
    lot = stock.new_lot(keeper, "quercus-robur-bark", kg=4.0)
    liquor = liquors.cook(keeper, {lot: 3.0}, 16.0, volume_l=12.0)
    url = reverse("tannage:log", args=[running.pk, "pour"])
    said = form_of(litres=litres, how="swap", liquor=str(liquor.pk))
    page = client_of(keeper).post(url, said, follow=True).content.decode()
    liquor.refresh_from_db()
    assert (liquor.volume_l, liquor.over_l) == (left, over)
    assert ("more was taken of" in page) == (over > 0.0)
    assert (
        running.get_absolute_url()
        in client_of(keeper).get(liquor.get_absolute_url()).content.decode()
    )


def test_a_lot_cooked_in_a_vat(running: Tannage, keeper: Person, client_of: ClientOf) -> None:
    lot = stock.new_lot(keeper, running.materials.first().material_id, kg=1.0)  # type: ignore[union-attr]
    url = reverse("tannage:log", args=[running.pk, "cook"])
    page = client_of(keeper).get(url).content.decode()
    assert str(lot.pk) in page
    said = form_of(lot=str(lot.pk), kg="3", in_litres="8")
    page = client_of(keeper).post(url, said, follow=True).content.decode()
    lot.refresh_from_db()
    assert (lot.left_kg, lot.over_kg) == (0.0, 2.0)
    assert "2 kg more was taken" in page
