"""Every named address of the yard with values for its parts: a new page enrols itself."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import product
from typing import Any
from uuid import UUID

from django.urls import URLPattern, URLResolver, get_resolver, reverse

Parts = Mapping[str, Mapping[str, Any]]
"""What stands for the parts of an address: by its name, or by its area; then by part."""


@dataclass(frozen=True)
class Address:
    """A name of the urlconf, and one path that it stands for."""

    name: str
    path: str


def all_addresses(parts: Parts) -> list[Address]:
    """Each named address with each value. Raises LookupError for a part without a value."""
    found = []
    for name, wanted in _named(get_resolver().url_patterns, ""):
        for values in product(*(_values(name, part, parts) for part in wanted)):
            path = reverse(name, kwargs=dict(zip(wanted, values, strict=True)))
            found.append(Address(name, path))
    return found


def _named(
    patterns: list[URLPattern | URLResolver], area: str
) -> Iterator[tuple[str, tuple[str, ...]]]:
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            inside = f"{area}{pattern.namespace}:" if pattern.namespace else area
            yield from _named(pattern.url_patterns, inside)
        elif pattern.name:
            yield (
                f"{area}{pattern.name}",
                tuple(re.findall(r"<(?:\w+:)?(\w+)>", str(pattern.pattern))),
            )


def _values(name: str, part: str, parts: Parts) -> list[Any]:
    """What stands for ``part`` in the address ``name``: of that address itself, or of its area."""
    for known in (parts.get(name, {}), parts.get(name.partition(":")[0], {})):
        if part in known:
            value = known[part]
            return [value] if isinstance(value, str | int | UUID) else list(value)
    raise LookupError(f"the small yard has no <{part}> for the address {name}")
