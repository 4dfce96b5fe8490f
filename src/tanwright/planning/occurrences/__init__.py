"""What grows here: occurrence records that a person already has, read, matched and counted.

A file of records follows Darwin Core, the open standard of Biodiversity Information Standards
(TDWG) for records of what was seen where and when: an archive (a zip with ``meta.xml``) or one
table.  It is read as a stream, so a million rows need no more memory than a thousand; what is kept
are counts by plant, cell of 0.01 degrees and month.
"""

from tanwright.planning.occurrences.nearby import Seen, materials_of, near
from tanwright.planning.occurrences.reading import MOST_SHOWN, Read, read
from tanwright.planning.occurrences.tallying import Tallies

__all__ = [
    "MOST_SHOWN",
    "Read",
    "Seen",
    "Tallies",
    "materials_of",
    "near",
    "read",
]
