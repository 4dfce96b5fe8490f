"""The files of a trial: patches, grades, rankings and measures as CSV, treatments as TOML.

``patches.csv`` (code, offcut, skin, region, block, treatment, jar) is the meeting point: the
cutting map writes its codes, the design fills in treatment and jar, the analysis reads all of it.
"""

from __future__ import annotations

import tomllib
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import Final, TypeVar

from tanwright.errors import InputError
from tanwright.planning.sheet_fields import Fields, did_you_mean
from tanwright.planning.trials.records import (
    CONTROL,
    Grade,
    Measure,
    Patch,
    Ranking,
    Seen,
    Treatment,
)
from tanwright.planning.trials.tables import Cells, Columns, csv_text, read_cells, text_of
from tanwright.reference import materials
from tanwright.reference.grading import grading_measure, grading_scale

_Found = TypeVar("_Found")

PATCHES: Final = Columns(
    ("code", "offcut", "skin", "region", "block", "treatment", "jar"),
    ("offcut", "skin", "block", "treatment", "jar"),
)
GRADES: Final = Columns(("code", "grader", "quality", "grade"))
RANKS: Final = Columns(("grader", "quality", "place", "code"))
MEASURES: Final = Columns(("code", "measure", "value", "unit"), ("unit",))
TREATMENT_KEYS: Final = ("key", "label", "shares", "dose", "pretreatment")
FILES: Final = {
    "patches": "patches.csv",
    "grades": "grades.csv",
    "ranks": "ranks.csv",
    "measures": "measures.csv",
}
"""Usual names of the files beside the trial's own TOML."""
MOST_STEPS: Final = 9
MOST_TREATMENTS: Final = 12


# Reading


def read_patches(path: Path) -> tuple[Patch, ...]:
    """The patches in ``path``. Raises InputError."""
    return parse_patches(text_of(path), path.name)


def parse_patches(text: str, source: str = "patches.csv") -> tuple[Patch, ...]:
    """As :func:`read_patches` from a text; a treatment that is not there yet is empty."""
    found: dict[str, Patch] = {}
    for row in read_cells(text, source, PATCHES):
        code = row.text("code")
        if code in found:
            row.refuse("code", f'"{code}" stands twice', "give every patch its own code")
        offcut, skin, region = row.get("offcut") or "1", row.get("skin"), row.text("region")
        found[code] = Patch(
            code=code,
            offcut=offcut,
            skin=skin,
            region=region,
            block=row.get("block") or " ".join(part for part in (skin, region) if part),
            treatment=row.get("treatment"),
            jar=row.get("jar"),
        )
    if not found:
        raise InputError("there are no patches", place=source, remedy="write one patch a line")
    return tuple(found.values())


def read_grades(path: Path) -> tuple[Grade, ...]:
    """The grades in ``path``. Raises InputError."""
    return parse_grades(text_of(path), path.name)


def parse_grades(text: str, source: str = "grades.csv") -> tuple[Grade, ...]:
    """As :func:`read_grades` from a text: one grade a line, an empty grade is none."""
    found: dict[tuple[str, str, str], Grade] = {}
    for row in read_cells(text, source, GRADES):
        if not row.get("grade"):
            continue
        scale = _known(row, "quality", grading_scale)
        key = (row.text("code"), row.text("grader"), scale.id)
        if key in found:
            row.refuse("code", f"{key[1]} graded {key[0]} twice for {key[2]}", "keep one of them")
        grade = row.whole("grade", 1, MOST_STEPS)
        _checked(row, "grade", partial(scale.checked, grade))
        found[key] = Grade(*key, grade)
    return tuple(found.values())


def read_rankings(path: Path) -> tuple[Ranking, ...]:
    """The rows that pieces were laid in, in ``path``. Raises InputError."""
    return parse_rankings(text_of(path), path.name)


def parse_rankings(text: str, source: str = "ranks.csv") -> tuple[Ranking, ...]:
    """As :func:`read_rankings` from a text: place 1 is the upper end of the quality's scale.

    The same place twice is a tie.
    """
    rows: defaultdict[tuple[str, str], list[tuple[int, str]]] = defaultdict(list)
    for row in read_cells(text, source, RANKS):
        key = (row.text("grader"), _known(row, "quality", grading_scale).id)
        code = row.text("code")
        if any(code == there for _, there in rows[key]):
            row.refuse("code", f'"{code}" lies twice in the row of {key[0]}', "keep one of them")
        rows[key].append((row.whole("place", 1, 10_000), code))
    found = []
    for (grader, quality), placed in rows.items():
        at = sorted({place for place, _ in placed})
        order = tuple(tuple(code for place, code in placed if place == here) for here in at)
        found.append(Ranking(grader, quality, order))
    return tuple(found)


def read_measures(path: Path) -> tuple[Measure, ...]:
    """The measured figures in ``path``. Raises InputError."""
    return parse_measures(text_of(path), path.name)


def parse_measures(text: str, source: str = "measures.csv") -> tuple[Measure, ...]:
    """As :func:`read_measures` from a text; the same measure twice of a patch is two readings."""
    found = []
    for row in read_cells(text, source, MEASURES):
        if not row.get("value"):
            continue
        measure = _known(row, "measure", grading_measure)
        value, unit = row.number("value", -1e6, 1e6), row.get("unit")
        if unit and unit.replace("degC", "°C") != measure.unit:
            row.refuse("unit", f"{measure.name} is not in {unit}", f"write it in {measure.unit}")
        _checked(row, "value", partial(measure.checked, value))
        found.append(Measure(row.text("code"), measure.id, value, unit))
    return tuple(found)


def _known(row: Cells, column: str, find: Callable[[str], _Found]) -> _Found:
    """What ``find`` knows by the name in ``column``."""
    try:
        return find(row.text(column))
    except InputError as error:
        row.refuse(column, error.what, error.remedy)


def _checked(row: Cells, column: str, check: Callable[[], object]) -> None:
    try:
        check()
    except InputError as error:
        row.refuse(column, error.what, error.remedy)


def trial_tables(path: Path) -> dict[str, object]:
    """The TOML file of a trial as plain tables. Raises InputError."""
    try:
        return tomllib.loads(text_of(path))
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"not valid TOML: {error}", place=path.name, remedy="") from None


def read_treatments(path: Path) -> tuple[Treatment, ...]:
    """The treatments of the trial's TOML: its ``[[treatment]]`` tables, else those of its question.

    Raises InputError.
    """
    tables = trial_tables(path)
    if "treatment" not in tables and "trial" in tables:
        from tanwright.planning.trials.trial_file import treatments_asked

        return treatments_asked(tables, path.name)
    return treatments_from(tables, path.name)


def treatments_from(
    tables: Mapping[str, object], source: str, *, needed: bool = True
) -> tuple[Treatment, ...]:
    """The treatments in ``tables``, the control first. Raises InputError."""
    raw = tables.get("treatment", [])
    rows = [raw] if isinstance(raw, dict) else raw
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise InputError("treatment must be a table", place=source, remedy="write [[treatment]]")
    found: dict[str, Treatment] = {}
    for index, row in enumerate(rows, 1):
        place = f"{source}, [[treatment]] {index}"
        fields = Fields(row, partial(_place_of, place), TREATMENT_KEYS)
        item = _treatment(fields)
        if item.key in found:
            fields.refuse("key", f'"{item.key}" stands twice', "give every treatment its own key")
        found[item.key] = item
    if needed:
        _check_treatments(found, source)
    return tuple(sorted(found.values(), key=lambda item: item.key != CONTROL))


def _place_of(table: str, key: str) -> str:
    return f"{table} {key}".strip()


def _check_treatments(found: Mapping[str, Treatment], source: str) -> None:
    if len(found) < 2:
        raise InputError(
            "a trial compares at least two treatments",
            place=source,
            remedy='write [[treatment]] with key = "control", and another one',
        )
    if CONTROL not in found:
        raise InputError(
            "there is no control",
            place=source,
            remedy='write key = "control" in the [[treatment]] that is the usual way',
        )
    if len(found) > MOST_TREATMENTS:
        raise InputError(
            f"{len(found)} treatments are more than a home trial can tell apart",
            place=source,
            remedy=f"choose up to {MOST_TREATMENTS}",
        )


def _treatment(fields: Fields) -> Treatment:
    key = (fields.text("key") or "").lower()
    if not key or not key.replace("-", "").replace("_", "").isalnum() or len(key) > 40:
        fields.refuse("key", "needs a short word", 'write key = "control" or key = "willow"')
    dose = fields.raw("dose")
    if dose is not None and (
        isinstance(dose, bool) or not isinstance(dose, (int, float)) or not 0.01 <= dose <= 20.0
    ):
        fields.refuse(
            "dose", f"{dose} cannot be", "write kg of dry material to a kg of wet pelt, like 1.5"
        )
    return Treatment(
        key=key,
        label=fields.text("label") or key,
        shares=shares_of(fields),
        dose=None if dose is None else float(dose),
        pretreatment=fields.text("pretreatment") or "",
    )


def shares_of(fields: Fields, key: str = "shares") -> dict[str, float]:
    """Parts of each material under ``key``, brought to a sum of 1; empty when there is none."""
    raw = fields.raw(key)
    if raw is None:
        return {}
    if not isinstance(raw, dict) or not raw:
        fields.refuse(key, "must be a table", f"write {key} = {{ quercus-robur-bark = 1 }}")
    parts: dict[str, float] = {}
    for name, part in raw.items():
        if isinstance(part, bool) or not isinstance(part, (int, float)) or not 0.0 <= part < 1e6:
            fields.refuse(key, f"{part} is not a part", f"write {name} = 1")
        try:
            found = materials.find(str(name))
        except InputError as error:
            raise type(error)(error.what, place=fields.place(key), remedy=error.remedy) from None
        parts[found.id] = parts.get(found.id, 0.0) + float(part)
    whole = sum(parts.values())
    if whole <= 0.0:
        fields.refuse(key, "sum to nothing", "write at least one part above nought")
    return {id: part / whole for id, part in parts.items()}


def read_seen(trial: Path, folder: Path | None = None) -> Seen:
    """All that the files of a trial say; grades, ranks and measures may be missing, not all.

    Parameters
    ----------
    trial:
        The TOML file with the treatments.
    folder:
        Where the CSV files lie; beside ``trial`` when not given.

    Raises
    ------
    InputError
        For a file that cannot be used, a patch or a treatment that is not known, or when nothing
        was seen at all.
    """
    folder = trial.parent if folder is None else folder
    treatments = read_treatments(trial)
    patches = read_patches(folder / FILES["patches"])
    paths = {name: folder / file for name, file in FILES.items()}
    seen = Seen(
        treatments,
        patches,
        read_grades(paths["grades"]) if paths["grades"].exists() else (),
        read_rankings(paths["ranks"]) if paths["ranks"].exists() else (),
        read_measures(paths["measures"]) if paths["measures"].exists() else (),
    )
    check_seen(seen, str(folder))
    return seen


def check_seen(seen: Seen, source: str) -> None:
    """Refuse codes and treatments that nobody named. Raises InputError."""
    keys = {item.key for item in seen.treatments}
    for patch in seen.patches:
        if patch.treatment and patch.treatment not in keys:
            raise InputError(
                f'patch {patch.code} has the treatment "{patch.treatment}", which is not known',
                place=FILES["patches"],
                remedy=did_you_mean(patch.treatment, keys),
            )
    codes = {patch.code for patch in seen.patches}
    ranked = (code for row in seen.rankings for group in row.order for code in group)
    for name, used in (
        ("grades", (item.code for item in seen.grades)),
        ("ranks", ranked),
        ("measures", (item.code for item in seen.measures)),
    ):
        for code in used:
            if code not in codes:
                raise InputError(
                    f'there is no patch "{code}"',
                    place=FILES[name],
                    remedy=did_you_mean(code, codes, otherwise="write a code of patches.csv"),
                )
    if not (seen.grades or seen.rankings or seen.measures):
        raise InputError(
            "nothing was graded, ranked or measured yet",
            place=source,
            remedy="write grades.csv, ranks.csv or measures.csv",
        )


# Writing


def patches_csv(patches: Iterable[Patch]) -> str:
    """``patches.csv`` as a text."""
    return csv_text(
        PATCHES,
        (
            (item.code, item.offcut, item.skin, item.region, item.block, item.treatment, item.jar)
            for item in patches
        ),
    )


def grades_csv(grades: Iterable[Grade]) -> str:
    """``grades.csv`` as a text."""
    return csv_text(GRADES, ((item.code, item.grader, item.quality, item.grade) for item in grades))


def ranks_csv(rankings: Iterable[Ranking]) -> str:
    """``ranks.csv`` as a text; pieces that were not told apart share a place."""
    rows: list[Sequence[object]] = []
    for item in rankings:
        place = 1
        for group in item.order:
            rows += [(item.grader, item.quality, place, code) for code in group]
            place += len(group)
    return csv_text(RANKS, rows)


def measures_csv(measures: Iterable[Measure]) -> str:
    """``measures.csv`` as a text."""
    return csv_text(
        MEASURES, ((item.code, item.name, f"{item.value:.10g}", item.unit) for item in measures)
    )


def empty_grades_csv(patches: Sequence[Patch], graders: Sequence[str], quality: str) -> str:
    """A form to fill in: every patch for every grader, the grade left empty."""
    rows = [(patch.code, grader, quality, "") for grader in graders for patch in patches]
    return csv_text(GRADES, rows)
