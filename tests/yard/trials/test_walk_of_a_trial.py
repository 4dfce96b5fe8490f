"""From the question to a planned skin, through the pages that a person uses."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from tanwright.yard.journal.models import Entry
from tanwright.yard.stock.models import Lot
from tanwright.yard.tannage.models import Tannage
from tanwright.yard.trials.models import Trial


def when() -> dict[str, str]:
    """What every form of an entry carries."""
    return {
        "entry_id": str(uuid.uuid4()),
        "happened_at": timezone.localtime().strftime("%Y-%m-%dT%H:%M"),
        "note": "",
    }


def wrong(page: Any) -> str:
    """What a page says is wrong with a form."""
    return page.content.decode().partition("error-summary")[2][:600]


def test_the_whole_way(client_of: Any, keeper: Any, helper: Any, oak: Lot) -> None:
    client = client_of(keeper)
    first = client.get(reverse("trials:new"))
    page = client.post(first.url, {"question": "which", "name": "Oak or alder"})
    trial = Trial.objects.get()
    assert page.url == reverse("trials:step", args=[trial.pk, "compare"])
    page = client.post(
        page.url,
        {"usual": "quercus-robur-bark", "plants": "common alder bark\ngoat willow bark",
         "lots": [str(oak.pk)], "tannage": ""},
    )  # fmt: skip
    assert page.status_code == 302, wrong(page)
    page = client.post(
        page.url,
        {"width_cm": "6", "height_cm": "5", "thickness_mm": "2", "skin": "", "graders": "2",
         "jars_each": "1", "n_belly": "5", "n_shanks": "4"},
    )  # fmt: skip
    assert page.status_code == 302, wrong(page)
    page = client.post(
        page.url, {"litres_per_kg": "6", "dose": "2.5", "temperature_c": "14", "leather": "soft"}
    )
    design = reverse("trials:design", args=[trial.pk])
    assert page.url == design
    page = client.get(design).content.decode()
    assert "With 9 patches" in page
    assert "What more would buy" in page
    id = str(uuid.uuid4())
    client.post(design, {"entry_id": id})
    trial.refresh_from_db()
    assert trial.state == Trial.State.CUT
    assert trial.jars.count() == 3
    seed = trial.design["design"]["seed"]
    client.post(design, {"entry_id": id})
    trial.refresh_from_db()
    assert trial.design["design"]["seed"] == seed, "sent twice, dealt out once"
    jars = client.get(reverse("trials:jars", args=[trial.pk])).content.decode()
    assert "Jar 3" in jars
    assert "common alder bark" in jars
    assert "not in the piles" in jars
    assert "Caution" in jars
    assert "The days" in jars
    start = reverse("trials:start", args=[trial.pk])
    assert 'name="part_pct" value=' in client.get(start).content.decode()
    page = client.post(start, {**when(), "part_pct": "50"}, follow=True).content.decode()
    assert "The patches are in the jars" in page
    oak.refresh_from_db()
    control = trial.jars.get(treatment="control")
    assert oak.left_kg == pytest.approx(5.0 - 0.5 * control.lots[str(oak.pk)])
    helped = client_of(helper)
    log = reverse("trials:log", args=[trial.pk])
    helped.post(f"{log}?what=strength", {**when(), "jar_1": "12", "jar_2": "9", "jar_3": "",
                                         "scale": "bk", "liquor_c": ""})  # fmt: skip
    helped.post(f"{log}?what=cut", {**when(), "jar_1": "1.0", "jar_2": "0.85", "jar_3": "0.5"})
    page = helped.get(trial.get_absolute_url()).content.decode()
    assert "100 % tanned" in page
    jar = trial.jars.get(number=1)
    assert (jar.last_bk, jar.last_share) == (12.0, 1.0)
    assert jar.forecast is not None
    helped.post(f"{log}?what=out", {**when(), "jar_1": "on"})
    trial.refresh_from_db()
    assert trial.state == Trial.State.RUNNING
    assert trial.patches.exclude(out_at=None).count() == trial.patches.filter(jar=jar).count() > 0
    client.post(f"{log}?what=out", {**when(), "jar_2": "on", "jar_3": "on"})
    trial.refresh_from_db()
    assert trial.state == Trial.State.GRADING
    onward = reverse("trials:to-skin", args=[trial.pk])
    assert helped.get(onward).status_code == 403
    page = client.post(
        onward, {**when(), "treatment": "alnus-glutinosa-bark", "pelt_kg": "2"}, follow=True
    )
    assert page.status_code == 200
    vat = Tannage.objects.get()
    assert "common alder bark" in vat.title
    assert vat.vat_volume_l == pytest.approx(14.0)
    trial.refresh_from_db()
    assert (trial.state, trial.became_id) == (Trial.State.DONE, vat.pk)


def test_every_page_opens_for_both_roles_at_every_stage(
    client_of: Any, keeper: Any, helper: Any, planned: Trial
) -> None:
    names = ("trials:trial", "trials:design", "trials:jars", "trials:start", "trials:log",
             "trials:change", "trials:to-skin")  # fmt: skip
    for person in (keeper, helper):
        client = client_of(person)
        assert client.get(reverse("trials:trials")).status_code == 200
        for name in names:
            status = client.get(reverse(name, args=[planned.pk])).status_code
            assert status in (200, 302, 403), (person.role, name)
        for step in ("question", "compare", "pieces", "jars"):
            status = client.get(reverse("trials:step", args=[planned.pk, step])).status_code
            assert status == (200 if person == keeper else 403)


@pytest.mark.parametrize("question", ["dose", "blend", "pretreatment"])
def test_the_other_questions_are_dealt_out_too(
    client_of: Any, keeper: Any, oak: Lot, question: str
) -> None:
    client = client_of(keeper)
    id = uuid.uuid4()
    client.post(reverse("trials:step", args=[id, "question"]), {"question": question})
    said = {
        "dose": {"doses": "3", "span": "4"},
        "blend": {"plants": "common alder bark"},
        "pretreatment": {"ways": "bated a day\nlimed a week", "usual_way": "limed three days"},
    }[question]
    compare = reverse("trials:step", args=[id, "compare"])
    page = client.post(compare, {"usual": "quercus-robur-bark", "tannage": "", **said})
    assert page.status_code == 302, wrong(page)
    client.post(
        reverse("trials:step", args=[id, "pieces"]),
        {"width_cm": "5", "thickness_mm": "1.5", "graders": "1", "jars_each": "2", "n_belly": "8",
         "skin": ""},
    )  # fmt: skip
    client.post(reverse("trials:step", args=[id, "jars"]), {"litres_per_kg": "5", "dose": "2"})
    client.post(reverse("trials:design", args=[id]), {"entry_id": str(uuid.uuid4())})
    trial = Trial.objects.get(pk=id)
    assert trial.state == Trial.State.CUT
    assert trial.patches.filter(jar=None).count() == 0
    assert Entry.objects.filter(record=trial, kind="trial.designed").count() == 1
    assert client.get(reverse("trials:jars", args=[id])).status_code == 200
