"""Brings the kept columns of a trial up to date from its live entries."""

from __future__ import annotations

import uuid


def fold(trial_id: uuid.UUID) -> None:
    """Fold the entries of one trial into its kept columns."""
