"""Signing in: who gets in, who does not, and after how many tries nobody does."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tanwright.yard.people.models import Device, Person
from tests.yard.people.conftest import PASSWORD

URL = "/people/sign-in/"


def sign_in(client: Client, name: str, password: str, **more: str) -> Any:
    return client.post(URL, {"name": name, "password": password, **more})


@pytest.mark.parametrize("who", ["keeper", "helper"])
def test_name_and_password_lead_to_today(who: str, request: pytest.FixtureRequest) -> None:
    person: Person = request.getfixturevalue(who)
    client = Client()
    answer = sign_in(client, person.name, PASSWORD)
    assert (answer.status_code, answer.url) == (302, "/")
    assert client.get(reverse("people:me")).status_code == 200
    assert Device.objects.get(person=person).session_key == client.session.session_key


def test_a_stranger_is_led_to_the_page_and_back(keeper: Person) -> None:
    client = Client()
    goal = reverse("people:me")
    answer = client.get(goal)
    assert answer.url == f"{URL}?next={goal}"
    page = client.get(answer.url).content.decode()
    assert f'name="next" value="{goal}"' in page
    assert sign_in(client, keeper.name, PASSWORD, next=goal).url == goal


@pytest.mark.parametrize(
    "goal", ["bk", "https://evil.example/", "//evil.example", "javascript:alert(1)"]
)
def test_it_leads_to_no_other_site(goal: str, keeper: Person) -> None:
    assert sign_in(Client(), keeper.name, PASSWORD, next=goal).url == "/"


def test_capitals_and_blanks_of_a_name_make_no_difference(db: None) -> None:
    Person.objects.create_user("Ärztin im Hof", PASSWORD)
    assert sign_in(Client(), "  äRZTIN  im hof ", PASSWORD).status_code == 302


def test_a_wrong_password_is_told_in_words_and_the_name_stays(keeper: Person) -> None:
    answer = sign_in(Client(), keeper.name, "not this one at all")
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "This name and this password do not belong together" in page
    assert f'value="{keeper.name}"' in page
    assert "not this one at all" not in page


def test_after_five_wrong_passwords_even_the_right_one_is_refused(
    keeper: Person, helper: Person
) -> None:
    client = Client()
    for spelling in (keeper.name, keeper.name.upper(), keeper.name, keeper.name.lower()):
        assert sign_in(client, spelling, "wrong").status_code == 200
    locked = sign_in(client, keeper.name, "wrong")
    assert locked.status_code == 429
    assert "Too many tries" in locked.content.decode()
    assert sign_in(client, keeper.name, PASSWORD).status_code == 429
    assert sign_in(client, helper.name, PASSWORD).status_code == 302


def test_who_was_stopped_does_not_come_in(helper: Person) -> None:
    helper.is_active = False
    helper.save()
    assert sign_in(Client(), helper.name, PASSWORD).status_code == 200


def test_somebody_without_a_password_cannot_be_guessed(db: None) -> None:
    Person.objects.create_user("Paired only")
    for guess in ("", "!", "None"):
        assert sign_in(Client(), "Paired only", guess).status_code == 200


def test_a_form_from_elsewhere_is_refused(keeper: Person) -> None:
    client = Client(enforce_csrf_checks=True)
    assert sign_in(client, keeper.name, PASSWORD).status_code == 403


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(name=st.text(max_size=80), password=st.text(max_size=300))
def test_nothing_that_can_be_typed_breaks_the_page(
    keeper: Person, settings: Any, name: str, password: str
) -> None:
    settings.AXES_ENABLED = False
    answer = sign_in(Client(), name, password)
    assert answer.status_code == 200
    assert "sessionid" not in answer.cookies
