"""Every value printed by others agrees with ours within the tolerance stated beside it."""

import pytest

from tanwright.planning.outside_checks import (
    QUANTITIES,
    OutsideCheck,
    citations,
    published_values,
    run_checks,
)

CHECKS = run_checks()


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.id)
def test_published_value(check: OutsideCheck) -> None:
    assert check.ok, (
        f"{check.label} ({check.inputs}): {check.source} has {check.published} {check.unit}, "
        f"ours is {check.ours}, tolerance {check.tolerance}"
    )


def test_every_file_names_a_known_source() -> None:
    told = citations()
    assert {value.source for value in published_values()} <= set(told)
    assert all(check.citation for check in CHECKS)


def test_every_quantity_is_used() -> None:
    assert {value.quantity for value in published_values()} == set(QUANTITIES)


def test_no_family_went_missing() -> None:
    families = {check.id.split("-")[0] for check in CHECKS}
    assert families == {
        "hyd", "wat", "dif", "liq", "ext", "lime", "del", "dre", "hid", "hide", "lea", "ts", "sch",
        "rec", "dem", "jen", "brk", "crk", "front", "unit", "soak", "tan",
    }  # fmt: skip
    assert len(CHECKS) >= 380
