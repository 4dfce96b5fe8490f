"""``tanwright materials``: which plants hold tannin, how much, and who says so."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from tanwright.cli.options import Json
from tanwright.cli.place import placed

if TYPE_CHECKING:
    from tanwright.planning.answers import Range
    from tanwright.planning.plants import Described, Listed

EFFECTS = {
    "kills": "taking it kills the plant: use felled or fallen ones",
    "recoverable": "the plant recovers when a small share is taken",
    "byproduct": "left over from felling or from another use",
    "harmless": "does the plant no harm",
}
RECORDS = {
    "industrial": "used by the trade on a large scale",
    "traditional": "used by tradition",
    "tried": "tried, with reports",
    "content-only": "its tannin was measured; no report of tanning with it",
    "avoid": "poisonous or protected: do not gather",
}


def register(app: typer.Typer) -> None:
    """Hang the command on ``app``."""

    @app.command()
    def materials(
        words: Annotated[
            list[str] | None,
            typer.Argument(
                metavar="[TEXT | show ID]", help="Words to look for, or show and an id."
            ),
        ] = None,
        part: Annotated[
            str | None, typer.Option("--part", help="bark, leaf, wood, pod, gall and so on.")
        ] = None,
        tannin_class: Annotated[
            str | None, typer.Option("--class", help="condensed, ellagitannin, gallotannin, mixed.")
        ] = None,
        track_record: Annotated[
            str | None,
            typer.Option("--track-record", help="industrial, traditional, tried or content-only."),
        ] = None,
        region: Annotated[
            str | None, typer.Option("--region", help='Where it grows: "Middle Europe", Africa.')
        ] = None,
        json: Json = False,
    ) -> None:
        """Search the plants, or show one with its evidence.

        tanwright materials oak lists what fits; tanwright materials show quercus-robur-bark
        tells all that is known of one.
        """
        from tanwright.cli.output import print_json
        from tanwright.planning import plants

        given = words or []
        if given and given[0] == "show":
            described = _described(" ".join(given[1:]))
            if json:
                print_json(described)
            else:
                _show(described)
            return
        _one_of(part, "--part", _allowed("part"))
        _one_of(tannin_class, "--class", _allowed("tannin_class"))
        _one_of(track_record, "--track-record", _allowed("track_record"))
        if region is not None:
            with placed("--region"):
                plants.check_region(region)
        found = plants.listed(
            " ".join(given),
            part=part,
            tannin_class=tannin_class,
            track_record=track_record,
            region=region,
        )
        if json:
            print_json({"materials": found})
        else:
            _list(found)


def _described(text: str) -> Described:
    from tanwright.errors import InputError
    from tanwright.planning import plants

    if not text:
        raise InputError("show needs a material", remedy="write show quercus-robur-bark")
    return plants.describe(text)


def _allowed(column: str) -> tuple[str, ...]:
    from tanwright.reference.loader import schema_of

    columns = schema_of("materials").columns
    return tuple(sorted(next(each for each in columns if each.name == column).allowed))


def _one_of(value: str | None, place: str, allowed: tuple[str, ...]) -> None:
    from tanwright.errors import InputError

    if value is not None and value not in allowed:
        raise InputError(
            f'"{value}" is not known', place=place, remedy=f"use one of {', '.join(allowed)}"
        )


def _list(found: tuple[Listed, ...]) -> None:
    from tanwright.cli.output import fits, say, table

    columns: list[tuple[str, list[str]]] = [
        ("id", [item.id for item in found]),
        ("tannin %", [_spread(item.tannin_pct) for item in found]),
        ("printed %", [item.published or "-" for item in found]),
        ("class", [item.tannin_class for item in found]),
        ("record", [item.track_record for item in found]),
    ]
    # What stands in "show" too gives way where the terminal is narrow.
    for least in ("printed %", "class", "record"):
        if fits([[head, *cells] for head, cells in columns]):
            break
        columns = [column for column in columns if column[0] != least]
    heads = [head for head, _ in columns]
    narrow = not fits([[head, *cells] for head, cells in columns])
    table(
        heads,
        zip(*(cells for _, cells in columns), strict=True),
        whole=(0,) if narrow else range(len(heads)),
    )
    say()
    for item in found:
        if item.why_avoid:
            say(f"Leave {item.id} alone: {item.why_avoid}.")
    say(
        "Tannin: where one lot lies in nine cases of ten, % of the air-dry material. Evidence: "
        f"tanwright materials show {found[0].id}"
    )


def _show(described: Described) -> None:
    from tanwright import units as u
    from tanwright.cli.output import say, table

    item = described.material
    kind = ", ".join(word for word in (item.scientific_name, item.family) if word)
    say(f"{item.name} ({kind})" if kind else item.name)
    also = [name for name in (*item.common_names[1:], *item.synonyms) if name]
    if also:
        say(f"Also: {', '.join(also)}")
    say(f"Id: {item.id}")
    say()
    say(
        f"Tannin of one lot: {_spread(described.tannin_pct)} %, most likely "
        f"{u.rounded(described.tannin_pct.p50)} % of the air-dry material; {described.rule}."
    )
    if item.known:
        say(f"Kind: {item.tannin_class}. Track record: {RECORDS[item.track_record]}.")
    say(
        f"Water: {_spread(described.water_dry_pct)} % when air-dry, "
        f"{_spread(described.water_fresh_pct)} % when fresh. Tannins in the solubles of a fresh "
        f"liquor: {_spread(described.purity_pct)} %."
    )
    for title, text in (
        ("Where", ", ".join(item.regions)),
        ("When", item.season),
        ("Gathering", EFFECTS[item.gather_effect] if item.known else ""),
        (
            "Leather",
            ", ".join(part for part in (item.leather_colour, item.leather_character) if part),
        ),
    ):
        if text:
            say(f"{title}: {text}.")
    for caution in described.cautions:
        say(f"Beware: {caution.text} ({caution.source})")
    say()
    if described.observations:
        table(
            ("published", "as given", "basis", "source", "remark"),
            (
                (
                    row.figure,
                    row.as_given,
                    row.basis,
                    row.source if row.provenance == "read" else f"{row.source} (from memory)",
                    _remark(row),
                )
                for row in described.observations
            ),
        )
    else:
        say("No published figure.")
    say()
    for source in described.sources:
        if source.strength in ("read", "weak"):
            say(f"{source.key}: {source.short}; {source.how_read}.")


def _remark(row: Any) -> str:
    parts = [row.note]
    if row.same_as:
        parts.append(f"repeats {row.same_as}: not counted")
    elif row.use == "context":
        parts.append(f"not counted: {row.why_not_used}")
    if row.doubts:
        parts.append(f"in doubt: {', '.join(row.doubts)}")
    return "; ".join(part for part in parts if part)


def _spread(percent: Range) -> str:
    from tanwright import units as u

    return f"{u.rounded(percent.p05)} to {u.rounded(percent.p95)}"
