"""``tanwright strengthen``: litres to swap or to add, never more than there is."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from tanwright.cli.options import CalibratedAt, Containers, Json, Units
from tanwright.cli.place import placed

if TYPE_CHECKING:
    from tanwright.planning.sheet import Container
    from tanwright.planning.strengthen import Way
    from tanwright.units import System

WAYS = {
    "swap": "Swap, the vat stays as full",
    "top-up": "Top up, nothing is taken out",
    "top-up-and-swap": "Top up as far as there is room, swap the rest",
}
KEEP = "Keep what you take out: it is a mild first liquor for another skin."
NON_TANS = (
    "A used liquor reads stronger than it tans, since non-tans stay behind while the skin takes "
    "the tannin."
)


def register(app: typer.Typer) -> None:
    """Hang the command on ``app``."""

    @app.command()
    def strengthen(
        volume: Annotated[str, typer.Argument(metavar="VOLUME", help='In the vat: "60 L".')],
        from_: Annotated[str, typer.Option("--from", help='Strength of the vat: "8 Bk" or "tea".')],
        to: Annotated[str, typer.Option("--to", help='Wanted strength: "14 Bk".')],
        with_: Annotated[
            str, typer.Option("--with", help='What is put in: "35 Bk", "coffee" or "water".')
        ],
        have: Annotated[
            str | None,
            typer.Option("--have", help='How much of it there is, "20 L"; else what is needed.'),
        ] = None,
        room: Annotated[
            str | None, typer.Option("--room", help='What the vat can still take: "5 L".')
        ] = None,
        at: Annotated[
            str | None, typer.Option("--at", help='Temperature of the vat when read: "12 C".')
        ] = None,
        with_at: Annotated[
            str | None, typer.Option("--with-at", help="The same of the stronger liquor.")
        ] = None,
        calibrated_at: CalibratedAt = None,
        refractometer: Annotated[
            bool, typer.Option("--refractometer", help="Strengths are a sugar refractometer's.")
        ] = False,
        container: Containers = None,
        sheet: Annotated[
            Path | None,
            typer.Option("--sheet", help="Take containers and hydrometer from this sheet."),
        ] = None,
        units: Units = "metric",
        json: Json = False,
    ) -> None:
        """Bring a vat to another strength: how much to swap or add."""
        record, containers = _work_out(
            volume=volume,
            from_=from_,
            to=to,
            with_=with_,
            have=have,
            room=room,
            at=at,
            with_at=with_at,
            calibrated_at=calibrated_at,
            refractometer=refractometer,
            container=container or [],
            sheet=sheet,
        )
        if json:
            from tanwright.cli.output import print_json

            print_json(record)
        else:
            _print(record, containers, units)


def _work_out(
    *,
    volume: str,
    from_: str,
    to: str,
    with_: str,
    have: str | None,
    room: str | None,
    at: str | None,
    with_at: str | None,
    calibrated_at: str | None,
    refractometer: bool,
    container: list[str],
    sheet: Path | None,
) -> tuple[dict[str, Any], list[Container]]:
    from tanwright import units as u
    from tanwright.errors import InputError, UnitError
    from tanwright.planning.containers import read_container, volume_in
    from tanwright.planning.looks import find_liquor_look, liquor_looks
    from tanwright.planning.strengthen import Liquor, ways
    from tanwright.science import strength

    containers = [read_container(text, place="--container") for text in container]
    reference_c = strength.BARKOMETER_REFERENCE_C
    if sheet is not None:
        from datetime import date

        from tanwright.planning.sheet_reader import read_sheet

        given = read_sheet(sheet, today=date.today())
        containers += given.containers
        if given.tools.calibrated_at_c is not None:
            reference_c = given.tools.calibrated_at_c
        refractometer = refractometer or given.tools.strength == "refractometer"
    if calibrated_at is not None:
        reference_c = _liquid_c(calibrated_at, "--calibrated-at") or reference_c

    looked: list[str] = []

    def true_bk(text: str, place: str, temperature_c: float | None) -> float:
        if text.strip().lower() == "water":
            return 0.0
        look = find_liquor_look(text)
        if look is not None:
            looked.append(_rough(look))
            return look_middle_bk(look)
        try:
            number, scale = u.strength_reading(text, place=place)
        except UnitError as error:
            remedy = f"{error.remedy}, or a look: {', '.join(liquor_looks())}"
            raise UnitError(error.what, place=place, remedy=remedy) from None
        with placed(place):
            if refractometer and scale in ("brix", "plato"):
                return float(strength.bk_from_sg(strength.refractometer_to_sg(number)))
            sg = strength.convert(
                number, scale, "sg", temperature_c=temperature_c, calibrated_at_c=reference_c
            )
            return float(strength.bk_from_sg(sg))

    vat_c = _liquid_c(at, "--at")
    stock_c = vat_c if with_at is None else _liquid_c(with_at, "--with-at")
    vat = Liquor(volume_in(volume, containers, place="VOLUME"), true_bk(from_, "--from", vat_c))
    stock_l = math.inf if have is None else volume_in(have, containers, place="--have")
    stock = Liquor(stock_l, true_bk(with_, "--with", stock_c))
    for liquor, place, text in ((vat, "VOLUME", volume), (stock, "--have", have)):
        if liquor.volume_l <= 0.0:
            raise InputError(
                f'"{text}" is not above zero', place=place, remedy="write 20 L or 5 gal"
            )
    to_bk = true_bk(to, "--to", None)
    room_l = None if room is None else volume_in(room, containers, place="--room")
    with placed("--to"):
        found = ways(vat, to_bk, stock, room_l=room_l)
    scale = "bk" if find_liquor_look(to) else u.strength_reading(to)[1]
    optical = refractometer and scale in ("brix", "plato")
    return {
        "vat": {"litres": vat.volume_l, "strength_bk": vat.strength_bk, "read_at_c": vat_c},
        "stock": {"litres": stock.volume_l, "strength_bk": stock.strength_bk, "read_at_c": stock_c},
        "wanted_bk": to_bk,
        "hydrometer_calibrated_at_c": reference_c,
        "scale": scale,
        "ways": [_way(way, scale, optical, vat_c, reference_c) for way in found],
        "notes": [
            *_by_eye(looked),
            *_notes(vat_c, stock_c, optical, any(way.out_l > 0.0 for way in found), bool(looked)),
        ],
    }, containers


def look_middle_bk(look: str) -> float:
    """The middle of a look of the liquor, °Bk."""
    from tanwright.science.belief.kinds import LOOKS

    return float(f"{math.exp(LOOKS.datum(LOOKS.number(look))[0]):.2g}")


def _rough(look: str) -> str:
    from tanwright.science.belief.kinds import LOOKS

    cuts, number = LOOKS.cuts_bk, int(LOOKS.number(look))
    low = f"{cuts[number - 1]:.0f}" if number else "0"
    high = f"{cuts[number]:.0f}" if number < len(cuts) else ""
    spread = f"{low} to {high} °Bk" if high else f"{low} °Bk or more"
    return f'"{look}" may be {spread} and is reckoned as {look_middle_bk(look):.2g}'


def _by_eye(looked: list[str]) -> list[str]:
    if not looked:
        return []
    told = "; ".join(dict.fromkeys(looked))
    return [f"By eye only: {told}. Put half in, stir, look again, then the rest."]


def _liquid_c(text: str | None, place: str) -> float | None:
    """A temperature at which a liquor can be read, °C."""
    from tanwright import units as u
    from tanwright.science.strength import hydrometer_to_sg

    if text is None:
        return None
    celsius = u.temperature_c(text, place=place)
    with placed(place):
        hydrometer_to_sg(1.0, celsius)
    return celsius


def _way(
    way: Way, scale: str, optical: bool, vat_c: float | None, reference_c: float
) -> dict[str, Any]:
    from tanwright.science import strength

    shown_sg = strength.sg_from_bk(way.reaches_bk)
    if optical:
        shown_sg = strength.sg_from_brix(strength.refractometer_reading(shown_sg))
    elif vat_c is not None:
        shown_sg = strength.hydrometer_reading(shown_sg, vat_c, reference_c)
    return {
        "way": way.name,
        "take_out_l": way.out_l,
        "put_in_l": way.in_l,
        "reaches_bk": way.reaches_bk,
        "reaches": float(strength.convert(way.reaches_bk, "bk", scale)),
        "instrument_will_show": float(strength.convert(shown_sg, "sg", scale)),
        "vat_l": way.vat_l,
        "stock_left_l": way.stock_left_l,
        "stock_is_enough": way.enough,
    }


def _notes(
    vat_c: float | None, stock_c: float | None, optical: bool, takes_out: bool, by_eye: bool
) -> list[str]:
    notes = [KEEP] if takes_out else []
    if optical:
        notes.append("A sugar refractometer is taken to read a tannin liquor a tenth high.")
    elif not by_eye and (vat_c is None or stock_c is None):
        notes.append(
            "Strengths were taken as they stand: give --at (and --with-at for a warm cook) to "
            "correct them. A hydrometer made for 60 F (15.6 °C) reads about 2 °Bk low at 25 °C."
        )
    return [*notes, NON_TANS]


def _what_goes_in(record: dict[str, Any]) -> str:
    if record["stock"]["strength_bk"] <= 0.0:
        return "water"
    stronger = record["stock"]["strength_bk"] > record["vat"]["strength_bk"]
    return "the stronger liquor" if stronger else "the weaker liquor"


def _print(record: dict[str, Any], containers: list[Container], system: System) -> None:
    from tanwright import units as u
    from tanwright.cli.output import say
    from tanwright.planning.containers import in_containers
    from tanwright.science.strength import scale_of

    sign = scale_of(record["scale"]).sign

    def figure(value: float) -> str:
        text = f"{value:.3f}" if record["scale"] == "sg" else u.rounded(value, 3)
        return f"{text} {sign}"

    def litres(amount: float) -> str:
        text = u.format_volume(amount, system)
        counted = in_containers(amount, amount, containers, kind="volume")
        return f"{text} ({counted})" if counted else text

    for way in record["ways"]:
        say(WAYS[way["way"]])
        out = f"take out {litres(way['take_out_l'])}, then " if way["take_out_l"] > 0.0 else ""
        reached = figure(way["reaches"])
        say(f"  {out}put in {litres(way['put_in_l'])} of {_what_goes_in(record)}")
        if way["stock_is_enough"] and math.isinf(way["stock_left_l"]):
            say(f"  the vat then stands at {reached}")
        elif way["stock_is_enough"]:
            say(f"  the vat then stands at {reached}; {litres(way['stock_left_l'])} are left over")
        else:
            say(f"  that is all there is: the vat reaches {reached} and not more")
        shown = figure(way["instrument_will_show"])
        if shown != reached:
            say(f"  your instrument will show {shown} there")
        say()
    for note in record["notes"]:
        say(note)
