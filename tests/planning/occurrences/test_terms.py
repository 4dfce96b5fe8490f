"""The terms looked for, against published lists of them."""

from __future__ import annotations

import pytest
from dwca.darwincore.terms import TERMS

from tanwright.errors import InputError
from tanwright.planning.occurrences import terms

# Terms with which records are commonly handed out beside Darwin Core; not of the standard.
BESIDE = {"acceptedScientificName", "species"}


def test_every_term_is_in_the_list_of_the_library() -> None:
    """Other software: the term list of python-dwca-reader, made from the TDWG list of terms."""
    listed = {term.rpartition("/")[2] for term in TERMS}
    assert set(terms.WANTED) - BESIDE <= listed
    assert not BESIDE & listed


@pytest.mark.parametrize("term", [t for t in TERMS if t.rpartition("/")[2] in terms.WANTED])
def test_the_address_of_a_term_is_recognised(term: str) -> None:
    assert terms.term_of(term) == term.rpartition("/")[2]


def test_no_other_term_of_the_standard_is_taken_for_one() -> None:
    others = [term for term in TERMS if term.rpartition("/")[2] not in terms.WANTED]
    assert len(others) > 100
    assert [term for term in others if terms.term_of(term)] == []


@pytest.mark.parametrize(
    "head",
    ["decimalLatitude", "DECIMALLATITUDE", "decimal_latitude", "dwc:decimalLatitude",
     "\ufeffdecimalLatitude", '"decimalLatitude"', " decimal latitude "],
)  # fmt: skip
def test_spellings_of_a_head(head: str) -> None:
    assert terms.term_of(head) == "decimalLatitude"


@pytest.mark.parametrize("head", ["", "latitude", "verbatimLatitude", "eventDateTime", "№"])
def test_heads_that_mean_something_else(head: str) -> None:
    assert terms.term_of(head) is None


def test_what_is_missing_is_named() -> None:
    terms.need(["species", "decimalLatitude", "decimalLongitude", "year", "month"], "x")
    with pytest.raises(InputError, match="decimalLongitude or eventDate"):
        terms.need(["scientificName", "decimalLatitude", "year"], "x")
