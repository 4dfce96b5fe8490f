"""``tanwright serve`` from its options to the last line it prints."""

from __future__ import annotations

import io
import os
import subprocess
import sys
import webbrowser
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final

from tanwright.yard.config import serving, starting

LINK_MINUTES: Final = 60
"""How long the first keeper's link lives: the terminal may be in another room than the phone."""


def serve(
    say: Callable[[str], None],
    *,
    lan: bool,
    port: int,
    host_names: Sequence[str],
    certificate: bool,
    yard: Path | None,
    demo: bool,
    open_browser: bool,
) -> None:
    """Check, bring up to date, tell where the yard is, and serve it until Ctrl-C.

    Raises InputError for whatever a person can put right.
    """
    os.umask(0o077)  # What the yard keeps is for its owner alone, database and backups too.
    place = starting.place(
        lan=lan, port=port, host_names=host_names, certificate=certificate, yard=yard
    )
    kept = None
    if place.https:
        from tanwright.yard.people.certificate import certificate_for

        kept = certificate_for(place.folder, ["localhost", "127.0.0.1", *place.hosts])
    first = starting.bring_up_to_date()
    if demo and first:
        _load_demo(say, place.folder)
    lines = [f"The yard is open: {place.addresses[0]}"]
    lines += [f"                  {address}" for address in place.addresses[1:]]
    lines.append(f"Kept in {place.folder}")
    lines += _for_network(place, kept.fingerprint if kept else "") if place.lan else []
    lines.append("Ctrl-C closes it.")

    def opened() -> None:
        say("\n".join(lines))
        if open_browser:
            webbrowser.open(place.addresses[0])

    serving.run(place, (kept.chain, kept.key) if kept else None, opened)
    say("The yard is closed.")


def _for_network(place: starting.Place, fingerprint: str) -> list[str]:
    lines = []
    if fingerprint:
        from tanwright.yard.config.trust_door import port_beside

        door = f"http://{place.hosts[0]}:{port_beside(place.port)}"
        lines += [
            f"A new phone first opens {door} and trusts the certificate, once.",
            f"Its SHA-256 fingerprint: {fingerprint}",
        ]
    else:
        lines.append("Without a certificate: others in this network could read along.")
    return lines + _first_link(place.addresses[0])


def _first_link(address: str) -> list[str]:
    """A link that signs the keeper in once, while no keeper has any other way to come in."""
    import segno
    from django.db import connections
    from django.urls import reverse

    from tanwright.yard.people import pairing
    from tanwright.yard.people.local import keeper_locked_out

    keeper = keeper_locked_out()
    lines = []
    if keeper is not None:
        code = pairing.make_code(keeper, minutes=LINK_MINUTES)
        link = address + reverse("people:pair", args=[code])
        drawn = io.StringIO()
        segno.make(link, error="l").terminal(drawn, compact=True)
        lines = [f"Sign in as the keeper with this link, once, within {LINK_MINUTES} minutes:"]
        lines += [f"  {link}", drawn.getvalue().rstrip("\n")]
    connections.close_all()
    return lines


def _load_demo(say: Callable[[str], None], folder: Path) -> None:
    """Fill the new yard in a process of its own: the engine it needs would stay in this one."""
    say("Filling the new yard with an invented demo; this takes some seconds, once.")
    done = subprocess.run(
        [sys.executable, "-m", "tanwright", "demo", "--yard", str(folder)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    )
    if done.returncode != 0:
        # The yard itself is well: it opens empty, and the demo can be tried again from its pages.
        say(f"The demo could not be made. {done.stderr.strip()}")
