"""``tanwright try``: how strong a pile of bark or leaf is, found with kitchen gear."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, cast

import typer

from tanwright.cli.options import Json
from tanwright.errors import InputError

if TYPE_CHECKING:
    from tanwright.planning.trial_how import HowTo
    from tanwright.planning.trial_records import Trial, TrialAnswer

Text = str | None


def register(app: typer.Typer) -> None:
    """Hang the command ``try`` on ``app``."""

    @app.command("try")
    def try_pile(
        material: Annotated[str, typer.Argument(help="Plant, such as quercus-robur-bark.")],
        mass: Annotated[Text, typer.Option(help='What was cooked, "250 g".')] = None,
        water: Annotated[Text, typer.Option(help='All the water of the cook, "2 L".')] = None,
        waters: Annotated[int, typer.Option(min=1, max=20, help="In how many waters.")] = 1,
        state: Annotated[str, typer.Option(help="dry or fresh.")] = "dry",
        strength: Annotated[Text, typer.Option(help='"1.012 SG", "12 Bk", "3.1 Brix".')] = None,
        at: Annotated[Text, typer.Option(help='Temperature of the liquor, "18 C".')] = None,
        calibrated_at: Annotated[
            Text, typer.Option(help='Temperature printed on the hydrometer, "20 C".')
        ] = None,
        litre_weight: Annotated[
            Text, typer.Option(help='Weight of a litre of the liquor, "1012 g".')
        ] = None,
        water_weight: Annotated[
            Text, typer.Option(help='Weight of a litre of water in the same jug, "998 g".')
        ] = None,
        iron: Annotated[Text, typer.Option(help="blue-black, green-black, grey or none.")] = None,
        gelatin: Annotated[Text, typer.Option(help="curds, cloudy, hazy or none.")] = None,
        snip_days: Annotated[
            float | None, typer.Option(min=0.05, help="Days until a snip was tanned through.")
        ] = None,
        snip_thickness: Annotated[Text, typer.Option(help='Thickness of it, "1 mm".')] = None,
        keep: Annotated[
            Path | None,
            typer.Option(metavar="FILE", help="Keep the result here, for [known] of a sheet."),
        ] = None,
        as_json: Json = False,
    ) -> None:
        """How strong a pile of bark or leaf is. Without readings: how to find out."""
        trial = _read(
            material,
            mass=mass,
            water=water,
            waters=waters,
            state=state,
            strength=strength,
            at=at,
            calibrated_at=calibrated_at,
            litre_weight=litre_weight,
            water_weight=water_weight,
            iron=iron,
            gelatin=gelatin,
            snip_days=snip_days,
            snip_thickness=snip_thickness,
        )
        if not trial.saw_something:
            _tell_how(trial, as_json=as_json)
            return
        from tanwright.planning.trial_cook import assess

        answer = assess(trial)
        if keep is not None:
            _keep(keep, answer)
        if as_json:
            from tanwright.cli.output import print_json

            print_json(answer)
        else:
            _tell(answer, keep)


def _read(
    material: str, *, waters: int, state: str, snip_days: float | None, **given: Any
) -> Trial:
    from tanwright import units as u
    from tanwright.planning import trial_records as t
    from tanwright.planning.readings import Scale, Strength
    from tanwright.reference import materials

    def option(name: str) -> str:
        return "--" + name.replace("_", "-")

    def word(name: str, text: str | None, words: tuple[str, ...]) -> str | None:
        if text is None or text.strip().lower() in words:
            return text.strip().lower() if text else None
        raise InputError(
            f'"{text}" is not known', place=option(name), remedy="write one of: " + ", ".join(words)
        )

    def amount(name: str, convert: Any) -> float | None:
        text = given[name]
        if text is None:
            return None
        value = float(convert(text, place=option(name)))
        if value <= 0.0 and convert is not u.temperature_c:
            raise InputError(
                f'"{text}" is not above zero', place=option(name), remedy="check the number"
            )
        return value

    try:
        found = materials.find(material)
    except InputError as error:
        raise type(error)(error.what, place="MATERIAL", remedy=error.remedy) from None
    mass_kg, water_l = amount("mass", u.mass_kg), amount("water", u.volume_l)
    at_c = amount("at", u.temperature_c)
    weight_kg = amount("litre_weight", u.mass_kg)
    water_kg = amount("water_weight", u.mass_kg)
    shown: Strength | None = None
    if given["strength"] is not None:
        number, scale = u.strength_reading(given["strength"], place="--strength")
        shown = Strength(number, cast("Scale", scale), at_c)
    litre: t.LitreWeight | None = None
    if weight_kg is not None:
        from tanwright.science.water import density_kg_per_l

        density = float(density_kg_per_l(20.0 if at_c is None else at_c))
        volume_ml = 1000.0 if water_kg is None else 1000.0 * water_kg / density
        litre = t.LitreWeight(1000.0 * weight_kg, volume_ml, at_c)
    elif water_kg is not None:
        raise InputError(
            "needs the weight of the liquor too",
            place="--water-weight",
            remedy='add --litre-weight "1012 g"',
        )
    for name, value in (("mass", mass_kg), ("water", water_l)):
        if value is None and (shown is not None or litre is not None):
            raise InputError(
                "is needed to learn from a strength",
                place=option(name),
                remedy='give both, like --mass "250 g" --water "2 L"',
            )
    snip_mm = amount("snip_thickness", u.length_mm)
    if snip_mm is not None and snip_days is None:
        raise InputError(
            "needs the days it took", place="--snip-thickness", remedy="add --snip-days 5"
        )
    return t.Trial(
        material_id=found.id,
        state=cast("Any", word("state", state, ("dry", "fresh"))),
        mass_kg=mass_kg,
        water_l=water_l,
        waters=waters,
        strength=shown,
        calibrated_at_c=amount("calibrated_at", u.temperature_c),
        litre=litre,
        iron=cast("Any", word("iron", given["iron"], t.IRON_COLOURS)),
        gelatin=cast("Any", word("gelatin", given["gelatin"], t.GELATIN_SIGNS)),
        snip=None if snip_days is None else t.Snip(snip_days, snip_mm, at_c),
    )


def _keep(path: Path, answer: TrialAnswer) -> None:
    from tanwright.planning.known_tannin import keep_known
    from tanwright.planning.sheet import KnownTannin

    keep_known(
        path, KnownTannin(answer.material_id, answer.figure, how="tanwright try", on=date.today())
    )


def _tell_how(trial: Trial, *, as_json: bool) -> None:
    from tanwright.cli.output import print_json, say
    from tanwright.planning.trial_how import cautions_of_trying, how_to_try

    ways = how_to_try(trial.material_id)
    cautions = cautions_of_trying(trial.material_id)
    if as_json:
        print_json({"material": trial.material_id, "how_to": ways, "cautions": cautions})
        return
    say(f"How to find the strength of a pile of {trial.material_id}")
    for way in ways:
        _tell_way(way)
    say()
    say("Take care")
    for caution in cautions:
        _item(caution.text)


def _tell_way(way: HowTo) -> None:
    from tanwright.cli.output import say

    say()
    say(f"{way.title} [{way.source}]")
    for step in way.steps:
        _item(step)


def _tell(answer: TrialAnswer, keep: Path | None) -> None:
    from tanwright.cli.output import say
    from tanwright.cli.say import per_cent

    before, after = answer.before_pct, answer.after_pct
    say(answer.verdict)
    say()
    say(
        f"Tannin in this pile: {after.p05:.2g} to {after.p95:.2g} %, most likely {after.p50:.2g} %"
        f" (before the trial {before.p05:.2g} to {before.p95:.2g} %)."
    )
    if answer.strength_bk is not None:
        strength = answer.strength_bk
        say(
            f"The trial liquor: {strength.p50:.0f} °Bk at 15.6 °C"
            f" ({strength.p05:.0f} to {strength.p95:.0f})."
        )
    for heading, lines in (
        ("Why", answer.reasons),
        ("To look at again", answer.told),
        (
            "What would tell more",
            tuple(
                f"{option.what}: {option.how} Narrows the amount by"
                f" {per_cent(option.narrows_amount)}."
                for option in answer.measure_next
            ),
        ),
        ("Take care", tuple(caution.text for caution in answer.cautions)),
    ):
        if lines:
            say()
            say(heading)
            for line in lines:
                _item(line)
    say()
    if answer.sources:
        say(f"Sources: {', '.join(answer.sources)}.")
    if keep is not None:
        say(f'Kept in {keep}. A sheet takes it up with [known] from = "{keep.name}".')
    else:
        say('Add --keep my-piles.toml and write [known] from = "my-piles.toml" in the sheet.')


def _item(text: str) -> None:
    from rich.padding import Padding
    from rich.table import Table

    from tanwright.cli.output import console

    grid = Table.grid(padding=(0, 1, 0, 0))
    grid.add_row("-", text)
    console().print(Padding(grid, (0, 0, 0, 2)))
