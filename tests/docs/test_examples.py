"""What the pages show is what the commands print."""

from __future__ import annotations

from pathlib import Path

import pytest

import console_blocks

PAGES = [page for page in console_blocks.pages() if list(console_blocks.examples(page))]


def test_the_readme_shows_real_commands() -> None:
    assert console_blocks.ROOT / "README.md" in PAGES


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_examples(page: Path, tmp_path: Path) -> None:
    folder = console_blocks.folder_for_examples(tmp_path)
    for example in console_blocks.examples(page):
        outcome = console_blocks.outcome(example, folder)
        where = f"{page.name}:{example.line}"
        told_off = example.shown.startswith("tanwright:")
        assert outcome.status == (2 if told_off else 0), f"{where}: {outcome.text}"
        assert console_blocks.fits(example.shown, outcome.text), (
            f"{where} prints something else now; make docs writes it anew:\n{outcome.text}"
        )


@pytest.mark.parametrize(
    ("shown", "printed", "good"),
    [
        ("a\nb", "a \nb\n", True),
        ("a\n...", "a\nb\nc", True),
        ("a\n...\nc", "a\nb\nb\nc", True),
        ("a\nb", "a\nc", False),
        ("a\n...\nc", "a\nb", False),
        ("a (1.0)", "a (1x0)", False),
    ],
)
def test_dots_alone_stand_for_any_lines(shown: str, printed: str, good: bool) -> None:
    assert console_blocks.fits(shown, printed) is good


PRINTED = (
    "1 goat\n\nHow much\n  3 kg\n  of bark\n\nWhen\n  in May\n  or June\n\n"
    "Take care\n  a\n  b\n  c\n  d"
)


@pytest.mark.parametrize(
    ("shown", "anew"),
    [
        ("...\nWhen\n  in March\n...", "...\nWhen\n  in May\n  or June\n..."),
        (
            "1 sheep\n\nHow much\n  2 kg\n...\nTake care\n  a\n...",
            "1 goat\n\nHow much\n  3 kg\n  of bark\n...\nTake care\n  a\n...",
        ),
        ("...\nWhen\n  soon\n\nTake care\n...", "...\nWhen\n  in May\n  or June\n\nTake care\n..."),
    ],
)
def test_a_cut_example_is_cut_anew_at_the_same_places(shown: str, anew: str) -> None:
    assert console_blocks.cut_anew(shown, PRINTED) == anew
    assert console_blocks.fits(anew, PRINTED)
