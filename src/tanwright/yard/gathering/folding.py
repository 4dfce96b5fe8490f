"""Brings the kept columns of a place up to date from its live entries."""

from __future__ import annotations

import uuid


def fold(place_id: uuid.UUID) -> None:
    """Fold the entries of one place into its kept columns."""
