"""``tanwright doctor``: every check of the yard, well or not, each with its id and cure."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Finding:
    """One check: what it looks at, and what is wrong with the cure (both empty when well)."""

    id: str
    well: str
    trouble: str
    cure: str


def findings(yard: Path | None = None) -> list[Finding]:
    """Look at the yard in ``yard`` (else where it usually is) without changing it.

    Raises InputError when its settings cannot be read at all.
    """
    if yard is not None:
        os.environ["TANWRIGHT_YARD"] = str(yard.expanduser().absolute())
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tanwright.yard.config.settings")
    import django

    django.setup()
    from tanwright.yard.config.checks import CHECKS

    found = []
    for check in CHECKS:
        told = check.look()
        trouble, cure = (str(told.msg), str(told.hint or "")) if told else ("", "")
        found.append(Finding(check.id, check.well, trouble, cure))
    return found
