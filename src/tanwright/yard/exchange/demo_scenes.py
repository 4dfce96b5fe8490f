"""The scenes of the demo, area by area, in the order in which they are told."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from tanwright.yard.exchange.demo_cast import Cast, day_ago, days_ago, id_of
from tanwright.yard.exchange.demo_places import coppice, home, woodyard
from tanwright.yard.exchange.demo_skins import kid_finished, skin_in_lime, skins_waiting
from tanwright.yard.exchange.demo_trials import draft_trial, graded_trial, running_trial
from tanwright.yard.exchange.demo_vats import goat_in_the_vat, kid_that_is_done
from tanwright.yard.liquors import services as liquors
from tanwright.yard.stock import services as stock
from tanwright.yard.stock.models import Lot


def bark_store(cast: Cast) -> None:
    """Oak bark in plenty, an unknown sumac leaf tried by a small cook, a wet heap of willow."""
    by = cast.keeper
    stock.keep_container("bucket", "2 kg", by, of="chopped bark")
    oak = stock.new_lot(
        by,
        "quercus-robur-bark",
        id=id_of("lot: oak bark"),
        name="oak bark of the winter's firewood (demo)",
        kg=24.0,
        counted="12 buckets",
        where="loft, north side",
        gathered_on=day_ago(260),
        history={"rained_on": False, "mouldy": False},
        happened_at=days_ago(150, 8),
        note="Chopped with the kindling hatchet, thumb-sized.",
    )
    stock.log(
        oak, "lot.stocktake", {"kg": 23.5}, by, id=id_of("oak: stocktake"),
        happened_at=days_ago(149, 17),
    )  # fmt: skip
    spruce = stock.new_lot(
        by,
        "picea-abies-bark",
        id=id_of("lot: spruce bark"),
        name="spruce bark from the sawmill (demo)",
        kg=9.0,
        where="loft, under the window",
        gathered_on=day_ago(150),
        history={"rained_on": True},
        happened_at=days_ago(58),
    )
    stock.log(
        spruce, "lot.lost", {"kg": 0.8, "why": "mouldy at the bottom of the sack"}, cast.helper,
        id=id_of("spruce: lost"), happened_at=days_ago(20, 16),
    )  # fmt: skip


def cooks(cast: Cast) -> None:
    """A strong oak liquor in store, its second water, and a spent one kept for first baths."""
    by = cast.keeper
    oak = Lot.objects.get(pk=id_of("lot: oak bark"))
    liquors.set_tools(
        by, instrument="hydrometer", scale="bk", calibrated_at_c=20.0, pot_l=10.0, litre_scale=True
    )
    first = liquors.cook(
        by, {oak: 2.5}, 12.0, id=id_of("liquor: oak, first water"),
        name="oak, first water (demo)", volume_l=9.5, temperature_c=80.0, hours=3.0,
        where="barrel by the door", happened_at=days_ago(33, 10),
    )  # fmt: skip
    liquors.read_strength(
        first, 27.0, "bk", by, liquor_c=14.0, id=id_of("oak first: read"),
        happened_at=days_ago(32, 8),
    )  # fmt: skip
    second = liquors.cook(
        by, {oak: 2.5}, 10.0, id=id_of("liquor: oak, second water"), which=2,
        name="oak, second water (demo)", volume_l=9.0, temperature_c=80.0, hours=2.0,
        where="blue tub", happened_at=days_ago(33, 15),
    )  # fmt: skip
    liquors.read_strength(
        second, 11.0, "bk", cast.helper, liquor_c=13.0, id=id_of("oak second: read"),
        happened_at=days_ago(32, 9),
    )  # fmt: skip


ALL: Final[tuple[Callable[[Cast], None], ...]] = (
    home,
    bark_store,
    woodyard,
    coppice,
    cooks,
    kid_that_is_done,
    kid_finished,
    goat_in_the_vat,
    skin_in_lime,
    skins_waiting,
    graded_trial,
    running_trial,
    draft_trial,
)
