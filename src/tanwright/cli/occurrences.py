"""``tanwright seen``: which plants of the reference a file of occurrence records tells of."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tanwright.cli.options import Json, Units
from tanwright.cli.place import placed

if TYPE_CHECKING:
    from tanwright.planning.occurrences import Read, Seen
    from tanwright.units import System


def register(app: typer.Typer) -> None:
    """Hang the command on ``app``."""

    @app.command()
    def seen(
        file: Annotated[
            Path,
            typer.Argument(
                metavar="FILE", help="Darwin Core Archive (zip), or a table (CSV, TSV)."
            ),
        ],
        at: Annotated[
            str, typer.Option("--at", metavar="POSITION", help='Like "51.2, 9.4" or geo:51.2,9.4.')
        ],
        within: Annotated[
            str, typer.Option("--within", metavar="DISTANCE", help="How far you go.")
        ] = "20 km",
        quiet: Annotated[bool, typer.Option("--quiet", "-q", help="No progress.")] = False,
        json: Json = False,
        units: Units = "metric",
    ) -> None:
        """Tell which plants with tannin were seen near, how often, in which months, and when last.

        The file holds occurrence records as public portals hand them out (Darwin Core). It is read
        on this machine and nothing of it is kept.
        """
        from datetime import date

        from tanwright.cli.output import print_json
        from tanwright.cli.progress import shown_progress
        from tanwright.planning.occurrences import near, read
        from tanwright.planning.occurrences.distances import distance_km
        from tanwright.planning.position import position

        latitude, longitude = position(at, place="--at")
        km = distance_km(within, place="--within")
        with shown_progress(quiet=quiet) as tell:
            found = read(
                file,
                date.today(),
                progress=lambda now: tell(f"{now.rows} records, {now.share:.0%}"),
            )
        with placed("--within"):
            plants = near(found.tallies, latitude, longitude, km)
        if json:
            print_json(_as_json(found, plants, km))
        else:
            _say(found, plants, km, units)


def _as_json(found: Read, plants: tuple[Seen, ...], km: float) -> dict[str, object]:
    return {
        "records": {
            "read": found.rows,
            "matched": found.matched,
            "genus_only": found.genus_only,
            "others": found.others,
            "refused": found.refused,
            "causes": found.causes,
            "first_refused": [{"line": line, "what": what} for line, what in found.first],
            "licence": found.licence,
            "citation": found.citation,
        },
        "within_km": km,
        "plants": [
            {
                "taxon": plant.taxon,
                "level": plant.level,
                "materials": [item.id for item in plant.materials],
                "count": plant.count,
                "nearest_km": round(plant.nearest_km, 1),
                "months": plant.months,
                "latest": plant.latest,
            }
            for plant in plants
        ],
    }


def _say(found: Read, plants: tuple[Seen, ...], km: float, units: System) -> None:
    from tanwright.cli.output import say, table
    from tanwright.planning.occurrences.distances import distance_words

    say(
        f"{found.rows} records: {found.matched} of plants that the reference knows"
        f" ({found.genus_only} by their genus alone), {found.others} of others,"
        f" {found.refused} that could not be used."
    )
    for cause, rows in found.causes.items():
        lines = [str(line) for line, what in found.first if what == cause][:5]
        where = f" (line {', '.join(lines)}{', ...' if len(lines) < rows else ''})" if lines else ""
        say(f"  {rows}: {cause}{where}")
    say()
    if not plants:
        say(f"None of them was seen within {distance_words(km, units)}.")
        return
    table(
        ("plant", "times", "nearest", "months", "last"),
        (
            (
                plant.taxon if plant.level == "species" else f"{plant.taxon}, kind not told",
                str(plant.count),
                distance_words(plant.nearest_km, units),
                _months(plant.months),
                plant.latest.isoformat(),
            )
            for plant in plants
        ),
        right=(1, 2),
    )
    say()
    say(
        f"Within {distance_words(km, units)}; distances are right to about 0.8 km. A record says "
        "that somebody saw the plant, not that it may be taken: ask who owns the land, and follow "
        "the local rules."
    )
    if found.citation:
        say(f"To be cited: {found.citation}")


def _months(counts: tuple[int, ...]) -> str:
    """``"Apr-Jul, Oct"``: months with a record, runs drawn together."""
    import calendar

    names = [calendar.month_abbr[month] for month in range(1, 13)]
    runs: list[list[int]] = []
    for at, count in enumerate(counts):
        if count and runs and runs[-1][-1] == at - 1:
            runs[-1].append(at)
        elif count:
            runs.append([at])
    return ", ".join(
        names[run[0]] if len(run) == 1 else f"{names[run[0]]}-{names[run[-1]]}" for run in runs
    )
