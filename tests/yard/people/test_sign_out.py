"""Signing out ends the session for good."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.conf import settings
from django.test import Client

from tanwright.yard.people.models import Device, Person

URL = "/people/sign-out/"


@pytest.mark.parametrize("who", ["keeper", "helper"])
def test_the_session_is_over(
    who: str, request: pytest.FixtureRequest, signed_in: Callable[[Person], Client]
) -> None:
    client = signed_in(request.getfixturevalue(who))
    old = client.cookies[settings.SESSION_COOKIE_NAME].value
    assert client.post(URL).url == "/people/sign-in/"
    client.cookies[settings.SESSION_COOKIE_NAME] = old
    assert client.get("/people/me/").status_code == 302
    assert Device.objects.get().revoked_at is not None


def test_a_link_does_not_sign_anybody_out(
    keeper: Person, signed_in: Callable[[Person], Client]
) -> None:
    client = signed_in(keeper)
    assert client.get(URL).status_code == 405
    assert client.get("/people/me/").status_code == 200


def test_a_stranger_is_asked_to_sign_in(db: None) -> None:
    assert Client().post(URL).url.startswith("/people/sign-in/")
