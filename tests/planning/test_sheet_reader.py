"""A sheet becomes checked records, and what cannot be used names table, key and remedy."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest

from tanwright.errors import InputError, UnitError, UnknownMaterialError
from tanwright.planning.sheet import Container, KnownTannin, Sheet, Spell, TanninFigure
from tanwright.planning.sheet_reader import read_sheet, sheet_from_options
from tanwright.planning.sheet_source import tables_from_options

if TYPE_CHECKING:
    from pathlib import Path

TODAY = date(2026, 3, 1)
GOAT = '[[skin]]\nanimal = "goat"\n'
OAK = '[[material]]\nid = "quercus-robur-bark"\n'


def read(tmp_path: Path, text: str, **options: object) -> Sheet:
    path = tmp_path / "sheet.toml"
    path.write_text(text, encoding="utf-8")
    return read_sheet(path, today=TODAY, options=options)


def refusal(tmp_path: Path, text: str) -> str:
    with pytest.raises(InputError) as caught:
        read(tmp_path, text)
    message = str(caught.value)
    assert "\n" not in message
    return message


def test_one_skin_and_one_plant_are_enough(tmp_path: Path) -> None:
    sheet = read(tmp_path, GOAT + '[[material]]\nid = "unknown-bark"\n')
    (skin,), (lot,) = sheet.skins, sheet.lots
    assert (skin.animal, skin.stage, skin.hair_on, skin.count) == ("goat", "green", False, 1)
    assert (skin.weight_kg, skin.thickness_mm) == (None, None)
    assert (lot.material_id, lot.state, lot.have_kg, lot.want) == (
        "unknown-bark",
        "dry",
        None,
        True,
    )
    assert sheet.aim.leather == "soft"
    assert sheet.aim.start == TODAY
    assert sheet.vat.volume_l is None
    assert sheet.tools.strength == "none"
    assert sheet.tools.scale is None
    assert {"skin.weight", "skin.thickness", "material.have", "vat.volume"} <= set(sheet.left_out)
    assert any("Leather was not named" in note for note in sheet.notes)


def test_everything_can_be_said(tmp_path: Path) -> None:
    sheet = read(
        tmp_path,
        """
        [[skin]]
        animal = "roe deer"
        name = "the October doe"
        weight = "3 lb 4 oz"
        stage = "salted"
        thickness = "1.5 mm"
        area = "6 sq ft"
        hair = "off"
        count = 2

        [[material]]
        id = "quercus-robur-bark"
        name = "the firewood pile"
        have = "3 buckets"
        want = true
        state = "fresh"
        tannin = "7-11 %"
        rained_on = true
        mouldy = false
        stored_years = "18 months"
        tree_age = 20
        part_of_trunk = "bottom"
        light = "open"
        grind = "coarse"
        soil = "limestone"

        [[material]]
        id = "unknown-leaf"
        have = "500 g"

        [vat]
        volume = "15 gal"
        temperature = [
          { from = 2026-04-01, temperature = "54 F" },
          { from = "2026-03-01", temperature = "8 C" },
        ]
        move = "daily"
        water = "rain"

        [aim]
        leather = "bag"
        start = 2026-03-08
        wanted_by = "2026-06-01"
        degree = "30-45"

        [tools]
        strength = "hydrometer"
        scale = "SG"
        calibrated_at = "20 C"
        pot = "10 L"
        litre_scale = true

        [container.bucket]
        holds = "2.5 kg"
        of = "chopped bark"

        [container]
        tub = "40 L"

        [known]
        unknown-leaf = "12 %"
        """.replace("[container]\n        tub", "[container.tub]\n        holds"),
    )
    skin = sheet.skins[0]
    assert (skin.name, skin.animal, skin.count) == ("the October doe", "roe-deer", 2)
    assert skin.weight_kg == pytest.approx(1.474, abs=1e-3)
    assert skin.area_m2 == pytest.approx(0.557, abs=1e-3)
    oak, leaf = sheet.lots
    assert (oak.name, oak.have_kg, oak.want, oak.state) == ("the firewood pile", 7.5, True, "fresh")
    assert oak.tannin == TanninFigure(7.0, 11.0)
    history = oak.history
    assert (history.rained_on, history.mouldy, history.age_years) == (True, False, 1.5)
    assert (history.tree_age, history.part_of_trunk) == (20.0, "bottom")
    assert (history.light, history.grind, history.soil) == ("open", "coarse", "limestone")
    assert (leaf.have_kg, leaf.want) == (0.5, False)
    assert sheet.vat.volume_l == pytest.approx(56.78, abs=0.01)
    assert sheet.vat.temperature == (
        Spell(date(2026, 3, 1), 8.0),
        Spell(date(2026, 4, 1), pytest.approx(12.22, abs=0.01)),  # type: ignore[arg-type]
    )
    assert sheet.vat.temperature_on(date(2026, 2, 1)) is None
    assert sheet.vat.temperature_on(date(2026, 3, 31)) == 8.0
    assert sheet.aim.wanted_by == date(2026, 6, 1)
    assert (sheet.aim.degree_low, sheet.aim.degree_high) == (30.0, 45.0)
    assert (sheet.tools.scale, sheet.tools.calibrated_at_c, sheet.tools.pot_l) == ("sg", 20.0, 10.0)
    assert sheet.tools.litre_scale
    assert Container("bucket", 2.5, None, "chopped bark") in sheet.containers
    assert Container("tub", None, 40.0) in sheet.containers
    assert sheet.known == (KnownTannin("unknown-leaf", TanninFigure(12.0, 12.0)),)
    assert sheet.known_for("unknown-leaf") == TanninFigure(12.0, 12.0)
    assert sheet.known_for("quercus-robur-bark") is None
    assert sheet.left_out == ()


def test_own_containers_measure_vat_and_pot(tmp_path: Path) -> None:
    text = GOAT + OAK + '[container.tub]\nholds = "20 L"\n[vat]\nvolume = "2 tubs"\n'
    sheet = read(tmp_path, text + '[tools]\npot = "half a tub"\n')
    assert (sheet.vat.volume_l, sheet.tools.pot_l) == (40.0, 10.0)


def test_a_thickness_makes_any_animal_valid(tmp_path: Path) -> None:
    sheet = read(tmp_path, '[[skin]]\nanimal = "kudu"\nthickness = "3.5 mm"\n' + OAK)
    assert (sheet.skins[0].animal, sheet.skins[0].name) == (None, "kudu")
    assert sheet.aim.leather == "bag"
    sheet = read(tmp_path, '[[skin]]\nthickness = "6 mm"\n' + OAK)
    assert sheet.skins[0].name == "skin"
    assert sheet.aim.leather == "firm"


@pytest.mark.parametrize(
    ("animal", "leather"), [("rabbit", "soft"), ("calf", "bag"), ("cow", "firm"), ("bull", "firm")]
)
def test_leather_follows_the_heaviest_skin(tmp_path: Path, animal: str, leather: str) -> None:
    sheet = read(tmp_path, GOAT + f'[[skin]]\nanimal = "{animal}"\n' + OAK)
    assert sheet.aim.leather == leather


def test_fur_animals_are_asked_about_their_hair(tmp_path: Path) -> None:
    fox = '[[skin]]\nanimal = "fox"\n'
    assert any('hair = "on"' in note for note in read(tmp_path, fox + OAK).notes)
    assert not any("Hair" in note for note in read(tmp_path, fox + 'hair = "off"\n' + OAK).notes)
    assert read(tmp_path, fox + "hair = true\n" + OAK).skins[0].hair_on


def test_hydrometers_show_gravity_barkometers_degrees(tmp_path: Path) -> None:
    for word, scale in (("hydrometer", "sg"), ("barkometer", "bk"), ("refractometer", "brix")):
        sheet = read(tmp_path, GOAT + OAK + f'[tools]\nstrength = "{word}"\n')
        assert sheet.tools.scale == scale


def test_unusual_weights_are_told_and_used(tmp_path: Path) -> None:
    sheet = read(tmp_path, '[[skin]]\nanimal = "goat"\nweight = "7 kg"\n' + OAK)
    assert sheet.skins[0].weight_kg == 7.0
    assert any("heavy for one green goat" in note for note in sheet.notes)
    usual = read(tmp_path, '[[skin]]\nanimal = "goat"\nweight = "2 kg"\n' + OAK)
    assert not any("goat skin" in note for note in usual.notes)


def test_a_dried_skin_is_light_and_swells_in_the_vat(tmp_path: Path) -> None:
    dried = '[[skin]]\nanimal = "goat"\nweight = "0.9 kg"\nstage = "dried"\n' + OAK
    assert read(tmp_path, dried + '[vat]\nvolume = "20 L"\n').notes
    assert "smaller than the wet skins" in refusal(tmp_path, dried + '[vat]\nvolume = "1.5 L"\n')


def test_a_tight_or_warm_vat_is_told(tmp_path: Path) -> None:
    text = '[[skin]]\nanimal = "goat"\nweight = "3 kg"\n' + OAK
    sheet = read(tmp_path, text + '[vat]\nvolume = "6 L"\ntemperature = "35 C"\n')
    assert any("tight vat" in note for note in sheet.notes)
    assert any("35 °C" in note for note in sheet.notes)


@pytest.mark.parametrize(
    ("text", "place", "what"),
    [
        ('[[skin]]\nanimal = "squirrel"\nweight = "300 kg"\n', "[[skin]] 1, weight", "300 kg"),
        ('[[skin]]\nanimal = "goat"\nweight = "-2 kg"\n', "[[skin]] 1, weight", "zero"),
        ('[[skin]]\nanimal = "goat"\nweight = "0 kg"\n', "[[skin]] 1, weight", "nought"),
        ('[[skin]]\nanimal = "goat"\nweight = "2 kgs of it"\n', "[[skin]] 1, weight", "unit"),
        ('[[skin]]\nanimal = "goat"\nweight = 2\n', "[[skin]] 1, weight", "no unit"),
        ('[[skin]]\nanimal = "goat"\nweight = "2 L"\n', "[[skin]] 1, weight", "2 L"),
        ('[[skin]]\nanimal = "gaot"\n', "[[skin]] 1, animal", "goat"),
        ('[[skin]]\nweight = "2 kg"\n', "[[skin]] 1", "animal or a thickness"),
        ('[[skin]]\nanimal = "goat"\nstage = "lymed"\n', "[[skin]] 1, stage", "limed"),
        ('[[skin]]\nanimal = "goat"\nwieght = "2 kg"\n', "[[skin]] 1, wieght", "weight"),
        ('[[skin]]\nanimal = "goat"\nhair = "on"\nstage = "limed"\n', "[[skin]] 1, hair", "hair"),
        ('[[skin]]\nanimal = "goat"\ncount = 0\n', "[[skin]] 1, count", "from 1"),
        ('[[skin]]\nanimal = "goat"\ncount = 1.5\n', "[[skin]] 1, count", "whole"),
        ('[[skin]]\nanimal = "goat"\nthickness = "90 mm"\n', "[[skin]] 1, thickness", "90 mm"),
        ('[[skin]]\nthickness = "2 mm"\nweight = "900 kg"\n', "[[skin]] 1, weight", "900 kg"),
        (GOAT + '[[skin]]\nanimal = "goat"\nweight = "400 lb"\n', "[[skin]] 2, weight", "kg"),
    ],
)
def test_skins_that_cannot_be(tmp_path: Path, text: str, place: str, what: str) -> None:
    message = refusal(tmp_path, text + OAK)
    assert message.startswith(f"sheet.toml: {place}: ")
    assert what in message


@pytest.mark.parametrize(
    ("text", "place", "what"),
    [
        ('[[material]]\nid = "quercus-rubur-bark"\n', "[[material]] 1, id", "quercus-robur-bark"),
        ('[[material]]\nhave = "6 kg"\n', "[[material]] 1, id", "unknown-bark"),
        (OAK + 'have = "0 kg"\n', "[[material]] 1, have", "nought"),
        (OAK + 'have = "6 buckets"\n', "[[material]] 1, have", "bucket"),
        (OAK + 'state = "damp"\n', "[[material]] 1, state", "dry"),
        (OAK + "rained_on = 1\n", "[[material]] 1, rained_on", "true"),
        (OAK + 'tannin = "0.09"\n', "[[material]] 1, tannin", "9 %"),
        (OAK + 'tannin = "11-7 %"\n', "[[material]] 1, tannin", "low to high"),
        (OAK + 'tannin = "95 %"\n', "[[material]] 1, tannin", "any plant"),
        (OAK + 'stored_years = "long"\n', "[[material]] 1, stored_years", "years"),
        (OAK + "tree_age = 9000\n", "[[material]] 1, tree_age", "years"),
        (OAK + 'grind = "fien"\n', "[[material]] 1, grind", "fine"),
        (OAK + '[vat]\nvolume = "1 L"\n', "[vat], volume", "smaller than the wet skins"),
        (OAK + '[vat]\nvolume = "40"\n', "[vat], volume", "unit"),
        (OAK + '[vat]\ntemperature = "80 C"\n', "[vat], temperature", "outside"),
        (OAK + '[vat]\ntemperature = "12"\n', "[vat], temperature", "12"),
        (OAK + "[vat]\ntemperature = [8]\n", "[vat], temperature", "entry 1"),
        (
            OAK + '[vat]\ntemperature = [{temperature = "8 C"}, {temperature = "9 C"}]\n',
            "[vat], temperature 2, from",
            "date",
        ),
        (OAK + "[vat]\ntemperature = [{from = 2026-03-01}]\n", "[vat], temperature 1", "missing"),
        (OAK + '[aim]\nleather = "sofd"\n', "[aim], leather", "soft"),
        (OAK + "[aim]\nwanted_by = 2026-02-01\n", "[aim], wanted_by", "before the start"),
        (OAK + '[aim]\nstart = "next week"\n', "[aim], start", "2026-03-01"),
        (OAK + '[aim]\ndegree = "a lot"\n', "[aim], degree", "30-45"),
        (OAK + '[tools]\nstrength = "hygrometer"\n', "[tools], strength", "hydrometer"),
        (OAK + '[tools]\npot = "10 kg"\n', "[tools], pot", "10 kg"),
        (OAK + '[tolls]\npot = "10 L"\n', "tolls", "tools"),
        (OAK + '[container.bucket]\nholds = "8 cm"\n', "[container.bucket], holds", "8 kg"),
        (OAK + '[container.bucket]\nof = "pods"\n', "[container.bucket], holds", "missing"),
        (OAK + '[known]\nquercus-rubur-bark = "9 %"\n', "[known], quercus-rubur-bark", "robur"),
        (OAK + "[known]\nunknown-bark = 9\n", "[known], unknown-bark, tannin", "9 %"),
        (OAK + '[known]\nfrom = "none.toml"\n', "", "no such file"),
        ("skin = 3\n", "[skin]", "table"),
    ],
)
def test_the_rest_that_cannot_be(tmp_path: Path, text: str, place: str, what: str) -> None:
    message = refusal(tmp_path, (GOAT if "skin" not in text else "") + text)
    if place:
        assert message.startswith(f"sheet.toml: {place}")
    assert what in message


def test_unknown_units_and_plants_keep_their_kind_of_error(tmp_path: Path) -> None:
    with pytest.raises(UnitError):
        read(tmp_path, '[[skin]]\nanimal = "goat"\nweight = "2 bananas"\n' + OAK)
    with pytest.raises(UnknownMaterialError):
        read(tmp_path, GOAT + '[[material]]\nid = "triffid"\n')


def test_broken_files_name_line_and_column(tmp_path: Path) -> None:
    message = refusal(tmp_path, "[[skin]]\nanimal = goat\n")
    assert message.startswith("sheet.toml, line 2, column 10: not valid TOML: ")
    with pytest.raises(InputError, match="no such file"):
        read_sheet(tmp_path / "none.toml", today=TODAY)
    with pytest.raises(InputError, match="folder"):
        read_sheet(tmp_path, today=TODAY)
    (tmp_path / "b.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError, match="UTF-8"):
        read_sheet(tmp_path / "b.toml", today=TODAY)


def test_a_sheet_without_skin_or_plant_says_what_to_write(tmp_path: Path) -> None:
    assert "no skin" in refusal(tmp_path, OAK)
    assert "unknown-bark" in refusal(tmp_path, GOAT)


def options(**given: object) -> dict[str, object]:
    plain: dict[str, object] = {
        "skin": {}, "materials_given": [], "have": [], "state": None, "rained_on": None,
        "vat": {}, "aim": {}, "tools": {},
    }  # fmt: skip
    return tables_from_options(**(plain | given))  # type: ignore[arg-type]


def test_options_alone_make_a_sheet() -> None:
    tables = options(
        skin={"animal": "goat", "weight": "2 kg", "stage": None},
        materials_given=["quercus-robur-bark=6kg", "unknown-bark"],
        have=["1 kg"],
        vat={"volume": "40 L", "temperature": "12 C"},
        aim={"leather": "soft", "start": "2026-03-05"},
    )
    sheet = sheet_from_options(tables, today=TODAY)
    assert [(lot.material_id, lot.have_kg) for lot in sheet.lots] == [
        ("quercus-robur-bark", 6.0),
        ("unknown-bark", 1.0),
    ]
    assert sheet.source == "command line"
    assert sheet.aim.start == date(2026, 3, 5)
    assert sheet.vat.temperature == (Spell(None, 12.0),)


@pytest.mark.parametrize(
    ("given", "place"),
    [
        ({"skin": {"animal": "gaot"}}, "--skin: "),
        (
            {"skin": {"animal": "goat", "weight": "900 kg"}, "materials_given": ["unknown-bark"]},
            "--weight: ",
        ),
        ({"skin": {"animal": "goat"}, "materials_given": ["oack-bark"]}, "--material: "),
        ({"skin": {"animal": "goat"}}, "--material: "),
        ({"materials_given": ["unknown-bark"]}, "--skin: "),
        (
            {
                "skin": {"animal": "goat"},
                "materials_given": ["unknown-bark"],
                "vat": {"volume": "x"},
            },
            "--vat: ",
        ),
        (
            {
                "skin": {"animal": "goat"},
                "materials_given": ["unknown-bark"],
                "aim": {"start": "x"},
            },
            "--start: ",
        ),
    ],
)
def test_a_refused_option_is_named(given: dict[str, object], place: str) -> None:
    with pytest.raises(InputError) as caught:
        sheet_from_options(options(**given), today=TODAY)
    assert str(caught.value).startswith(place)


def test_each_mass_belongs_to_a_material() -> None:
    with pytest.raises(InputError, match="--have"):
        options(materials_given=["unknown-bark=2kg"], have=["1 kg"])


def test_options_win_over_the_sheet_and_are_named(tmp_path: Path) -> None:
    text = GOAT + 'weight = "2 kg"\n' + OAK + 'have = "6 kg"\n[vat]\nvolume = "40 L"\n'
    sheet = read(tmp_path, text, **options(skin={"weight": "3 kg"}, have=["4 kg"], state="fresh"))
    assert (sheet.skins[0].animal, sheet.skins[0].weight_kg) == ("goat", 3.0)
    assert (sheet.lots[0].have_kg, sheet.lots[0].state) == (4.0, "fresh")
    assert sheet.vat.volume_l == 40.0
    sheet = read(tmp_path, text, **options(materials_given=["unknown-bark"]))
    assert [lot.material_id for lot in sheet.lots] == ["unknown-bark"]
    with pytest.raises(InputError, match="^--weight: "):
        read(tmp_path, text, **options(skin={"weight": "900 kg"}))
    with pytest.raises(InputError, match=r"^sheet.toml: \[vat\], volume: "):
        read(tmp_path, text.replace("40 L", "1 L"), **options(have=["4 kg"]))


def test_a_frozen_skin_is_green_and_told_to_thaw(tmp_path: Path) -> None:
    sheet = read(tmp_path, '[[skin]]\nanimal = "goat"\nstage = "frozen"\n' + OAK)
    assert sheet.skins[0].stage == "green"
    assert any("thaw it slowly in cold salt water" in note for note in sheet.notes)
    assert not any("thaw" in note for note in read(tmp_path, GOAT + OAK).notes)


def test_a_piece_of_a_skin_is_told_how_to_be_planned(tmp_path: Path) -> None:
    piece = '[[skin]]\nanimal = "calf"\nweight = "60 g"\n'
    assert "leave the animal out and give the thickness" in refusal(tmp_path, piece + OAK)
    alone = '[[skin]]\nthickness = "3 mm"\nweight = "60 g"\n'
    assert read(tmp_path, alone + OAK).skins[0].weight_kg == pytest.approx(0.06)


@pytest.mark.parametrize(("thickness", "word"), [("25 mm", "thick"), ("0.3 mm", "thin")])
def test_a_thickness_unlike_the_animal_is_told(tmp_path: Path, thickness: str, word: str) -> None:
    sheet = read(tmp_path, GOAT + f'thickness = "{thickness}"\n' + OAK)
    assert any(f"mm is very {word} for goat" in note for note in sheet.notes)
    usual = read(tmp_path, GOAT + 'thickness = "2 mm"\n' + OAK)
    assert not any("mm is very" in note for note in usual.notes)


def test_a_vat_of_ice_is_refused(tmp_path: Path) -> None:
    told = refusal(tmp_path, GOAT + OAK + '[vat]\ntemperature = "-5 C"\n')
    assert '[vat], temperature: a vat that stays at "-5 C" is ice' in told
    assert read(tmp_path, GOAT + OAK + '[vat]\ntemperature = "1 C"\n').vat.temperature


def test_an_unknown_bucket_says_how_to_make_it_known(tmp_path: Path) -> None:
    told = refusal(tmp_path, GOAT + OAK + 'have = "3 buckets"\n')
    assert 'weigh one bucket and write [container.bucket] holds = "2 kg"' in told
    told = refusal(tmp_path, GOAT + OAK + '[vat]\nvolume = "2 boxes"\n')
    assert 'measure one box and write [container.box] holds = "12 L"' in told
    assert "container" not in refusal(tmp_path, GOAT + OAK + 'have = "3 smoots"\n')
