"""Without ``--lan`` the yard asks for no sign-in, and answers nobody but its own machine."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from tanwright.yard.people.models import Person


@pytest.fixture(autouse=True)
def closed(settings: Any, open_yard: None) -> None:
    settings.LAN = False
    settings.ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]"]


def ask(**meta: str) -> int:
    return Client().get("/people/me/", **{"HTTP_HOST": "127.0.0.1:8000", **meta}).status_code


def test_who_sits_here_is_the_keeper(db: None) -> None:
    page = Client().get("/people/me/", HTTP_HOST="localhost")
    assert page.status_code == 200
    assert page.context["person"].is_keeper
    assert Person.objects.count() == 1


@pytest.mark.parametrize("address", ["127.0.0.1", "127.0.0.2", "::1", "::ffff:127.0.0.1"])
def test_the_own_machine_by_any_of_its_addresses(address: str) -> None:
    assert ask(REMOTE_ADDR=address) == 200


@pytest.mark.parametrize("address", ["192.168.1.7", "10.0.0.1", "::ffff:10.0.0.1", "fe80::1", ""])
def test_another_machine_is_refused(address: str) -> None:
    assert ask(REMOTE_ADDR=address) == 403


@pytest.mark.parametrize("header", ["HTTP_X_FORWARDED_FOR", "HTTP_FORWARDED", "HTTP_X_REAL_IP"])
def test_a_proxy_that_passes_others_on_is_refused(header: str) -> None:
    assert ask(**{header: "127.0.0.1"}) == 403


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1.evil.example", "localhost.evil.example", "192.168.1.7"]
)
def test_a_name_of_another_site_is_refused(host: str) -> None:
    """DNS rebinding: a page elsewhere points its own name at this machine."""
    assert ask(HTTP_HOST=host) == 400


def test_a_page_elsewhere_cannot_send_a_form(db: None) -> None:
    client = Client(enforce_csrf_checks=True)
    answer = client.post("/people/me/units/", {"units": "us"}, HTTP_HOST="127.0.0.1:8000")
    assert answer.status_code == 403
    assert not Person.objects.filter(system="us").exists()


def test_signing_out_leads_nowhere_strange(db: None) -> None:
    assert Client().post("/people/sign-out/", HTTP_HOST="localhost").url == "/"
