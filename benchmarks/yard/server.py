"""The real server (``tanwright serve``) on a yard of its own, and a plain client for it."""

from __future__ import annotations

import http.client
import os
import signal
import socket
import subprocess
import sys
import time
import uuid
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final
from urllib.parse import urlencode

HOST: Final = "127.0.0.1"
SOURCE: Final = Path(__file__).parents[2] / "src"
MOST_START_S: Final = 60.0


def environment(yard: Path) -> dict[str, str]:
    """The surroundings of a yard of its own: nothing of another yard leaks in."""
    kept = {
        key: value
        for key, value in os.environ.items()
        if not key.startswith(("TANWRIGHT", "DJANGO"))
    }
    return {**kept, "TANWRIGHT_YARD": str(yard), "PYTHONPATH": str(SOURCE), "COLUMNS": "400"}


def tanwright(yard: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run one command on ``yard``; raises CalledProcessError when it fails."""
    return subprocess.run(
        [sys.executable, "-m", "tanwright", *arguments],
        env=environment(yard),
        capture_output=True,
        text=True,
        check=True,
        timeout=300,
    )


def free_port() -> int:
    """A port that nothing listens on now."""
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        return int(probe.getsockname()[1])


class Server:
    """A running server; use as a context, so that no process outlives the measurement."""

    def __init__(self, yard: Path, log: Path | None = None) -> None:
        self.yard, self.port = yard, free_port()
        self.log = log or yard.parent / f"{yard.name}-server.log"

    def __enter__(self) -> Server:
        self.start()
        return self

    def __exit__(self, *told: object) -> None:
        self.kill()

    def start(self) -> float:
        """Start it; returns the seconds until the first page was answered."""
        began = time.monotonic()
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "tanwright", "serve", "--port", str(self.port)],
                env=environment(self.yard),
                stdout=log,
                stderr=log,
                start_new_session=True,
            )
        while time.monotonic() - began < MOST_START_S:
            if self.process.poll() is not None:
                break
            phone = Phone(self.port)
            try:
                if phone.get("/stock/").status == 200:
                    return time.monotonic() - began
            except OSError:
                time.sleep(0.05)
            finally:
                phone.close()
        self.kill()
        raise RuntimeError(f"the server did not start: {self.log.read_text()[-2000:]}")

    def kill(self) -> None:
        """SIGKILL to the server with all its processes: nothing is tidied up."""
        if self.process.poll() is None:
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()


@dataclass(frozen=True)
class Answer:
    """What came back, and how long it took."""

    status: int
    body: bytes
    seconds: float

    @property
    def acknowledged(self) -> bool:
        """Whether the yard said that it kept what was sent."""
        return self.status in (200, 201, 204, 302, 303)


class Phone:
    """One phone: a connection that is kept open, and the cookie that forms need."""

    def __init__(self, port: int) -> None:
        self._connection = http.client.HTTPConnection(HOST, port, timeout=30)
        self._cookies: dict[str, str] = {}

    def get(self, path: str) -> Answer:
        """Fetch a page."""
        return self._ask("GET", path, None)

    def log(self, path: str, note: str = "", **fields: str) -> tuple[uuid.UUID, Answer]:
        """Send the form of an entry to ``path``; the id that it was given, and the answer."""
        if "tanwright_csrf" not in self._cookies:
            self.get(path)
        id = uuid.uuid4()
        now = datetime.now().strftime("%Y-%m-%dT%H:%M:%S")
        form = {"entry_id": str(id), "happened_at": now, "note": note, **fields}
        return id, self._ask("POST", path, urlencode(form))

    def close(self) -> None:
        """Hang up."""
        self._connection.close()

    def _ask(self, method: str, path: str, body: str | None) -> Answer:
        headers = {"Cookie": "; ".join(f"{key}={value}" for key, value in self._cookies.items())}
        if body is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
            headers["X-CSRFToken"] = self._cookies.get("tanwright_csrf", "")
            headers["Referer"] = f"http://{HOST}:{self._connection.port}{path}"
        began = time.perf_counter()
        try:
            self._connection.request(method, path, body, headers)
            response = self._connection.getresponse()
            content = response.read()
        except (http.client.HTTPException, OSError) as error:
            self._connection.close()
            raise ConnectionError(str(error)) from error
        for cookie in response.headers.get_all("Set-Cookie") or ():
            key, _, value = cookie.split(";")[0].partition("=")
            # A browser shows "Noted." once on the next page; here no page is fetched, and the
            # words would pile up in the cookie.
            if key != "messages":
                self._cookies[key] = value
        return Answer(response.status, content, time.perf_counter() - began)
