"""Where something lies: an error in its option, a place above the sea."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from tanwright.errors import InputError


def metres_up(height: str | None, latitude: float | None) -> float:
    """Metres above the sea of the option --height; 0 when it is not given.

    Raises InputError for no height, or for one without a latitude, as it alone moves no days.
    """
    from tanwright import units

    if height is None:
        return 0.0
    try:
        metres = units.length_mm(height) / 1000.0
    except InputError as error:
        raise InputError(error.what, place="--height", remedy="write 350 m or 1200 ft") from None
    if latitude is None:
        raise InputError(
            "a height alone moves no days", place="--height", remedy="add --latitude, like 51.2"
        )
    return metres


@contextmanager
def placed(place: str) -> Iterator[None]:
    """Give an InputError raised inside the place ``place``, unless it names one itself."""
    try:
        yield
    except InputError as error:
        if error.place:
            raise
        raise type(error)(error.what, place=place, remedy=error.remedy) from None
