"""``tanwright strength``: one reading on every scale, and the tannin it may mean."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from tanwright.cli.options import CalibratedAt, Json, Units
from tanwright.cli.place import placed

if TYPE_CHECKING:
    from tanwright.units import System

LABELS = {
    "sg": "specific gravity",
    "bk": "barkometer",
    "tw": "Twaddell",
    "be": "Baumé, modulus 145 (US)",
    "be-144.3": "Baumé, modulus 144.3 (Europe)",
    "brix": "Brix",
    "plato": "Plato",
}
HOT_C = 40.0
"""Above this a reading is rough: the liquor steams and cools while it is read (from memory)."""
ALSO = {"bx": "brix", "barkometer": "bk", "baume": "be", "baumé": "be", "twaddell": "tw"}


def register(app: typer.Typer) -> None:
    """Hang the command on ``app``."""

    @app.command()
    def strength(
        reading: Annotated[
            str, typer.Argument(metavar="READING", help='"1.020 SG", "12 Bk", or a bare number.')
        ],
        from_: Annotated[
            str | None, typer.Option("--from", help="Scale of a bare number: sg, bk, tw, be, brix.")
        ] = None,
        to: Annotated[
            str | None, typer.Option("--to", help="Scales to show, such as bk,be; all by default.")
        ] = None,
        at: Annotated[
            str | None, typer.Option("--at", help='Temperature of the liquor: "25 C".')
        ] = None,
        calibrated_at: CalibratedAt = None,
        refractometer: Annotated[
            bool,
            typer.Option("--refractometer", help="The reading is a sugar refractometer's."),
        ] = False,
        purity: Annotated[
            str | None,
            typer.Option("--purity", help='Tannins in the total solubles: "60 %" or "50-70 %".'),
        ] = None,
        material: Annotated[
            str,
            typer.Option("--material", help="Plant of the liquor, where no purity is given."),
        ] = "unknown-bark",
        units: Units = "metric",
        json: Json = False,
    ) -> None:
        """Convert a strength between scales, corrected for temperature."""
        record = _work_out(reading, from_, to, at, calibrated_at, refractometer, purity, material)
        if json:
            from tanwright.cli.output import print_json

            print_json(record)
        else:
            _print(record, units)


def _work_out(
    reading: str,
    from_: str | None,
    to: str | None,
    at: str | None,
    calibrated_at: str | None,
    refractometer: bool,
    purity: str | None,
    material: str,
) -> dict[str, Any]:
    from tanwright import units as u
    from tanwright.errors import InputError
    from tanwright.science import strength as s

    number, scale = _reading(reading, from_)
    wanted = _scales(to)
    low, high, whence = _purity(purity, material)
    at_c = None if at is None else u.temperature_c(at, place="--at")
    if at_c is None and calibrated_at is not None:
        raise InputError(
            "says nothing without the temperature of the liquor",
            place="--calibrated-at",
            remedy='add --at "25 C"',
        )
    reference_c = s.BARKOMETER_REFERENCE_C
    if calibrated_at is not None:
        reference_c = u.temperature_c(calibrated_at, place="--calibrated-at")
    with placed("READING"):
        if refractometer and scale not in ("brix", "plato"):
            raise InputError(
                "a refractometer reads Brix",
                place="--refractometer",
                remedy='write "4 Bx", or leave --refractometer out',
            )
        if refractometer:
            sg = float(s.refractometer_to_sg(number))
        else:
            sg = float(
                s.convert(number, scale, "sg", temperature_c=at_c, calibrated_at_c=reference_c)
            )
    bk = float(s.bk_from_sg(sg))
    per_low, per_high = s.SOLUBLES_RANGE_G_PER_L_PER_BK
    solubles = [float(s.solubles_g_per_l(bk, per)) for per in (per_low, per_high)]
    return {
        "reading": number,
        "reading_scale": scale,
        "at_c": at_c,
        "calibrated_at_c": None if refractometer else reference_c,
        "corrected": at_c is not None or refractometer,
        "scales": {key: _on(sg, key) for key in wanted},
        "solubles_g_per_l": {"low": solubles[0], "high": solubles[1]},
        "purity": {"low": low, "high": high, "source": whence},
        "tannin_g_per_l": {"low": solubles[0] * low, "high": solubles[1] * high},
    }


def _reading(text: str, from_: str | None) -> tuple[float, str]:
    from tanwright import units as u
    from tanwright.errors import InputError, UnitError
    from tanwright.science.strength import SCALES

    if from_ is None:
        try:
            return u.strength_reading(text, place="READING")
        except UnitError as error:
            raise UnitError(
                error.what,
                place="READING",
                remedy="write 12 Bk, 1.012 SG or 3 Bx, or add --from sg",
            ) from None
    key = ALSO.get(from_.strip().lower(), from_.strip().lower())
    if key not in SCALES:
        raise InputError(
            f'"{from_}" is not a scale', place="--from", remedy=f"use {', '.join(SCALES)}"
        )
    try:
        number = float(text)
    except ValueError:
        written, scale = u.strength_reading(text, place="READING")
        if scale == key:
            return written, scale
        raise UnitError(
            f'"{text}" is not on the scale {from_}', place="READING", remedy="leave --from out"
        ) from None
    return number, key


def _scales(to: str | None) -> list[str]:
    from tanwright.errors import InputError

    if to is None:
        return list(LABELS)
    wanted = [ALSO.get(word.strip().lower(), word.strip().lower()) for word in to.split(",")]
    for word in wanted:
        if word not in LABELS:
            raise InputError(
                f'"{word}" is not a scale', place="--to", remedy=f"use {', '.join(LABELS)}"
            )
    return wanted


def _on(sg: float, key: str) -> float:
    from tanwright.science import strength as s

    if key == "be-144.3":
        return float(s.be_from_sg(sg, s.BAUME_RATIONAL))
    return float(s.convert(sg, "sg", key))


def _purity(text: str | None, material: str) -> tuple[float, float, str]:
    """Low and high share, and where they come from."""
    import re

    from tanwright.errors import InputError
    from tanwright.planning import plants

    if text is None:
        with placed("--material"):
            described = plants.describe(material)
        share, name = described.purity_pct, described.material.name
        whence = f"fresh liquor of {name}, {', '.join(described.purity_sources)}"
        return share.p05 / 100.0, share.p95 / 100.0, whence
    match = re.fullmatch(
        r"\s*(\d+(?:\.\d+)?)\s*%?\s*(?:(?:-|–|to)\s*(\d+(?:\.\d+)?)\s*)?(%?)\s*", text
    )
    if match is not None:
        low = float(match[1])
        high = float(match[2] or match[1])
        if "%" in text or high > 1.0:
            low, high = low / 100.0, high / 100.0
        if 0.0 < low <= high <= 1.0:
            return low, high, "given"
    raise InputError(
        f'"{text}" is not a purity', place="--purity", remedy='write "60 %" or "50-70 %"'
    )


def _sign(key: str) -> str:
    from tanwright.science.strength import scale_of

    return scale_of(key.removesuffix("-144.3")).sign


def _print(record: dict[str, Any], system: System) -> None:
    from tanwright import units as u
    from tanwright.cli.output import say, table

    rows = [
        (LABELS[key], f"{value:.4f}" if key == "sg" else f"{value:.1f}", _sign(key))
        for key, value in record["scales"].items()
    ]
    table(("scale", "value", ""), rows, right=(1,))
    say()
    solubles, tannin, purity = (record[k] for k in ("solubles_g_per_l", "tannin_g_per_l", "purity"))
    say(
        f"Total solubles {u.rounded(solubles['low'])} to {u.rounded(solubles['high'])} g/L "
        "(2.4 to 2.7 g/L for each °Bk, as for a sugar-like liquor)."
    )
    share = f"{100 * purity['low']:.0f} to {100 * purity['high']:.0f} %"
    if purity["low"] == purity["high"]:
        share = f"{100 * purity['low']:.0f} %"
    say(
        f"Tannins {u.rounded(tannin['low'])} to {u.rounded(tannin['high'])} g/L at a purity of "
        f"{share} ({purity['source']})."
    )
    if record["at_c"] is not None and record["calibrated_at_c"] is not None:
        say(
            f"Corrected from {u.format_temperature(record['at_c'], system)} to the hydrometer's "
            f"{u.format_temperature(record['calibrated_at_c'], system)}."
        )
    elif not record["corrected"]:
        say('Not corrected for temperature: add --at "25 C" if the liquor was warm or cold.')
    else:
        say("A sugar refractometer is taken to read a tannin liquor a tenth high (from memory).")
        if record["at_c"] is not None:
            say("--at was not used: a drop on the glass soon has the instrument's own temperature.")
    if record["at_c"] is not None and record["at_c"] > HOT_C:
        say(
            f"Liquor of {u.format_temperature(record['at_c'], system)} is too hot to read well: "
            "let a glassful cool until it is hand-warm or colder, and read it again."
        )
