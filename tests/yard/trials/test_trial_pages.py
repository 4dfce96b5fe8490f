"""Pages of trials: bad input, who may what, few queries."""

from __future__ import annotations

import io
import uuid
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from tanwright.yard.journal.models import Entry, Photo, Record
from tanwright.yard.journal.services import open_record
from tanwright.yard.trials.models import Trial

LIST = reverse("trials:trials")


def when() -> dict[str, str]:
    return {
        "entry_id": str(uuid.uuid4()),
        "happened_at": timezone.localtime().strftime("%Y-%m-%dT%H:%M"),
        "note": "",
    }


def test_an_empty_list_teaches_what_a_trial_is(client_of: Any, keeper: Any, helper: Any) -> None:
    for person in (keeper, helper):
        page = client_of(person).get(LIST).content.decode()
        assert "No trial yet" in page
        assert "Graded blind" in page
    assert "Plan a trial" not in client_of(helper).get(LIST).content.decode()


def test_sixty_trials_are_shown_on_two_pages_with_few_queries(
    client_of: Any, keeper: Any, helper: Any, django_assert_max_num_queries: Any
) -> None:
    for number in range(60):
        open_record(Trial, Record.Kind.TRIAL, keeper, question="dose", name=f"Try {number}")
    client = client_of(helper)
    with django_assert_max_num_queries(7):
        page = client.get(LIST).content.decode()
    assert page.count('class="row"') == 50
    assert client.get(LIST, {"page": "2"}).content.decode().count('class="row"') == 10
    assert client.get(LIST, {"q": "Try 7"}).content.decode().count('class="row"') == 1
    assert client.get(LIST, {"q": "trial-3"}).content.decode().count('class="row"') == 1
    for nonsense in ({"q": "\x00"}, {"page": "x"}, {"q": "zebra"}):
        assert client.get(LIST, nonsense).status_code == 200


def test_the_page_takes_few_queries_whatever_was_noted(
    client_of: Any, helper: Any, running: Trial, django_assert_max_num_queries: Any
) -> None:
    client = client_of(helper)
    client.get(running.get_absolute_url())
    for name in ("trials:trial", "trials:jars", "trials:design", "trials:log"):
        with django_assert_max_num_queries(30):
            page = client.get(reverse(name, args=[running.pk]))
        assert page.status_code == 200
        assert len(page.content) < 100_000


@pytest.mark.parametrize(
    ("step", "sent", "field"),
    [
        ("question", {"question": "whither"}, "question"),
        ("compare", {"usual": "", "plants": "common alder bark", "tannage": ""}, "usual"),
        ("compare", {"usual": "unobtainium", "plants": "common alder bark"}, "usual"),
        ("compare", {"usual": "quercus-robur-bark", "plants": "stone"}, "plants"),
        ("compare", {"usual": "quercus-robur-bark", "plants": "English oak bark"}, "plants"),
        ("pieces", {"width_cm": "6 m", "thickness_mm": "2"}, "width_cm"),
        ("pieces", {"width_cm": "6", "thickness_mm": "2", "n_belly": "-3"}, "n_belly"),
        ("pieces", {"width_cm": "6", "thickness_mm": "", "graders": "0"}, "graders"),
        ("jars", {"litres_per_kg": "0", "dose": "2"}, "litres_per_kg"),
        ("jars", {"litres_per_kg": "5", "dose": "nan"}, "dose"),
        ("jars", {"litres_per_kg": "5", "dose": "2", "start": "1200-01-01"}, "start"),
    ],
)
def test_a_slip_is_told_beside_its_field(
    client_of: Any, keeper: Any, planned: Trial, step: str, sent: dict[str, str], field: str
) -> None:
    url = reverse("trials:step", args=[planned.pk, step])
    page = client_of(keeper).post(url, sent).content.decode()
    assert "error-summary" in page
    assert f'href="#id_{field}"' in page or f"id_{field}_error" in page


def test_what_was_said_comes_back_on_each_step(client_of: Any, keeper: Any, planned: Trial) -> None:
    client = client_of(keeper)
    said = {
        "question": 'value="which" id="id_question_0" checked',
        "compare": "common alder bark",
        "pieces": 'value="6"',
        "jars": 'value="2.5"',
    }
    for step, shown in said.items():
        page = client.get(reverse("trials:step", args=[planned.pk, step])).content.decode()
        assert shown.partition(" id=")[0] in page, step


def test_sides_are_read_in_inches_by_who_reads_so(
    client_of: Any, keeper: Any, planned: Trial
) -> None:
    keeper.system = "us"
    keeper.save()
    url = reverse("trials:step", args=[planned.pk, "pieces"])
    sent = {"width_cm": "2", "height_cm": "5 cm", "thickness_mm": "0.08", "graders": "1",
            "jars_each": "1", "skin": "", "n_belly": "6"}  # fmt: skip
    client_of(keeper).post(url, sent)
    planned.refresh_from_db()
    assert planned.facts["width_cm"] == pytest.approx(5.08)
    assert planned.facts["height_cm"] == pytest.approx(5.0)
    assert planned.patches.count() == 6


def test_steps_that_are_none_and_ids_of_others_are_not_found(
    client_of: Any, keeper: Any, planned: Trial, oak: Any
) -> None:
    client = client_of(keeper)
    for id, step in (
        (planned.pk, "burn"), (uuid.uuid4(), "compare"), (oak.pk, "question"),
    ):  # fmt: skip
        assert client.get(reverse("trials:step", args=[id, step])).status_code == 404


def test_a_design_with_too_few_patches_is_told(
    client_of: Any, keeper: Any, helper: Any, planned: Trial
) -> None:
    planned.patches.filter(number__gt=2).delete()
    url = reverse("trials:design", args=[planned.pk])
    sent = {"entry_id": str(uuid.uuid4())}
    page = client_of(keeper).post(url, sent, follow=True).content.decode()
    assert "message-error" in page
    assert client_of(helper).post(url, sent).status_code == 403
    assert client_of(keeper).post(url, {"entry_id": "x"}, follow=True).status_code == 200


@pytest.mark.parametrize(
    ("what", "sent", "told"),
    [
        ("strength", {"jar_1": "lots", "scale": "bk"}, "jar_1"),
        ("strength", {"jar_1": "1999", "scale": "bk"}, "jar_1"),
        ("strength", {"jar_2": "12", "scale": "stones"}, "scale"),
        ("cut", {"jar_1": "0.123"}, "jar_1"),
        ("look", {"jar_1": "purple"}, "jar_1"),
        ("look", {}, "Nothing was written"),
        ("out", {}, "Nothing was written"),
    ],
)
def test_a_slip_among_the_jars_is_told_and_nothing_is_noted(
    client_of: Any, helper: Any, running: Trial, what: str, sent: dict[str, str], told: str
) -> None:
    url = f"{reverse('trials:log', args=[running.pk])}?what={what}"
    page = client_of(helper).post(url, {**when(), **sent}).content.decode()
    assert "error-summary" in page
    assert told in page
    assert not Entry.objects.filter(record=running, by=helper).exists()


def test_a_look_at_one_jar_can_be_corrected(client_of: Any, helper: Any, running: Trial) -> None:
    client = client_of(helper)
    url = reverse("trials:log-one", args=[running.pk, "cut"])
    assert 'value="2"' in client.get(f"{url}?jar=2").content.decode()
    client.post(url, {**when(), "jar": "2", "share": "0.5"})
    entry = Entry.objects.get(record=running, kind="trial.cut")
    page = client.get(reverse("journal:correct", args=[entry.pk]))
    assert page.status_code == 200
    client.post(
        reverse("journal:correct", args=[entry.pk]), {**when(), "jar": "2", "share": "0.85"}
    )
    assert running.jars.get(number=2).last_share == 0.85
    page = client.post(url, {**when(), "jar": "40", "share": "0.5"}).content.decode()
    assert "there is no jar 40" in page.lower()


def test_notes_photos_and_cooks(client_of: Any, helper: Any, running: Trial, oak: Any) -> None:
    client, out = client_of(helper), io.BytesIO()
    Image.new("RGB", (40, 30), "brown").save(out, "PNG")
    url = reverse("trials:log-one", args=[running.pk, "photo"])
    client.post(url, {**when(), "photo": SimpleUploadedFile("a.png", out.getvalue())})
    assert Photo.objects.get().record_id == running.pk
    note = reverse("trials:log-one", args=[running.pk, "note"])
    client.post(note, {**when(), "note": "<script>alert(1)</script>"})
    assert "<script>alert(1)" not in client.get(running.get_absolute_url()).content.decode()
    oak.refresh_from_db()
    before = oak.left_kg
    cooked = reverse("trials:log-one", args=[running.pk, "cooked"])
    client.post(cooked, {**when(), "part_pct": "20"})
    oak.refresh_from_db()
    assert oak.left_kg < before
    assert "error-summary" in client.post(cooked, {**when(), "part_pct": "300"}).content.decode()
    burn = reverse("trials:log-one", args=[running.pk, "burn"])
    assert client.get(burn).status_code == 404


def test_the_log_of_all_jars_is_blind(client_of: Any, helper: Any, running: Trial) -> None:
    for what in ("look", "strength", "cut", "out"):
        url = f"{reverse('trials:log', args=[running.pk])}?what={what}"
        page = client_of(helper).get(url).content.decode()
        assert "Jar 1" in page
        assert "alder" not in page.partition("<main")[2].partition("<h1>All jars")[2]
    assert (
        client_of(helper).get(f"{reverse('trials:log', args=[running.pk])}?what=x").status_code
        == 404
    )


def test_a_keeper_changes_the_name_and_the_log_keeps_what_was(
    client_of: Any, keeper: Any, helper: Any, planned: Trial
) -> None:
    url = reverse("trials:change", args=[planned.pk])
    page = client_of(keeper).post(url, {"name": "Barks", "leather": "firm"}, follow=True)
    assert "soft → firm" in page.content.decode()
    assert client_of(helper).get(url).status_code == 403


@pytest.mark.parametrize("pelt", ["", "-1", "lots", "9000 kg"])
def test_a_weight_that_cannot_be_makes_no_tannage(
    client_of: Any, keeper: Any, running: Trial, pelt: str
) -> None:
    url = reverse("trials:to-skin", args=[running.pk])
    sent = {**when(), "treatment": "control", "pelt_kg": pelt}
    assert "error-summary" in client_of(keeper).post(url, sent).content.decode()
    running.refresh_from_db()
    assert running.became is None


def test_carrying_what_was_taught_needs_a_keeper_and_a_lesson(
    client_of: Any, keeper: Any, helper: Any, running: Trial
) -> None:
    url = reverse("trials:learn", args=[running.pk])
    assert client_of(helper).post(url).status_code == 403
    assert client_of(keeper).get(url).status_code == 405
    page = client_of(keeper).post(url, follow=True).content.decode()
    assert "nothing new to carry" in page


@pytest.mark.parametrize(
    ("system", "written", "kept"),
    [
        ("metric", "6", 6.0),
        ("us", "0.6", 5.007),
        ("us", "6 L", 6.0),
        ("metric", "0.6 gal to a lb", 5.007),
    ],
)
def test_liquor_to_skin_is_read_in_either_units(
    client_of: Any, keeper: Any, planned: Trial, system: str, written: str, kept: float
) -> None:
    keeper.system = system
    keeper.save()
    url = reverse("trials:step", args=[planned.pk, "jars"])
    page = client_of(keeper).post(url, {"litres_per_kg": written, "dose": "2"})
    assert page.status_code == 302
    planned.refresh_from_db()
    assert planned.facts["litres_per_kg"] == pytest.approx(kept, rel=1e-3)
    assert "gal to a lb" in client_of(keeper).get(url).content.decode()


def test_a_helper_is_told_that_a_keeper_plans(client_of: Any, helper: Any, planned: Trial) -> None:
    page = client_of(helper).get(planned.get_absolute_url()).content.decode()
    assert "A keeper plans it" in page


def test_the_marks_of_counted_patches_are_shown_without_their_treatment(
    client_of: Any, helper: Any, dealt: Trial
) -> None:
    page = client_of(helper).get(reverse("trials:design", args=[dealt.pk])).content.decode()
    marks = page.partition('id="marks"')[2]
    assert marks.count("offcut-nick") >= 9
    assert "Patch 9" in marks
    assert "alder" not in marks
    jars = client_of(helper).get(reverse("trials:jars", args=[dealt.pk])).content.decode()
    jar = dealt.jars.get(number=2)
    numbers = ", ".join(str(patch.number) for patch in jar.patches.all())
    assert f"<dd>{numbers}</dd>" in jars


def test_the_ratios_of_a_chosen_vat_are_taken_over(
    client_of: Any, keeper: Any, planned: Trial, oak: Any
) -> None:
    from tanwright.yard.skins.services import new_skin
    from tanwright.yard.tannage import services as tannages
    from tanwright.yard.tannage.models import Tannage
    from tanwright.yard.tannage.renewing import renew_now

    vat = tannages.begin_draft(keeper, name="The old tub")
    tannages.set_facts(vat, {"temperature_c": 11.0, "leather": "bag"}, keeper)
    Tannage.objects.filter(pk=vat.pk).update(state=Tannage.State.PLANNED)
    url = reverse("trials:step", args=[planned.pk, "compare"])
    sent = {"usual": "", "plants": "common alder bark", "tannage": str(vat.pk)}
    page = client_of(keeper).post(url, {**sent, "plants": "goat willow bark"})
    planned.refresh_from_db()
    assert planned.facts["usual"] == {"quercus-robur-bark": 1.0}, "what was said before stays"
    tannages.set_skins(vat, [new_skin(keeper, "goat", weight_kg=2.5)], keeper)
    tannages.set_materials(vat, [oak], [], keeper)
    renew_now(vat.pk)
    Trial.objects.filter(pk=planned.pk).update(tannage=None)
    page = client_of(keeper).post(url, sent)
    assert page.status_code == 302
    planned.refresh_from_db()
    assert planned.tannage_id == vat.pk
    assert planned.facts["temperature_c"] == 11.0
    assert planned.facts["dose"] != 2.5
    assert "The old tub" in client_of(keeper).get(planned.get_absolute_url()).content.decode()


def test_a_vat_without_a_plant_cannot_be_the_usual_way(client_of: Any, keeper: Any) -> None:
    from tanwright.yard.tannage import services as tannages
    from tanwright.yard.tannage.models import Tannage
    from tanwright.yard.trials.services import begin_trial

    vat = tannages.begin_draft(keeper)
    Tannage.objects.filter(pk=vat.pk).update(state=Tannage.State.PLANNED)
    trial = begin_trial(keeper, "which")
    url = reverse("trials:step", args=[trial.pk, "compare"])
    sent = {"usual": "", "plants": "common alder bark", "tannage": str(vat.pk)}
    page = client_of(keeper).post(url, sent).content.decode()
    assert "That vat has no plant yet" in page
