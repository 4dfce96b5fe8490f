"""One error family for everything a person can put right.

Each error carries a stable ``code``, the ``place`` where the trouble was found and the ``remedy``
to write instead.  The command line prints ``str(error)`` as one line and exits with status 2; the
web maps ``code`` to a form error or a page.
"""

from __future__ import annotations


class TanwrightError(Exception):
    """Base of all errors that are told to the person using tanwright.

    Parameters
    ----------
    what:
        What is wrong, one plain sentence without a full stop.
    place:
        Where: a file with its line and column, an option, or a table of the sheet. May be empty.
    remedy:
        What to write instead. May be empty.
    """

    code = "error"

    def __init__(self, what: str, *, place: str = "", remedy: str = "") -> None:
        self.what = what
        self.place = place
        self.remedy = remedy
        super().__init__(what, place, remedy)

    def __str__(self) -> str:
        text = f"{self.place}: {self.what}" if self.place else self.what
        return f"{text}; {self.remedy}" if self.remedy else text

    def __reduce__(self) -> tuple[object, ...]:
        return (_rebuild, (type(self), self.what, self.place, self.remedy))


def _rebuild(kind: type[TanwrightError], what: str, place: str, remedy: str) -> TanwrightError:
    return kind(what, place=place, remedy=remedy)


class InputError(TanwrightError, ValueError):
    """A value, file, sheet or option that cannot be used as written."""

    code = "input"


class UnitError(InputError):
    """A quantity without a unit, or with one that does not fit."""

    code = "unit"


class UnknownMaterialError(InputError):
    """A plant material that the reference does not hold."""

    code = "unknown-material"


class DataError(TanwrightError):
    """Kept data that breaks one of its rules: a row of a reference table, a kept answer."""

    code = "data"


class PackageError(InputError):
    """A package of a whole yard that cannot be taken in."""

    code = "package"


class EnsembleError(TanwrightError):
    """The ensemble cannot answer: too few worlds fit the readings."""

    code = "ensemble"
