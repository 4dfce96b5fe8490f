"""No committed file names a package registry's host, a path of somebody's machine, or work left
undone."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

from console_blocks import ROOT

# Written in pieces, so that this file does not trip over itself.
HOSTS = "|".join(
    ("py" + r"pi\.org", "python" + "hosted", "debian" + r"\.org/", "registry" + r"\.npm")
)
PATHS = r"(?<![\w.])/(?:wo" + r"rk|ro" + r"ot|far" + r"m|ho" + r"me|Us" + r"ers|tm" + r"p)/[A-Za-z]"
UNDONE = r"\b(?:TO" + "DO|FIX" + "ME|XX" + r"X)\b"


MADE = {"__pycache__", "build", "dist", "htmlcov", "node_modules"}
"""Folders that tools make, beside those whose names begin with a dot."""


def committed() -> list[str]:
    """What git keeps; without git (an unpacked sdist) every file that no tool made."""
    try:
        listed = subprocess.run(
            ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True, encoding="utf-8"
        )
    except (OSError, subprocess.CalledProcessError):
        return files_below(ROOT)
    return [name for name in listed.stdout.split("\0") if name and (ROOT / name).is_file()]


def files_below(root: Path) -> list[str]:
    found = []
    for path in root.rglob("*"):
        folders = path.relative_to(root).parts[:-1]
        made = any(f in MADE or f.endswith(".egg-info") for f in folders)
        hidden = any(f.startswith(".") and f != ".ci" for f in folders)
        if path.is_file() and not made and not hidden and path.name != ".coverage":
            found.append(path.relative_to(root).as_posix())
    return sorted(found)


def test_without_git_the_same_files_are_looked_at() -> None:
    assert set(committed()) - set(files_below(ROOT)) == set()
    assert not any(".venv" in name or "__pycache__" in name for name in files_below(ROOT))


@pytest.mark.parametrize(
    ("pattern", "sample"),
    [
        (HOSTS, "see " + "pypi" + ".org/simple"),
        (PATHS, "in " + "/tm" + "p/x"),
        (UNDONE, "# " + "TO" + "DO"),
    ],
    ids=["registry host", "machine path", "left undone"],
)
def test_no_committed_file_holds(pattern: str, sample: str) -> None:
    found = re.compile(pattern)
    assert found.search(sample), "the pattern must be able to find something"
    hits = [
        f"{name}:{number}: {line.strip()[:80]}"
        for name in committed()
        for number, line in enumerate(
            (ROOT / name).read_bytes().decode("utf-8", "replace").splitlines(), 1
        )
        if found.search(line)
    ]
    assert hits == []
