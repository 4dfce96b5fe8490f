"""Runs the yard's server until Ctrl-C: one process that speaks WSGI, and TLS in a network.

Why one process with a few threads: docs/decisions/serving.md.
"""

from __future__ import annotations

import importlib
import os
import signal
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from tanwright.yard.config.starting import Place

THREADS: Final = 8
WAITING: Final = 256
"""Requests taken in at once; more wait in the system's own queue."""
STACK_BYTES: Final = 16 * 1024 * 1024
"""Stack of a thread that answers. The server's own two megabytes do not hold a matrix product of
numpy inside a view: the process died of it under load."""
WARM_AFTER_S: Final = 3.0
_PARENT: Final = "TANWRIGHT_SERVED_BY"

Application = Callable[[dict[str, Any], Callable[..., Any]], Any]


def run(place: Place, certificate: tuple[Path, Path] | None, opened: Callable[[], None]) -> None:
    """Serve ``place`` until SIGINT or SIGTERM; ``opened`` is called once the port listens.

    ``certificate`` holds the files of the chain and of the private key, ``None`` for plain http.
    """
    from granian import Granian
    from granian.constants import Interfaces, SSLProtocols
    from granian.log import LogLevels

    os.environ[_PARENT] = str(os.getpid())
    os.environ.setdefault("RUST_MIN_STACK", str(STACK_BYTES))
    chain, key = certificate or (None, None)
    server = Granian(
        f"{__name__}:make_application",
        factory=True,
        address=place.bind,
        port=place.port,
        interface=Interfaces.WSGI,
        workers=1,
        blocking_threads=THREADS,
        backpressure=WAITING,
        websockets=False,
        # Its warnings advise on threads; what we chose is measured (docs/decisions/serving.md).
        log_level=LogLevels.error,
        ssl_cert=chain,
        ssl_key=key,
        # Phones of 2018 and older know no TLS 1.3.
        ssl_protocol_min=SSLProtocols.tls12,
        respawn_failed_workers=True,
        workers_kill_timeout=10,
    )
    server.on_startup(opened)
    server.serve()


def make_application() -> Application:
    """The application in the process that answers, with the threads that stand beside it."""
    from tanwright.yard.config.wsgi import application

    if hasattr(signal, "pthread_sigmask"):
        # Ctrl-C reaches every process of the terminal. The parent tells this one to end; hearing of
        # it twice makes the server wait for ever in one start of two (measured).
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    threading.Thread(target=_end_with_parent, name="end-with-parent", daemon=True).start()
    from django.conf import settings

    from tanwright.yard.exchange import daily

    daily.start()
    threading.Thread(target=_warm, name="warm", daemon=True).start()
    if settings.LAN and settings.HTTPS:
        from tanwright.yard.config import trust_door

        trust_door.open_beside(settings.ADDRESS)
    return application


def _warm() -> None:
    """No visit should wait for what is loaded or worked out once: all pages first, then plants."""
    from django.conf import settings

    importlib.import_module(settings.ROOT_URLCONF)
    time.sleep(WARM_AFTER_S)  # the first page comes before the plants
    from tanwright.yard.plants.warming import warm

    warm()


def _end_with_parent() -> None:
    """A parent killed outright cannot stop this process, which would keep the port for ever."""
    parent = int(os.environ.get(_PARENT, "0"))
    while parent and os.getppid() == parent:
        time.sleep(0.2)
    if parent:
        os.kill(os.getpid(), signal.SIGTERM)
        time.sleep(5)
        os._exit(1)
