"""``tanwright serve`` and ``tanwright doctor``: the yard in a browser."""

from __future__ import annotations

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
    def serve(
        lan: Annotated[
            bool,
            typer.Option("--lan", help="Open it to the local network, behind accounts."),
        ] = False,
        port: Annotated[int, typer.Option(min=1, max=65535, help="Where it listens.")] = 8000,
        host_name: Annotated[
            list[str] | None,
            typer.Option(
                metavar="NAME", help="Another name or address of this machine in the network."
            ),
        ] = None,
        no_certificate: Annotated[
            bool,
            typer.Option("--no-certificate", help="With --lan: plain http, no certificate."),
        ] = False,
        yard: Yard = None,
        demo: Annotated[
            bool, typer.Option("--demo", help="Fill a new yard with invented records.")
        ] = False,
        open_browser: Annotated[
            bool, typer.Option("--open", help="Open a browser at it as well.")
        ] = False,
    ) -> None:
        """Open the yard in the browser: skins, liquors, vats, leather, what to do today.

        Only this machine reaches it, without signing in, unless --lan is given. Ctrl-C closes it.
        """
        from tanwright.yard.config.opening import serve as open_yard

        open_yard(
            _say,
            lan=lan,
            port=port,
            host_names=host_name or (),
            certificate=not no_certificate,
            yard=yard,
            demo=demo,
            open_browser=open_browser,
        )

    @app.command()
    def doctor(yard: Yard = None, json: Json = False) -> None:
        """Look whether the yard is well: folder, disk, clock, database, backups.

        Exit status 1 when something is not.
        """
        from tanwright.cli.output import print_json
        from tanwright.yard.config.doctor import findings

        found = findings(yard)
        if json:
            print_json(found)
        else:
            for finding in found:
                if finding.trouble:
                    _say(f"LOOK  {finding.id}  {finding.trouble}\n      {finding.cure}")
                else:
                    _say(f"well  {finding.id}  {finding.well}")
        if any(finding.trouble for finding in found):
            raise typer.Exit(1)


def _say(text: str) -> None:
    # Unwrapped: an address broken at the terminal's edge cannot be copied.
    typer.echo(text)
