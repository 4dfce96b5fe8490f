"""What happens before the yard answers: refusals in one line, then everything brought up to date.

Called by ``tanwright serve`` in the order of this module: folder, network, port, database, files.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from tanwright.errors import InputError
from tanwright.yard.config import network
from tanwright.yard.config.environment import words, yard_folder

PROBE: Final = ".can-write"


@dataclass(frozen=True)
class Place:
    """Where the yard is kept and where it will be found."""

    folder: Path
    bind: str
    port: int
    addresses: tuple[str, ...]
    """Whole addresses, such as https://192.168.1.20:8000; the first is the one to share."""
    hosts: tuple[str, ...]
    lan: bool
    https: bool


def place(
    *,
    lan: bool,
    port: int,
    host_names: Sequence[str] = (),
    certificate: bool = True,
    yard: Path | None = None,
) -> Place:
    """Check folder, network and port, and say to the settings what they came to (environment).

    Raises InputError when the folder cannot be written, the disk is full, the machine has no
    address in a network that ``lan`` asks for, or the port is taken.
    """
    if yard is not None:
        os.environ["TANWRIGHT_YARD"] = str(yard.expanduser().absolute())
    folder = yard_folder()
    check_writable(folder)
    hosts = _hosts(host_names) if lan else ("127.0.0.1",)
    https = lan and certificate
    bind = "0.0.0.0" if lan else "127.0.0.1"
    if not network.port_free(bind, port):
        raise InputError(
            f"port {port} is taken on this machine",
            place="--port",
            remedy="is the yard running already? If not, choose another with --port",
        )
    scheme = "https" if https else "http"
    addresses = tuple(f"{scheme}://{host}:{port}" for host in hosts)
    os.environ["TANWRIGHT_LAN"] = "1" if lan else "0"
    os.environ["TANWRIGHT_HTTPS"] = "1" if https else "0"
    os.environ["TANWRIGHT_HOSTS"] = " ".join(hosts) if lan else ""
    os.environ["TANWRIGHT_ADDRESS"] = addresses[0] if lan else ""
    os.environ["DJANGO_SETTINGS_MODULE"] = "tanwright.yard.config.settings"
    return Place(folder, bind, port, addresses, hosts, lan, https)


def check_writable(folder: Path) -> None:
    """Raises InputError unless a file can be written and kept in ``folder``."""
    probe = folder / f"{PROBE}-{os.getpid()}"
    try:
        with probe.open("wb") as file:
            file.write(bytes(65536))
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        full = error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
        what = "the disk is full" if full else f"it cannot be written ({error.strerror})"
        remedy = (
            "free some space there; nothing that was noted is lost"
            if full
            else "give yourself the right to write there, or name another folder with --yard"
        )
        raise InputError(what, place=f"the yard's folder {folder}", remedy=remedy) from None
    finally:
        # On a full disk even an empty probe may stand; on a read-only one there is none.
        with contextlib.suppress(OSError):
            probe.unlink(missing_ok=True)


def bring_up_to_date() -> bool:
    """Set Django up (which finishes a stopped restore), migrate after a backup, lay out files.

    Returns whether this is the yard's very first start. Raises InputError when the database does
    not answer, was kept by a newer tanwright, or the disk refuses.
    """
    import django

    django.setup()
    from django.conf import settings
    from django.db import DatabaseError, connections

    from tanwright.yard.exchange.readiness import bring_up_to_date as migrate

    try:
        first = _first_start()
        migrate()
    except DatabaseError as error:
        raise InputError(
            f"the database does not answer ({' '.join(str(error).split())})",
            place="database",
            remedy="look at TANWRIGHT_DATABASE and at the file's rights; tanwright doctor tells"
            " more, tanwright restore puts a backup in its place",
        ) from None
    try:
        lay_out_static_files()
    except OSError as error:
        raise InputError(
            f"the pages' own files cannot be laid out ({error.strerror})",
            place=f"the yard's folder {settings.YARD_FOLDER}",
            remedy="free some space there",
        ) from None
    connections.close_all()
    return first


def _first_start() -> bool:
    """Whether no table stands yet; refuses a database that a newer program has changed."""
    from django.db import connection
    from django.db.migrations.loader import MigrationLoader

    loader = MigrationLoader(connection)
    ours = {app for app, _ in loader.disk_migrations}
    newer = [
        key for key in loader.applied_migrations or () if key[0] in ours
        and key not in loader.disk_migrations and key not in loader.replacements
    ]  # fmt: skip
    if newer:
        app, name = sorted(newer)[0]
        raise InputError(
            f"this yard was kept by a newer tanwright (it knows {app} {name})",
            place="database",
            remedy="install that version again, or restore an older backup",
        )
    return not loader.applied_migrations


def lay_out_static_files() -> bool:
    """Collect the style sheets and scripts when any of them changed since the last start.

    Returns whether they had to be.
    """
    from django.conf import settings
    from django.core.management import call_command

    if settings.DEBUG:
        return False
    stamp, now = Path(settings.STATIC_ROOT) / ".made-from", _static_state()
    if stamp.exists() and stamp.read_text() == now:
        return False
    call_command("collectstatic", verbosity=0, interactive=False, clear=True)
    stamp.write_text(now)
    return True


def _static_state() -> str:
    """A digest of which static files the installed program has, by name, size and time."""
    from django.contrib.staticfiles.finders import get_finders

    digest = hashlib.sha256()
    for finder in get_finders():
        for name, storage in finder.list([]):
            told = Path(storage.path(name)).stat()
            digest.update(f"{name} {told.st_size} {told.st_mtime_ns}\n".encode())
    return digest.hexdigest()


def _hosts(host_names: Sequence[str]) -> tuple[str, ...]:
    found = network.addresses()
    named = network.checked_names([*host_names, *words("TANWRIGHT_HOSTS")])
    if not found and not named:
        raise InputError(
            "this machine has no address in a local network",
            place="--lan",
            remedy="join the wireless or plug in the cable, or name the address with --host-name",
        )
    return tuple(dict.fromkeys([*found, *named, network.local_name()]))
