"""How long work tells where it is, without knowing who listens."""

from __future__ import annotations

from collections.abc import Callable

Progress = Callable[[str, float], None]
"""Called with what is being done, in plain words, and the share of the work done, 0 to 1."""


def silent(what: str, share: float) -> None:
    """A listener that tells nobody."""
