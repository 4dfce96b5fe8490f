"""``tanwright choose``: which plant to gather for this skin, best first, and why."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from tanwright.cli.options import Height, Json, Units
from tanwright.cli.place import metres_up, placed

if TYPE_CHECKING:
    from datetime import date

    from tanwright.planning.choosing import Purpose, Ranked, Weights
    from tanwright.units import System

OPTIONS = {
    "skin_kg": "--weight",
    "leather": "--leather",
    "latitude": "--latitude",
    "altitude_m": "--height",
    "reach_km": "--reach",
    "day": "--day",
}
"""Option behind each field of a purpose."""


def register(app: typer.Typer) -> None:
    """Hang the command on ``app``."""

    @app.command()
    def choose(
        place: Annotated[
            str | None,
            typer.Option("--place", help='Where it should grow: Germany, DE, "Middle Europe".'),
        ] = None,
        animal: Annotated[str, typer.Option("--animal", help="goat, rabbit, cattle.")] = "goat",
        weight: Annotated[
            str | None, typer.Option("--weight", help='Green weight of all skins: "2.3 kg".')
        ] = None,
        leather: Annotated[
            str, typer.Option("--leather", help="soft, bag, firm or sole.")
        ] = "soft",
        day: Annotated[
            str | None,
            typer.Option("--day", help="When you go out; today if not given."),
        ] = None,
        latitude: Annotated[
            float | None, typer.Option("--latitude", help="For the season; south is negative.")
        ] = None,
        height: Height = None,
        beginner: Annotated[
            bool, typer.Option("--beginner", help="Proven plants before curiosities.")
        ] = False,
        weigh: Annotated[
            list[str] | None,
            typer.Option(
                "--weigh",
                metavar="PART=0..10",
                help="How much a part counts: quality=4 amount=2 evidence=2 source=2 effort=1.",
            ),
        ] = None,
        top: Annotated[int, typer.Option("--top", help="How many to print.", min=1)] = 8,
        units: Units = "metric",
        json: Json = False,
    ) -> None:
        """Rank the plants of a place for one skin: quality, amount, evidence, harm and effort.

        tanwright choose --place Germany --animal goat --weight "2.3 kg" --leather bag
        """
        purpose = _purpose(place, animal, weight, leather, day, latitude, height, beginner, weigh)
        found = _ranked(purpose, units)
        if json:
            from tanwright.cli.output import print_json

            print_json({"place": place, "day": purpose.day, "ranked": found[:top]})
        else:
            _print(purpose, found, top)


def _purpose(
    place: str | None,
    animal: str,
    weight: str | None,
    leather: str,
    day: str | None,
    latitude: float | None,
    height: str | None,
    beginner: bool,
    weigh: list[str] | None,
) -> Purpose:
    from tanwright import units as u
    from tanwright.errors import InputError
    from tanwright.planning.choosing import Purpose
    from tanwright.reference import animals, world

    with placed("--animal"):
        beast = animals.animal(animal)
    with placed("--place"):
        where = world.place(place) if place is not None else None
    if weight is None:
        skin_kg = (beast.green_low_kg * beast.green_high_kg) ** 0.5
    else:
        skin_kg = u.mass_kg(weight, place="--weight")
    try:
        weights = _weights(weigh or [])
    except InputError as error:
        raise type(error)(error.what, place="--weigh", remedy=error.remedy) from None
    when = _day(day)
    metres = metres_up(height, latitude)
    try:
        return Purpose(
            where,
            latitude,
            when,
            leather,
            beast.id,
            skin_kg,
            beginner=beginner,
            weights=weights,
            altitude_m=metres,
        )
    except InputError as error:
        at = OPTIONS.get(error.place, "--leather")
        raise type(error)(error.what, place=at, remedy=error.remedy) from None


def _weights(given: list[str]) -> Weights:
    from dataclasses import fields

    from tanwright.errors import InputError
    from tanwright.planning.choosing import Weights

    names = [field.name for field in fields(Weights)]
    found: dict[str, float] = {}
    for text in given:
        name, _, value = text.partition("=")
        try:
            number = float(value)
        except ValueError:
            number = -1.0
        if name.strip() not in names or number < 0.0:
            raise InputError(
                f'"{text}" is no weight', remedy=f"write one of {', '.join(names)} as quality=4"
            )
        found[name.strip()] = number
    return Weights(**found)


def _day(text: str | None) -> date:
    from datetime import date

    from tanwright.errors import InputError

    if text is None:
        return date.today()
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise InputError(
            f'"{text}" is no date', place="--day", remedy="write year, month and day as 2026-05-03"
        ) from None


def _ranked(purpose: Purpose, units: System) -> tuple[Ranked, ...]:
    from tanwright.errors import InputError
    from tanwright.planning.choosing import rank

    found = rank(purpose, system=units)
    if not found and purpose.place is not None:
        raise InputError(
            f"no listed plant grows in {purpose.place.name}",
            place="--place",
            remedy="name the region or the continent around it",
        )
    return found


def _print(purpose: Purpose, found: tuple[Ranked, ...], top: int) -> None:
    from tanwright.cli.output import say, table

    where = f"in {purpose.place.label}" if purpose.place else "of the whole world"
    say(f"{len(found)} plant parts {where}, the best for this skin first; each part is 0 to 1.")
    say()
    table(
        ("id", "score", "quality", "amount", "evidence", "source", "effort"),
        (
            (
                each.material_id,
                f"{each.score:.2f}",
                *(f"{value:.2f}" for value in each.parts.values()),
            )
            for each in found[:top]
        ),
        right=range(1, 7),
        whole=(0,),
    )
    for number, each in enumerate(found[:top], start=1):
        say()
        say(f"{number}. {each.name}: {each.skins_words}. {each.sentence}")
        say(f"   Season: {each.season_words}.")
        for warning in each.warnings:
            say(f"   Beware: {warning}")
    say()
    shares = purpose.weights.shares()
    counts = ", ".join(f"{name} {100 * share:.0f} %" for name, share in shares.items())
    say(f"What counts: {counts}; change it with --weigh. The rules: docs/method/choosing.md")
    say("Name the plant for sure, ask whose it is, and follow the local rules before you take any.")
