"""The whole yard out as an open package and in again: equal, or refused with one line per fault."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import random
import uuid
import zipfile
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import frictionless
import pytest
from django.core.exceptions import ValidationError
from django.db import models
from django.test import Client
from hypothesis import HealthCheck, example, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.yard.exchange import importing, opening
from tanwright.yard.exchange.importing import PackageError, import_package
from tanwright.yard.exchange.package import export
from tanwright.yard.exchange.tables import (
    columns,
    end_of,
    from_cell,
    name_of,
    schema,
    tables,
    to_cell,
)
from tanwright.yard.journal.models import Entry, Mark, Photo, Record, Touch
from tanwright.yard.people.models import Person
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.services import keep_container

from .conftest import Change, archive_of, files_of

pytestmark = pytest.mark.django_db


def empty_the_yard() -> None:
    """Delete every row, last table first, as in a new yard."""
    Entry.objects.update(corrects=None)
    for model in (Mark, Photo, Touch, Entry, *reversed(tables())):
        model._base_manager.all().delete()


def data_of(path: Path) -> dict[str, bytes]:
    """Every file of a package but the descriptor, which tells when it was made."""
    return {name: text for name, text in files_of(path).items() if name != "datapackage.json"}


def csv_rows(text: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text.decode(), newline="")))


def test_out_in_and_out_again_is_equal_to_the_byte(package: Path, tmp_path: Path) -> None:
    before = data_of(package)
    done = import_package(package)
    assert done.photos == 2
    assert done.rows["journal-entry"] == Entry.objects.count() > 0
    assert data_of(export(tmp_path / "again.zip").path) == before


def test_any_reader_of_data_packages_reads_it(package: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(package) as archive:
        archive.extractall(tmp_path / "open")
    report = frictionless.Package(str(tmp_path / "open" / "datapackage.json")).validate()
    assert report.valid, report.flatten(["title", "message"])


def test_no_secret_leaves_the_yard_and_people_come_back_without_a_password(
    full_yard: Person, tmp_path: Path
) -> None:
    secrets = (full_yard.password, str(full_yard.calendar_token))
    path = export(tmp_path / "yard.zip").path
    everything = b"".join(files_of(path).values()).decode("utf-8", "replace")
    assert not any(secret in everything for secret in secrets)
    assert "people-pairingcode" not in everything
    empty_the_yard()
    import_package(path)
    person = Person.objects.get(pk=full_yard.pk)
    assert not person.has_usable_password()
    assert str(person.calendar_token) != secrets[1]


def test_the_order_of_rows_and_tables_does_not_change(package: Path, tmp_path: Path) -> None:
    import_package(package)
    assert list(files_of(package)) == list(files_of(export(tmp_path / "again.zip").path))
    ids = [row["id"] for row in csv_rows(files_of(package)["data/journal-entry.csv"])]
    assert ids == sorted(ids)


def test_every_table_and_column_of_the_areas_is_in_it(package: Path) -> None:
    descriptor = json.loads(files_of(package)["datapackage.json"])
    schemas = {item["name"]: item.get("schema") for item in descriptor["resources"]}
    for model in tables():
        assert [field["name"] for field in schemas[name_of(model)]["fields"]] == [
            column.attname for column in columns(model)
        ]


def test_no_text_column_could_be_absent_and_empty_alike() -> None:
    for model in tables():
        for column in columns(model):
            text = isinstance(end_of(column), (models.CharField, models.TextField))
            assert not (text and column.null), f"{name_of(model)}.{column.attname}"


def test_a_yard_with_records_takes_nothing_in(package: Path, full_yard: Person) -> None:
    before = Record.objects.count()
    with pytest.raises(InputError, match="not empty"):
        import_package(package)
    assert Record.objects.count() == before


def _edit(table: str, line: int, column: str, value: str) -> Change:
    """Change one cell, with the checksum put right: only the value is wrong."""

    def spoil(files: dict[str, bytes]) -> None:
        name = f"data/{table}.csv"
        rows = csv_rows(files[name])
        rows[line - 2][column] = value
        text = io.StringIO(newline="")
        writer = csv.DictWriter(text, rows[0].keys(), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
        replace(files, name, text.getvalue().encode())

    return spoil


def replace(files: dict[str, bytes], name: str, content: bytes) -> None:
    files[name] = content
    told = json.loads(files["datapackage.json"])
    for item in told["resources"]:
        if item["path"] == name:
            item["hash"] = "sha256:" + hashlib.sha256(content).hexdigest()
            item["bytes"] = len(content)
    files["datapackage.json"] = json.dumps(told).encode()


ENTRY = "data/journal-entry.csv"


@pytest.mark.parametrize(
    ("change", "file", "line", "column"),
    [
        (_edit("journal-entry", 2, "kind", "lot.invented"), ENTRY, 2, "kind"),
        (_edit("journal-entry", 3, "data", "[1]"), ENTRY, 3, "data"),
        (_edit("journal-entry", 3, "data", "{not json"), ENTRY, 3, "data"),
        (_edit("journal-entry", 2, "happened_at", "yesterday"), ENTRY, 2, "happened_at"),
        (_edit("journal-entry", 2, "happened_at", "2026-01-01T00:00:00"), ENTRY, 2, "happened_at"),
        (_edit("journal-entry", 2, "standing", "gone"), ENTRY, 2, "standing"),
        (_edit("journal-entry", 2, "record_id", str(uuid.UUID(int=1))), ENTRY, 2, ""),
        (_edit("journal-entry", 2, "by_id", ""), ENTRY, 2, "by_id"),
        (_edit("journal-record", 2, "number", "many"), "data/journal-record.csv", 2, "number"),
        (_edit("journal-record", 2, "number", "-4"), "data/journal-record.csv", 2, "number"),
        (_edit("journal-record", 2, "name", "x" * 81), "data/journal-record.csv", 2, "name"),
        (_edit("journal-record", 2, "name", "a\x00b"), "data/journal-record.csv", 2, "name"),
        (_edit("stock-lot", 2, "got_kg", "inf"), "data/stock-lot.csv", 2, "got_kg"),
        (_edit("journal-photo", 2, "file", "../x.jpg"), "data/journal-photo.csv", 2, "file"),
        (_edit("journal-photo", 2, "file", "a.jpg"), "data/journal-photo.csv", 2, "file"),
    ],
)
def test_one_wrong_cell_is_told_with_file_line_and_column(
    change: Change,
    file: str,
    line: int,
    column: str,
    package: Path,
    spoilt: Callable[[Path, Change], Path],
) -> None:
    wrong = spoilt(package, change)
    with pytest.raises(PackageError) as caught:
        import_package(wrong)
    places = [(fault.file, fault.row) for fault in caught.value.faults]
    assert (file, line) in places
    if column:
        assert any(column in str(fault) for fault in caught.value.faults)
    assert all("\n" not in str(fault) for fault in caught.value.faults)
    assert not Record.objects.exists()


def _second_number(files: dict[str, bytes]) -> None:
    rows = csv_rows(files["data/journal-record.csv"])
    lots = [number for number, row in enumerate(rows, 2) if row["kind"] == "lot"]
    _edit("journal-record", lots[1], "number", rows[lots[0] - 2]["number"])(files)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda files: files.pop("datapackage.json"), "no export of a yard"),
        (lambda files: files.update({"datapackage.json": b"{"}), "cannot be read"),
        (lambda files: files.pop("data/journal-mark.csv"), "is missing"),
        (lambda files: files.pop("photos/2026/11/one.jpg"), "one.jpg"),
        (lambda files: files.update({"photos/2026/11/one.jpg": b"other"}), "one.jpg"),
        (lambda files: files.update({ENTRY: files[ENTRY] + b"\n"}), "journal-entry"),
        (lambda files: files.update({"photos/2026/11/extra.jpg": b"x"}), "not listed"),
        (lambda files: files.update({"data/../../etc.csv": b"x"}), "outside"),
        (lambda files: files.update({"/etc/cron.d/x": b"x"}), "outside"),
        (lambda files: files.update({"C:\\x.jpg": b"x"}), "outside"),
        (lambda files: files.update({"run.py": b"x"}), "does not belong"),
        (lambda files: files.update({"photos/x.html": b"x"}), "does not belong"),
        (_second_number, "refuses it"),
    ],
)
def test_a_package_that_is_not_whole_is_refused_and_nothing_is_written(
    change: Change, told: str, package: Path, spoilt: Callable[[Path, Change], Path]
) -> None:
    wrong = spoilt(package, change)
    with pytest.raises(InputError) as caught:
        import_package(wrong)
    faults = getattr(caught.value, "faults", ())
    assert told in " ".join([str(caught.value), *map(str, faults)])
    assert not Record.objects.exists()
    assert not Person.objects.exists()


def test_a_package_of_another_version_is_refused(
    package: Path, spoilt: Callable[[Path, Change], Path]
) -> None:
    def newer(files: dict[str, bytes]) -> None:
        told = json.loads(files["datapackage.json"])
        files["datapackage.json"] = json.dumps({**told, "version": "9"}).encode()

    wrong = spoilt(package, newer)
    with pytest.raises(InputError, match="version 9"):
        import_package(wrong)


def test_a_bomb_is_refused_before_it_is_unpacked(
    package: Path, tmp_path: Path, spoilt: Callable[[Path, Change], Path]
) -> None:
    wrong = spoilt(package, lambda files: files.update({"photos/bomb.jpg": bytes(30_000_000)}))
    with pytest.raises(InputError, match="would unpack to 30 MB"):
        import_package(wrong)


def test_a_name_twice_and_a_link_are_refused(tmp_path: Path) -> None:
    twice = tmp_path / "twice.zip"
    with zipfile.ZipFile(twice, "w") as archive:
        archive.writestr("photos/a.jpg", b"1")
        archive.writestr("photos/A.jpg", b"2")
    link = tmp_path / "link.zip"
    with zipfile.ZipFile(link, "w") as archive:
        info = zipfile.ZipInfo("photos/a.jpg")
        info.external_attr = 0o120777 << 16
        archive.writestr(info, "/etc/passwd")
    for path, told in ((twice, "twice"), (link, "no plain file")):
        (tmp_path / told).mkdir()
        with pytest.raises(InputError, match=told):
            opening.unpack(path, tmp_path / told, lambda name: True)
        assert not list((tmp_path / told).iterdir())


def test_what_is_no_archive_is_refused(tmp_path: Path) -> None:
    (tmp_path / "no.zip").write_bytes(b"PK not really")
    with pytest.raises(InputError, match="damaged or no zip"):
        import_package(tmp_path / "no.zip")
    with pytest.raises(InputError, match="no such file"):
        import_package(tmp_path / "none.zip")


def test_a_disk_that_fills_while_photos_are_laid_down_leaves_the_yard_empty(
    package: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*names: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(importing.shutil, "copyfile", full)
    with pytest.raises(InputError, match="free some space"):
        import_package(package)
    assert not Record.objects.exists()


TEXT = st.text(st.characters(blacklist_categories=("Cs",), blacklist_characters="\x00"))
JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53), 2**53)
    | st.floats(allow_nan=False, allow_infinity=False)
    | TEXT,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXT, inner, max_size=3),
    max_leaves=8,
)
MOMENTS = st.datetimes(datetime(1900, 1, 2), datetime(2200, 1, 1), timezones=st.just(UTC))


@hypothesis_settings(
    max_examples=12,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    name=TEXT.map(lambda text: text[:80]),
    note=TEXT,
    history=st.dictionaries(TEXT, JSON, max_size=3),
    kg=st.none() | st.floats(-1e300, 1e300),
    gathered_on=st.none() | st.dates(date(1900, 1, 1)),
    moment=MOMENTS,
)
@example(
    "=1+1",
    "\r\n\r",
    {"\ufeff": "\ufeff"},
    5e-324,
    date(9999, 12, 31),
    datetime(2000, 1, 1, tzinfo=UTC),
)
@example("\ufeff", "  ", {"": None}, -0.0, None, datetime(1999, 12, 31, 23, 59, 59, 999999, UTC))
def test_whatever_a_record_says_it_says_again(
    keeper: Person,
    tmp_path: Path,
    name: str,
    note: str,
    history: dict[str, Any],
    kg: float | None,
    gathered_on: date | None,
    moment: datetime,
) -> None:
    empty_the_yard()
    by = Person.objects.create_user("Keeper of the yard", role="keeper")
    lot = Lot.objects.create(
        kind="lot", number=1, created_by=by, name=name, material_id="quercus-robur-bark",
        history=history, left_kg=kg, gathered_on=gathered_on, created_at=moment,
    )  # fmt: skip
    Entry.objects.create(
        id=uuid.uuid4(), record=lot, kind="lot.note", happened_at=moment, by=by, note=note
    )
    room = tmp_path / uuid.uuid4().hex
    before = data_of(export(room / "1.zip").path)
    empty_the_yard()
    import_package(room / "1.zip")
    assert data_of(export(room / "2.zip").path) == before
    again = Lot.objects.get(pk=lot.pk)
    assert (again.name, again.history, again.left_kg) == (name, history, kg)
    assert (again.gathered_on, again.created_at) == (gathered_on, moment)
    assert Entry.objects.get().note == note


@pytest.mark.parametrize("seed", range(2))
def test_random_damage_never_gets_in_and_never_ends_in_a_fault_of_ours(
    seed: int, package: Path, tmp_path: Path
) -> None:
    chance = random.Random(seed)
    files = files_of(package)
    for number in range(6):
        spoilt = dict(files)
        name = chance.choice([name for name in files if name.endswith((".csv", ".json"))])
        content = bytearray(spoilt[name])
        for _ in range(chance.randint(1, 6)):
            content[chance.randrange(len(content))] = chance.randrange(256)
        if name.endswith(".csv"):
            replace(spoilt, name, bytes(content))
        else:
            spoilt[name] = bytes(content)
        path = archive_of(tmp_path / f"{number}.zip", spoilt)
        try:
            import_package(path)
        except InputError:
            assert not Record.objects.exists()
        else:
            # Such damage as leaves every rule kept: a letter of a note, say.
            empty_the_yard()


def test_what_only_some_databases_forbid_is_refused_for_all() -> None:
    """SQLite takes text of any length and zero bytes; PostgreSQL takes neither."""
    fields = {column.name: column for column in columns(Record)}
    for name, cell in (("name", "x" * 81), ("name", "\x00"), ("number", "99999999999999999999")):
        with pytest.raises(ValidationError):
            from_cell(fields[name], cell)


@given(MOMENTS)
def test_a_moment_keeps_its_microseconds(moment: datetime) -> None:
    column = Entry._meta.get_field("happened_at")
    assert isinstance(column, models.Field)
    assert from_cell(column, to_cell(column, moment)) == moment


def test_schemas_name_every_reference() -> None:
    keys = {key["fields"][0]: key["reference"] for key in schema(Entry)["foreignKeys"]}
    assert keys["record_id"] == {"resource": "journal-record", "fields": ["id"]}
    assert keys["corrects_id"]["resource"] == ""


def test_a_keeper_exports_from_the_page(
    full_yard: Person, client_of: Callable[[Person | None], Client], on_network: None,
    tmp_path: Path,
) -> None:  # fmt: skip
    answer = client_of(full_yard).post("/keeping/export/")
    assert answer["Content-Type"] == "application/zip"
    path = tmp_path / "from-page.zip"
    path.write_bytes(b"".join(answer.streaming_content))  # type: ignore[attr-defined]
    empty_the_yard()
    assert import_package(path).rows["stock-lot"] > 0


def test_counters_go_on_after_an_import(package: Path) -> None:
    import_package(package)
    keeper = Person.objects.get(role="keeper")
    assert keep_container("another bucket", "3 kg", keeper).pk
