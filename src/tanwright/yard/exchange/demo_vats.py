"""Scenes of the demo in the vats: one goat skin in the middle of its work, one that is done."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Final

from tanwright.yard.exchange.demo_cast import Cast, day_ago, days_ago, id_of
from tanwright.yard.exchange.demo_skins import goat_prepared
from tanwright.yard.liquors.models import Liquor
from tanwright.yard.people.models import Person
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.models import Lot
from tanwright.yard.tannage import services as tannage
from tanwright.yard.tannage.models import Tannage

Happening = tuple[int, int, str, Mapping[str, Any], str]
"""Days ago, hour, what (a kind of the tannage), its data, a note."""

RUNNING_LOG: Final[tuple[Happening, ...]] = (
    (27, 18, "strength", {"value": 8.0, "scale": "bk", "liquor_c": 13.0}, ""),
    (25, 8, "turned", {}, "Colours evenly, a little on the folds."),
    (22, 9, "strength", {"value": 5.5, "scale": "bk", "liquor_c": 12.0}, "Falls fast: it drinks."),
    (20, 9, "cut", {"share": 0.25, "place": "neck"}, ""),
    (18, 17, "temperature", {"temperature_c": 12.0}, ""),
    (15, 9, "smell", {"smell": "sweet, of bark"}, ""),
    (13, 9, "cut", {"share": 0.45, "place": "neck"}, "Belly is further on."),
    (9, 8, "strength", {"value": 9.0, "scale": "bk", "liquor_c": 12.5}, ""),
    (6, 18, "cut", {"share": 0.6, "place": "neck"}, ""),
    (5, 8, "ph", {"ph": 4.4}, ""),
    (3, 8, "strength", {"value": 7.5, "scale": "bk", "liquor_c": 12.0}, ""),
    (2, 8, "turned", {}, ""),
)
DONE_LOG: Final[tuple[Happening, ...]] = (
    (138, 9, "strength", {"value": 9.0, "scale": "bk", "liquor_c": 14.0}, ""),
    (131, 9, "cut", {"share": 0.3, "place": "neck"}, ""),
    (124, 9, "strength", {"value": 11.0, "scale": "bk", "liquor_c": 14.0}, ""),
    (117, 9, "cut", {"share": 0.6, "place": "neck"}, ""),
    (104, 9, "cut", {"share": 0.8, "place": "neck"}, "A pale line, no more."),
    (96, 9, "cut", {"share": 0.95, "place": "neck"}, ""),
    (89, 9, "cut", {"share": 1.0, "place": "neck"}, "Through, in the thickest place too."),
)


def goat_in_the_vat(cast: Cast) -> None:
    """A goat skin four weeks in oak liquor, strengthened twice, with a cut each week."""
    by = cast.keeper
    goat = goat_prepared(cast, "skin: goat in the vat", "brown goat (demo)", 2.2, 28)
    vat = _planned(
        by,
        "vat: goat",
        "goat in oak (demo)",
        goat,
        "tall tub",
        18.0,
        12.0,
        day_ago(28),
        leather="soft",
    )
    first = Liquor.objects.get(pk=id_of("liquor: oak, first water"))
    tannage.start(
        vat, by, id=id_of("goat: started"), happened_at=days_ago(28, 10),
        note="Grain side up, nothing folded.",
    )  # fmt: skip
    _log(vat, by, cast.helper, RUNNING_LOG[:3])
    tannage.pour_in(
        vat, by, id=id_of("goat: strengthened"), happened_at=days_ago(21, 10), litres=4.0,
        liquor=first,
    )  # fmt: skip
    _log(vat, by, cast.helper, RUNNING_LOG[3:7])
    oak = Lot.objects.get(pk=id_of("lot: oak bark"))
    tannage.cook_in(
        vat, by, id=id_of("goat: cooked in"), happened_at=days_ago(10, 11), lots={oak: 1.2},
        in_litres=6.0, note="Cooked in its own liquor, poured back cold.",
    )  # fmt: skip
    _log(vat, by, cast.helper, RUNNING_LOG[7:])


def kid_that_is_done(cast: Cast) -> None:
    """A kid skin that was taken out struck through."""
    by = cast.keeper
    kid = goat_prepared(cast, "skin: kid", "kid of last spring (demo)", 1.1, 140)
    vat = _planned(
        by,
        "vat: kid",
        "kid in oak (demo)",
        kid,
        "small tub",
        10.0,
        14.0,
        day_ago(140),
        leather="soft",
    )
    oak = Lot.objects.get(pk=id_of("lot: oak bark"))
    tannage.start(vat, by, id=id_of("kid: started"), happened_at=days_ago(140, 10))
    _log(vat, by, cast.helper, DONE_LOG[:2])
    tannage.cook_in(
        vat, by, id=id_of("kid: cooked in"), happened_at=days_ago(126, 11), lots={oak: 1.5},
        in_litres=4.0,
    )  # fmt: skip
    _log(vat, by, cast.helper, DONE_LOG[2:])
    tannage.take_out(
        vat, by, id=id_of("kid: out"), happened_at=days_ago(87, 10),
        note="All three questions of the gate were answered yes.",
    )  # fmt: skip


def _planned(
    by: Person, what: str, name: str, skin: Skin, tub: str, litres: float, warm_c: float,
    start: Any, leather: str,
) -> Tannage:  # fmt: skip
    vat = tannage.begin_draft(by, id=id_of(what), name=name)
    tannage.set_facts(
        vat,
        {
            "vat": tub,
            "vat_volume_l": litres,
            "temperature_c": warm_c,
            "move": "daily",
            "leather": leather,
            "start": start,
        },
        by,
    )
    tannage.set_skins(vat, [skin], by)
    tannage.set_materials(vat, [Lot.objects.get(pk=id_of("lot: oak bark"))], [], by)
    tannage.settle(vat, by)
    return vat


def _log(vat: Tannage, keeper: Person, helper: Person, happenings: Iterable[Happening]) -> None:
    """The keeper reads and cuts, the helper turns, smells and looks how warm it is."""
    for days, hour, what, data, note in happenings:
        by = helper if what in ("turned", "smell", "temperature") else keeper
        tannage.log(
            vat, what, data, by, id=id_of(f"{vat.pk} {what} {days}"),
            happened_at=days_ago(days, hour), note=note,
        )  # fmt: skip
