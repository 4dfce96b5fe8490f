"""No committed file names a package registry's host, a path of somebody's machine, or work left
undone."""

from __future__ import annotations

import re
import subprocess

import pytest

from console_blocks import ROOT

# Written in pieces, so that this file does not trip over itself.
HOSTS = "|".join(
    ("py" + r"pi\.org", "python" + "hosted", "debian" + r"\.org/", "registry" + r"\.npm")
)
PATHS = r"(?<![\w.])/(?:wo" + r"rk|ro" + r"ot|far" + r"m|ho" + r"me|Us" + r"ers|tm" + r"p)/[A-Za-z]"
UNDONE = r"\b(?:TO" + "DO|FIX" + "ME|XX" + r"X)\b"


def committed() -> list[str]:
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True, encoding="utf-8"
    )
    return [name for name in listed.stdout.split("\0") if name and (ROOT / name).is_file()]


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
