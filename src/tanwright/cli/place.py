"""Says of an error in which option it lies."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from tanwright.errors import InputError


@contextmanager
def placed(place: str) -> Iterator[None]:
    """Give an InputError raised inside the place ``place``, unless it names one itself."""
    try:
        yield
    except InputError as error:
        if error.place:
            raise
        raise type(error)(error.what, place=place, remedy=error.remedy) from None
