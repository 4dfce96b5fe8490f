"""``tanwright trial map``: patches laid on offcuts, with their codes and the map to cut by."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tanwright.cli.options import Json
from tanwright.errors import InputError

if TYPE_CHECKING:
    from tanwright.planning.trials.cutting import Cutting
    from tanwright.planning.trials.offcuts import Piece

_PAPERS = {"a4": "a4", "letter": "us-letter"}


def map_command(
    offcuts: Annotated[
        list[str],
        typer.Argument(
            metavar="REGION=FILE...",
            help="Outline of each offcut, SVG or GeoJSON in cm, such as shanks=leg.svg; regions: "
            "butt, shoulder, belly, shanks.",
        ),
    ],
    patch: Annotated[
        str, typer.Option(help='Size of a patch, "5 cm" for a square or "6 cm x 4 cm".')
    ] = "5 cm",
    gap: Annotated[str, typer.Option(help='Kept between patches, "2 mm".')] = "0 mm",
    margin: Annotated[str, typer.Option(help='Kept from edges and flaws, "5 mm".')] = "5 mm",
    most: Annotated[int | None, typer.Option(min=1, help="No more patches than this.")] = None,
    any_way: Annotated[
        bool, typer.Option("--any-way", help="Patches of an offcut need not lie alike.")
    ] = False,
    skin: Annotated[str, typer.Option(help="Name of the skin they come from.")] = "",
    cm_per_unit: Annotated[
        float | None, typer.Option(help="Cm for one unit of a drawing that does not say.")
    ] = None,
    seed: Annotated[int, typer.Option(min=0, help="The same seed lays the same patches.")] = 1,
    treatments: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="patches.csv of a design: prints its treatments too."),
    ] = None,
    title: Annotated[str, typer.Option(help="Printed on every page.")] = "Trial on offcuts",
    paper: Annotated[str, typer.Option(help="a4 or letter.")] = "a4",
    out: Annotated[Path | None, typer.Option(metavar="FILE", help="Write the PDF here.")] = None,
    patches: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write patches.csv for the design here.")
    ] = None,
    as_json: Json = False,
) -> None:
    """How many patches fit on offcuts, their codes, and the map to cut by at full size."""
    from tanwright.planning.trials.cutting import Cut, cut_offcuts

    if paper not in _PAPERS:
        raise InputError(
            f'"{paper[:20]}" is no paper', place="--paper", remedy="write a4 or letter"
        )
    pieces = _pieces(offcuts, skin, cm_per_unit)
    width, height = _sides(patch)
    cut = Cut(
        width_cm=width,
        height_cm=height,
        gap_cm=_cm(gap, "--gap"),
        margin_cm=_cm(margin, "--margin"),
        most=most,
        alike=not any_way,
        seed=seed,
    )
    cutting = cut_offcuts(pieces, cut)
    marks = _marks(treatments)
    if out is not None:
        from tanwright.planning.trials.maps import cutting_map

        chosen = "a4" if paper == "a4" else "us-letter"
        pdf = cutting_map(cutting, title=title, paper=chosen, marks=marks)  # type: ignore[arg-type]
        _write(out, pdf)
    if patches is not None:
        from tanwright.planning.trials.files import patches_csv

        _write(patches, patches_csv(cutting.records()).encode())
    _tell(cutting, out, patches, as_json=as_json)


def _pieces(given: list[str], skin: str, cm_per_unit: float | None) -> list[Piece]:
    from tanwright.planning.trials.offcuts import Piece, checked_region
    from tanwright.planning.trials.outline_files import outlines_of_file

    pieces: list[Piece] = []
    for text in given:
        region, equals, name = text.partition("=")
        if not equals or not name:
            raise InputError(
                f'"{text[:60]}" does not say where on the skin it is from',
                place="REGION=FILE",
                remedy="write it like shanks=leg.svg",
            )
        region = checked_region(region.strip().lower())
        try:
            data = Path(name).read_bytes()
        except OSError as trouble:
            raise InputError(
                f"cannot be read ({trouble.strerror})", place=name, remedy="check its name"
            ) from None
        for drawn in outlines_of_file(Path(name).name, data, cm_per_unit=cm_per_unit):
            wanted = drawn.label or str(len(pieces) + 1)
            taken = {piece.name for piece in pieces}
            called = wanted if wanted not in taken else f"{wanted} {len(pieces) + 1}"
            pieces.append(Piece(called, region, drawn.outline, skin))
    return pieces


def _sides(text: str) -> tuple[float, float]:
    parts = [part for part in re.split(r"\s*[x×]\s*", text.strip()) if part]
    if not 1 <= len(parts) <= 2:
        raise InputError(
            f'"{text[:40]}" is not a size', place="--patch", remedy='write "5 cm" or "6 cm x 4 cm"'
        )
    sides = [_cm(part, "--patch") for part in parts]
    return sides[0], sides[-1]


def _cm(text: str, place: str) -> float:
    from tanwright import units

    return float(units.length_mm(text, place=place)) / 10.0


def _marks(path: Path | None) -> dict[str, str]:
    if path is None:
        return {}
    from tanwright.planning.trials.files import read_patches

    rows = read_patches(path)
    keys = sorted({row.treatment for row in rows if row.treatment})
    letters = {key: chr(ord("A") + at) for at, key in enumerate(keys)}
    return {row.code: letters[row.treatment] for row in rows if row.treatment}


def _write(path: Path, data: bytes) -> None:
    try:
        path.write_bytes(data)
    except OSError as trouble:
        raise InputError(
            f"cannot be written ({trouble.strerror})",
            place=str(path),
            remedy="name a folder that can be written",
        ) from None


def _tell(cutting: Cutting, out: Path | None, patches: Path | None, *, as_json: bool) -> None:
    from tanwright.planning.trials.cutting import cutting_in_words

    if as_json:
        from tanwright.cli.output import print_json

        print_json(
            {
                "fits": cutting.fits,
                "most_possible": cutting.most_possible,
                "ratio": cutting.ratio,
                "ratio_of_area": cutting.ratio_of_area,
                "patches": cutting.patches,
            }
        )
        return
    from tanwright.cli.output import console
    from tanwright.cli.paper import Paper

    sheet = Paper(console())
    sheet.title(cutting_in_words(cutting))
    for one in cutting.pieces:
        sheet.line(f"{one.piece.name} ({one.piece.region}): {one.packing.count} patches")
    sheet.line("Codes: " + ", ".join(f"{p.number} = {p.code}" for p in cutting.patches))
    if out is not None:
        sheet.line(f"{out.name} is the map: print it at 100 %, and measure its 10 cm line first.")
    if patches is not None:
        sheet.line(f"{patches.name} holds the patches for the design.")
