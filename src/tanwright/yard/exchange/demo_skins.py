"""Scenes of the demo before and after the vat: skins in several stages, and a finished leather."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from tanwright.yard.exchange.demo_cast import Cast, day_ago, days_ago, id_of
from tanwright.yard.leather import services as leather
from tanwright.yard.people.models import Person
from tanwright.yard.skins import services as skins
from tanwright.yard.skins.models import Skin
from tanwright.yard.tannage.models import Tannage


def skins_waiting(cast: Cast) -> None:
    """One frozen, one in salt with a flaw, one that came in yesterday."""
    skins.new_skin(
        cast.keeper, "sheep", id=id_of("skin: sheep, frozen"), name="sheep in the freezer (demo)",
        keeping="frozen", place="freezer, left basket", weight_kg=3.1, taken_on=day_ago(60),
        happened_at=days_ago(60, 18),
    )  # fmt: skip
    deer = skins.new_skin(
        cast.keeper, "roe deer", id=id_of("skin: roe deer, salted"), name="roe deer in salt (demo)",
        keeping="salted", place="salt box", weight_kg=1.9, taken_on=day_ago(40),
        happened_at=days_ago(39, 17), origin="from the hunter next door, with the tag",
    )  # fmt: skip
    skins.note_flaw(
        deer, "hole", cast.helper, where="left shoulder", id=id_of("deer: flaw"),
        note="Of the shot.", happened_at=days_ago(39, 18),
    )  # fmt: skip
    skins.new_skin(
        cast.keeper, "goat", id=id_of("skin: goat, fresh"), name="white goat of yesterday (demo)",
        keeping="fresh", place="bench", weight_kg=2.4, taken_on=day_ago(1),
        happened_at=days_ago(1, 19), note="Washed, not salted yet.",
    )  # fmt: skip


def skin_in_lime(cast: Cast) -> None:
    """A goat skin that was soaked and fleshed and lies in lime since two days ago."""
    goat = skins.new_skin(
        cast.keeper, "goat", id=id_of("skin: goat in lime"), name="black goat (demo)",
        keeping="fresh", place="lime tub", weight_kg=2.6, taken_on=day_ago(4),
        happened_at=days_ago(4, 10),
    )  # fmt: skip
    skins.choose_way(
        goat, "lime", "boric", cast.keeper, id=id_of("black goat: way"),
        happened_at=days_ago(4, 10, 30),
    )  # fmt: skip
    _stage(goat, cast.keeper, "soak-fresh", days_ago(4, 11), days_ago(3, 9))
    _stage(goat, cast.helper, "flesh", days_ago(3, 10), days_ago(3, 12))
    _stage(goat, cast.keeper, "unhair-lime", days_ago(2, 9), None)


def goat_prepared(cast: Cast, what: str, name: str, kg: float, days: int) -> Skin:
    """A goat skin taken all the way to the vat, the last check ``days`` ago."""
    skin = skins.new_skin(
        cast.keeper, "goat", id=id_of(what), name=name, keeping="fresh", weight_kg=kg,
        taken_on=day_ago(days + 9), happened_at=days_ago(days + 9, 9),
    )  # fmt: skip
    skins.choose_way(
        skin, "lime", "boric", cast.keeper, id=id_of(f"{what}: way"),
        happened_at=days_ago(days + 9, 10),
    )  # fmt: skip
    by = cast.keeper
    _stage(skin, by, "soak-fresh", days_ago(days + 9, 11), days_ago(days + 8, 8))
    _stage(skin, by, "flesh", days_ago(days + 8, 9), days_ago(days + 8, 11))
    _stage(skin, by, "unhair-lime", days_ago(days + 8, 12), days_ago(days + 3, 9))
    _stage(skin, by, "scrape", days_ago(days + 3, 10), days_ago(days + 3, 12))
    _stage(skin, by, "rinse-limed", days_ago(days + 3, 13), days_ago(days + 2, 8))
    _stage(skin, cast.helper, "scud", days_ago(days + 2, 9), days_ago(days + 2, 11))
    _stage(skin, by, "delime-boric", days_ago(days + 2, 12), days_ago(days + 1, 9))
    _stage(skin, by, "last-check", days_ago(days + 1, 10), days_ago(days + 1, 11))
    return skin


def kid_finished(cast: Cast) -> None:
    """The kid's leather: rinsed, oiled, dried, broken, tested and graded."""
    by = cast.keeper
    found = leather.open_leather(
        by,
        Tannage.objects.get(pk=id_of("vat: kid")),
        Skin.objects.get(pk=id_of("skin: kid")),
        id=id_of("leather: kid"),
        name="kid leather (demo)",
        aim="soft",
    )
    _log(found, by, "weighed", days_ago(87, 12), kg=0.95, state="damp")
    for stage, begun, ended, used in (
        ("rinse-leather", days_ago(87, 13), days_ago(86, 9), None),
        ("sammy", days_ago(86, 10), days_ago(86, 16), None),
        ("oil", days_ago(86, 17), days_ago(85, 9), 0.05),
        ("dry", days_ago(85, 10), days_ago(80, 10), None),
        ("stake", days_ago(80, 11), days_ago(80, 15), None),
    ):
        start: dict[str, Any] = {"stage": stage, "temperature_c": 16.0}
        if used is not None:
            start["used_kg"] = used
        _log(found, by, "stage_begun", begun, **start)
        _log(found, by, "stage_ended", ended, stage=stage, looked="done")
    _log(found, by, "weighed", days_ago(79, 9), kg=0.38, state="dry")
    _log(found, by, "measured", days_ago(79, 9, 5), thickness_mm=1.2, area_m2=0.42, place="back")
    _log(found, by, "tested", days_ago(79, 9, 10), test="shrinkage", value=78.0)
    _log(found, by, "tested", days_ago(79, 9, 20), test="water_drop", value=40.0)
    _log(found, cast.helper, "graded", days_ago(79, 9, 30), test="bend", value=4)
    _log(found, cast.helper, "graded", days_ago(79, 9, 35), test="feel", value=4)


def _stage(skin: Skin, by: Person, step: str, begun: datetime, ended: datetime | None) -> None:
    skins.begin_stage(skin, step, 14.0, by, id=id_of(f"{skin.pk} {step} begun"), happened_at=begun)
    if ended is not None:
        skins.end_stage(
            skin, step, "done", by, id=id_of(f"{skin.pk} {step} ended"), happened_at=ended
        )


def _log(found: Any, by: Person, what: str, when: datetime, **data: Any) -> None:
    leather.log(
        found, f"leather.{what}", data, by,
        id=id_of(f"leather {found.pk} {what} {when.isoformat()}"), happened_at=when,
    )  # fmt: skip
