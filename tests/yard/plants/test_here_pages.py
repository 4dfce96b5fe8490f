"""What grows here: the answer, the yard's own place, and files of records."""

from __future__ import annotations

import uuid
import zipfile
from collections.abc import Callable
from datetime import date, timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tanwright.planning.occurrences import read
from tanwright.yard.exchange.tables import columns, from_cell, tables, to_cell
from tanwright.yard.people.models import Person
from tanwright.yard.plants import here_queries, here_reading, here_services, here_upload
from tanwright.yard.plants.models import HomePlace, OwnPlant, Sighting, SightingsImport

ClientOf = Callable[[Person | None], Client]
HEADS = "occurrenceID,scientificName,decimalLatitude,decimalLongitude,eventDate"
ROWS = (
    "a,Quercus robur L.,51.2012,9.4031,2024-05-03",
    "b,Quercus pedunculata,51.2049,9.3951,2025-05-20",
    "c,Quercus palustris,51.25,9.41,2023-07-01",
    "d,Vulpes vulpes,51.2,9.4,2024-05-03",
    "e,Castanea sativa,51.9,9.4,2022-10-01",
    "f,Quercus robur,,9.4,2024-05-03",
)
RECORDS = "\n".join((HEADS, *ROWS)).encode()


@pytest.fixture(autouse=True)
def own_yard(settings: Any, tmp_path: Path) -> Path:
    settings.YARD_FOLDER = tmp_path / "yard"
    settings.YARD_FOLDER.mkdir()
    return settings.YARD_FOLDER


def send(client: Client, content: bytes = RECORDS, name: str = "records.csv") -> Any:
    return client.post(
        reverse("plants:here-import"), {"file": SimpleUploadedFile(name, content)}, follow=True
    )


def home(keeper: Person, **changed: Any) -> HomePlace:
    told = {"place_code": "DE", "latitude": 51.2, "longitude": 9.4, "reach_km": 20.0, **changed}
    return here_services.set_home(keeper, **told)


def left_in(folder: Path) -> list[str]:
    return [path.name for path in (folder / "incoming").rglob("*")]


def test_from_an_empty_yard_to_an_answer(
    keeper: Person, client_of: ClientOf, own_yard: Path
) -> None:
    client = client_of(keeper)
    assert "Where is the yard?" in client.get(reverse("plants:here")).content.decode()
    told = {
        "place": "Germany",
        "position": "geo:51.2,9.4",
        "altitude": "200",
        "reach": "20",
        "name": "",
    }
    page = client.post(reverse("plants:here-place"), told, follow=True).content.decode()
    assert "Nothing is known to have been seen within 20 km of the yard" in page
    assert "English oak" in page  # grows in the region by the reference

    page = send(client).content.decode()
    assert "<strong>" not in page
    assert "4 records of 2 kinds of plant" in page
    assert "of which 1 by their genus alone" in page
    assert "it has no position" in page
    assert left_in(own_yard) == []

    page = client.get(reverse("plants:here")).content.decode()
    assert "1 kind of plant with tannin was seen within 20 km of the yard" in page
    near, _, region = page.partition("Not seen near")
    assert "Quercus robur" in near
    assert "Seen <strong>2 times</strong>, close by, last May 2025." in " ".join(near.split())
    assert 'aria-label="Records by month: May 2"' in near
    assert reverse("plants:plant", args=["quercus-robur-bark"]) in near
    assert "Quercus robur" not in region
    assert "Castanea sativa" in region  # seen, but 78 km off


def test_a_wider_reach_sees_more(keeper: Person, client_of: ClientOf) -> None:
    client = client_of(keeper)
    home(keeper)
    send(client)
    assert [item.taxon for item in here_queries.seen_near(HomePlace.objects.get())] == [
        "Quercus robur",
        "Quercus",
    ]
    found = here_queries.seen_near(home(keeper, reach_km=80.0))
    assert [item.taxon for item in found] == ["Quercus robur", "Castanea sativa", "Quercus"]
    assert found[0].months[4] == 2
    assert found[1].nearest_km == pytest.approx(77.8, abs=0.3)


@pytest.mark.parametrize(
    ("latitude", "longitude"), [(-17.6, 179.97), (-17.6, -179.97), (89.95, 10.0)]
)
def test_near_the_date_line_and_the_pole(
    keeper: Person, client_of: ClientOf, latitude: float, longitude: float
) -> None:
    lines = [f"a,Quercus robur,{latitude},-179.99,2024-05-03",
             f"b,Quercus robur,{latitude},179.99,2024-05-03"]  # fmt: skip
    send(client_of(keeper), "\n".join((HEADS, *lines)).encode())
    (seen,) = here_queries.seen_near(home(keeper, latitude=latitude, longitude=longitude))
    assert seen.count == 2


def test_us_units(keeper: Person, client_of: ClientOf) -> None:
    keeper.system = "us"
    keeper.save()
    client = client_of(keeper)
    told = {
        "place": "",
        "position": "51.2, 9.4",
        "altitude": "650",
        "reach": "12",
        "name": "the valley",
    }
    page = client.post(reverse("plants:here-place"), told, follow=True).content.decode()
    kept = HomePlace.objects.get()
    assert kept.reach_km == pytest.approx(19.31, abs=0.01)
    assert kept.altitude_m == pytest.approx(198.1, abs=0.1)
    assert "within 12 mi of the valley" in page


def test_withdrawn_sightings_count_no_longer(keeper: Person, client_of: ClientOf) -> None:
    client = client_of(keeper)
    home(keeper)
    send(client)
    item = SightingsImport.objects.get()
    client.post(reverse("plants:here-withdraw", args=[item.pk]))
    item.refresh_from_db()
    assert (item.state, item.withdrawn_by, item.matched) == ("withdrawn", keeper, 4)
    assert not Sighting.objects.exists()
    assert (
        "Withdrawn by"
        in client.get(reverse("plants:here-reading", args=[item.pk])).content.decode()
    )
    assert "4 records" in send(client).content.decode()  # and may be taken in again


def test_the_same_file_is_not_counted_twice(
    keeper: Person, client_of: ClientOf, own_yard: Path
) -> None:
    client = client_of(keeper)
    send(client)
    page = send(client, name="again.csv").content.decode()
    assert "This file was taken in before" in page
    assert SightingsImport.objects.count() == 1
    assert left_in(own_yard) == []


@pytest.mark.parametrize(
    ("content", "name", "said"),
    [
        (b"", "empty.csv", "This file is empty"),
        (b"name,where\noak,here\n", "oaks.csv", "oaks.csv: no column is called scientificName"),
        (b"PK\x03\x04broken", "a.zip", "a.zip: it is damaged or no zip archive"),
    ],
)
def test_a_file_that_cannot_be_read_leaves_nothing(
    keeper: Person, client_of: ClientOf, own_yard: Path, content: bytes, name: str, said: str
) -> None:
    page = send(client_of(keeper), content, name).content.decode()
    assert said in page
    assert not Sighting.objects.exists()
    assert left_in(own_yard) == []


def test_an_archive_and_what_is_to_be_cited(keeper: Person, client_of: ClientOf) -> None:
    fields = "".join(
        f'<field index="{at}" term="http://rs.tdwg.org/dwc/terms/{head}"/>'
        for at, head in enumerate(HEADS.split(","))
    )
    meta = (
        '<archive xmlns="http://rs.tdwg.org/dwc/text/" metadata="eml.xml"><core encoding="UTF-8" '
        'fieldsTerminatedBy="," linesTerminatedBy="\\n" ignoreHeaderLines="1" '
        'rowType="http://rs.tdwg.org/dwc/terms/Occurrence"><files><location>o.csv</location>'
        f'</files><id index="0"/>{fields}</core></archive>'
    )
    packed = BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("meta.xml", meta)
        archive.writestr("eml.xml", "<eml><citation>A &lt;b&gt;keeper&lt;/b&gt;</citation></eml>")
        archive.writestr("o.csv", RECORDS)
    page = send(client_of(keeper), packed.getvalue(), "o.zip").content.decode()
    assert "A &lt;b&gt;keeper&lt;/b&gt;" in page
    assert "Darwin Core Archive" in page


def test_a_file_too_large_is_refused_before_it_is_read(
    keeper: Person, client_of: ClientOf, own_yard: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(here_upload, "MOST_BYTES", 100)
    page = send(client_of(keeper), RECORDS * 100).content.decode()
    assert "larger than 1 GB" in page
    assert not (own_yard / "incoming").exists()
    page = send(client_of(keeper), RECORDS).content.decode()  # the length does not tell it
    assert "larger than 1 GB" in page
    assert left_in(own_yard) == []


def test_no_file_and_nonsense(keeper: Person, client_of: ClientOf) -> None:
    client = client_of(keeper)
    assert "Choose a file first" in client.post(reverse("plants:here-import")).content.decode()
    told = {"place": "Atlantis", "position": "here", "altitude": "high", "reach": "9000"}
    page = client.post(reverse("plants:here-place"), told).content.decode()
    assert "no country or region is called" in page.replace("No c", "no c")
    assert "is no position" in page
    assert "cannot be right" in page
    assert not HomePlace.objects.exists()
    assert client.get(reverse("plants:here") + "?page=x").status_code == 200
    assert client.get(reverse("plants:here-reading", args=[uuid.uuid4()])).status_code == 404


def test_the_token_is_asked_for_though_the_file_comes_first(keeper: Person) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(keeper, backend="django.contrib.auth.backends.ModelBackend")
    answer = send(client)
    assert answer.status_code == 403
    assert not SightingsImport.objects.exists()


def test_a_helper_looks_and_changes_nothing(
    helper: Person, keeper: Person, client_of: ClientOf
) -> None:
    home(keeper)
    send(client_of(keeper))
    item = SightingsImport.objects.get()
    client = client_of(helper)
    page = client.get(reverse("plants:here")).content.decode()
    assert "Quercus robur" in page
    assert "Change the place" not in page
    assert client.get(reverse("plants:here-reading", args=[item.pk])).status_code == 200
    assert client.get(reverse("plants:here-place")).status_code == 403
    assert send(client).status_code == 403
    assert client.post(reverse("plants:here-withdraw", args=[item.pk])).status_code == 403
    assert Sighting.objects.exists()


def test_a_stranger_sees_nothing(client_of: ClientOf, on_network: None, keeper: Person) -> None:
    for name in ("here", "here-place", "here-import"):
        assert client_of(None).get(reverse(f"plants:{name}")).status_code == 302


def test_while_it_is_read_the_page_asks_anew(keeper: Person, client_of: ClientOf) -> None:
    item = SightingsImport.objects.create(
        file_name="big.zip", sha256="0" * 64, by=keeper, rows_read=40_000, share_read=0.25
    )
    page = client_of(keeper).get(reverse("plants:here-reading", args=[item.pk])).content.decode()
    assert "40 000 records read so far: 25 %" in page
    assert '<noscript><meta http-equiv="refresh" content="3"></noscript>' in page
    assert 'hx-trigger="every 3s"' in page
    assert "Withdraw it" not in page


def test_what_a_killed_server_left_is_put_right(keeper: Person, client_of: ClientOf) -> None:
    long_ago = timezone.now() - timedelta(minutes=10)
    item = SightingsImport.objects.create(
        file_name="big.zip", sha256="0" * 64, by=keeper, state="writing", heard_at=long_ago
    )
    Sighting.objects.create(
        source=item, taxon="Quercus robur", latitude=51.2, longitude=9.4, month=5, count=3,
        latest=date(2024, 5, 3),
    )  # fmt: skip
    assert here_queries.seen_near(home(keeper)) == ()  # half an import counts for nothing
    page = client_of(keeper).get(reverse("plants:here-reading", args=[item.pk])).content.decode()
    assert "reading it broke off" in page
    assert not Sighting.objects.exists()


def test_a_fault_while_it_is_put_down_leaves_nothing(
    keeper: Person, client_of: ClientOf, own_yard: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(here_reading, "ROWS_AT_ONCE", 1)
    down, calls = here_reading._Putting.down, []

    def failing(self: Any, rows: Any) -> None:
        calls.append(1)
        if len(calls) == 2:
            raise OSError("the disk is full")
        down(self, rows)

    monkeypatch.setattr(here_reading._Putting, "down", failing)
    page = send(client_of(keeper)).content.decode()
    assert "broke off, and nothing of it was taken in" in page
    assert SightingsImport.objects.get().state == "failed"
    assert len(calls) == 2
    assert not Sighting.objects.exists()
    assert left_in(own_yard) == []


@pytest.mark.django_db(transaction=True)
def test_it_is_read_beside_the_server(
    settings: Any, keeper: Person, client_of: ClientOf, own_yard: Path
) -> None:
    settings.FORECASTS = "worker"
    client = client_of(keeper)
    page = send(client)
    item = SightingsImport.objects.get()
    assert page.redirect_chain[-1][0] == reverse("plants:here-reading", args=[item.pk])
    deadline = timezone.now() + timedelta(seconds=30)
    while item.is_running and timezone.now() < deadline:
        here_reading.wait(0.2)
        item.refresh_from_db()
    assert (item.state, item.matched, item.rows_read) == ("done", 4, 6)
    here_reading.wait(5)
    assert left_in(own_yard) == []


def test_the_database_keeps_what_the_reader_counted(
    keeper: Person, client_of: ClientOf, tmp_path: Path
) -> None:
    path = tmp_path / "records.csv"
    path.write_bytes(RECORDS)
    counted = read(path, timezone.localdate())
    send(client_of(keeper))
    kept = set(
        Sighting.objects.values_list("taxon", "level", "latitude", "longitude", "month", "count")
    )
    assert kept == {(row[0].taxon, row[0].level, *row[1:5]) for row in counted.tallies.rows()}


def test_all_of_it_fits_into_a_package(keeper: Person, client_of: ClientOf) -> None:
    home(keeper)
    OwnPlant.objects.create(material_id="quercus-robur-bark", note="by the mill", by=keeper)
    send(client_of(keeper))
    send(client_of(keeper), b"name\n", "broken.csv")
    for model in (HomePlace, OwnPlant, SightingsImport, Sighting):
        assert model in tables()
        for row in model.objects.all():
            for column in columns(model):
                value = getattr(row, column.attname)
                assert from_cell(column, to_cell(column, value)) == value


def test_few_questions_and_a_light_page(
    keeper: Person, client_of: ClientOf, django_assert_max_num_queries: Any
) -> None:
    from tanwright.reference.materials import materials

    home(keeper, reach_km=60.0)
    names = sorted({item.scientific_name for item in materials()})
    lines = [
        f"x,{name},{51.2 + at % 30 / 100:.2f},{9.4 + at % 40 / 100:.2f},2024-{at % 12 + 1:02d}-01"
        for at, name in enumerate(names * 12)
    ]
    client = client_of(keeper)
    send(client, "\n".join((HEADS, *lines)).encode())
    client.get(reverse("plants:here"))
    with django_assert_max_num_queries(8):
        page = client.get(reverse("plants:here"))
    assert len(page.content) < 150_000
    assert page.content.decode().count('class="seen-row"') == 20


def test_a_line_that_breaks_while_a_file_comes_in_leaves_nothing(
    keeper: Person, client_of: ClientOf, own_yard: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    taken = here_upload.Receiving.receive_data_chunk

    def breaking(self: Any, raw_data: bytes, start: int) -> None:
        taken(self, raw_data, start)
        raise ConnectionResetError

    monkeypatch.setattr(here_upload.Receiving, "receive_data_chunk", breaking)
    with pytest.raises(ConnectionResetError):
        send(client_of(keeper))
    assert left_in(own_yard) == []
    assert not SightingsImport.objects.exists()


def test_a_small_file_is_taken_in_at_once(settings: Any, keeper: Person, own_yard: Path) -> None:
    settings.FORECASTS = "off"
    done = here_services.take_in_now(keeper, "records.csv", RECORDS)
    assert (done.state, done.matched) == ("done", 4)
    assert left_in(own_yard) == []


def test_nothing_that_counts_is_told_so(keeper: Person, client_of: ClientOf) -> None:
    client = client_of(keeper)
    page = send(client, f"{HEADS}\na,Vulpes vulpes,51.2,9.4,2024-05-03\n".encode())
    assert "the reference knows none of its plants" in page.content.decode()
    page = send(client, f"{HEADS}\na,Quercus robur,,,2024-05-03\n".encode())
    assert "could not be used" in page.content.decode()


def test_only_genera_seen_are_told_so(keeper: Person, client_of: ClientOf) -> None:
    home(keeper)
    client = client_of(keeper)
    send(client, f"{HEADS}\na,Quercus sp.,51.2,9.4,2024-05-03\n".encode())
    page = client.get(reverse("plants:here")).content.decode()
    assert "none of them named to its kind" in page
    assert "Quercus, kind not told" in page


def test_what_failed_leaves_the_list_and_what_counts_stays(
    keeper: Person, client_of: ClientOf
) -> None:
    client = client_of(keeper)
    for state in ("failed", "done"):
        SightingsImport.objects.create(
            file_name=f"{state}.csv", sha256="0" * 64, state=state, by=keeper,
            ended_at=timezone.now(),
        )  # fmt: skip

    def shown() -> str:
        return client.get(reverse("plants:here")).content.decode()

    assert "failed.csv" in shown()
    SightingsImport.objects.update(begun_at=timezone.now() - timedelta(days=8))
    assert "failed.csv" not in shown()
    assert "done.csv" in shown()
