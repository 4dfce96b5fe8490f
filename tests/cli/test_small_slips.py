"""Slips that a reader would act on: tiny volumes, halves of a bucket, certainty, endless years."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from tanwright.planning.containers import Container, in_containers
from tanwright.planning.telling.voice import in_hundred


def run(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "tanwright", *words], capture_output=True, text=True, check=False
    )


def test_a_top_up_takes_nothing_out() -> None:
    words = ["strengthen", "18 L", "--from", "8 Bk", "--to", "14 Bk", "--with", "35 Bk"]
    told = run(*words, "--have", "20 L")
    assert told.returncode == 0
    assert "0.000" not in told.stdout
    ways = json.loads(run(*words, "--have", "20 L", "--json").stdout)
    assert any(way["take_out_l"] == 0.0 for way in ways["ways"])


def test_one_amount_is_not_rounded_to_a_bucket_that_falsifies_it() -> None:
    bucket = [Container("bucket", None, 12.0)]
    assert in_containers(2.0, 2.0, bucket, kind="volume") == ""
    assert in_containers(6.0, 6.0, bucket, kind="volume") == "½ bucket"
    assert in_containers(5.0, 14.0, bucket, kind="volume") == "½ to 1 bucket"


def test_an_ensemble_is_never_wholly_certain() -> None:
    assert in_hundred(1.0) == "over 99 in 100"
    assert in_hundred(0.0) == "under 1 in 100"
    assert in_hundred(0.63) == "63 in 100"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--today", "9999-12-31"), "9999"),
        (("--vat", "100000 L"), "out of all proportion"),
        (("--pot", "1 mL"), "pot"),
    ],
)
def test_absurd_years_vats_and_pots_are_refused(words: tuple[str, ...], told: str) -> None:
    found = run("plan", "--skin", "goat", "--material", "quercus-robur-bark", *words)
    assert found.returncode == 2
    assert told in found.stderr
    assert len(found.stderr.strip().splitlines()) == 1
