"""Own measures are calibrated once and then are units."""

from __future__ import annotations

import pytest

from tanwright.errors import InputError
from tanwright.planning.containers import (
    container,
    in_containers,
    mass_in,
    read_container,
    volume_in,
)

BUCKET = container("bucket", "8 kg", of="pods")
TUB = read_container("tub=12 L")
BOX = read_container("box = 2 kg")
ALL = (BUCKET, TUB, BOX)


@pytest.mark.parametrize(
    ("text", "kg"),
    [
        ("3 buckets", 24.0),
        ("1 bucket", 8.0),
        ("a Bucket", 8.0),
        ("half a bucket", 4.0),
        ("1/2 bucket", 4.0),
        ("2½ buckets", 20.0),
        ("2 boxes", 4.0),
        ("3 kg", 3.0),
        ("5 lb", 2.26796185),
    ],
)
def test_masses_in_own_measures(text: str, kg: float) -> None:
    assert mass_in(text, ALL) == pytest.approx(kg)


def test_volumes_in_own_measures() -> None:
    assert volume_in("2 tubs", ALL) == 24.0
    assert volume_in("20 L", ALL) == 20.0


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("3 tubs", "have: a tub was given in litres, which says nothing of its weight; weigh one"),
        ("3 pails", 'have: "pails" is not a known unit; write 2.4 kg or 5 lb'),
        ("3", 'have: "3" needs a unit; write 2.4 kg or 5 lb, or count in buckets, tubs, boxes'),
        ("-1 bucket", 'have: "-1 bucket" is not one mass'),
        ("2 buckets 3 kg", 'have: "2 buckets 3 kg" is not one mass'),
    ],
)
def test_what_is_no_mass(text: str, message: str) -> None:
    with pytest.raises(InputError) as caught:
        mass_in(text, ALL, place="have")
    assert str(caught.value).startswith(message)


def test_a_bucket_of_one_thing_does_not_weigh_another() -> None:
    assert mass_in("2 buckets", ALL, of="pods") == 16.0
    with pytest.raises(InputError, match="weighed with pods, not with leaves; weigh one full"):
        mass_in("2 buckets", ALL, of="leaves")


def test_a_weighed_bucket_says_nothing_of_litres() -> None:
    with pytest.raises(InputError, match="a bucket was given by weight"):
        volume_in("2 buckets", ALL)


@pytest.mark.parametrize("text", ["bucket", "=8 kg", "bucket=", "bucket=8", "bucket=0 kg", "a=3 m"])
def test_what_is_no_container(text: str) -> None:
    with pytest.raises(InputError, match=r"write (bucket=8kg|8 kg, or 12 L)"):
        read_container(text)


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (7.0, 16.0, "1 to 2 buckets"),
        (7.9, 8.1, "1 bucket"),
        (1.0, 4.1, "½ bucket"),
        (20.0, 36.0, "2½ to 4½ buckets"),
        (40.0, 100.0, "5 to 12 buckets"),
        (0.0, 0.0, "0 buckets"),
    ],
)
def test_amounts_told_in_buckets(low: float, high: float, said: str) -> None:
    assert in_containers(low, high, [TUB, BUCKET]) == said


def test_no_container_fits() -> None:
    assert in_containers(1.0, 2.0, [TUB]) == ""
    assert in_containers(1.0, 2.0, [BUCKET], of="leaves") == ""
    assert in_containers(24.0, 24.0, ALL, kind="volume") == "2 tubs"
