"""Where the tables of a sheet come from: a TOML file, command options, or both together."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, cast

from tanwright.errors import InputError

if TYPE_CHECKING:
    from pathlib import Path

Where = Callable[[str, int | None, str], str]
"""Turns (table, index or None, key) into the place shown in an error."""


def tables_from_options(
    *,
    skin: Mapping[str, object],
    materials_given: list[str],
    have: list[str],
    state: str | None,
    rained_on: bool | None,
    vat: Mapping[str, object],
    aim: Mapping[str, object],
    tools: Mapping[str, object],
) -> dict[str, object]:
    """The tables that options stand for; a value of ``None`` means the option was not given.

    ``materials_given`` holds ``ID`` or ``ID=MASS``; ``have`` gives the masses in the same order for
    those without one.
    """
    tables: dict[str, object] = {}
    first = {key: value for key, value in skin.items() if value is not None}
    if first:
        tables["skin"] = [first]
    masses = list(have)
    lots: list[dict[str, object]] = []
    for text in materials_given:
        name, _, mass = text.partition("=")
        lot: dict[str, object] = {"id": name}
        if mass:
            lot["have"] = mass
        elif masses:
            lot["have"] = masses.pop(0)
        if state is not None:
            lot["state"] = state
        if rained_on is not None:
            lot["rained_on"] = rained_on
        lots.append(lot)
    if masses and (lots or materials_given):
        raise InputError(
            f'"{masses[0]}" belongs to no --material',
            place="--have",
            remedy="give one --have for each --material, or write --material ID=MASS",
        )
    if lots:
        tables["material"] = lots
    elif masses or state is not None or rained_on is not None:
        kept: dict[str, object] = {"have": masses[0]} if masses else {}
        kept |= {} if state is None else {"state": state}
        tables["material"] = [kept | ({} if rained_on is None else {"rained_on": rained_on})]
    for name, table in (("vat", vat), ("aim", aim), ("tools", tools)):
        kept = {key: value for key, value in table.items() if value is not None}
        if kept:
            tables[name] = kept
    return tables


def load_toml(path: Path, remedy: str) -> dict[str, object]:
    """The tables of a TOML file. Raises InputError that names file, line and column."""
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        raise InputError("there is no such file", place=str(path), remedy=remedy) from None
    except IsADirectoryError:
        raise InputError("this is a folder, not a sheet", place=str(path), remedy=remedy) from None
    except UnicodeDecodeError:
        raise InputError("this is not UTF-8 text", place=str(path), remedy=remedy) from None
    except OSError as error:
        raise InputError(
            f"cannot be read ({error.strerror})", place=str(path), remedy="check its permissions"
        ) from None
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        found = re.search(r"\(at line (\d+), column (\d+)\)", message)
        spot = f", line {found[1]}, column {found[2]}" if found else ", end of file"
        what = re.sub(r"\s*\(at .*\)$", "", message)
        raise InputError(
            f"not valid TOML: {what[:1].lower()}{what[1:]}",
            place=f"{path.name}{spot}",
            remedy='write key = "value", with the quotes, one to a line',
        ) from None


def merge(raw: dict[str, object], over: Mapping[str, object]) -> dict[str, object]:
    """The tables of a file with those of the options laid over them.

    Options for a skin change the first skin; ``--material`` replaces all materials.
    """
    merged = dict(raw)
    for table, value in over.items():
        old = raw.get(table)
        if isinstance(value, list):
            first = cast("dict[str, object]", value[0])
            replace = table == "material" and "id" in first
            if replace or not isinstance(old, list) or not old or not isinstance(old[0], dict):
                merged[table] = value
            else:
                merged[table] = [{**old[0], **first}, *old[1:]]
        elif isinstance(old, dict):
            merged[table] = {**old, **cast("dict[str, object]", value)}
        else:
            merged[table] = value
    return merged


def keys_given(over: Mapping[str, object]) -> set[tuple[str, str]]:
    """The (table, key) pairs that came from options."""
    found: set[tuple[str, str]] = set()
    for table, value in over.items():
        for entry in value if isinstance(value, list) else [value]:
            found |= {(table, key) for key in cast("dict[str, object]", entry)}
    return found


_OPTION_NAMES = {
    ("skin", "animal"): "--skin", ("skin", ""): "--skin", ("material", "id"): "--material",
    ("material", ""): "--material", ("vat", "volume"): "--vat", ("tools", "strength"): "--tool",
}  # fmt: skip


def option_place(table: str, key: str) -> str:
    """The option that stands for a key, as an error shows it."""
    if (table, key) in _OPTION_NAMES:
        return _OPTION_NAMES[table, key]
    return "--" + key.replace("_", "-") if key else "command line"


def file_place(file: str, table: str, index: int | None, key: str) -> str:
    """File, table and key, as an error shows them: ``sheet.toml: [[skin]] 1, weight``."""
    head = f"[[{table}]] {index + 1}" if index is not None else f"[{table}]" if table else ""
    return f"{file}: " + ", ".join(part for part in (head, key) if part) if head or key else file


def record_place(table: str, index: int | None, key: str) -> str:
    """Place of a key in kept records, in words: ``skin 1, weight``."""
    head = f"{table} {index + 1}" if index is not None else table
    return ", ".join(part for part in (head, key.replace("_", " ")) if part) or "the records"
