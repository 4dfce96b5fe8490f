"""What a keeper does with people, and what nobody else may."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from tanwright.yard.people import services
from tanwright.yard.people.models import Person
from tests.yard.people.conftest import PASSWORD

NEW = {"name": "At the beam", "role": "helper", "password": ""}


def test_add_somebody_who_comes_in_by_a_phone(
    keeper: Person, signed_in: Callable[[Person], Client]
) -> None:
    answer = signed_in(keeper).post(reverse("people:new"), NEW)
    added = Person.objects.get(name="At the beam")
    assert answer.url == reverse("people:person", args=[added.pk])
    assert added.role == "helper"
    assert not added.has_usable_password()


def test_add_somebody_with_a_password(
    keeper: Person, signed_in: Callable[[Person], Client]
) -> None:
    signed_in(keeper).post(reverse("people:new"), {**NEW, "password": "bark and water"})
    signed_in(Person.objects.get(name="At the beam"), "bark and water")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"name": ""}, "Write something here."),
        ({"name": "KEEPER  of the Yard"}, "There is already somebody called"),
        ({"password": "short"}, "too short"),
        ({"password": "password123"}, "too common"),
        ({"role": "owner"}, "Select a valid choice"),
    ],
)
def test_what_cannot_be_is_told_and_nothing_typed_is_lost(
    change: dict[str, str], told: str, keeper: Person, signed_in: Callable[[Person], Client]
) -> None:
    sent = {**NEW, **change}
    answer = signed_in(keeper).post(reverse("people:new"), sent)
    page = answer.content.decode()
    assert told in page
    assert page.count("error-summary") == 1
    assert f'value="{sent["name"]}"' in page or not sent["name"]
    assert Person.objects.count() == 1


def test_a_new_password_signs_them_out_everywhere(
    keeper: Person, helper: Person, signed_in: Callable[[Person], Client]
) -> None:
    phone = signed_in(helper)
    signed_in(keeper).post(
        reverse("people:password", args=[helper.pk]), {"password": "acorns in autumn"}
    )
    assert phone.get(reverse("people:me")).status_code == 302
    signed_in(helper, "acorns in autumn")


def test_stop_somebody_and_let_them_in_again(
    keeper: Person, helper: Person, signed_in: Callable[[Person], Client]
) -> None:
    phone, laptop = signed_in(helper), signed_in(keeper)
    url = reverse("people:stop", args=[helper.pk])
    laptop.post(url)
    assert phone.get(reverse("people:me")).status_code == 302
    laptop.post(url)
    signed_in(helper)


def test_the_last_keeper_stays(keeper: Person, signed_in: Callable[[Person], Client]) -> None:
    client = signed_in(keeper)
    page = client.post(reverse("people:stop", args=[keeper.pk]), follow=True).content.decode()
    assert "This is the last keeper" in page
    page = client.post(
        reverse("people:role", args=[keeper.pk]), {"role": "helper"}
    ).content.decode()
    assert "This is the last keeper" in page
    keeper.refresh_from_db()
    assert keeper.is_active
    assert keeper.is_keeper


def test_one_of_two_keepers_may_become_a_helper(
    keeper: Person, helper: Person, signed_in: Callable[[Person], Client]
) -> None:
    client = signed_in(keeper)
    client.post(reverse("people:role", args=[helper.pk]), {"role": "keeper"})
    client.post(reverse("people:role", args=[keeper.pk]), {"role": "helper"})
    assert client.get(reverse("people:people")).status_code == 403


PAGES = ("people", "new")
ON_ONE = ("person", "role", "password", "stop", "show-code")


@pytest.mark.parametrize("name", PAGES + ON_ONE)
@pytest.mark.parametrize("method", ["get", "post"])
def test_neither_helper_nor_stranger_may(
    name: str,
    method: str,
    keeper: Person,
    helper: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    url = reverse(f"people:{name}", args=[keeper.pk] if name in ON_ONE else [])
    before = list(Person.objects.values())
    assert getattr(signed_in(helper), method)(url).status_code == 403
    assert getattr(Client(), method)(url).url.startswith("/people/sign-in/")
    after = [{**row, "last_login": None} for row in Person.objects.values()]
    assert after == [{**row, "last_login": None} for row in before]


def test_the_list_asks_the_database_as_often_for_many(
    keeper: Person,
    signed_in: Callable[[Person], Client],
    django_assert_max_num_queries: Callable[[int], object],
) -> None:
    client = signed_in(keeper)
    for number in range(30):
        services.add_person(f"Hand {number}", "helper")
    with django_assert_max_num_queries(5):  # type: ignore[attr-defined]
        page = client.get(reverse("people:people")).content.decode()
    assert page.count('class="row"') == 31
    assert PASSWORD not in page
