"""Opening a leather from a skin that was taken out of a vat."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.urls import reverse

from tanwright.errors import InputError
from tanwright.yard.journal.models import Record
from tanwright.yard.journal.services import open_record
from tanwright.yard.leather import services
from tanwright.yard.leather.models import Leather
from tanwright.yard.skins.models import Skin
from tanwright.yard.tannage import services as tannages

URL = reverse("leather:new")


def sent(skin: Any, **more: Any) -> dict[str, Any]:
    return {"skin": str(skin.pk), "entry_id": str(uuid.uuid4()), "name": "", "aim": "", **more}


def test_a_keeper_opens_it_on_the_page_of_its_vat(
    client_of: Any, keeper: Any, tannage: Any, skin: Any
) -> None:
    client = client_of(keeper)
    url = f"{URL}?tannage={tannage.pk}&skin={skin.pk}"
    page = client.get(url).content.decode()
    assert skin.title in page
    response = client.post(url, sent(skin, name="Bag for the axe", aim="firm"))
    made = Leather.objects.get()
    assert response["Location"] == made.get_absolute_url()
    assert (made.title, made.aim, made.next_step) == ("Bag for the axe", "firm", "rinse-leather")


def test_the_form_sent_twice_opens_one(
    client_of: Any, keeper: Any, tannage: Any, skin: Any
) -> None:
    client, data = client_of(keeper), sent(skin)
    url = f"{URL}?tannage={tannage.pk}"
    client.post(url, data)
    client.post(url, data)
    assert Leather.objects.count() == 1


def test_a_skin_that_lies_in_the_vat_still_is_refused(keeper: Any, skin: Any) -> None:
    running = tannages.begin_draft(keeper)
    tannages.set_skins(running, [skin], keeper)
    with pytest.raises(InputError, match="still lies in"):
        services.open_leather(keeper, running, skin)


def test_a_skin_of_another_vat_is_refused(keeper: Any, tannage: Any) -> None:
    other = open_record(Skin, Record.Kind.SKIN, keeper, animal="deer")
    with pytest.raises(InputError, match="was not in Goat in oak"):
        services.open_leather(keeper, tannage, other)


def test_a_form_for_a_skin_that_is_not_offered_shows_an_error(
    client_of: Any, keeper: Any, tannage: Any
) -> None:
    other = open_record(Skin, Record.Kind.SKIN, keeper, animal="deer")
    page = client_of(keeper).post(f"{URL}?tannage={tannage.pk}", sent(other)).content.decode()
    assert "error-summary" in page
    assert not Leather.objects.exists()


def test_a_helper_may_not(client_of: Any, helper: Any, tannage: Any, skin: Any) -> None:
    assert client_of(helper).get(f"{URL}?tannage={tannage.pk}").status_code == 403
    with pytest.raises(PermissionDenied):
        services.open_leather(helper, tannage, skin)


def test_a_stranger_is_sent_to_sign_in(client_of: Any, tannage: Any, on_network: None) -> None:
    response = client_of(None).get(f"{URL}?tannage={tannage.pk}", secure=True)
    assert response.status_code == 302
    assert reverse("people:sign-in") in response["Location"]


@pytest.mark.parametrize("asked", ["no-id", "' OR 1=1", "0f6b2f0e-7c1a-4a53-9d55-3f0a5a0c9a11"])
def test_an_address_that_names_no_vat_is_not_found(client_of: Any, keeper: Any, asked: str) -> None:
    assert client_of(keeper).get(URL, {"tannage": asked}).status_code == 404


def test_without_a_vat_those_with_skins_out_are_offered(
    client_of: Any, keeper: Any, tannage: Any
) -> None:
    page = client_of(keeper).get(URL).content.decode()
    assert f"{URL}?tannage={tannage.pk}" in page


def test_a_vat_whose_leathers_are_open_says_so(client_of: Any, keeper: Any, leather: Any) -> None:
    page = client_of(keeper).get(f"{URL}?tannage={leather.tannage_id}").content.decode()
    assert "No skin of" in page
