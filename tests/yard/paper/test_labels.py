"""Labels: the right code, in the right sizes, and nothing that people typed is obeyed."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
import segno
from django.test import Client, RequestFactory
from pypdf import PdfReader

from tanwright.yard.journal.models import Record
from tanwright.yard.journal.services import open_record
from tanwright.yard.paper.forms import MOST_LABELS, LabelsForm
from tanwright.yard.paper.labels import SIZES, label_of, set_labels
from tanwright.yard.paper.views import base_of
from tanwright.yard.people.models import Person
from tanwright.yard.skins.models import Skin
from tanwright.yard.tannage.models import Tannage
from tests.yard.paper.pages import text_of

BASE = "https://192.168.1.20:8443"


def test_the_picture_is_the_address_of_the_record(vat: Tannage) -> None:
    label = label_of(vat, BASE, "metric")
    assert label.address == f"{BASE}/go/{vat.code}"
    # The same symbol as the library makes of the address (ISO/IEC 18004, level Q).
    expected = segno.make(label.address, error="q", micro=False)
    assert label.qr == expected.svg_inline(border=4, scale=1)
    assert re.search(r"\bstyle=", label.qr) is None


@pytest.mark.parametrize(("size", "per_page"), [("tag", 8), ("a6", 4), ("a5", 2)])
def test_as_many_as_fit_stand_on_a_page(keeper: Person, size: str, per_page: int) -> None:
    skins = [
        open_record(Skin, Record.Kind.SKIN, keeper, animal="goat", name=f"skin of day {day}")
        for day in range(9)
    ]
    pdf = set_labels([label_of(skin, BASE, "us") for skin in skins], size)
    pages, text = text_of(pdf)
    assert pages == -(-9 // per_page)
    for skin in skins:
        assert f"{BASE}/go/{skin.code}" in text


def test_what_people_typed_is_text_and_nothing_else(keeper: Person) -> None:
    name = '#read("/etc/passwd") *b* $x$ <b>'
    skin = open_record(Skin, Record.Kind.SKIN, keeper, animal="goat", name=name)
    _, text = text_of(set_labels([label_of(skin, BASE, "metric")], "a6"))
    assert "root:" not in text
    assert '#read("/etc/' in text


def test_letters_that_no_font_has_still_print(keeper: Person) -> None:
    skin = open_record(Skin, Record.Kind.SKIN, keeper, animal="goat", name="\U0001e900\u3400 goat")
    pages, text = text_of(set_labels([label_of(skin, BASE, "metric")], "tag"))
    assert pages == 1
    assert "goat" in text


def test_a_helper_prints_a_label_and_a_stranger_does_not(
    vat: Tannage, helper: Person, client_of: object, on_network: None
) -> None:
    url = f"/paper/label/{vat.pk}.pdf"
    assert callable(client_of)
    answer = client_of(helper).get(url)
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")
    assert client_of(None).get(url).status_code == 302


def test_bad_choices_are_told_beside_the_field(keeper: Person, client: Client) -> None:
    for query, words in (
        ("kind=skin&first=5&last=2&size=tag", "before the first number"),
        ("kind=skin&first=900&last=901&size=tag", "nothing with such a number"),
        ("kind=hat&first=1&last=2&size=tag", "Select a valid choice"),
        ("kind=skin&first=x&last=2&size=poster", "whole number"),
    ):
        answer = client.get(f"/paper/?{query}")
        assert answer.status_code == 200
        assert words in answer.content.decode()


def test_every_size_is_a4(vat: Tannage) -> None:
    import io

    for size in SIZES:
        page = PdfReader(io.BytesIO(set_labels([label_of(vat, BASE, "metric")], size))).pages[0]
        assert float(page.mediabox.width) == pytest.approx(595.3, abs=0.5)
        assert float(page.mediabox.height) == pytest.approx(841.9, abs=0.5)


@pytest.mark.django_db
def test_more_labels_than_ten_sheets_are_told_and_not_cut_off(keeper: Person) -> None:
    for _ in range(MOST_LABELS + 1):
        open_record(Skin, Record.Kind.SKIN, keeper, animal="goat")
    asked = {"kind": "skin", "first": "1", "last": "200", "size": "tag"}
    assert f"These are {MOST_LABELS + 1} labels" in LabelsForm(asked).errors["last"][0]
    assert LabelsForm(asked | {"last": str(MOST_LABELS)}).is_valid()


@pytest.mark.django_db
def test_labels_printed_on_the_laptop_open_on_phones(
    keeper: Person, client_of: Callable[[Person | None], Client], settings: Any
) -> None:
    client = client_of(keeper)
    assert "open on this machine only" in client.get("/paper/", HTTP_HOST="localhost").text
    settings.ADDRESS = "https://192.168.1.20:8443"
    page = client.get("/paper/", HTTP_HOST="localhost").text
    assert "open on this machine only" not in page
    asked = RequestFactory().get("/paper/", HTTP_HOST="localhost")
    assert base_of(asked) == "https://192.168.1.20:8443"
