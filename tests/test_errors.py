"""One error family: a stable code, one line, fields that survive being sent elsewhere."""

from __future__ import annotations

import pickle
import re

import pytest

from tanwright import errors
from tanwright.errors import InputError, TanwrightError, UnitError

FAMILY = [
    kind
    for kind in vars(errors).values()
    if isinstance(kind, type) and issubclass(kind, TanwrightError)
]


def test_place_what_and_remedy_make_one_line() -> None:
    assert str(InputError("no unit")) == "no unit"
    assert str(InputError("no unit", remedy="write 2 kg")) == "no unit; write 2 kg"
    told = InputError("no unit", place="--have", remedy="write 2 kg")
    assert str(told) == "--have: no unit; write 2 kg"


@pytest.mark.parametrize("kind", FAMILY)
def test_errors_survive_pickling(kind: type[TanwrightError]) -> None:
    sent = pickle.loads(pickle.dumps(kind("what", place="where", remedy="how")))
    assert type(sent) is kind
    assert (sent.what, sent.place, sent.remedy) == ("what", "where", "how")


def test_codes_are_stable_words_and_differ() -> None:
    codes = [kind.code for kind in FAMILY]
    assert len(set(codes)) == len(codes)
    assert all(re.fullmatch(r"[a-z]+(-[a-z]+)*", code) for code in codes)


def test_bad_input_is_a_value_error_too() -> None:
    assert issubclass(UnitError, ValueError)
    assert not issubclass(TanwrightError, ValueError)
