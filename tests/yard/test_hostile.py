"""Random requests to every address of the yard: refused, redirected or answered, never a fault.

A short form here; ``TANWRIGHT_HOSTILE=10000`` sends so many, and ``TANWRIGHT_HOSTILE_SEED`` others.
"""

from __future__ import annotations

import os
import random
import uuid
from collections.abc import Callable
from typing import Any, Final

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from benchmarks.yard.addresses import Address, all_addresses, named
from tanwright.yard.exchange import demo
from tanwright.yard.exchange.backing_up import make_backup
from tanwright.yard.people.models import Person

REQUESTS: Final = int(os.environ.get("TANWRIGHT_HOSTILE", "1500"))
SEED: Final = int(os.environ.get("TANWRIGHT_HOSTILE_SEED", "1"))
METHODS: Final = ("get", "get", "get", "post", "post", "post", "post", "put", "delete", "head")
WORDS: Final = (
    "", " ", "0", "-1", "1e999", "nan", "inf", "1,5", "12 kg", "-3 kg", "١٢", "9" * 400,
    "x" * 70_000, "\x00", "a\x00b", "\ud83d\ude00", "\u202e", "\ufeff",
    "'; DROP TABLE journal_entry; --", "<script>", "{{ 7*7 }}", "{% debug %}", "../../etc/passwd",
    "%s%n", "null", "[]", "{}",
    "[" * 3000, "true",
    "2026-11-25T12:00", "0000-00-00", "9999-12-31T23:59", "1800-01-01T00:00", "2026-02-30",
    "00000000-0000-0000-0000-000000000000", "goat", "quercus-robur-bark", "bk", "lime", "1", "2.2",
    "12", "0.5", "on", "done", "\r\nSet-Cookie: a=b", "\U0010ffff",
)  # fmt: skip
NAMES: Final = (
    "name", "animal", "weight_kg", "kg", "value", "scale", "share", "note", "happened_at",
    "entry_id", "q", "page", "what", "litres", "lots", "data", "system", "next", "role",
    "password", "stage",
)  # fmt: skip

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def yard(keeper: Person, settings: Any) -> Person:
    """The demo without forecasts: here the pages matter, not the engine."""
    settings.FORECASTS = "off"
    demo.load(keeper)
    make_backup()
    return keeper


class Stranger:
    """Makes up requests; the same seed makes up the same ones."""

    def __init__(self, addresses: list[Address], seed: int) -> None:
        self.chance = random.Random(seed)
        self.addresses = addresses
        self.names = dict(named())
        self.fields: dict[str, list[str]] = {}

    def word(self) -> str:
        return self.chance.choice(WORDS)

    def path(self) -> tuple[str, str]:
        """A real address, one with a part replaced, or one with an odd query."""
        address = self.chance.choice(self.addresses)
        path = address.path
        if self.chance.random() < 0.15:
            parts = path.strip("/").split("/")
            place = self.chance.randrange(len(parts))
            parts[place] = self.chance.choice((str(uuid.uuid4()), "..", "%00", "é", "0", "a" * 300))
            path = "/" + "/".join(parts) + self.chance.choice(("", "/"))
        return address.name, path

    def form(self, name: str) -> dict[str, Any]:
        """Fields of that page's own form (as far as it has been seen), filled with anything."""
        known = self.fields.get(name, []) + self.chance.sample(NAMES, 3)
        filled: dict[str, Any] = {
            field: self.word() for field in known if self.chance.random() < 0.8
        }
        if self.chance.random() < 0.5:
            filled |= {"entry_id": str(uuid.uuid4()), "happened_at": "2026-01-05T10:00"}
        if self.chance.random() < 0.1:
            content = self.chance.choice((b"", b"GIF89a", b"\xff\xd8\xff", os.urandom(64)))
            filled["photo"] = SimpleUploadedFile("x.jpg", content, "image/jpeg")
        return filled


def test_no_request_ends_in_a_fault(
    yard: Person,
    helper: Person,
    client_of: Callable[[Person | None], Client],
    on_network: None,
    caplog: pytest.LogCaptureFixture,
) -> None:
    addresses = all_addresses(each=2)
    stranger = Stranger(addresses, SEED)
    clients = [client_of(yard), client_of(helper), client_of(None)]
    for client in clients:
        client.raise_request_exception = False
    _learn_fields(clients[0], addresses, stranger)
    faults = []
    for _ in range(REQUESTS):
        client = stranger.chance.choices(clients, (6, 2, 1))[0]
        if client is not clients[2] and "_auth_user_id" not in client.session:
            client.force_login(
                yard if client is clients[0] else helper,
                backend="django.contrib.auth.backends.ModelBackend",
            )
        faults += _send(client, stranger)
    assert not faults, "\n".join(faults[:20])


def _learn_fields(client: Client, addresses: list[Address], stranger: Stranger) -> None:
    """Which fields the forms of each page have."""
    for address in addresses:
        if address.name not in stranger.fields:
            response = client.get(address.path)
            assert response.status_code < 500, address
            if getattr(response, "streaming", False):
                response.close()
            context = response.context or ()
            forms = [value for layer in context for value in _values(layer) if _is_form(value)]
            stranger.fields[address.name] = [field for form in forms for field in form.fields]


def _values(layer: Any) -> list[Any]:
    return list(layer.flatten().values()) if hasattr(layer, "flatten") else []


def _is_form(value: Any) -> bool:
    return hasattr(value, "fields") and hasattr(value, "is_valid")


def _send(client: Client, stranger: Stranger) -> list[str]:
    name, path = stranger.path()
    method = stranger.chance.choice(METHODS)
    form = stranger.form(name)
    how: dict[str, Any] = {}
    if stranger.chance.random() < 0.2:
        how["headers"] = {"hx-request": "true", "accept-language": "x" * 200}
    if method == "post" and stranger.chance.random() < 0.1:
        how |= {"content_type": "application/json"}
        form = {"entries": [form]} if not any(_is_file(v) for v in form.values()) else {}
    if method in ("put", "delete"):
        form = {}
    try:
        response = getattr(client, method)(path, form, **how)
    except (UnicodeError, ValueError) as error:
        # The test client itself could not put the made-up request into bytes.
        if "surrogate" in str(error) or "encode" in str(error):
            return []
        raise
    if response.status_code >= 500:
        info = getattr(response, "exc_info", None)
        why = f"{info[0].__name__}: {str(info[1])[:200]}" if info else ""
        return [f"{response.status_code} {method} {name} {path[:120]} {str(form)[:300]} {why}"]
    if getattr(response, "streaming", False):
        response.close()
    return []


def _is_file(value: Any) -> bool:
    return isinstance(value, SimpleUploadedFile)
