"""A second port that speaks plain http and hands out the yard's certificate, and nothing else.

A phone that does not trust the certificate yet may refuse to download it over the very connection
it does not trust. Plain http gives no secrecy, and none is needed: the certificate is public. That
it is the right one is told by its fingerprint, which stands in the terminal too.
"""

from __future__ import annotations

import logging
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Final
from urllib.parse import urlsplit

from django.conf import settings
from django.template.loader import render_to_string

from tanwright.yard.people.certificate import kept_authority

FILE: Final = "/tannery-yard.crt"
log = logging.getLogger(__name__)


def port_beside(port: int) -> int:
    """The port of the door: the one after the yard's own."""
    return port + 1 if port < 65535 else port - 1


def open_beside(address: str) -> ThreadingHTTPServer | None:
    """Open the door beside the yard at ``address``; ``None`` when its port is taken."""
    kept = kept_authority(settings.YARD_FOLDER)
    if kept is None:
        return None
    context = {"fingerprint": kept[1], "address": address, "file": FILE}
    page = render_to_string("people/trust_door.html", context).encode()
    port = port_beside(urlsplit(address).port or 443)
    try:
        server = ThreadingHTTPServer(("0.0.0.0", port), _answering(page, kept[0]))
    except OSError as error:
        log.warning("Port %d is taken (%s): no certificate over plain http.", port, error.strerror)
        return None
    server.daemon_threads = True
    threading.Thread(target=server.serve_forever, name="trust-door", daemon=True).start()
    return server


def _answering(page: bytes, certificate: bytes) -> type[BaseHTTPRequestHandler]:
    answers = {
        "/": ("text/html; charset=utf-8", page),
        FILE: ("application/x-x509-ca-cert", certificate),
    }

    class Door(BaseHTTPRequestHandler):
        timeout = 10
        server_version, sys_version = "tanwright", ""

        def do_GET(self) -> None:
            kind, body = answers.get(urlsplit(self.path).path, ("text/plain", b"Nothing here.\n"))
            self.send_response(200 if kind != "text/plain" else 404)
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(body)))
            self.send_header("X-Content-Type-Options", "nosniff")
            self.send_header("Content-Security-Policy", "default-src 'none'")
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, format: str, *args: object) -> None:
            log.debug(format, *args)

    return Door
