"""``tanwright gather``: when to go, what a find is worth, when a stand may be cut again."""

from __future__ import annotations

import re
from contextlib import contextmanager
from datetime import date
from typing import TYPE_CHECKING, Annotated

import typer

from tanwright.cli.options import Height, Json, Units
from tanwright.cli.place import metres_up

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tanwright.planning.gathering.stands import Cut
    from tanwright.planning.gathering.trunks import PileYield, Trunks
    from tanwright.units import System

Latitude = Annotated[
    float | None, typer.Option("--latitude", help="Degrees of your place; south is negative.")
]
_LINE = re.compile(r"^\s*(?:(?P<count>\d{1,6})\s*(?:x|×)?\s+)?(?P<rest>.*\S)\s*$", re.DOTALL)
_CUT = re.compile(
    r"^\s*(?P<day>\d{4}-\d{2}-\d{2})(?:\s+(?P<share>\d+(?:[.,]\d+)?)\s*%)?(?:\s+(?P<part>\S.*))?\s*$"
)


_OPTIONS = {"share": "--cut", "rain": "--rain", "since": "--since", "year": "--year"}


def register(app: typer.Typer) -> None:
    """Hang the commands on ``app``."""
    gather = typer.Typer(
        name="gather",
        rich_markup_mode=None,
        invoke_without_command=True,
        context_settings={"help_option_names": ["-h", "--help"]},
    )

    @gather.callback()
    def no_command(context: typer.Context) -> None:
        """Gathering: windows of the year, logs that were found, stands that grow again."""
        if context.invoked_subcommand is None:
            typer.echo(context.get_help())

    gather.command("windows")(windows_command)
    gather.command("logs")(logs_command)
    gather.command("stand")(stand_command)
    app.add_typer(gather)


def windows_command(
    names: Annotated[list[str], typer.Argument(metavar="MATERIAL...", help="Ids or names.")],
    latitude: Latitude = None,
    height: Height = None,
    year: Annotated[int | None, typer.Option("--year", help="This year if not given.")] = None,
    json: Json = False,
) -> None:
    """When each material is gathered, moved to your latitude and height."""
    from tanwright.planning.choosing.facts import warnings_of
    from tanwright.planning.gathering.windows import gathering_year
    from tanwright.reference import materials

    items = [materials.find(name) for name in names]
    metres = metres_up(height, latitude)
    with _told_of("--latitude" if height is None else "--latitude, --height"):
        whole = gathering_year(
            [item.id for item in items],
            date.today().year if year is None else year,
            latitude=latitude,
            altitude_m=metres,
        )
    if json:
        from tanwright.cli.output import print_json

        print_json(whole)
        return
    from tanwright.cli.output import say, table

    rows: dict[tuple[str, str], tuple[str, str, str]] = {}
    told: dict[str, None] = {}
    shown = [each for month in whole.months for each in month.open]
    for each in sorted(shown, key=lambda each: (not each.window.best, each.window.start)):
        what = f"{each.window.what} (best)" if each.window.best else each.window.what
        rows[each.name, each.window.what] = (each.name, what, each.window.days)
        told.setdefault(f"{each.name}, {each.window.what}: {each.window.reason}.")
    if rows:
        table(("material", "what", "when"), rows.values())
        say()
    for sentence in told:
        say(f"{sentence[0].upper()}{sentence[1:]}")
    for name in whole.any_time:
        say(f"{name[0].upper()}{name[1:]}: at any time of the year.")
    for name, words in whole.in_words:
        say(f"{name[0].upper()}{name[1:]}: {words}")
    if latitude is None and rows:
        say("Days are those of the places that the sources speak of; --latitude moves them to you.")
    say("A year can be two weeks early or late. Ask whose plant it is; local rules go first.")
    for warning in dict.fromkeys(text for item in items for text in warnings_of(item)):
        say(f"Beware: {warning}")


def logs_command(
    logs: Annotated[
        list[str],
        typer.Argument(
            metavar="LOG...",
            help='"4 x oak, 30 cm" or "oak, 30 cm, 2 m, 8 mm": count, tree, across, length, bark.',
        ),
    ],
    since: Annotated[
        str | None, typer.Option("--since", metavar="DATE", help="Day they fell or died.")
    ] = None,
    today: Annotated[
        str | None, typer.Option("--today", metavar="DATE", help="The day to look from.")
    ] = None,
    rain: Annotated[
        str | None, typer.Option("--rain", help="Rain since then: none, some or much.")
    ] = None,
    leather: Annotated[str, typer.Option("--leather", help="soft, bag, firm or sole.")] = "soft",
    units: Units = "metric",
    json: Json = False,
) -> None:
    """Bark that several trunks or logs give together, and the skin it may tan."""
    from tanwright.planning.gathering.lying import Lying
    from tanwright.planning.gathering.trunks import pile_yield
    from tanwright.reference import leathers

    with _told_of("--leather"):
        leathers.leather(leather)
    pile = [_log(text) for text in logs]
    lying = None
    if since is not None or rain is not None:
        with _told_of("--since" if since is not None else "--rain"):
            fell = None if since is None else _day(since, "--since")
            lying = Lying(fell, _day(today, "--today") if today else date.today(), rain)
    with _told_of("LOG"):
        found = pile_yield(pile, lying=lying, leather=leather)
    if json:
        from tanwright.cli.output import print_json

        print_json(found)
    else:
        _print_pile(found, units)


def stand_command(
    name: Annotated[str, typer.Argument(metavar="MATERIAL", help="Id or name.")],
    cuts: Annotated[
        list[str] | None,
        typer.Option("--cut", help='Day, share, part: "2020-05-03 25 % north end".'),
    ] = None,
    today: Annotated[
        str | None, typer.Option("--today", metavar="DATE", help="The day to look from.")
    ] = None,
    json: Json = False,
) -> None:
    """When a coppice stand, hedge or patch may be cut again."""
    from tanwright.errors import InputError
    from tanwright.planning.gathering.stands import state
    from tanwright.reference import materials

    item = materials.find(name)
    done = [_cut(text) for text in cuts or ()]
    on = _day(today, "--today") if today else date.today()
    for cut in done:
        if cut.on > on:
            raise InputError(
                f"the cut of {cut.on} is still to come", place="--cut", remedy=f"write days to {on}"
            )
    with _told_of("--cut"):
        found = state(item.id, done, on)
    from tanwright.cli.output import print_json, say

    if json:
        print_json(found)
        return
    say(found.words)
    if found.words != found.regrowth.words:
        say(found.regrowth.words)
    for told in found.regrowth.rotations:
        years = f" {told.years}:" if told.years else ""
        say(f"Told:{years} {told.note} ({', '.join(told.source.split(';'))}).")
    for piece in found.pieces:
        if piece.cut_on is not None:
            part = f"{piece.part}: " if piece.part else ""
            say(f"- {part}{100.0 * piece.share:.0f} %, cut {piece.cut_on}: {piece.words}.")
    for harm in found.harm:
        if harm != found.regrowth.words:
            say(f"Harm: {harm}")
    for caution in found.cautions:
        say(f"Beware: {caution.text} ({caution.source})")
    say(f"Sources: {', '.join(source.key for source in found.sources) or 'none'}.")


@contextmanager
def _told_of(place: str) -> Iterator[None]:
    """Give an error raised inside the option that it lies in, ``place`` where it names none."""
    from tanwright.errors import InputError

    try:
        yield
    except InputError as error:
        if error.place.startswith("--"):
            raise
        where = _OPTIONS.get(error.place, place)
        raise type(error)(error.what, place=where, remedy=error.remedy) from None


def _log(text: str) -> Trunks:
    from tanwright import units as u
    from tanwright.errors import InputError
    from tanwright.planning.gathering.trunks import Trunks
    from tanwright.planning.trees import Trunk

    parts = [part.strip() for part in text.split(",")]
    head = _LINE.match(parts[0])
    if head is None or not 2 <= len(parts) <= 4:
        raise InputError(
            f'"{text}" is no log', place="LOG", remedy='write "4 x oak, 30 cm, 2 m, 8 mm"'
        )
    trunk = Trunk(
        u.length_cm(parts[1], place="LOG"),
        u.length_mm(parts[2], place="LOG") / 1000.0 if len(parts) > 2 else None,
        u.length_mm(parts[3], place="LOG") if len(parts) > 3 else None,
    )
    return Trunks(head["rest"], trunk, int(head["count"] or 1))


def _cut(text: str) -> Cut:
    from tanwright.errors import InputError
    from tanwright.planning.gathering.stands import Cut

    found = _CUT.match(text)
    part = "" if found is None else found["part"] or ""
    if found is None or re.fullmatch(r"[\d.,\s]+|.*%.*", part):
        raise InputError(
            f'"{text}" is no cut', place="--cut", remedy='write "2020-05-03 25 % north end"'
        )
    share = 1.0 if found["share"] is None else float(found["share"].replace(",", ".")) / 100.0
    return Cut(_day(found["day"], "--cut"), share, part)


def _day(text: str, place: str) -> date:
    from tanwright.errors import InputError

    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise InputError(
            f'"{text}" is no day', place=place, remedy="write it like 2026-03-10"
        ) from None


def _print_pile(found: PileYield, system: System) -> None:
    from tanwright import units as u
    from tanwright.cli.output import say, table

    def span(low: float, middle: float, high: float) -> tuple[str, str]:
        return u.format_range(low, high, "mass", system), u.format_mass(middle, system)

    table(
        ("logs", "bark, air-dry", "most likely"),
        (
            (
                f"{line.trunks.count} x {line.trunks.name}, {line.trunks.trunk.diameter_cm:.0f} cm",
                *span(line.air_dry_kg.p05, line.air_dry_kg.p50, line.air_dry_kg.p95),
            )
            for line in found.lines
        ),
    )
    say()
    table(
        ("together", "nine in ten", "most likely"),
        (
            (words, *span(amount.p05, amount.p50, amount.p95))
            for words, amount in (
                ("bark, fresh", found.fresh_kg),
                ("bark, air-dry", found.air_dry_kg),
                ("tannin", found.tannin_kg),
                (f"green skin it may tan, {found.leather} leather", found.skin_kg),
            )
        ),
    )
    say()
    if found.weathered is not None:
        say(f"Rain: {found.weathered.strength}.")
        say(f"Peeling: {found.weathered.peels}.")
    shares = [f"{cause.label} {100 * cause.share:.0f} %" for cause in found.causes]
    say(f"What makes the range of the last line: {'; '.join(shares)}.")
    say(f"The ranges of the lines do not add up, as they hang together: {found.shared}.")
    for caution in found.cautions:
        say(f"Beware: {caution.text} ({caution.source})")
    keys = [source.key for source in found.sources if source.strength in ("read", "weak")]
    say(f"Sources: {', '.join(keys)}; what none of them gives is from memory.")
