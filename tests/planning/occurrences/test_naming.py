"""Names of records matched to plants of the reference."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.planning.occurrences.naming import Match, Names, reference_names, taken_apart
from tanwright.reference.materials import materials

OAK, GENUS = Match("Quercus robur", "species"), Match("Quercus", "genus")


@pytest.mark.parametrize(
    ("written", "found"),
    [
        ("Quercus robur", OAK),
        ("Quercus robur L.", OAK),
        ("QUERCUS ROBUR", OAK),
        ("quercus robur", OAK),
        ("Quercus  robur  L.", OAK),
        ("Quercus robur L., 1753", OAK),
        ("Quercus pedunculata Ehrh.", OAK),
        ("Quercus robur subsp. brutia (Ten.) O.Schwarz", OAK),
        ("Quercus robur robur", OAK),
        ("Quercus robur f. fastigiata (Lam.) O.Schwarz", OAK),
        ("Quercus robur 'Fastigiata'", OAK),
        ("Quercus (Quercus) robur", OAK),
        ("Quercus cf. robur", GENUS),
        ("Quercus robur cf. petraea", GENUS),
        ("Quercus sp.", GENUS),
        ("Quercus L.", GENUS),
        ("Quercus", GENUS),
        ("Quercus palustris L.", GENUS),
        ("Quercus × rosacea Bechst.", GENUS),
        ("Quercus robur L. × Quercus petraea (Matt.) Liebl.", GENUS),
        ("Quercus robur x petraea", GENUS),
        ("Salix × fragilis L.", Match("Salix fragilis", "species")),
        ("Salix ×fragilis", Match("Salix fragilis", "species")),
        ("Rhus javanica L. f.", Match("Rhus chinensis", "species")),
        ("Acacia mearnsi De Wild.", Match("Acacia mearnsii", "species")),
        ("Quercus lusitanica Lam. var. infectoria (Olivier) A.DC.",
         Match("Quercus infectoria", "species")),
        ("Quercus lusitanica Lam.", GENUS),
        ("Quercus macrolepis Kotschy", Match("Quercus ithaburensis subsp. macrolepis", "species")),
        # Two plants of one name: the author decides.
        ("Quercus incana Roxb.", Match("Quercus leucotrichophora", "species")),
        ("Quercus incana W.Bartram", GENUS),
        # A slip of one of our sources ("as printed") is no synonym.
        ("Alnus maritima (Marshall) Muhl. ex Nutt.", Match("Alnus", "genus")),
        # The sources' figures for birch include silver birch.
        ("Betula pendula Roth", Match("Betula pubescens", "species")),
        ("Betula verrucosa Ehrh.", Match("Betula pubescens", "species")),
        ("Betula nana L.", Match("Betula", "genus")),
        ("Vulpes vulpes (Linnaeus, 1758)", None),
        ("BOLD:AAA1234", None),
        ("incertae sedis", None),
        ("", None),
    ],
)  # fmt: skip
def test_what_a_name_stands_for(written: str, found: Match | None) -> None:
    assert reference_names().match(written) == found


def test_the_first_name_that_is_known_counts() -> None:
    names = reference_names()
    assert names.match("Quercus robur L.", "Quercus palustris") == OAK
    assert names.match("", "Quercus palustris", "Quercus robur") == OAK
    assert names.match("Quercus palustris", "Salix sp.") == GENUS
    assert names.match("", genus="Quercus") == GENUS
    assert names.match("", genus="Vulpes") is None


def test_every_accepted_name_of_the_reference_finds_itself() -> None:
    for item in materials():
        assert reference_names().match(item.scientific_name) == Match(
            item.scientific_name, "species"
        )


def test_synonyms_of_the_reference_find_their_plant() -> None:
    accepted = {item.scientific_name for item in materials()}
    missed = []
    for item in materials():
        for synonym in item.synonyms:
            plain = synonym.replace("(Roxb.)", "Roxb.")
            found = reference_names().match(plain)
            doubtful = "(" in plain or synonym in accepted
            if not doubtful and (found is None or found.taxon != item.scientific_name):
                missed.append((synonym, item.scientific_name, found))
    assert missed == []


def test_a_synonym_of_two_plants_means_neither() -> None:
    oak = next(item for item in materials() if item.scientific_name == "Quercus robur")
    names = Names(
        [
            dataclasses.replace(oak, scientific_name="Aa bba", synonyms=("Aa cca",)),
            dataclasses.replace(oak, scientific_name="Aa dda", synonyms=("Aa cca",)),
        ]
    )
    assert names.match("Aa cca") == Match("Aa", "genus")


@given(st.text(max_size=40))
def test_any_text_is_a_name_or_is_not(text: str) -> None:
    written = taken_apart(text)
    assert written is None or 1 <= len(written.key) <= 3
    reference_names().match(text, genus=text)
