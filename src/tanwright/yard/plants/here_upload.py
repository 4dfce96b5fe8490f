"""Receiving a large file: straight into the yard's folder, never whole in memory, up to a bound."""

from __future__ import annotations

import hashlib
import shutil
import uuid
from pathlib import Path
from typing import IO, Any, Final

from django.core.files.uploadedfile import UploadedFile
from django.core.files.uploadhandler import FileUploadHandler, StopUpload
from django.http import HttpRequest

from tanwright.yard.plants.here_services import incoming

MOST_BYTES: Final = 1_000_000_000
"""A million records take about half of it as a plain table, a tenth when packed."""


class ReceivedFile(UploadedFile):
    """A file that lies in the folder of the import to be."""

    def __init__(self, file: IO[bytes], name: str, size: int, sha256: str) -> None:
        super().__init__(file, name, "application/octet-stream", size)
        self.sha256 = sha256


class Receiving(FileUploadHandler):
    """Takes the one file of a request into ``incoming(id)/records``."""

    chunk_size = 1 << 20

    def __init__(self, request: HttpRequest) -> None:
        super().__init__(request)
        self.id = uuid.uuid4()
        self.too_large = False
        self._file: IO[bytes] | None = None
        self._size, self._digest = 0, hashlib.sha256()

    def handle_raw_input(
        self, input_data: Any, META: Any, content_length: int, boundary: Any, encoding: Any = None
    ) -> None:
        self.too_large = content_length > MOST_BYTES + 10_000

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        super().new_file(*args, **kwargs)
        if self.too_large or self._file is not None:
            # What is left is not read: a gigabyte too much would be sent for nothing.
            raise StopUpload(connection_reset=True)
        folder = incoming(self.id)
        folder.mkdir(parents=True, mode=0o700)
        self._file = self.path.open("w+b")

    @property
    def path(self) -> Path:
        return incoming(self.id) / "records"

    def receive_data_chunk(self, raw_data: bytes, start: int) -> None:
        assert self._file is not None
        self._size += len(raw_data)
        if self._size > MOST_BYTES:
            self.too_large = True
            raise StopUpload(connection_reset=True)
        self._digest.update(raw_data)
        self._file.write(raw_data)

    def file_complete(self, file_size: int) -> UploadedFile | None:
        if self._file is None:
            return None
        self._file.flush()
        name = Path(self.file_name or "records").name
        return ReceivedFile(self._file, name, file_size, self._digest.hexdigest())

    def upload_interrupted(self) -> None:
        self.let_go()

    def let_go(self) -> None:
        """Delete what was received."""
        if self._file is not None:
            self._file.close()
        shutil.rmtree(incoming(self.id), ignore_errors=True)
