"""``tanwright plan`` and ``tanwright forecast``."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tanwright.cli.options import Json, Units
from tanwright.errors import InputError

if TYPE_CHECKING:
    from tanwright.planning.answers import Answer
    from tanwright.planning.readings import Readings
    from tanwright.planning.sheet import Sheet

Text = str | None
RECENT_DAYS = 30
"""A forecast is seen from today when the last reading is no older than this."""

Members = Annotated[
    int, typer.Option("--members", min=100, max=20000, help="How many plausible worlds to draw.")
]
Seed = Annotated[int, typer.Option("--seed", min=0, help="Draws the same worlds again.")]
Full = Annotated[bool, typer.Option("--full", help="Show every day, cause and source.")]
Pictures = Annotated[
    Path | None,
    typer.Option(
        "--pictures", metavar="DIR", help="Also write the pictures (SVG, with words beside them)."
    ),
]
Today = Annotated[
    str | None,
    typer.Option("--today", metavar="DATE", help="The day to look from, like 2026-03-10."),
]


def _option(name: str, text: str) -> object:
    return typer.Option(name, metavar="TEXT", help=text)


def register(app: typer.Typer) -> None:
    """Hang the commands ``plan`` and ``forecast`` on ``app``."""

    @app.command()
    def plan(
        sheet: Annotated[
            Path | None, typer.Argument(help="A sheet (TOML); see docs/sheet.md.")
        ] = None,
        skin: Annotated[Text, _option("--skin", 'Animal, such as goat or "roe deer".')] = None,
        weight: Annotated[Text, _option("--weight", 'Weight of one skin, "2 kg".')] = None,
        stage: Annotated[
            Text, _option("--stage", "Stage it was weighed at, such as green.")
        ] = None,
        thickness: Annotated[Text, _option("--thickness", 'Thickness, "2 mm".')] = None,
        hair: Annotated[Text, _option("--hair", "on or off.")] = None,
        count: Annotated[
            int | None, typer.Option("--count", metavar="NUMBER", help="How many such skins.")
        ] = None,
        material: Annotated[
            list[str] | None,
            typer.Option(
                "--material",
                metavar="ID[=MASS]",
                help="Plant, such as quercus-robur-bark=6kg or unknown-bark; repeatable.",
            ),
        ] = None,
        have: Annotated[
            list[str] | None,
            typer.Option(
                "--have", metavar="MASS", help='What is in hand, "6 kg"; one for each --material.'
            ),
        ] = None,
        state: Annotated[Text, _option("--state", "dry or fresh.")] = None,
        rained_on: Annotated[
            bool | None, typer.Option("--rained-on/--not-rained-on", help="After it was dried.")
        ] = None,
        vat: Annotated[Text, _option("--vat", 'Volume of the vat, "40 L".')] = None,
        temperature: Annotated[Text, _option("--temperature", 'Of the vat, "12 C".')] = None,
        leather: Annotated[Text, _option("--leather", "soft, bag, firm or sole.")] = None,
        start: Annotated[Text, _option("--start", "Date, 2026-03-01.")] = None,
        wanted_by: Annotated[Text, _option("--wanted-by", "Date, 2026-06-01.")] = None,
        tool: Annotated[Text, _option("--tool", "hydrometer, refractometer or none.")] = None,
        calibrated_at: Annotated[
            Text, _option("--calibrated-at", 'Temperature on the hydrometer, "20 C".')
        ] = None,
        pot: Annotated[Text, _option("--pot", 'Volume of the cooking pot, "10 L".')] = None,
        as_json: Json = False,
        units: Units = "metric",
        full: Full = False,
        pictures: Pictures = None,
        members: Members = 1000,
        seed: Seed = 1,
        today: Today = None,
    ) -> None:
        """Is it enough, how much, which liquors when, and until when.

        Give a sheet, or options alone: one skin and one plant are enough for a first answer.
        Options win over the sheet.
        """
        from tanwright.planning.sheet_reader import read_sheet, sheet_from_options
        from tanwright.planning.sheet_source import tables_from_options

        options = tables_from_options(
            skin={
                "animal": skin,
                "weight": weight,
                "stage": stage,
                "thickness": thickness,
                "hair": hair,
                "count": count,
            },
            materials_given=material or [],
            have=have or [],
            state=state,
            rained_on=rained_on,
            vat={"volume": vat, "temperature": temperature},
            aim={"leather": leather, "start": start, "wanted_by": wanted_by},
            tools={"strength": tool, "calibrated_at": calibrated_at, "pot": pot},
        )
        now = _day(today, "--today") or date.today()
        if sheet is None:
            read = sheet_from_options(options, today=now)
        else:
            read = read_sheet(sheet, today=now, options=options)
        if today is None:
            now = min(now, read.aim.start)

        from tanwright.cli.progress import shown_progress

        with shown_progress(quiet=as_json) as progress:
            from tanwright.planning.plan import make_plan

            answer = make_plan(read, today=now, members=members, seed=seed, progress=progress)
        _show(
            answer,
            read,
            as_json=as_json,
            units=units,
            full=full,
            pictures=pictures,
            plan=True,
            clock=date.today() if today is None else None,
        )

    @app.command()
    def forecast(
        sheet: Annotated[Path, typer.Argument(help="The sheet (TOML) of this tannage.")],
        readings: Annotated[Path, typer.Argument(help="What was seen and measured (CSV).")],
        as_json: Json = False,
        units: Units = "metric",
        full: Full = False,
        pictures: Pictures = None,
        members: Members = 1000,
        seed: Seed = 1,
        today: Today = None,
    ) -> None:
        """The same plan after readings: what to do next, what changed and why.

        Seen from today if the last reading is no more than 30 days old, else from the day of the
        last reading; --today settles it.
        """
        from tanwright.planning.readings_reader import read_readings
        from tanwright.planning.sheet import started_on
        from tanwright.planning.sheet_reader import read_sheet

        clock = date.today()
        read = read_sheet(sheet, today=clock)
        unsaid = "aim.start" in read.left_out
        seen = read_readings(
            readings,
            start=None if unsaid else read.aim.start,
            sheet=read,
        )
        if unsaid and seen.rows:
            read = started_on(read, seen.rows[0].when.date())
        now = _day(today, "--today") or _seen_from(clock, read, seen)
        last = seen.last_day
        if today is not None and last is not None and now < last:
            raise InputError(
                f"{now} is before the last reading, {last}",
                place="--today",
                remedy="give a later day, or take the later readings out",
            )

        from tanwright.cli.progress import shown_progress

        with shown_progress(quiet=as_json) as progress:
            from tanwright.planning.forecast import make_forecast

            answer = make_forecast(
                read, seen, today=now, members=members, seed=seed, progress=progress
            )
        _show(
            answer,
            read,
            as_json=as_json,
            units=units,
            full=full,
            pictures=pictures,
            plan=False,
            clock=clock if today is None else None,
        )


def _seen_from(clock: date, sheet: Sheet, readings: Readings) -> date:
    last = readings.last_day or sheet.aim.start
    # A reading dated after the clock: the forecast moves to its day and says so.
    return clock if (clock - last).days <= RECENT_DAYS else last


def _day(text: str | None, place: str) -> date | None:
    if text is None:
        return None
    from tanwright.planning.sheet_fields import FIRST_YEAR, LAST_YEAR

    try:
        found = date.fromisoformat(text)
    except ValueError:
        raise InputError(
            f'"{text}" is not a date', place=place, remedy="write it year first, like 2026-03-10"
        ) from None
    if not FIRST_YEAR <= found.year <= LAST_YEAR:
        raise InputError(f"the year {found.year} cannot be right", place=place, remedy="check it")
    return found


def _show(
    answer: Answer,
    sheet: Sheet,
    *,
    as_json: bool,
    units: str,
    full: bool,
    pictures: Path | None,
    plan: bool,
    clock: date | None,
) -> None:
    """``clock`` is the reader's own day, where no other one was asked for."""
    from tanwright.cli.output import console, print_json
    from tanwright.planning.telling.voice import voice_for

    voice = voice_for(sheet, "us" if units == "us" else "metric", clock or answer.today)
    written: list[Path] = []
    if pictures is not None:
        from tanwright.planning.pictures import write_pictures
        from tanwright.planning.telling.retell import retold

        written = write_pictures(retold(answer, voice.words), pictures, voice.picture_reader())
    if as_json:
        from tanwright.planning.as_json import answer_to_json

        print_json(answer_to_json(answer) | {"pictures": [str(path) for path in written]})
        return
    from tanwright.cli.render_answer import render_forecast, render_plan

    render = render_plan if plan else render_forecast
    page = console()
    render(answer, page, voice, full=full)
    if written:
        page.print()
        page.print(f"Pictures, each with its words and numbers beside it, in {pictures}:")
        for path in written:
            if path.suffix == ".svg":
                page.print(f"  {path.name}", soft_wrap=True)
