"""A yard opens without loading what only some pages need: the engine and its libraries."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[3]
HEAVY = ("numba", "scipy", "pandas", "statsmodels", "choix", "pydoe", "dwca", "typst")
LOAD = f"""
import sys, django
django.setup()
from django.urls import get_resolver
assert get_resolver().url_patterns
print(*(name for name in {HEAVY!r} if name in sys.modules))
"""


def test_all_pages_are_loaded_without_the_engine() -> None:
    done = subprocess.run(
        [sys.executable, "-c", LOAD],
        env={**os.environ, "DJANGO_SETTINGS_MODULE": "tests.yard_settings"},
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
    )
    assert done.stdout.split() == []
