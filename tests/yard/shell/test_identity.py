"""The colours of identity.css are legible where yard.css lays them, by day and by night."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import tanwright.yard.shell
from tanwright.planning.pictures import palette

STATIC = Path(tanwright.yard.shell.__file__).parent / "static" / "shell"
IDENTITY = (STATIC / "identity.css").read_text(encoding="utf-8")
YARD = (STATIC / "yard.css").read_text(encoding="utf-8")


def colours(dark: bool) -> dict[str, str]:
    """Custom properties that are plain colours, as the light or the dark reader gets them."""
    day, night = IDENTITY.split("@media (prefers-color-scheme: dark)")
    night = night.split("@media", 1)[0]
    found = dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", day))
    return found | (dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", night)) if dark else {})


TEXT = [
    ("ink", "ground", 7.0),
    ("ink", "sheet", 7.0),
    ("ink", "sheet-low", 7.0),
    ("ink", "now", 4.5),
    ("ink-quiet", "ground", 7.0),
    ("ink-quiet", "sheet", 7.0),
    ("link", "ground", 7.0),
    ("link", "sheet", 7.0),
    ("do-ink", "do", 7.0),
    ("do-ink", "do-over", 4.5),
    ("late-ink", "late", 7.0),
    ("wrong", "wrong-ground", 6.0),
    ("wrong", "sheet", 6.0),
    ("care", "care-ground", 7.0),
    ("ink", "care-ground", 7.0),
    ("good", "good-ground", 6.0),
]


@pytest.mark.parametrize("dark", [False, True], ids=["day", "night"])
@pytest.mark.parametrize(("front", "ground", "least"), TEXT)
def test_text_is_legible(front: str, ground: str, least: float, dark: bool) -> None:
    known = colours(dark)
    assert palette.contrast(known[front], known[ground]) >= least


@pytest.mark.parametrize("dark", [False, True], ids=["day", "night"])
@pytest.mark.parametrize(
    ("edge", "ground"), [("edge", "sheet"), ("edge", "ground"), ("focus", "ground")]
)
def test_edges_of_boxes_and_the_focus_are_seen(edge: str, ground: str, dark: bool) -> None:
    known = colours(dark)
    assert palette.contrast(known[edge], known[ground]) >= 3.0


@pytest.mark.parametrize("name", ["bark", "leather", "fawn", "pelt", "gall", "lichen"])
def test_page_and_picture_share_their_colours(name: str) -> None:
    assert colours(dark=False)[name] == getattr(palette, name.upper())


def test_every_property_that_is_asked_for_is_there() -> None:
    asked = set(re.findall(r"var\(--([\w-]+)", YARD))
    given = set(re.findall(r"--([\w-]+):", IDENTITY + YARD))
    assert asked <= given, asked - given


def test_nothing_comes_from_outside_the_machine() -> None:
    for file in STATIC.iterdir():
        text = file.read_text(encoding="utf-8").replace("http://www.w3.org/2000/svg", "")
        assert "http" not in text, file.name
        assert "@import" not in text, file.name
