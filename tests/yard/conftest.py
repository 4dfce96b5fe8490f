"""Who takes part in every test of the yard: a keeper, a helper, and somebody from outside."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from tanwright.yard.people.models import Person


@pytest.fixture
def keeper(db: None) -> Person:
    return Person.objects.create_user("Keeper of the yard", "long enough a word", role="keeper")


@pytest.fixture
def helper(db: None) -> Person:
    return Person.objects.create_user("Helper in the yard", "long enough a word", role="helper")


@pytest.fixture
def client_of() -> Callable[[Person | None], Client]:
    """A browser in which this person is signed in; ``None`` for a stranger."""

    def make(person: Person | None) -> Client:
        client = Client()
        if person is not None:
            client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
        return client

    return make


@pytest.fixture
def on_network(settings: Any) -> None:
    """The yard as it is when it is open to the local network: accounts are needed."""
    settings.LAN = True


@pytest.fixture(autouse=True)
def own_folder(settings: Any, tmp_path: Path) -> None:
    """Photos and backups of a test stay in its own folder."""
    settings.PHOTO_FOLDER = tmp_path / "photos"
    settings.BACKUP_FOLDER = tmp_path / "backups"
    settings.STORAGES = {
        **settings.STORAGES,
        "default": {
            "BACKEND": "django.core.files.storage.FileSystemStorage",
            "OPTIONS": {"location": tmp_path / "photos"},
        },
    }
