"""``tanwright tree``: bark, tannin and skin from a tree of that size."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Annotated

import typer

from tanwright.cli.options import Json, Units
from tanwright.cli.place import placed

if TYPE_CHECKING:
    from tanwright.planning.answers import Range
    from tanwright.planning.trees import TreeYield
    from tanwright.units import System

PARTS = {
    "lower stem": "bottom",
    "lower": "bottom",
    "middle stem": "middle",
    "upper stem": "top",
    "upper": "top",
    "inner bark": "inner",
    "outer bark": "outer",
}


def register(app: typer.Typer) -> None:
    """Hang the command on ``app``."""

    @app.command()
    def tree(
        name: Annotated[
            str, typer.Argument(metavar="TREE", help='oak, "Quercus robur" or quercus-robur-bark.')
        ],
        diameter: Annotated[
            str | None, typer.Option("--diameter", help='Over bark, 1.3 m up: "30 cm", "12 in".')
        ] = None,
        girth: Annotated[
            str | None, typer.Option("--girth", help='Round the trunk instead: "95 cm".')
        ] = None,
        length: Annotated[
            str | None, typer.Option("--length", help='Only a piece of trunk is peeled: "2 m".')
        ] = None,
        bark: Annotated[
            str | None, typer.Option("--bark", help='Thickness of the bark of that piece: "8 mm".')
        ] = None,
        part: Annotated[
            str | None,
            typer.Option("--part", help="lower stem, middle, upper stem, branches, inner, outer."),
        ] = None,
        age: Annotated[
            str | None, typer.Option("--age", help='Age of the tree: "30 years", young or old.')
        ] = None,
        leather: Annotated[
            str, typer.Option("--leather", help="soft, bag, firm or sole.")
        ] = "soft",
        units: Units = "metric",
        json: Json = False,
    ) -> None:
        """Bark and tannin from a trunk, and the skin it may tan."""
        found = _work_out(name, diameter, girth, length, bark, part, age, leather)
        if json:
            from tanwright.cli.output import print_json

            print_json(found)
        else:
            _print(found, units)


def _work_out(
    name: str,
    diameter: str | None,
    girth: str | None,
    length: str | None,
    bark: str | None,
    part: str | None,
    age: str | None,
    leather: str,
) -> TreeYield:
    from tanwright import units as u
    from tanwright.errors import InputError
    from tanwright.planning.trees import Trunk, tree_yield
    from tanwright.reference.leathers import leathers
    from tanwright.reference.lots import TRUNK_PARTS, Lot

    if (diameter is None) == (girth is None):
        raise InputError(
            "one measure of the trunk is needed",
            place="--diameter",
            remedy='write --diameter "30 cm" or --girth "95 cm"',
        )
    if diameter is not None:
        across_cm = u.length_cm(diameter, place="--diameter")
    else:
        across_cm = u.length_cm(girth, place="--girth") / math.pi
    if bark is not None and length is None:
        raise InputError(
            "a thickness of bark needs the length of the piece",
            place="--bark",
            remedy='add --length "2 m"',
        )
    trunk = Trunk(
        across_cm,
        None if length is None else u.length_mm(length, place="--length") / 1000.0,
        None if bark is None else u.length_mm(bark, place="--bark"),
    )
    word = None if part is None else " ".join(part.lower().split())
    if word is not None and PARTS.get(word, word) not in TRUNK_PARTS:
        raise InputError(
            f'"{part}" is no part of a trunk',
            place="--part",
            remedy="write lower stem, middle, upper stem, branches, inner or outer",
        )
    years: float | str | None = None
    if age is not None:
        years = age.strip().lower()
        if years not in ("young", "middle", "old"):
            years = u.duration_days(age, place="--age") / 365.25
    try:
        lot = Lot(part_of_trunk=PARTS.get(word, word) if word else None, tree_age=years)
    except InputError as error:
        place = {"part_of_trunk": "--part", "tree_age": "--age"}.get(error.place, error.place)
        raise type(error)(error.what, place=place, remedy=error.remedy) from None
    if leather not in {aim.id for aim in leathers()}:
        raise InputError(
            f'"{leather}" is no leather',
            place="--leather",
            remedy=f"write {', '.join(aim.id for aim in leathers())}",
        )
    with placed("TREE, --diameter" if girth is None else "TREE, --girth"):
        return tree_yield(name, trunk, lot=lot, leather=leather)


def _print(found: TreeYield, system: System) -> None:
    from tanwright import units as u
    from tanwright.cli.output import say, table

    def mass(amount: Range) -> tuple[str, str]:
        return (
            u.format_range(amount.p05, amount.p95, "mass", system),
            u.format_mass(amount.p50, system),
        )

    low, high = found.tannin_pct.p05, found.tannin_pct.p95
    table(
        (found.name, "nine in ten", "most likely"),
        (
            ("bark, fresh", *mass(found.fresh_kg)),
            ("bark, air-dry", *mass(found.air_dry_kg)),
            (
                "tannin in the dry bark",
                f"{u.rounded(low)} to {u.rounded(high)} %",
                f"{u.rounded(found.tannin_pct.p50)} %",
            ),
            ("tannin", *mass(found.tannin_kg)),
            (f"green skin it may tan, {found.leather} leather", *mass(found.skin_kg)),
        ),
    )
    say()
    shares = [f"{cause.label} {100 * cause.share:.0f} %" for cause in found.causes]
    say(f"What makes the range of the last line: {'; '.join(shares)}.")
    if len(found.species) > 1:
        say(
            f'"{found.name}" may be any of {len(found.species)} species; name one for a narrower '
            f"answer: {', '.join(found.species[:3])} and so on."
        )
    say(
        "Assumed: two hot waters, 5 L of liquor for each kg of pelt, and the bark of branches left."
    )
    for caution in found.cautions:
        say(f"Beware: {caution.text} ({caution.source})")
    keys = [source.key for source in found.sources if source.strength in ("read", "weak")]
    say(f"Sources: {', '.join(keys)}; what none of them gives is from memory.")
