"""A readings file becomes typed records, and what cannot be read names its line and column."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING

import pytest

from tanwright.errors import InputError, UnitError, UnknownMaterialError
from tanwright.planning.reading_words import (
    event_in,
    share_struck_through,
    side_of,
    strength_in,
    zone_of,
)
from tanwright.planning.readings import (
    Acidity,
    Cut,
    Event,
    LiquorLook,
    Readings,
    Strength,
    Strengthened,
    Warmth,
    Weighed,
)
from tanwright.planning.readings_reader import parse_readings, read_readings
from tests.planning.tannages import sheet

if TYPE_CHECKING:
    from pathlib import Path

START = date(2026, 3, 1)
HEAD = "date,kind,value,unit,place,note\n"


def parse(*rows: str, head: str = HEAD) -> Readings:
    return parse_readings(head + "\n".join(rows) + "\n", source="r.csv", start=START)


def one(row: str, head: str = HEAD) -> object:
    return parse(row, head=head).rows[0].seen


def test_every_kind_is_read() -> None:
    read = parse(
        "2026-03-02,strength,9,bk,,",
        "2026-03-04,strengthened,5,L,swap,35 Bk of the second cook",
        "2026-03-05,look,strong tea,,,",
        "2026-03-06,ph,4.6,,,",
        "2026-03-07,temperature,50,F,,",
        "2026-03-08,cut,a third pale,,neck,",
        "2026-03-09,weight,1.9,kg,pelt,",
        "2026-03-10,event,moved to 8 C,,,",
    )
    assert [row.seen for row in read.rows] == [
        Strength(9.0, "bk", None),
        Strengthened(5.0, "swap", Strength(35.0, "bk", None), None),
        LiquorLook("strong tea"),
        Acidity(4.6),
        Warmth(pytest.approx(10.0)),
        Cut(pytest.approx(2 / 3), "both", "thick"),
        Weighed(1.9, "pelt"),
        Event("moved", 8.0),
    ]
    assert read.last_day == date(2026, 3, 10)
    assert read.rows[1].note == "35 Bk of the second cook"
    assert read.rows[1].written == "5 L"


def test_rows_are_sorted_by_time_and_keep_their_line() -> None:
    read = parse("2026-03-09 18:00,ph,4,,,", "2026-03-09T06:00,ph,5,,,", "2026-03-02,ph,6,,,")
    assert [row.line for row in read.rows] == [4, 3, 2]
    assert read.rows[1].when == datetime(2026, 3, 9, 6)
    assert read.rows[1].day(START) == pytest.approx(8.25)


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("2026-03-02,strength,1.012,SG,,", Strength(1.012, "sg", None)),
        ("2026-03-02,strength,1012,sg,,", Strength(1.012, "sg", None)),
        ("2026-03-02,strength,12 °Bk,,,", Strength(12.0, "bk", None)),
        ("2026-03-02,strength,3.1,Brix,,", Strength(3.1, "brix", None)),
        ("2026-03-02,strength,2,Tw,,", Strength(2.0, "tw", None)),
        ("2026-03-02,strength,1.5,°Bé,,", Strength(1.5, "be", None)),
        ("2026-03-02,strength,31,g/L,,", Strength(31.0, "solubles", None)),
        ("2026-03-02,strength,120,bk,,", Strength(120.0, "bk", None)),
    ],
)
def test_strength_in_any_scale_is_kept_as_shown(row: str, expected: Strength) -> None:
    assert one(row) == expected


def test_liquor_temperature_stands_in_its_own_column() -> None:
    head = "date,kind,value,unit,place,note,at\n"
    assert one("2026-03-02,strength,9,bk,,,77 F", head) == Strength(9.0, "bk", pytest.approx(25.0))


@pytest.mark.parametrize(
    ("text", "unit", "share"),
    [
        ("0.4", "", 0.4),
        ("40 %", "", 0.4),
        ("40", "%", 0.4),
        ("40 percent", "", 0.4),
        ("2/5", "", 0.4),
        ("a third pale", "", 2 / 3),
        ("a third still pale", "", 2 / 3),
        ("a cut a third pale", "", 2 / 3),
        ("the cut is half pale", "", 0.5),
        ("cut through", "", 1.0),
        ("a third", "", 1 / 3),
        ("two thirds struck through", "", 2 / 3),
        ("half", "", 0.5),
        ("nothing", "", 0.0),
        ("raw", "", 0.0),
        ("all raw", "", 0.0),
        ("through", "", 1.0),
        ("Struck  through", "", 1.0),
        ("nearly through", "", 0.93),
        ("0", "", 0.0),
        ("1", "", 1.0),
        ("30", "pale", None),
        ("30 %", "pale", 0.7),
        ("40", "", None),
        ("brown", "", None),
        ("1/0", "", None),
    ],
)
def test_share_of_a_cut(text: str, unit: str, share: float | None) -> None:
    found = share_struck_through(text, unit)
    assert found == (share if share is None else pytest.approx(share))


def test_sides_and_places_of_a_cut() -> None:
    assert side_of("neck, flesh side") == "flesh"
    assert side_of("grain side") == "grain"
    assert side_of("neck") == "both"
    assert zone_of("neck, flesh side") == "thick"
    assert zone_of("belly") == "thin"
    assert zone_of("middle of the left side") == "usual"


def test_a_look_may_be_of_the_liquor_or_of_the_cut() -> None:
    assert one("2026-03-02,look,looks like strong tea,,,") == LiquorLook("strong tea")
    assert one("2026-03-02,look,Black Coffee,,,") == LiquorLook("black coffee")
    assert one("2026-03-02,look,half pale,,belly,") == Cut(0.5, "both", "thin")


@pytest.mark.parametrize(
    ("text", "event"),
    [
        ("frozen", "frozen"),
        ("Left alone for ten days", "left alone"),
        ("moved to the cold room", "moved"),
        ("moved to 8 C", "moved"),
        ("taken out", "taken out"),
        ("outrage", None),
        ("sunny", None),
    ],
)
def test_events(text: str, event: str | None) -> None:
    assert event_in(text) == event


def test_an_event_may_say_how_warm() -> None:
    assert one("2026-03-02,event,moved to the cold room,,,50 F there") == Event(
        "moved", pytest.approx(10.0)
    )
    assert one("2026-03-02,event,heat,,,32 C for a week") == Event("heat", 32.0)
    assert one("2026-03-02,event,away,,,") == Event("away", None)


def test_liquor_put_in_takes_units_words_and_material() -> None:
    seen = one("2026-03-02,strengthened,1 gal,,,topped up with 1.030 SG")
    assert isinstance(seen, Strengthened)
    assert seen.litres == pytest.approx(3.785, abs=1e-3)
    assert seen.how == "top-up"
    assert seen.liquor == Strength(1.03, "sg", None)
    assert one("2026-03-02,strengthened,5,L,,") == Strengthened(5.0, "unsaid", None, None)


def test_liquor_put_in_may_name_its_material() -> None:
    head = "date,kind,value,unit,place,note,material\n"
    seen = one("2026-03-02,strengthened,5,L,,,picea-abies-bark", head)
    assert seen == Strengthened(5.0, "unsaid", None, "picea-abies-bark")
    with pytest.raises(UnknownMaterialError, match="line 2, material"):
        one("2026-03-02,strengthened,5,L,,,picea-abbies-bark", head)


def test_weights_of_leather_say_whether_they_are_dry() -> None:
    assert one("2026-03-02,weight,900,g,dry leather,") == Weighed(0.9, "dry leather")
    assert one("2026-03-02,weight,2,lb,wet leather,") == Weighed(
        pytest.approx(0.907, abs=1e-3), "wet leather"
    )


def test_first_number_with_a_scale_is_the_liquor() -> None:
    assert strength_in("second cook, 35 Bk, 5 L") == (35.0, "bk")
    assert strength_in("5 L of the second cook") is None


def test_semicolons_a_byte_order_mark_comments_and_blank_lines(tmp_path: Path) -> None:
    path = tmp_path / "tub.csv"
    path.write_bytes(
        "\ufeffDate;Kind;Value;Unit\r\n\r\n# from the lid\r\n2026-03-02;strength;1,012;SG\r\n"
        "2026-03-03;temperature;8,5;C\r\n".encode()
    )
    read = read_readings(path, start=START)
    assert [row.seen for row in read.rows] == [Strength(1.012, "sg", None), Warmth(8.5)]
    assert read.source == "tub.csv"
    assert [row.line for row in read.rows] == [4, 5]


def test_a_row_said_twice_counts_once_and_is_told() -> None:
    read = parse("2026-03-02,ph,4.6,,,", "2026-03-02,ph,4.6,,,")
    assert len(read.rows) == 1
    assert read.notes == ("r.csv, line 3 says the same as line 2; it is counted once.",)


def test_no_rows_is_no_error() -> None:
    read = parse()
    assert read.rows == ()
    assert read.last_day is None


@pytest.mark.parametrize(
    ("row", "parts"),
    [
        ("2026-03-02,strenght,9,bk,,", ("r.csv, line 2, kind", '"strenght"', "strength")),
        ("2026-02-20,ph,4,,,", ("r.csv, line 2, date", "before the start", "[aim]")),
        ("20.3.2026,ph,4,,,", ("r.csv, line 2, date", "2026-03-04")),
        ("2026-03-02,strength,strong,bk,,", ("line 2, value", "not a number")),
        ("2026-03-02,strength,9,,,", ("line 2, unit", "scale", "bk")),
        ("2026-03-02,strength,9,kg,,", ("line 2, unit", '"kg"')),
        ("2026-03-02,ph,,,,", ("line 2, value", "empty")),
        ("2026-03-02,ph,4,bk,,", ("line 2, unit",)),
        ("2026-03-02,cut,40,,,", ("line 2, value", "40 %")),
        ("2026-03-02,cut,140 %,,,", ("line 2, value", "0 to 1")),
        ("2026-03-02,look,purple,,,", ("line 2, value", "purple", "tea")),
        ("2026-03-02,weight,2,stones of bark,,", ("line 2, unit",)),
        ("2026-03-02,weight,0,kg,,", ("line 2, value", "above")),
        ("2026-03-02,strengthened,0,L,,", ("line 2, value", "above")),
        ("2026-03-02,temperature,12,,,", ("line 2, unit",)),
        ("2026-03-02,event,exploded,,,", ("line 2, value", "exploded")),
        ("2026-03-02,event,moved,,,", ("line 2, value", "moved to 8 C")),
        ("2026-03-02,ph,4,,,,,stray", ("line 2", "8 cells")),
    ],
)
def test_what_cannot_be_read_names_place_and_remedy(row: str, parts: tuple[str, ...]) -> None:
    with pytest.raises(InputError) as caught:
        parse(row)
    message = str(caught.value)
    assert "\n" not in message
    assert "; " in message
    for part in parts:
        assert part in message


def test_a_bad_liquor_temperature_names_its_column() -> None:
    with pytest.raises(UnitError, match="line 2, at"):
        parse("2026-03-02,strength,9,bk,,,18", head="date,kind,value,unit,place,note,at\n")


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("", "no header"),
        ("date,kind\n", "lacks value"),
        ("date,kind,value,colour\n", '"colour"'),
        ('date,kind,value\n2026-03-02,ph,"4\n', "not valid CSV"),
    ],
)
def test_a_file_that_is_not_a_readings_file(text: str, part: str) -> None:
    with pytest.raises(InputError, match=part):
        parse_readings(text, source="r.csv", start=START)


def test_missing_folder_and_binary_files_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        read_readings(tmp_path / "none.csv", start=START)
    with pytest.raises(InputError, match="this is a folder"):
        read_readings(tmp_path, start=START)
    (tmp_path / "a.csv").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError, match="UTF-8"):
        read_readings(tmp_path / "a.csv", start=START)


def test_amounts_may_be_counted_in_the_containers_of_the_sheet() -> None:
    own = sheet(
        container={
            "tin": {"holds": "700 g", "of": "chopped bark"},
            "bucket": {"holds": "8 L"},
            "ladle": {"holds": "0.5 L"},
        }
    )
    head = "date,kind,value,unit,place,note\n"

    def put(row: str) -> object:
        (row_read,) = parse_readings(head + row, source="r.csv", start=START, sheet=own).rows
        return row_read.seen

    tins = put("2026-03-05,strengthened,2,tins,,cooked in 2 buckets")
    assert tins == Strengthened(16.0, "unsaid", None, None, pytest.approx(1.4))
    assert put("2026-03-05,strengthened,1 bucket,,swap,") == Strengthened(8.0, "swap", None, None)
    assert put("2026-03-05,strengthened,3,ladles,top-up,") == Strengthened(
        1.5, "top-up", None, None
    )
    with pytest.raises(InputError, match="r.csv, line 2, unit.*churns"):
        put("2026-03-05,strengthened,3,churns,,")
    with pytest.raises(InputError, match="above nought"):
        put("2026-03-05,strengthened,0,tins,,")


def test_the_names_of_the_sheet_come_before_those_of_the_reference() -> None:
    lots = [
        {"id": "quercus-robur-bark", "name": "the north pile"},
        {"id": "quercus-robur-bark", "name": "old sacks"},
        {"id": "salix-caprea-bark"},
    ]
    own = sheet(material=lots)
    head = "date,kind,value,unit,material\n2026-03-05,strengthened,1,kg,"

    def meant(name: str) -> tuple[str | None, int | None]:
        (row,) = parse_readings(head + name, source="r.csv", start=START, sheet=own).rows
        assert isinstance(row.seen, Strengthened)
        return row.seen.material_id, row.seen.lot

    assert meant("Old  sacks") == ("quercus-robur-bark", 1)
    assert meant("north pile") == ("quercus-robur-bark", 0)
    assert meant("quercus-robur-bark#2") == ("quercus-robur-bark", 1)
    assert meant("quercus-robur-bark") == ("quercus-robur-bark", None)
    assert meant("salix-caprea-bark") == ("salix-caprea-bark", 2)
    assert meant(own.lots[2].name.upper()) == ("salix-caprea-bark", 2)
    assert meant("rhus-coriaria-leaf") == ("rhus-coriaria-leaf", None)
    with pytest.raises(InputError, match="line 2, material.*old sacks"):
        meant("the southern pile")


def test_a_day_that_no_tannage_reaches_is_one_plain_line() -> None:
    text = HEAD + "2026-03-02,ph,4.6,,,\n2030-03-04,ph,4.6,,,\n"
    with pytest.raises(InputError, match="r.csv, line 3, date"):
        parse_readings(text, source="r.csv", start=START)
    assert len(parse_readings(text.replace("2030", "2027"), source="r.csv", start=START).rows) == 2
