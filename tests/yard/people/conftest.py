"""A yard that is open to the network, and a browser that signed in as a person does."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from axes.utils import reset
from django.test import Client
from django.urls import reverse

from tanwright.yard.people.models import Person

PASSWORD = "long enough a word"


@pytest.fixture(autouse=True)
def open_yard(on_network: None, db: None) -> None:
    reset()


@pytest.fixture
def signed_in() -> Callable[[Person], Client]:
    """A browser that came in through the sign-in page, with a device of its own."""

    def make(person: Person, password: str = PASSWORD) -> Client:
        client = Client()
        answer = client.post(reverse("people:sign-in"), {"name": person.name, "password": password})
        assert answer.status_code == 302
        return client

    return make
