"""Every named address of the yard with values for its parts: a new page enrols itself."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver, reverse

Parts = Mapping[str, Mapping[str, Any]]
"""What stands for the parts of an address: by its name, or by its area; then by part."""


@dataclass(frozen=True)
class Address:
    """A name of the urlconf, and one path that it stands for."""

    name: str
    path: str


def all_addresses(parts: Parts) -> list[Address]:
    """Each named address once. Raises LookupError for a part that ``parts`` has no value for."""
    return [
        Address(name, reverse(name, kwargs=_values(name, wanted, parts)))
        for name, wanted in _named(get_resolver().url_patterns, "")
    ]


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


def _values(name: str, wanted: tuple[str, ...], parts: Parts) -> dict[str, Any]:
    area = name.partition(":")[0]
    values = {}
    for part in wanted:
        for known in (parts.get(name, {}), parts.get(area, {})):
            if part in known:
                values[part] = known[part]
                break
        else:
            raise LookupError(f"the small yard has no <{part}> for the address {name}")
    return values
