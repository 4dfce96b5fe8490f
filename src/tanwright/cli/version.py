"""``tanwright version``: what is installed, for a report."""

from __future__ import annotations

import typer

from tanwright.cli.options import Json

PARTS = ("numpy", "scipy", "numba", "pint", "typer", "rich")


def register(app: typer.Typer) -> None:
    """Hang the command on ``app``."""

    @app.command()
    def version(json: Json = False) -> None:
        """Versions of tanwright, of Python and of the libraries that compute."""
        import platform
        from importlib.metadata import version as version_of

        from tanwright.cli.output import print_json, table

        found = {name: version_of(name) for name in ("tanwright", *PARTS)}
        found["python"] = platform.python_version()
        if json:
            print_json(found)
        else:
            table(("part", "version"), found.items())
