"""What may be noted while the patches of a trial are graded."""

from __future__ import annotations

from typing import Final

from tanwright.yard.journal.kinds import Kind

GRADING_KINDS: Final[tuple[Kind, ...]] = ()
