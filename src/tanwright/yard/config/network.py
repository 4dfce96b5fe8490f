"""Where this machine is found in the local network."""

from __future__ import annotations

import re
import socket
from collections.abc import Iterable
from typing import Final

from tanwright.errors import InputError

# A documentation address (RFC 5737): nothing is sent there. Connecting a datagram socket
# only asks the system which of its own addresses it would send from.
_FAR_AWAY: Final = "192.0.2.1"
_NAME: Final = re.compile(r"[a-z0-9]([a-z0-9.-]*[a-z0-9])?")


def addresses() -> list[str]:
    """The IPv4 addresses that other machines of the network may find this one at, best first.

    May be empty: a machine without any network. IPv6 is left out, because a phone's user cannot
    type it and such addresses change by the day.
    """
    found = [_towards(_FAR_AWAY)]
    try:
        infos = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
        found += sorted(str(info[4][0]) for info in infos)
    except OSError:
        pass
    usable = (address for address in found if address and not address.startswith(("127.", "0.")))
    return list(dict.fromkeys(usable))


def _towards(far: str) -> str:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect((far, 9))
            return str(asking.getsockname()[0])
        except OSError:
            return ""


def local_name() -> str:
    """``"<name of the machine>.local"``, by which multicast DNS finds it where that runs."""
    name = re.sub(r"[^a-z0-9-]+", "-", socket.gethostname().partition(".")[0].lower()).strip("-")
    return f"{name or 'yard'}.local"


def checked_names(names: Iterable[str]) -> list[str]:
    """Host names a person gave, in small letters. Raises InputError for what is no host name."""
    checked = []
    for name in names:
        small = name.strip().lower().rstrip(".")
        if not _NAME.fullmatch(small) or len(small) > 253 or ".." in small:
            raise InputError(
                f'"{name}" is no host name', place="--host-name", remedy="write one like yard.local"
            )
        checked.append(small)
    return checked


def port_free(host: str, port: int) -> bool:
    """Whether a server could listen on ``port`` now."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as trying:
        trying.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trying.bind((host, port))
        except OSError:
            return False
    return True
