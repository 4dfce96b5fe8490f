"""Weights, measures, tests and grades, and what they say."""

from __future__ import annotations

import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.planning.finishing import TESTS, MassInput, judge_test, mass_account, scale
from tanwright.yard.journal.kinds import kind_of
from tanwright.yard.journal.models import Entry
from tanwright.yard.leather import queries
from tanwright.yard.leather.masses import masses_of
from tanwright.yard.leather.pelt import pelt_of
from tanwright.yard.skins.models import Skin
from tanwright.yard.skins.services import weigh
from tests.yard.leather.conftest import OUT


def sent(**more: Any) -> dict[str, Any]:
    return {"entry_id": str(uuid.uuid4()), "happened_at": "2026-05-21T09:00", **more}


def log_url(leather: Any, what: str) -> str:
    return reverse("leather:log", args=[leather.pk, what])


def test_a_helper_weighs_it_dry_and_the_scale_speaks(
    client_of: Any, helper: Any, leather: Any
) -> None:
    client = client_of(helper)
    client.post(log_url(leather, "weighed"), sent(kg="0.8", state="dry"))
    leather.refresh_from_db()
    account = mass_account(MassInput(pelt_kg=2.0, leather_kg=0.8))
    assert leather.weight_kg == 0.8
    assert leather.degree_pct == pytest.approx(account.degree_pct.likely)
    page = client.get(leather.get_absolute_url()).content.decode()
    assert account.words[0] in page
    assert "1 kg of pelt gave 0.40 kg of leather" in page


def test_pounds_are_kept_in_kilograms(client_of: Any, keeper: Any, leather: Any) -> None:
    keeper.system = "us"
    keeper.save()
    client_of(keeper).post(log_url(leather, "weighed"), sent(kg="2", state="dry"))
    leather.refresh_from_db()
    assert leather.weight_kg == pytest.approx(0.90718, rel=1e-4)


def test_a_weight_that_the_pelt_cannot_give_is_told_and_not_refused(
    client_of: Any, helper: Any, leather: Any
) -> None:
    page = client_of(helper).post(
        log_url(leather, "weighed"), sent(kg="0.1", state="dry"), follow=True
    )
    assert "weighs less than the hide in its pelt" in page.content.decode()
    leather.refresh_from_db()
    assert (leather.weight_kg, leather.degree_pct) == (0.1, None)


def test_a_pelt_known_only_raw_makes_the_account_wider(leather: Any, note: Any) -> None:
    note(leather, "weighed", {"kg": 0.8, "state": "dry"})
    weighed = masses_of(leather).account
    Skin.objects.filter(pk=leather.skin_id).update(weighed_at_stage="green", weight_kg=2.3)
    leather.skin.refresh_from_db()
    reckoned = masses_of(leather)
    assert weighed is not None
    assert reckoned.account is not None
    width = reckoned.account.degree_pct.high - reckoned.account.degree_pct.low
    assert width > weighed.degree_pct.high - weighed.degree_pct.low
    assert "never weighed" in reckoned.whence
    assert reckoned.account.yield_raw == pytest.approx(0.8 / 2.3)


def test_the_weights_in_the_log_of_the_skin_are_used_the_pelt_and_the_raw_one(
    leather: Any, keeper: Any, note: Any
) -> None:
    weigh(leather.skin, 2.4, keeper, stage="green", happened_at=OUT - timedelta(days=80))
    weigh(leather.skin, 2.1, keeper, stage="limed", happened_at=OUT - timedelta(days=70))
    weigh(leather.skin, 1.9, keeper, stage="delimed", happened_at=OUT - timedelta(days=65))
    leather.skin.refresh_from_db()
    pelt = pelt_of(leather.skin)
    assert (pelt.kg, pelt.raw_kg) == (1.9, 2.4)
    note(leather, "weighed", {"kg": 0.8, "state": "dry"})
    account = masses_of(leather).account
    assert account is not None
    assert account.yield_raw == pytest.approx(0.8 / 2.4)
    assert account.yield_pelt == pytest.approx(0.8 / 1.9)


def test_a_skin_without_weight_says_what_is_missing(leather: Any, note: Any) -> None:
    Skin.objects.filter(pk=leather.skin_id).update(weighed_at_stage="", weight_kg=None)
    leather.skin.refresh_from_db()
    note(leather, "weighed", {"kg": 0.8, "state": "dry"})
    assert pelt_of(leather.skin).kg is None
    assert "No weight of the skin" in queries.page_of(leather, "metric").masses.missing


def test_thickness_and_area(client_of: Any, helper: Any, leather: Any) -> None:
    client = client_of(helper)
    client.post(log_url(leather, "measured"), sent(thickness_mm="2.1", area_m2="0.6", place="neck"))
    client.post(log_url(leather, "measured"), sent(thickness_mm="1.9"))
    leather.refresh_from_db()
    assert (leather.thickness_mm, leather.area_m2) == (1.9, 0.6)


def test_nothing_measured_is_an_error_of_the_form(
    client_of: Any, helper: Any, leather: Any
) -> None:
    page = client_of(helper).post(log_url(leather, "measured"), sent()).content.decode()
    assert "Write the thickness, the area or both" in page


@pytest.mark.parametrize("test", ["cut", "bend", "feel"])
def test_grades_show_their_anchors_in_words(
    client_of: Any, helper: Any, leather: Any, test: str
) -> None:
    client = client_of(helper)
    page = client.get(log_url(leather, test)).content.decode()
    for row in scale(test):
        assert row.anchor in page
    client.post(log_url(leather, test), sent(value="4", test=test))
    judged = queries.page_of(leather, "metric").tests
    assert [(part.value, part.means) for part in judged] == [
        ("4 of 5", judge_test(test, 4.0).means)
    ]


def test_a_shrinkage_temperature_in_fahrenheit(client_of: Any, keeper: Any, leather: Any) -> None:
    keeper.system = "us"
    keeper.save()
    client_of(keeper).post(log_url(leather, "shrinkage"), sent(value="176", test="shrinkage"))
    entry = Entry.objects.get(record=leather, kind="leather.tested")
    assert entry.data["value"] == pytest.approx(80.0)
    told = queries.page_of(leather, "us").tests[0]
    assert told.value == "176 °F"
    assert "°C" not in told.anchor + told.means


@pytest.mark.parametrize(
    ("what", "value"),
    [
        ("shrinkage", "500"), ("shrinkage", "warm"), ("boil", "-4"), ("boil", "nan"),
        ("water-drop", "1e9"), ("water-drop", ""), ("cut", "6"), ("cut", "3.5"), ("bend", ""),
    ],
)  # fmt: skip
def test_a_value_off_its_scale_is_told_and_nothing_is_kept(
    client_of: Any, helper: Any, leather: Any, what: str, value: str
) -> None:
    page = client_of(helper).post(
        log_url(leather, what), sent(value=value, test=what.replace("-", "_"))
    )
    assert page.status_code == 200
    assert "error-summary" in page.content.decode()
    assert not Entry.objects.filter(record=leather).exists()


def test_a_forged_test_is_refused(client_of: Any, helper: Any, leather: Any) -> None:
    page = client_of(helper).post(log_url(leather, "bend"), sent(value="4", test="soul"))
    assert "error-summary" in page.content.decode()


def test_the_latest_of_a_test_counts_and_a_correction_keeps_its_form(
    client_of: Any, helper: Any, leather: Any
) -> None:
    client = client_of(helper)
    client.post(log_url(leather, "bend"), sent(value="2", test="bend"))
    entry = Entry.objects.get(record=leather)
    url = reverse("journal:correct", args=[entry.pk])
    assert 'value="2" checked' in client.get(url).content.decode().replace("  ", " ") or (
        "checked" in client.get(url).content.decode()
    )
    client.post(url, sent(value="5", test="bend"))
    assert [part.value for part in queries.page_of(leather, "metric").tests] == ["5 of 5"]


def test_a_stranger_may_not_judge(client_of: Any, leather: Any, on_network: None) -> None:
    client_of(None).post(log_url(leather, "bend"), sent(value="2", test="bend"), secure=True)
    assert not Entry.objects.filter(record=leather).exists()


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    test=st.sampled_from(sorted(TESTS)),
    value=st.one_of(st.floats(allow_nan=True), st.integers(-10, 4000), st.text(), st.none()),
)
def test_data_are_kept_exactly_when_the_engine_can_judge_them(test: str, value: Any) -> None:
    kind = kind_of("leather.graded" if TESTS[test] == "grade" else "leather.tested")
    try:
        kept = kind.clean({"test": test, "value": value})
    except InputError:
        return
    assert judge_test(test, kept["value"]).means
    assert kind.say(kept, "us")


def test_measures_with_a_comma_are_kept(client_of: Any, helper: Any, leather: Any) -> None:
    client = client_of(helper)
    client.post(log_url(leather, "boil"), sent(value="97,5", test="boil"))
    assert Entry.objects.get(record=leather, kind="leather.tested").data["value"] == 97.5
    client.post(log_url(leather, "measured"), sent(thickness_mm="1,8", area_m2="0,35"))
    leather.refresh_from_db()
    assert (leather.thickness_mm, leather.area_m2) == (1.8, 0.35)
