"""Scenes of the demo out of doors: where the yard is, what is gathered, and where."""

from __future__ import annotations

from typing import Final

from tanwright.yard.exchange.demo_cast import Cast, day_ago, days_ago, id_of
from tanwright.yard.gathering import services as gathering
from tanwright.yard.plants import here_services as here
from tanwright.yard.plants import services as plants

OWN: Final = (
    ("quercus-robur-bark", "Peels in long strips while the leaves unfold."),
    ("salix-caprea-bark", "Along the ditch, shoots of four years."),
    ("picea-abies-bark", "Only fresh from the mill, never from the wet heap."),
    ("rhus-typhina-leaf", ""),
)  # fmt: skip
SIGHTINGS: Final = (
    ("Quercus robur", 51.214, 9.396, (5, 5, 6, 9, 10)),
    ("Quercus petraea", 51.176, 9.344, (6, 10)),
    ("Salix caprea", 51.203, 9.411, (3, 4, 4, 5)),
    ("Salix fragilis", 51.231, 9.452, (4, 7)),
    ("Alnus glutinosa", 51.195, 9.418, (2, 3, 8, 11)),
    ("Betula pendula", 51.187, 9.382, (4, 9)),
    ("Picea abies", 51.168, 9.361, (1, 5, 8)),
    ("Castanea sativa", 51.262, 9.487, (10,)),
    ("Juglans regia", 51.209, 9.402, (9, 10)),
)
"""Invented records of plants seen around: name, degrees north and east, months."""


def home(cast: Cast) -> None:
    """An invented place in the hills of Middle Europe, and the plants that are gathered there."""
    here.set_home(
        cast.keeper,
        place_code="GER",
        name="the yard (demo)",
        latitude=51.2,
        longitude=9.4,
        altitude_m=280.0,
        reach_km=15.0,
    )
    for material_id, note in OWN:
        plants.add_plant(material_id, cast.keeper, note)
    year = day_ago(365).year
    rows = ["scientificName,decimalLatitude,decimalLongitude,eventDate"]
    for name, north, east, months in SIGHTINGS:
        rows += [f"{name},{north},{east},{year}-{month:02d}-12" for month in months]
    here.take_in_now(cast.keeper, "records of the valley (demo).csv", "\n".join(rows).encode())


def woodyard(cast: Cast) -> None:
    """A mill that gives fresh spruce bark away, and a windfall oak that nobody was asked about."""
    by = cast.keeper
    gathering.open_place(
        by,
        "mill",
        id=id_of("place: mill"),
        name="sawmill by the river (demo)",
        whose="the mill",
        plants="picea-abies-bark",
        latitude=51.214,
        longitude=9.431,
        way="Through the yard, ask at the debarker.",
        permission="given",
        by_role="the foreman",
        happened_at=days_ago(160, 14),
    )
    oak = gathering.open_place(
        by,
        "windfall",
        id=id_of("place: windfall"),
        name="windfall oak on the ridge (demo)",
        whose="the forest owner",
        plants="quercus-robur-bark",
        latitude=51.188,
        longitude=9.372,
        way="Second turn after the spring, 200 m up the track.",
        ended_on=day_ago(40),
        permission="asked",
        by_role="the forester",
        happened_at=days_ago(12, 16),
    )
    gathering.log(
        oak,
        "trunks",
        {
            "material_id": "quercus-robur-bark",
            "trunks": [
                {"diameter_cm": 38.0, "length_m": 6.0, "bark_mm": 14.0},
                {"diameter_cm": 14.0, "length_m": 3.0, "count": 4},
            ],
        },
        by,
        id=id_of("windfall: trunks"),
        happened_at=days_ago(11, 15),
        note="Lies under tension on the uphill side: for somebody who has learned it.",
    )
    gathering.log(
        oak, "rained", {"rain": "days"}, cast.helper, id=id_of("windfall: rain"),
        happened_at=days_ago(4, 17),
    )  # fmt: skip


def coppice(cast: Cast) -> None:
    """Willow along a ditch in four parts, one cut each year."""
    by = cast.keeper
    stand = gathering.open_place(
        by,
        "coppice",
        id=id_of("place: coppice"),
        name="willow along the ditch (demo)",
        whose="our own",
        plants="salix-caprea-bark",
        latitude=51.201,
        longitude=9.405,
        compartments=4,
        stools=60,
        permission="given",
        by_role="ourselves",
        happened_at=days_ago(1130, 10),
    )
    for year, (part, days) in enumerate((("north end", 1120), ("by the gate", 755), ("bend", 392))):
        gathering.log(
            stand, "cut", {"part": part, "share_pct": 25.0}, by, id=id_of(f"coppice: cut {year}"),
            happened_at=days_ago(days, 9),
        )  # fmt: skip
    gathering.gather(
        stand,
        cast.keeper,
        "salix-caprea-bark",
        kg=5.2,
        state="fresh",
        where="rack in the barn",
        as_lot=True,
        lot_name="willow shoots of the ditch (demo)",
        id=id_of("coppice: gathered"),
        happened_at=days_ago(6, 11),
        note="Peeled the same day, hung in bundles.",
    )
