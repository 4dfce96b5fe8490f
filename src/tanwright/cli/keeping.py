"""Commands that keep a yard: backup, restore, export, import, demo, big-yard."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

from tanwright.cli.options import Json

Yard = Annotated[
    Path | None,
    typer.Option("--yard", metavar="DIR", help="Folder of the yard; the usual one if not given."),
]


def register(app: typer.Typer) -> None:
    """Hang the commands on ``app``."""

    @app.command()
    def backup(
        to: Annotated[
            Path | None,
            typer.Option(metavar="DIR|FILE", help="Put it there instead of the yard's backups."),
        ] = None,
        yard: Yard = None,
        json: Json = False,
    ) -> None:
        """Back the yard up into one dated file; it may be in use meanwhile."""
        _open(yard)
        from tanwright.yard.exchange.backing_up import make_backup

        made = make_backup(to.absolute() if to else None)
        record = {"file": str(made.path), "made_at": made.made_at.isoformat(), "bytes": made.size}
        _tell(json, record, f"Backup made: {made.path} ({made.size / 1e6:.1f} MB)")

    @app.command()
    def restore(
        file: Annotated[Path, typer.Argument(metavar="FILE", help="A backup.")],
        check: Annotated[
            bool, typer.Option("--check", help="Only look whether it could be restored.")
        ] = False,
        yard: Yard = None,
        json: Json = False,
    ) -> None:
        """Put a backup in the place of the yard. It is checked first; the present yard is kept."""
        _open(yard, migrate=False)
        from tanwright.yard.exchange.restoring import check_backup
        from tanwright.yard.exchange.restoring import restore as put_back

        aside = None
        if check:
            found = check_backup(file)
        else:
            done = put_back(file)
            found, aside = done.backup, done.aside
        record = {
            "file": str(file),
            "made_at": found.made_at.isoformat(),
            "made_by": found.tanwright,
            "entries": found.entries,
            "photos": found.photos,
            "restored": not check,
            "kept_aside": str(aside) if aside else None,
        }
        what = (
            f"{found.entries} entries and {found.photos} photos of {found.made_at:%Y-%m-%d %H:%M}"
        )
        if check:
            _tell(json, record, f"Sound: {what}. Nothing was changed.")
        else:
            _tell(json, record, f"Restored: {what}. The yard as it was is in {aside}.")

    @app.command("export")
    def export_yard(
        file: Annotated[Path, typer.Argument(metavar="FILE.zip")],
        yard: Yard = None,
        json: Json = False,
    ) -> None:
        """Write the whole yard as an open package: CSV tables, their schemas, photos."""
        _open(yard)
        from tanwright.yard.exchange.package import export

        done = export(file.absolute())
        record = {
            "file": str(file),
            "rows": done.rows,
            "photos": done.photos,
            "missing_photos": done.missing,
        }
        words = f"Exported {sum(done.rows.values())} rows and {done.photos} photos to {file}."
        words += " Passwords and sessions are not in it."
        if done.missing:
            words += f" {len(done.missing)} photos were not on the disk."
        _tell(json, record, words)

    @app.command("import")
    def import_yard(
        file: Annotated[Path, typer.Argument(metavar="FILE.zip")],
        yard: Yard = None,
        json: Json = False,
    ) -> None:
        """Take an exported yard into an empty one; all is checked before a row is written."""
        _open(yard)
        from tanwright.yard.exchange.importing import PackageError, import_package

        try:
            done = import_package(file)
        except PackageError as error:
            for fault in error.faults:
                typer.echo(f"{fault}", err=True)
            raise
        record = {"file": str(file), "rows": done.rows, "photos": done.photos}
        words = f"Took in {sum(done.rows.values())} rows and {done.photos} photos."
        _tell(json, record, f"{words} People need new passwords from the keeper.")

    @app.command()
    def demo(yard: Yard = None, json: Json = False) -> None:
        """Fill an empty yard with a demonstration: skins, lots, liquors, vats, a leather."""
        _open(yard)
        from tanwright.yard.exchange.demo import load_here

        done = load_here()
        words = f"The demo yard is in: {done.records} records." if done.new else (
            "The demo yard was in already; nothing was changed."
        )  # fmt: skip
        _tell(json, {"new": done.new, "records": done.records}, words)

    @app.command("big-yard")
    def big_yard(
        seed: Annotated[int, typer.Option(help="The same seed gives the same yard.")] = 1,
        skins: Annotated[int, typer.Option(min=1, max=5000)] = 500,
        tannages: Annotated[int, typer.Option(min=1, max=3000)] = 300,
        readings: Annotated[int, typer.Option(min=1, max=100_000)] = 10_000,
        yard: Yard = None,
        json: Json = False,
    ) -> None:
        """Fill an empty yard with many invented records, to see how fast it stays."""
        _open(yard)
        from tanwright.yard.exchange.big_yard import Size, fill

        made = fill(Size(skins=skins, tannages=tannages, readings=readings), seed=seed)
        _tell(json, made, ", ".join(f"{count} {what}" for what, count in made.items()) + ".")


def _open(yard: Path | None, *, migrate: bool = True) -> None:
    """Make Django ready for the yard in the folder ``yard``, its tables up to date."""
    if yard is not None:
        os.environ["TANWRIGHT_YARD"] = str(yard.absolute())
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tanwright.yard.config.settings")
    import django

    django.setup()
    if migrate:
        from tanwright.yard.exchange.readiness import bring_up_to_date

        bring_up_to_date()


def _tell(json: bool, record: object, words: str) -> None:
    from tanwright.cli.output import print_json, say

    if json:
        print_json(record)
    else:
        say(words)
