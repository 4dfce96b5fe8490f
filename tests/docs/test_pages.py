"""What must be described is described, and pages point at things that exist."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import make_cli_reference
from console_blocks import ROOT, pages

METHOD = ROOT / "docs" / "method"
SCIENCE = ROOT / "src" / "tanwright" / "science"
PLUMBING = {"values"}
"""Modules without an equation of their own: checks of numbers at the door."""
LINK = re.compile(r"\[[^\]]*\]\((?!https?:|mailto:|#)([^)#\s]+)")


def science_modules() -> list[str]:
    names = {path.stem for path in SCIENCE.glob("*.py")}
    names |= {path.parent.name for path in SCIENCE.glob("*/__init__.py")}
    return sorted(name for name in names if not name.startswith("_") and name not in PLUMBING)


@pytest.mark.parametrize("name", science_modules())
def test_every_science_module_has_its_method_page(name: str) -> None:
    """A page of its own, or a page of a neighbour that names it as ``name.py``."""
    own = METHOD / f"{name}.md"
    told = own.exists() or any(
        f"`{name}.py`" in page.read_text(encoding="utf-8") for page in METHOD.glob("*.md")
    )
    assert told, f"docs/method/{name}.md is missing"


def test_the_command_line_page_is_current() -> None:
    assert make_cli_reference.PAGE.read_text(encoding="utf-8") == make_cli_reference.text(), (
        "make docs writes it anew"
    )


def test_the_command_line_page_names_every_command_and_error_code() -> None:
    page = make_cli_reference.PAGE.read_text(encoding="utf-8")
    assert len(make_cli_reference.commands()) > 5
    for command in make_cli_reference.commands():
        assert f"## {command}\n" in page
    for source in (ROOT / "src" / "tanwright").rglob("*.py"):
        for code in re.findall(r"^    code = \"([a-z-]+)\"", source.read_text("utf-8"), re.M):
            assert f"| `{code}` |" in page, f"{source.name}: {code}"


@pytest.mark.parametrize("page", sorted({*pages(), *ROOT.glob("*.md")}), ids=lambda page: page.name)
def test_links_lead_somewhere(page: Path) -> None:
    for target in LINK.findall(page.read_text(encoding="utf-8")):
        assert (page.parent / target).exists(), f"{page.name}: {target}"
