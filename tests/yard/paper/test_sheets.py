"""The shed sheet and the report of a vat."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import date, timedelta

from django.test import Client
from django.utils import timezone
from pypdf import PdfReader

from tanwright.planning.looks import liquor_looks
from tanwright.yard.paper.labels import label_of
from tanwright.yard.paper.report import report_data, set_report
from tanwright.yard.paper.shed_sheet import LINES, set_shed_sheet, sheet_data
from tanwright.yard.people.models import Person
from tanwright.yard.shell.templatetags.words import day
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.tannage.services import begin_draft, set_facts
from tests.yard.paper.pages import text_of

BASE = "https://192.168.1.20:8443"


def test_the_shed_sheet_is_one_landscape_page_with_room_and_what_is_ahead(vat: Tannage) -> None:
    pdf = set_shed_sheet(vat, BASE, "metric")
    page = PdfReader(io.BytesIO(pdf)).pages[0]
    assert float(page.mediabox.width) > float(page.mediabox.height)
    pages, text = text_of(pdf)
    assert pages == 1
    data = sheet_data(vat, BASE, "metric")
    assert data["ahead"]
    assert LINES - 2 <= data["lines"] < LINES
    assert data["ahead"][0]["what"] in text
    assert text.count(liquor_looks()[0]) >= data["lines"]
    assert "The goat" in text
    assert "Done?" in text


def test_the_report_holds_log_answer_pictures_and_sources(vat: Tannage) -> None:
    data = report_data(vat, BASE, "metric")
    headings = [part["heading"] for part in data["parts"]]
    assert headings[0] == "Next"
    assert {"Is it enough?", "How much", "When", "Where the tannin is", "The log"} <= set(headings)
    pictures = next(part for part in data["parts"] if part["heading"] == "In pictures")["pictures"]
    assert len(pictures) == 3
    assert data["sources"]
    assert data["cautions"]
    _, text = text_of(set_report(vat, BASE, "metric"))
    assert "50 % still pale at the neck" in text
    assert '#read("/etc/passwd")' in text
    assert "root:" not in text
    assert "Where the figures come from" in text


def test_the_report_speaks_the_readers_units(vat: Tannage) -> None:
    _, metric = text_of(set_report(vat, BASE, "metric"))
    _, us = text_of(set_report(vat, BASE, "us"))
    assert "18 L" in metric
    assert " gal" in us
    assert "18 L" not in us


def test_the_document_says_what_it_is(vat: Tannage) -> None:
    reader = PdfReader(io.BytesIO(set_report(vat, BASE, "metric")))
    assert reader.metadata is not None
    assert reader.metadata.title == "The goat"
    assert "/StructTreeRoot" in reader.trailer["/Root"]  # tagged, for who listens to it


def test_a_vat_of_which_nothing_is_known_has_a_report_too(
    keeper: Person, client_of: Callable[[Person | None], Client]
) -> None:
    from tanwright.yard.tannage.services import begin_draft

    draft = begin_draft(keeper)
    for what in ("report", "shed-sheet", "label"):
        answer = client_of(keeper).get(f"/paper/{what}/{draft.pk}.pdf")
        assert answer.status_code == 200, what
        assert answer.content.startswith(b"%PDF")


def test_a_strangers_request_is_sent_to_sign_in(
    vat: Tannage, client_of: Callable[[Person | None], Client], on_network: None
) -> None:
    for what in ("report", "shed-sheet"):
        assert client_of(None).get(f"/paper/{what}/{vat.pk}.pdf").status_code == 302


def test_a_code_that_opens_here_alone_is_said_before_printing(
    vat: Tannage, client_of: Callable[[Person | None], Client], keeper: Person
) -> None:
    here = client_of(keeper).get("/paper/", headers={"host": "localhost:8000"})
    assert "open on this machine only" in here.content.decode()
    there = client_of(keeper).get("/paper/", headers={"host": "testserver"})
    assert "open on this machine only" not in there.content.decode()


def test_begun_is_the_day_of_the_log_and_not_of_the_plan(vat: Tannage, keeper: Person) -> None:
    began = timezone.localdate() - timedelta(days=11)
    Tannage.objects.filter(pk=vat.pk).update(start=began - timedelta(days=30))
    vat.refresh_from_db()
    words = f"begun {began:%d.%m.%Y}"
    assert words in label_of(vat, BASE, "metric").lines
    assert words in sheet_data(vat, BASE, "metric")["facts"]
    facts = dict(report_data(vat, BASE, "metric")["facts"])
    assert facts["Begun"] == day(began)
    assert "Planned for" not in facts


def test_a_vat_that_is_planned_is_not_called_begun(keeper: Person) -> None:
    vat = begin_draft(keeper)
    set_facts(vat, {"start": date(2027, 3, 20)}, keeper)
    assert "planned for 20.03.2027" in label_of(vat, BASE, "metric").lines
    assert dict(report_data(vat, BASE, "metric")["facts"])["Planned for"] == day(date(2027, 3, 20))
