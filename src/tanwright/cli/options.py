"""Options that every command shares, so that they read and behave alike."""

from __future__ import annotations

from typing import Annotated

import typer

from tanwright.units import System

Json = Annotated[bool, typer.Option("--json", help="Print one JSON object instead of text.")]
Units = Annotated[
    System,
    typer.Option(
        "--units",
        envvar="TANWRIGHT_UNITS",
        help="Units of what is printed; any unit is taken in.",
    ),
]
Height = Annotated[
    str | None, typer.Option("--height", help='Of your place above the sea: "350 m", "1200 ft".')
]
CalibratedAt = Annotated[
    str | None,
    typer.Option("--calibrated-at", help="Of the hydrometer; 60 F when not given."),
]
CONTAINERS_HELP = 'Your own measure, such as --container "bucket=12 L"; may be given several times.'
Containers = Annotated[
    list[str] | None, typer.Option("--container", metavar="NAME=HOLDS", help=CONTAINERS_HELP)
]
