"""Django's own ``check --deploy``, and the headers that a browser gets, in every mode."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

LAN = {"TANWRIGHT_LAN": "1", "TANWRIGHT_HOSTS": "192.168.1.20 yard.local"}
ASK = """
import django; django.setup()
from django.test import Client
from django.core.management import call_command
call_command("migrate", verbosity=0)
call_command("collectstatic", verbosity=0, interactive=False)
answer = Client().get("/people/sign-in/", secure=True, HTTP_HOST="yard.local")
print(answer.status_code, dict(answer.headers), answer.cookies)
"""


def django(folder: Path, *arguments: str, **more: str) -> subprocess.CompletedProcess[str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith("TANWRIGHT_")}
    return subprocess.run(
        [sys.executable, *arguments],
        capture_output=True,
        text=True,
        env={
            **kept,
            **more,
            "TANWRIGHT_YARD": str(folder),
            "DJANGO_SETTINGS_MODULE": "tanwright.yard.config.settings",
        },
    )


def test_open_to_the_network_nothing_is_found(tmp_path: Path) -> None:
    done = django(tmp_path, "-m", "django", "check", "--deploy", "--fail-level", "WARNING", **LAN)
    assert done.returncode == 0, done.stderr
    assert "no issues" in done.stdout


def test_without_a_certificate_it_is_found_and_ours_says_why(tmp_path: Path) -> None:
    done = django(tmp_path, "-m", "django", "check", "--deploy", **LAN, TANWRIGHT_HTTPS="0")
    for told in ("security.W004", "security.W012", "security.W016", "tanwright.W005"):
        assert told in done.stderr


def test_pages_carry_every_protection(tmp_path: Path) -> None:
    done = django(tmp_path, "-c", ASK, **LAN)
    assert done.returncode == 0, done.stderr
    told = done.stdout
    assert told.startswith("200")
    for part in (
        "'X-Frame-Options': 'DENY'",
        "'X-Content-Type-Options': 'nosniff'",
        "'Strict-Transport-Security': 'max-age=3600'",
        "frame-ancestors 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "SameSite=Lax; Secure",
    ):
        assert part in told
    assert "unsafe" not in told


def test_the_models_and_their_migrations_agree(tmp_path: Path) -> None:
    done = django(tmp_path, "-m", "django", "makemigrations", "--check", "--dry-run")
    assert done.returncode == 0, done.stdout


@pytest.mark.parametrize(
    ("name", "value", "told"),
    [
        ("TANWRIGHT_LAN", "perhaps", 'TANWRIGHT_LAN: "perhaps" is neither yes nor no'),
        ("TANWRIGHT_SECRET_KEY_FILE", "/dev/null/key", "secret key: /dev/null/key cannot be read"),
    ],
)
def test_a_setting_that_cannot_be_is_told(name: str, value: str, told: str, tmp_path: Path) -> None:
    done = django(tmp_path, "-m", "django", "check", **{name: value})
    assert done.returncode != 0
    assert told in done.stderr


def test_named_hosts_count_in_a_network_only(tmp_path: Path) -> None:
    ask = "from django.conf import settings; print(settings.ALLOWED_HOSTS)"
    alone = django(tmp_path, "-c", ask, TANWRIGHT_HOSTS="yard.local").stdout
    network = django(tmp_path, "-c", ask, **LAN).stdout
    assert "yard.local" not in alone
    assert "yard.local" in network
