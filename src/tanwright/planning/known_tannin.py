"""Beliefs about the tannin of a material that an earlier trial left, kept in a TOML file."""

from __future__ import annotations

import os
import re
import tempfile
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from tanwright.errors import InputError
from tanwright.planning.sheet import KnownTannin
from tanwright.planning.sheet_fields import Fields
from tanwright.planning.sheet_source import load_toml
from tanwright.reference import materials

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

_KEYS = ("tannin", "how", "on")


def read_known(
    table: Mapping[str, object], where: Callable[[str], str], folder: Path
) -> tuple[KnownTannin, ...]:
    """The beliefs of a sheet's ``[known]`` table.

    ``from`` names a TOML file (relative to ``folder``) with a ``[known]`` table of its own, as
    :func:`keep_known` writes it; what stands in the sheet itself wins. Raises InputError.
    """
    found: dict[str, KnownTannin] = {}
    beside = table.get("from")
    if beside is not None:
        if not isinstance(beside, str):
            raise InputError(
                "this must be a file name", place=where("from"), remedy='write from = "piles.toml"'
            )
        path = folder / beside
        inner = load_toml(path, "keep a trial there with: tanwright try ... --keep FILE")
        kept = inner.get("known")
        if isinstance(kept, dict):
            place = f"{path.name}: [known], "
            for key, value in kept.items():
                known = _known(key, value, partial(_joined, place))
                found[known.material_id] = known
    for key, value in table.items():
        if key != "from":
            known = _known(key, value, where)
            found[known.material_id] = known
    return tuple(found.values())


def _known(key: str, value: object, where: Callable[[str], str]) -> KnownTannin:
    data = value if isinstance(value, dict) else {"tannin": value}
    fields = Fields(data, lambda inner: where(f"{key}, {inner}" if inner else key), _KEYS)
    try:
        material = materials.find(key)
    except InputError as error:
        raise type(error)(error.what, place=where(key), remedy=error.remedy) from None
    figure = fields.tannin("tannin")
    if figure is None:
        fields.refuse("tannin", "is missing", 'write tannin = "7-11 %"')
    return KnownTannin(material.id, figure, fields.text("how") or "", fields.day("on"))


def _joined(place: str, key: str) -> str:
    return place + key


def keep_known(path: Path, known: KnownTannin) -> None:
    """Write one belief into ``path`` as ``[known.ID]``, leaving the rest of the file as it is.

    An older belief about the same material is replaced. The file is swapped in whole, so that a
    crash leaves the old one. Raises InputError if the file is not valid TOML or cannot be written.
    """
    old = ""
    if path.exists():
        load_toml(path, "")
        old = path.read_text(encoding="utf-8-sig")
    lines = [
        f"[known.{known.material_id}]",
        f'tannin = "{known.figure.low_pct:.3g}-{known.figure.high_pct:.3g} %"',
    ]
    if known.how:
        lines.append("how = " + _quoted(known.how))
    if known.on is not None:
        lines.append(f"on = {known.on.isoformat()}")
    block = re.compile(
        rf'^\[known\."?{re.escape(known.material_id)}"?\][^\n]*\n(?:(?!\[)[^\n]*(?:\n|\Z))*',
        re.MULTILINE,
    )
    rest = block.sub("", old).rstrip()
    text = (rest + "\n\n" if rest else "") + "\n".join(lines) + "\n"
    write_whole(path, text)


def write_whole(path: Path, text: str) -> None:
    """Write ``text`` to ``path`` by a temporary file beside it and a rename. Raises InputError."""
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        made = Path(name)
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write(text)
            made.chmod(path.stat().st_mode if path.exists() else 0o644)
            made.replace(path)
        except BaseException:
            made.unlink()
            raise
    except OSError as error:
        raise InputError(
            f"cannot be written ({error.strerror})", place=str(path), remedy="choose another file"
        ) from None


def _quoted(text: str) -> str:
    clean = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + re.sub(r"[\x00-\x1f\x7f]", " ", clean) + '"'
