"""``tanwright almanac``: the sources, where they disagree, and the whole reference as CSV."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from tanwright.cli.options import Json


def register(app: typer.Typer) -> None:
    """Hang the commands on ``app``."""
    almanac = typer.Typer(
        name="almanac",
        rich_markup_mode=None,
        invoke_without_command=True,
        context_settings={"help_option_names": ["-h", "--help"]},
    )

    @almanac.callback()
    def no_command(context: typer.Context) -> None:
        """The evidence behind every figure: sources, contradictions, export."""
        if context.invoked_subcommand is None:
            typer.echo(context.get_help())

    @almanac.command()
    def sources(
        key: Annotated[
            str | None, typer.Argument(metavar="[KEY]", help="One source, such as procter1903.")
        ] = None,
        json: Json = False,
    ) -> None:
        """Every source with what the tool takes from it, or one of them."""
        from tanwright.cli.output import print_json, say, table
        from tanwright.planning import almanac as book

        found = book.sources() if key is None else (book.source_use(key),)
        if json:
            print_json({"sources": found})
            return
        if key is None:
            table(("key", "gives"), ((use.source.key, use.words) for use in found), whole=(0,))
            return
        use = found[0]
        say(f"{use.source.key}: {use.source.short}")
        if use.source.how_read:
            say(f"Read: {use.source.how_read}. Status: {use.source.licence}.")
        say(f"Gives: {use.words}.")
        if use.materials:
            say(f"Plant parts: {', '.join(use.materials)}")

    @almanac.command()
    def contradictions(
        material: Annotated[
            str | None, typer.Option("--material", help="Only those about this plant part.")
        ] = None,
        json: Json = False,
    ) -> None:
        """Where sources cannot both be right, why perhaps, and what the tool does."""
        from tanwright.cli.output import print_json, say
        from tanwright.planning import almanac as book
        from tanwright.reference import materials

        found = book.contradictions()
        if material is not None:
            id = materials.find(material).id
            found = tuple(each for each in found if each.material_id == id)
        if json:
            print_json({"contradictions": found})
            return
        if not found:
            say("No contradiction is known.")
        for each in found:
            say(f"{each.about[:1].upper()}{each.about[1:]} ({each.kind})")
            for side in each.sides:
                say(f"  - {side.says} [{', '.join(side.sources)}]")
            say(f"  Perhaps because: {each.reason}.")
            say(f"  Here: {each.what_is_done}.")
            say()

    @almanac.command()
    def export(
        target: Annotated[
            Path, typer.Argument(metavar="PATH", help="A name that ends in .zip, or a folder.")
        ],
    ) -> None:
        """Write the whole reference as CSV, each row's source spelled out."""
        from tanwright.cli.output import say
        from tanwright.planning import almanac as book

        book.export(target)
        say(f"Written: {target.name}")

    app.add_typer(almanac)
