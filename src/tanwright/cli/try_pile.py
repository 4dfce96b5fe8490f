"""``tanwright try``: how strong a pile of bark or leaf is, found with kitchen gear."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, cast

import typer

from tanwright.cli.options import Json
from tanwright.errors import InputError

if TYPE_CHECKING:
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
    from tanwright.cli.output import console, print_json
    from tanwright.cli.paper import Paper
    from tanwright.planning.trial_how import cautions_of_trying, how_to_try

    ways = how_to_try(trial.material_id)
    cautions = cautions_of_trying(trial.material_id)
    if as_json:
        print_json({"material_id": trial.material_id, "how_to": ways, "cautions": cautions})
        return
    paper = Paper(console())
    paper.title(f"How to find the strength of a pile of {trial.material_id}")
    for way in ways:
        paper.head(f"{way.title} [{way.source}]")
        paper.bullets(way.steps)
    paper.head("Take care")
    paper.bullets(caution.text for caution in cautions)


def _tell(answer: TrialAnswer, keep: Path | None) -> None:
    from tanwright.cli.output import console
    from tanwright.cli.paper import Paper
    from tanwright.planning.telling.voice import per_cent, sentence

    paper = Paper(console())
    paper.title(answer.verdict)
    before, after = answer.before_pct, answer.after_pct
    paper.line(
        f"Tannin in this pile: {after.p05:.2g} to {after.p95:.2g} %, most likely {after.p50:.2g} %"
        f" (before the trial {before.p05:.2g} to {before.p95:.2g} %)."
    )
    if answer.strength_bk is not None:
        bk = answer.strength_bk
        paper.line(f"The trial liquor: {bk.p50:.0f} °Bk at 15.6 °C ({bk.p05:.0f} to {bk.p95:.0f}).")
    more = (
        f"{sentence(option.what)} {sentence(option.how)} Narrows the amount by"
        f" {per_cent(option.narrows_amount)}."
        for option in answer.measure_next
    )
    for heading, lines in (
        ("Why", [sentence(reason) for reason in answer.reasons]),
        ("To look at again", [sentence(told) for told in answer.told]),
        ("What would tell more", list(more)),
        ("Take care", [caution.text for caution in answer.cautions]),
    ):
        if lines:
            paper.head(heading)
            paper.bullets(lines)
    paper.gap()
    if answer.sources:
        paper.line(f"Sources: {', '.join(answer.sources)}.", 0)
    if keep is not None:
        paper.line(f'Kept in {keep}. A sheet takes it up with [known] from = "{keep.name}".', 0)
    else:
        paper.line(
            'Add --keep my-piles.toml and write [known] from = "my-piles.toml" in the sheet.', 0
        )
