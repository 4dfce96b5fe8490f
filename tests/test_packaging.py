"""What is built and pinned is whole."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
import zipfile
from importlib.metadata import version
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
PIN = re.compile(r"^([a-z0-9-]+)(?:\[[a-z0-9,-]+\])?==(\S+)", re.MULTILINE)


def pins(name: str) -> dict[str, str]:
    return dict(PIN.findall((ROOT / "requirements" / name).read_text(encoding="utf-8")))


def names(requirements: list[str]) -> set[str]:
    return {re.split(r"[<>=~! \[]", line)[0].lower() for line in requirements}


@pytest.mark.parametrize("name", ["build.txt", "runtime.txt", "dev.txt"])
def test_locks_hold_hashes_and_no_address(name: str) -> None:
    text = (ROOT / "requirements" / name).read_text(encoding="utf-8")
    blocks = re.split(r"\n(?=\S)", text.strip())
    assert len(blocks) == len(pins(name))
    assert all("--hash=sha256:" in block for block in blocks)
    assert "://" not in text
    assert not re.search(r"^\s*-(?!-hash)", text, re.MULTILINE)


def test_locks_pin_everything_that_is_asked_for_and_agree() -> None:
    groups = PROJECT["dependency-groups"]
    assert names(PROJECT["project"]["dependencies"]) <= pins("runtime.txt").keys()
    assert names(groups["build"]) <= pins("build.txt").keys()
    assert names(groups["dev"]) <= pins("dev.txt").keys()
    every = [pins("build.txt"), pins("runtime.txt"), pins("dev.txt")]
    for one in every:
        for other in every:
            assert all(other[name] == one[name] for name in one.keys() & other.keys())


def test_extras_are_pinned_with_what_they_belong_to() -> None:
    """pip tries a newer release for a name with extras that no line pins, and then refuses it."""
    lock = (ROOT / "requirements" / "dev.txt").read_text(encoding="utf-8")
    assert re.search(r"^coverage\[toml\]==", lock, re.MULTILINE)  # asked for by pytest-cov


def test_one_version_everywhere() -> None:
    said = PROJECT["project"]["version"]
    assert version("tanwright") == said
    assert f"\nversion: {said}\n" in (ROOT / "CITATION.cff").read_text(encoding="utf-8")


def test_the_wheel_holds_every_file_of_the_package(tmp_path: Path) -> None:
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)],
        cwd=ROOT,
        check=True,
        capture_output=True,
    )
    (wheel,) = tmp_path.glob("*.whl")
    packed = set(zipfile.ZipFile(wheel).namelist())
    source = ROOT / "src"
    wanted = {
        path.relative_to(source).as_posix()
        for path in (source / "tanwright").rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert wanted <= packed
    assert "tanwright/py.typed" in packed
    assert any(name.endswith(".csv") for name in packed)
    entry = next(name for name in packed if name.endswith("entry_points.txt"))
    assert "tanwright = tanwright.cli:main" in zipfile.ZipFile(wheel).read(entry).decode()
