"""Offcuts of a trial through its pages: added in four ways, laid out, mapped, read again."""

from __future__ import annotations

import io
import re
import uuid
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from tanwright.errors import InputError
from tanwright.planning.trials.cutting import Cut
from tanwright.science.trials.codes import SPOTS, nicks_of, symmetries
from tanwright.science.trials.outlines import rectangle
from tanwright.yard.people.models import Person
from tanwright.yard.trials import offcut_services, services
from tanwright.yard.trials.models import Trial

OAK, ALDER = "quercus-robur-bark", "alnus-glutinosa-bark"
POINTS = "0, 0\n26, 1\n30, 12\n22, 19\n8, 18\n-2, 9\n\n10, 8\n12, 8\n12, 11"
LAY = {"width_cm": "5", "height_cm": "", "margin_cm": "0.5", "gap_cm": "0"}
ClientOf = Callable[[Person | None], Client]


@pytest.fixture
def trial(keeper: Person) -> Trial:
    found = services.begin_trial(keeper, "which", name="Oak against alder")
    facts = {"usual": {OAK: 1.0}, "plants": [ALDER], "animal": "goat", "thickness_mm": 2.0}
    services.set_facts(found, facts, keeper)
    return found


@pytest.fixture
def drawn(keeper: Person, trial: Trial) -> Trial:
    for region in ("belly", "shanks"):
        offcut_services.add_offcut(trial, rectangle(21.0, 11.0), keeper, region=region)
    return trial


@pytest.fixture
def laid(keeper: Person, drawn: Trial) -> Trial:
    offcut_services.lay_out(drawn, Cut(5.0, 5.0), keeper)
    return drawn


def url(name: str, trial: Trial, *more: object) -> str:
    return reverse(f"trials:{name}", args=[trial.pk, *more])


def test_an_empty_list_teaches_and_offers_the_four_ways(
    client_of: ClientOf, keeper: Person, trial: Trial
) -> None:
    page = client_of(keeper).get(url("offcuts", trial)).content.decode()
    assert "trimmed off anyway" in page
    for way in ("usual", "measures", "drawn", "file"):
        assert url("offcut-add", trial, way) in page
    assert 'name="width_cm"' not in page


SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="120mm" viewBox="0 0 300 120">'
    '<rect id="the leg" width="250" height="110"/><circle cx="60" cy="50" r="9"/></svg>'
)


@pytest.mark.parametrize(
    ("way", "data", "count", "region", "label"),
    [
        ("usual", {"shape": "hind-leg", "animal": "goat", "green_kg": "2.5", "alike": "2"},
         2, "shanks", "hind leg 1"),
        ("measures", {"length_cm": "24", "widths": "14 12 9", "region": "belly"}, 1, "belly", ""),
        ("measures", {"length_cm": "10 in", "widths": "12", "region": "butt"}, 1, "butt", ""),
        ("drawn", {"points": POINTS, "region": "shoulder", "label": "neck"},
         1, "shoulder", "neck"),
        ("file", {"file": SVG, "region": "shanks"}, 1, "shanks", "the leg"),
    ],
)  # fmt: skip
def test_an_offcut_is_added(
    client_of: ClientOf,
    keeper: Person,
    trial: Trial,
    way: str,
    data: dict[str, Any],
    count: int,
    region: str,
    label: str,
) -> None:
    if "file" in data:
        data = data | {"file": SimpleUploadedFile("leg.svg", data["file"].encode())}
    client = client_of(keeper)
    assert client.get(url("offcut-add", trial, way)).status_code == 200
    answer = client.post(url("offcut-add", trial, way), data)
    assert answer.status_code == 302, re.findall(r'class="error"[^<]*<', answer.content.decode())
    offcuts = list(trial.offcuts.order_by("number"))
    assert len(offcuts) == count
    assert (offcuts[0].region, offcuts[0].label) == (region, label)
    page = client.get(url("offcuts", trial)).content.decode()
    assert page.count('class="offcut-outline"') == count
    assert "style=" not in page


@pytest.mark.parametrize(
    ("way", "data", "says"),
    [
        ("usual", {"shape": "wing", "animal": "goat", "alike": "1"}, "wing"),
        ("usual", {"shape": "neck", "animal": "goat", "alike": "90"}, "number from 1 to 8."),
        ("measures", {"length_cm": "24", "widths": "wide", "region": "belly"}, "not a width"),
        ("measures", {"length_cm": "24", "widths": "5 0 5", "region": "belly"}, "above nought"),
        ("measures", {"length_cm": "900", "widths": "5", "region": "belly"}, "900"),
        ("drawn", {"points": "0,0\n9,9\n9,0\n0,9", "region": "belly"}, "crosses itself"),
        ("drawn", {"points": "0,0\nhere", "region": "belly"}, "not a point"),
        ("drawn", {"points": "", "region": "belly"}, "Write something here."),
        ("drawn", {"points": POINTS, "region": "wing"}, "wing"),
        ("file", {"region": "belly"}, "Choose a file."),
        ("file", {"file": "<html/>", "region": "belly"}, "not SVG"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_beside_its_field(
    client_of: ClientOf, keeper: Person, trial: Trial, way: str, data: dict[str, Any], says: str
) -> None:
    if "file" in data:
        data = data | {"file": SimpleUploadedFile("leg.svg", data["file"].encode())}
    answer = client_of(keeper).post(url("offcut-add", trial, way), data)
    assert answer.status_code == 200
    assert says in answer.content.decode()
    assert not trial.offcuts.exists()


def test_patches_are_laid_out_shown_and_mapped(
    client_of: ClientOf, keeper: Person, drawn: Trial
) -> None:
    client = client_of(keeper)
    answer = client.post(url("offcuts", drawn), LAY, follow=True)
    page = answer.content.decode()
    assert "16 patches of 5 × 5 cm fit. More cannot fit: that is proved." in page
    assert page.count('class="offcut-patch"') == drawn.patches.count() == 16
    assert sorted(drawn.patches.values_list("region", flat=True)) == ["belly"] * 8 + ["shanks"] * 8
    drawn.refresh_from_db()
    assert drawn.facts["width_cm"] == 5.0
    for paper, width in (("a4", 595), ("us-letter", 612)):
        pdf = client.get(url("cutting-map", drawn), {"paper": paper})
        assert pdf["Content-Type"] == "application/pdf"
        pages = PdfReader(io.BytesIO(pdf.content)).pages
        assert round(float(pages[0].mediabox.width)) == width
        assert "Oak against alder" in pages[0].extract_text()


def test_the_design_goes_on_from_laid_patches_and_the_map_tells_the_treatments(
    client_of: ClientOf, keeper: Person, laid: Trial
) -> None:
    services.make_the_design(laid, keeper, id=uuid.uuid4(), seed=3)
    marks = offcut_services.marks_of(laid)
    assert len(marks) == 16
    assert set(marks.values()) == {"A", "B"}
    client = client_of(keeper)
    text = PdfReader(io.BytesIO(client.get(url("cutting-map", laid)).content))
    assert "Keep this sheet" not in text.pages[0].extract_text()
    told = client.get(url("cutting-map", laid), {"paper": "a4", "treatments": "on"}).content
    assert "Keep this sheet" in PdfReader(io.BytesIO(told)).pages[0].extract_text()


def test_a_kept_layout_is_the_one_that_was_made(keeper: Person, laid: Trial) -> None:
    kept = offcut_services.cutting_of(laid)
    made = offcut_services.lay_out(laid, Cut(5.0, 5.0), keeper)
    assert kept is not None
    assert kept.patches == made.patches
    assert (kept.fits, kept.most_possible) == (made.fits, made.most_possible)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (LAY | {"width_cm": "0.1"}, "Side of a patch"),
        (LAY | {"width_cm": "30"}, "fits on these offcuts"),
        (LAY | {"most": "0"}, "Write a whole number from 1 to 200."),
        (LAY | {"margin_cm": "-1"}, "Keep off"),
        ({"most": ""}, "Write a number here."),
    ],
)
def test_a_layout_that_cannot_be_made_is_refused_and_nothing_is_lost(
    client_of: ClientOf, keeper: Person, laid: Trial, data: dict[str, str], says: str
) -> None:
    answer = client_of(keeper).post(url("offcuts", laid), data)
    assert answer.status_code == 200
    assert says in answer.content.decode()
    assert laid.patches.count() == 16


def test_taking_an_offcut_out_or_adding_one_takes_the_layout_up(
    client_of: ClientOf, keeper: Person, laid: Trial
) -> None:
    client = client_of(keeper)
    client.post(url("offcut-remove", laid, 1))
    laid.refresh_from_db()
    assert [offcut.number for offcut in laid.offcuts.all()] == [2]
    assert not laid.patches.exists()
    assert offcut_services.cutting_of(laid) is None
    assert client.get(url("cutting-map", laid)).status_code == 302
    again = client.post(url("offcut-remove", laid, 1), follow=True).content.decode()
    assert "there is no offcut 1" in again
    added = offcut_services.add_offcut(laid, rectangle(9.0, 9.0), keeper, region="belly")
    assert added.number == 3


def test_once_in_the_jars_the_offcuts_stay(
    client_of: ClientOf, keeper: Person, laid: Trial
) -> None:
    services.make_the_design(laid, keeper, id=uuid.uuid4(), seed=3)
    services.start(laid, keeper, id=uuid.uuid4(), happened_at=timezone.now() - timedelta(days=1))
    client = client_of(keeper)
    page = client.get(url("offcuts", laid)).content.decode()
    assert "stays as it is" in page
    assert 'name="width_cm"' not in page
    for act in (
        lambda: offcut_services.add_offcut(laid, rectangle(9, 9), keeper, region="belly"),
        lambda: offcut_services.remove_offcut(laid, 1, keeper),
        lambda: offcut_services.lay_out(laid, Cut(5.0, 5.0), keeper),
    ):
        with pytest.raises(InputError, match="in the jars"):
            act()
    assert laid.patches.count() == 16


def test_helpers_look_and_strangers_do_not(
    client_of: ClientOf, helper: Person, laid: Trial, on_network: None
) -> None:
    client = client_of(helper)
    page = client.get(url("offcuts", laid))
    assert page.status_code == 200
    assert "Only a keeper changes" in page.content.decode()
    assert client.post(url("offcuts", laid), LAY).status_code == 403
    assert client.get(url("offcut-add", laid, "drawn")).status_code == 403
    assert client.post(url("offcut-remove", laid, 1)).status_code == 403
    assert client.get(url("cutting-map", laid)).status_code == 200
    assert client.get(url("read-code", laid)).status_code == 200
    assert client_of(None).get(url("offcuts", laid)).status_code == 302
    assert laid.patches.count() == 16


def test_an_unknown_way_or_trial_is_not_found(
    client_of: ClientOf, keeper: Person, trial: Trial
) -> None:
    client = client_of(keeper)
    assert client.get(url("offcut-add", trial, "guess")).status_code == 404
    assert client.get(reverse("trials:offcuts", args=[uuid.uuid4()])).status_code == 404


def test_a_patch_is_found_by_its_nicks_whichever_way_it_lies(
    client_of: ClientOf, keeper: Person, laid: Trial
) -> None:
    client = client_of(keeper)
    patch = laid.patches.get(number=7)
    nicks = nicks_of(patch.code)
    for way in symmetries():
        spots = [str(way[spot]) for spot in range(SPOTS) if nicks[spot]]
        page = client.get(url("read-code", laid), {"nick": spots, "look": "1"}).content.decode()
        assert '<p class="next-headline">Patch 7</p>' in page
    page = client.get(url("read-code", laid), {"nick": spots[1:], "look": "1"}).content.decode()
    assert "It cannot be read" in page
    assert "odd in number" in page
    assert "Perhaps it is" in page
    wild = {"nick": ["99", "-1", "x"], "look": "1"}
    assert client.get(url("read-code", laid), wild).status_code == 200


def test_a_trial_without_patches_has_no_marks(
    client_of: ClientOf, keeper: Person, trial: Trial
) -> None:
    page = client_of(keeper).get(url("read-code", trial)).content.decode()
    assert "No patch has a mark yet" in page


def test_patches_that_are_counted_after_all_have_no_map(keeper: Person, laid: Trial) -> None:
    laid.patches.all().delete()
    laid.offcuts.all().delete()
    services.count_patches(laid, {"belly": 4}, keeper)
    assert offcut_services.cutting_of(laid) is None
