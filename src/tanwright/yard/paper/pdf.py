"""The templates of this area, set as PDF."""

from __future__ import annotations

from importlib.resources import files
from typing import Any

from tanwright.planning import typesetting


def set_pages(name: str, data: dict[str, Any]) -> bytes:
    """The template ``typeset/<name>.typ`` set with ``data`` (JSON's own types), as PDF."""
    template = files(__package__).joinpath("typeset", f"{name}.typ").read_bytes()
    return typesetting.set_pages(template, data)
