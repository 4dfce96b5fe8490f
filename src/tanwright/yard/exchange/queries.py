"""What the keeping page shows."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.utils import timezone

from tanwright.yard.exchange.backing_up import Backup, backups
from tanwright.yard.exchange.daily import EVERY

NARROW_BYTES = 500_000_000
"""Less free space than this is told as a warning."""


@dataclass(frozen=True)
class Keeping:
    """State of the backups and of the disk they lie on."""

    backups: list[Backup]
    late: bool
    folder: Path
    free_gb: float
    used_mb: float
    narrow: bool


def keeping() -> Keeping:
    """Backups by age, and the room that is left."""
    present = backups()
    folder: Path = settings.YARD_FOLDER
    disk = shutil.disk_usage(folder)
    late = not present or timezone.now() - present[0].made_at > 2 * EVERY
    used = sum(path.stat().st_size for path in folder.rglob("*") if path.is_file())
    return Keeping(
        backups=present,
        late=late,
        folder=folder,
        free_gb=disk.free / 1e9,
        used_mb=used / 1e6,
        narrow=disk.free < NARROW_BYTES,
    )


def backup_called(name: str) -> Backup | None:
    """The archive of this name in the yard's own folder; nothing else can be reached by it."""
    return next((backup for backup in backups() if backup.path.name == name), None)
