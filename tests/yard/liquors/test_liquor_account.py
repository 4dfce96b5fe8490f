"""Litres, strength and material of liquors add up over cooks, joins, splits and pours."""

from __future__ import annotations

import uuid
from datetime import timedelta
from uuid import UUID

import pytest
from django.core.exceptions import PermissionDenied
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.yard.journal.models import Entry, Record
from tanwright.yard.journal.services import correct, open_record, restore, withdraw, write
from tanwright.yard.liquors import services
from tanwright.yard.liquors.account import JOINED, POURED, SPLIT, Happening, follow
from tanwright.yard.liquors.models import Liquor
from tanwright.yard.liquors.queries import overdrawn_words
from tanwright.yard.people.models import Person
from tanwright.yard.stock import services as stock
from tanwright.yard.stock.models import Lot
from tanwright.yard.tannage.models import Tannage

OAK = "quercus-robur-bark"
NOW = timezone.now() - timedelta(days=20)
IDS = [uuid.UUID(int=n) for n in range(1, 5)]

litres = st.floats(min_value=0.01, max_value=300.0)
which = st.sampled_from(IDS)
events = st.lists(
    st.one_of(
        st.tuples(st.just("cooked"), which, which, litres),
        st.tuples(st.just("joined"), which, which, litres),
        st.tuples(st.just("joined all"), which, which, litres),
        st.tuples(st.just("split"), which, which, litres),
        st.tuples(st.just("poured"), which, which, litres),
        st.tuples(st.just("thrown"), which, which, litres),
        st.tuples(st.just("strength"), which, which, litres),
    ),
    max_size=25,
)


def happenings(told: list[tuple[str, UUID, UUID, float]]) -> list[Happening]:
    found = []
    for n, (what, one, other, amount) in enumerate(told):
        at = NOW + timedelta(hours=n)
        if what == "cooked":
            data = {
                "volume_l": amount,
                "materials": {OAK: amount / 4.0},
                "expected": {"low": 5.0, "likely": 9.0, "high": 15.0, "volume_l": amount},
            }
            found.append(Happening(at, "liquor.cooked", data, one))
        elif what == "poured":
            found.append(
                Happening(at, "tannage.strengthened", {"litres": amount}, None, one, POURED)
            )
        elif what == "thrown":
            found.append(Happening(at, "liquor.thrown", {"litres": amount}, one))
        elif what == "strength":
            found.append(Happening(at, "liquor.strength", {"bk": amount / 10.0}, one))
        elif one != other:
            kind = "liquor.split" if what == "split" else "liquor.joined"
            data = {} if what == "joined all" else {"litres": amount}
            role = SPLIT if what == "split" else JOINED
            found.append(Happening(at, kind, data, one, other, role))
    return found


@given(events)
def test_litres_add_up(told: list[tuple[str, UUID, UUID, float]]) -> None:
    tubs = follow(happenings(told))
    cooked = sum(amount for what, _, _, amount in told if what == "cooked")
    left = sum(tub.raw_l for tub in tubs.values() if tub.raw_l is not None)
    gone = sum(tub.poured_l + tub.thrown_l for tub in tubs.values() if tub.raw_l is not None)
    # What was taken of a tub that nothing was ever put into was never reckoned.
    unknown = sum(
        amount
        for n, (what, one, other, amount) in enumerate(told)
        if what in ("joined", "split")
        and one != other
        and follow(happenings(told[: n + 1]))[other].raw_l is None
    )
    early = sum(
        amount
        for n, (what, one, _, amount) in enumerate(told)
        if what in ("poured", "thrown")
        and follow(happenings(told[: n + 1]))[one].raw_l is None
        and tubs[one].raw_l is not None
    )
    assert left + gone - early == pytest.approx(cooked + unknown, abs=1e-6)


@given(events)
def test_material_is_never_made_by_mixing_and_strength_stays_in_bounds(
    told: list[tuple[str, UUID, UUID, float]],
) -> None:
    tubs = follow(happenings(told))
    cooked = sum(amount / 4.0 for what, _, _, amount in told if what == "cooked")
    held = sum(sum(tub.materials.values()) for tub in tubs.values())
    assert -1e-9 <= held <= cooked + 1e-6
    if not any(what in ("poured", "thrown", "strength") for what, _, _, _ in told):
        drained = any(tub.over_l > 0.0 for tub in tubs.values())
        if not drained:
            assert held == pytest.approx(cooked, abs=1e-6)
    read = [amount / 10.0 for what, _, _, amount in told if what == "strength"]
    for tub in tubs.values():
        assert (tub.volume_l or 0.0) >= 0.0
        assert tub.bk is None or min(read) - 1e-9 <= tub.bk <= max(read) + 1e-9
        assert all(kg >= -1e-12 for kg in tub.materials.values())


@pytest.fixture
def lot(keeper: Person) -> Lot:
    return stock.new_lot(keeper, OAK, kg=20.0, happened_at=NOW)


@pytest.fixture
def strong(keeper: Person, lot: Lot) -> Liquor:
    liquor = services.cook(
        keeper, {lot: 4.0}, 20.0, volume_l=12.0, where="blue barrel", happened_at=NOW
    )
    services.read_strength(liquor, 20.0, "bk", keeper, happened_at=NOW + timedelta(days=1))
    return liquor


@pytest.fixture
def weak(keeper: Person, lot: Lot) -> Liquor:
    liquor = services.cook(keeper, {lot: 1.0}, 10.0, volume_l=8.0, happened_at=NOW)
    services.read_strength(liquor, 5.0, "bk", keeper, happened_at=NOW + timedelta(days=1))
    return liquor


@pytest.mark.django_db
def test_a_cook_says_what_it_should_give(keeper: Person, lot: Lot) -> None:
    liquor = services.cook(keeper, {lot: 4.0}, 20.0, temperature_c=80.0, hours=3.0)
    assert liquor.strength_bk is None
    assert liquor.expected_low_bk is not None
    assert liquor.expected_bk is not None
    assert liquor.expected_high_bk is not None
    assert 2.0 < liquor.expected_low_bk < liquor.expected_bk < liquor.expected_high_bk < 40.0
    assert liquor.volume_l is not None
    assert 10.0 < liquor.volume_l < 15.0
    assert liquor.materials == {OAK: 4.0}
    lot.refresh_from_db()
    assert lot.left_kg == 16.0


@pytest.mark.django_db
def test_joined_liquors_mix_by_volume_and_join_their_materials(
    strong: Liquor, weak: Liquor, keeper: Person
) -> None:
    services.join(weak, strong, keeper, litres=4.0)
    assert weak.volume_l == 12.0
    assert strong.volume_l == 8.0
    assert weak.strength_bk == pytest.approx((8.0 * 5.0 + 4.0 * 20.0) / 12.0)
    assert weak.strength_how == "mixed"
    assert weak.materials[OAK] == pytest.approx(1.0 + 4.0 / 3.0)
    assert strong.materials[OAK] == pytest.approx(4.0 * 2.0 / 3.0)
    services.join(weak, strong, keeper)
    assert (strong.volume_l, strong.state) == (0.0, Liquor.State.GONE)
    assert weak.volume_l == 20.0
    assert weak.materials[OAK] == pytest.approx(5.0)


@pytest.mark.django_db
def test_a_corrected_reading_reaches_what_was_mixed_from_it(
    strong: Liquor, weak: Liquor, keeper: Person
) -> None:
    services.join(weak, strong, keeper, litres=4.0)
    part = services.split(weak, 3.0, keeper, where="jug")
    reading = Entry.objects.get(record=strong, kind="liquor.strength")
    better = correct(
        reading,
        id=uuid.uuid4(),
        data={"value": 32.0, "scale": "bk"},
        happened_at=reading.happened_at,
        by=keeper,
    ).entry
    part.refresh_from_db()
    assert part.strength_bk == pytest.approx((8.0 * 5.0 + 4.0 * 32.0) / 12.0)
    assert part.where == "jug"
    withdraw(better, keeper)
    part.refresh_from_db()
    assert part.strength_bk is None
    assert part.expected_bk is not None
    better.refresh_from_db()
    restore(better, keeper)
    part.refresh_from_db()
    assert part.strength_bk == pytest.approx(14.0)


@pytest.mark.django_db
def test_withdrawing_a_join_brings_both_back_exactly(
    strong: Liquor, weak: Liquor, keeper: Person
) -> None:
    before = [(x.volume_l, x.strength_bk, x.materials) for x in (strong, weak)]
    entry = services.join(weak, strong, keeper).entry
    withdraw(entry, keeper)
    for x in (strong, weak):
        x.refresh_from_db()
    assert [(x.volume_l, x.strength_bk, x.materials) for x in (strong, weak)] == before


@pytest.mark.django_db
def test_pours_into_a_vat_are_counted_and_overdrawing_is_told(
    strong: Liquor, keeper: Person
) -> None:
    vat = open_record(Record, Record.Kind.LIQUOR, keeper)
    for amount in (5.0, 9.0):
        write(
            id=uuid.uuid4(), record=vat, kind="liquor.note", data={}, happened_at=timezone.now(),
            by=keeper,
        )  # fmt: skip
        entry = Entry.objects.filter(record=vat).latest("written_at")
        Entry.objects.filter(pk=entry.pk).update(data={"litres": amount})
        entry.touches.create(record=strong, role=POURED)
    from tanwright.yard.liquors.folding import fold

    fold(strong.pk)
    strong.refresh_from_db()
    assert (strong.volume_l, strong.over_l, strong.state) == (0.0, 2.0, Liquor.State.GONE)
    assert "2 L more was taken" in overdrawn_words(strong, "metric")
    services.log(strong, "liquor.measured", {"litres": 1.0}, keeper)
    assert (strong.volume_l, strong.over_l, strong.state) == (1.0, 0.0, Liquor.State.KEPT)


@pytest.mark.django_db
def test_cooked_in_an_older_liquor(strong: Liquor, lot: Lot, keeper: Person) -> None:
    alone = services.cook(keeper, {lot: 2.0}, 10.0)
    richer = services.cook(keeper, {lot: 2.0}, 0.0, in_liquor=strong, in_litres=10.0)
    strong.refresh_from_db()
    assert strong.volume_l == 2.0
    assert richer.expected_bk == pytest.approx((alone.expected_bk or 0.0) + 20.0)
    assert richer.materials[OAK] == pytest.approx(2.0 + 4.0 * 10.0 / 12.0)


@pytest.mark.django_db
def test_kept_from_a_vat(keeper: Person) -> None:
    vat = open_record(Tannage, Record.Kind.TANNAGE, keeper)
    liquor = services.keep_from_vat(
        vat, 30.0, keeper, strength_bk=6.0, materials={OAK: 2.0}, where="old barrel"
    )
    again = services.keep_from_vat(vat, 30.0, keeper, id=liquor.pk, strength_bk=6.0)
    assert again.pk == liquor.pk
    assert (liquor.volume_l, liquor.strength_bk, liquor.where) == (30.0, 6.0, "old barrel")
    assert Entry.objects.filter(record=liquor).count() == 1


@pytest.mark.django_db
def test_spent_thinned_thrown_and_used_up(strong: Liquor, keeper: Person, helper: Person) -> None:
    services.log(strong, "liquor.thinned", {"litres": 12.0}, helper)
    assert strong.volume_l == 24.0
    assert strong.strength_bk == pytest.approx(10.0)
    services.log(strong, "liquor.spent", {}, helper)
    assert strong.state == Liquor.State.SPENT
    services.log(strong, "liquor.thrown", {"litres": 20.0}, helper)
    assert strong.volume_l == 4.0
    services.log(strong, "liquor.used_up", {}, helper)
    assert (strong.volume_l, strong.state) == (0.0, Liquor.State.GONE)


@pytest.mark.django_db
def test_a_warm_reading_is_corrected_with_the_yards_hydrometer(
    strong: Liquor, keeper: Person
) -> None:
    services.set_tools(keeper, instrument="hydrometer", scale="sg", calibrated_at_c=20.0)
    services.read_strength(strong, 1.012, "sg", keeper, liquor_c=35.0)
    assert strong.strength_bk is not None
    assert 15.0 < strong.strength_bk < 18.0
    assert strong.liquor_c == 35.0
    assert services.tool_table() == {
        "strength": "hydrometer",
        "scale": "sg",
        "calibrated_at": "20 C",
        "litre_scale": False,
    }


@pytest.mark.django_db
def test_a_look_narrows_what_is_expected_and_a_reading_wins(lot: Lot, keeper: Person) -> None:
    liquor = services.cook(keeper, {lot: 4.0}, 20.0)
    wide = (liquor.expected_high_bk or 0.0) - (liquor.expected_low_bk or 0.0)
    services.log(liquor, "liquor.look", {"look": "tea"}, keeper)
    assert liquor.expected_high_bk is not None
    assert liquor.expected_low_bk is not None
    assert liquor.expected_high_bk - liquor.expected_low_bk < wide
    services.read_strength(liquor, 9.0, "bk", keeper)
    services.log(liquor, "liquor.look", {"look": "coffee"}, keeper)
    assert liquor.strength_bk == 9.0


@pytest.mark.django_db
def test_who_may_do_what(strong: Liquor, lot: Lot, helper: Person) -> None:
    services.read_strength(strong, 19.0, "bk", helper)
    for forbidden in (
        lambda: services.cook(helper, {lot: 1.0}, 5.0),
        lambda: services.split(strong, 1.0, helper),
        lambda: services.keep_from_vat(strong, 1.0, helper),
        lambda: services.set_tools(helper, instrument="none"),
        lambda: services.change_liquor(strong, {"name": "mine"}, helper),
    ):
        with pytest.raises(PermissionDenied):
            forbidden()


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("kind", "data"),
    [
        ("liquor.strength", {"value": 500.0, "scale": "bk"}),
        ("liquor.strength", {"value": 12.0, "scale": "sg"}),
        ("liquor.strength", {"value": "12", "scale": "bk"}),
        ("liquor.strength", {"value": 12.0, "scale": "oechsle"}),
        ("liquor.strength", {"value": 12.0, "scale": "bk", "liquor_c": 300.0}),
        ("liquor.strength", {"value": float("inf"), "scale": "bk"}),
        ("liquor.look", {"look": "cheese"}),
        ("liquor.thinned", {}),
        ("liquor.measured", {"litres": -1.0}),
        ("liquor.cooked", {"lots": {}, "plants": {}, "water_l": 10.0}),
        ("liquor.cooked", {"lots": {"x": 1.0}, "plants": {"x": {"id": OAK}}, "water_l": 10.0}),
        (
            "liquor.cooked",
            {
                "lots": {str(uuid.UUID(int=1)): 5.0},
                "plants": {str(uuid.UUID(int=1)): {"id": OAK}},
                "water_l": 1.0,
            },
        ),
    ],
)
def test_what_cannot_be_is_refused(strong: Liquor, keeper: Person, kind: str, data: dict) -> None:
    with pytest.raises(InputError):
        services.log(strong, kind, data, keeper)


@pytest.mark.django_db
def test_a_liquor_is_not_joined_with_itself(strong: Liquor, lot: Lot, keeper: Person) -> None:
    with pytest.raises(InputError):
        services.join(strong, strong, keeper)
    with pytest.raises(InputError):
        services.cook(keeper, {lot: 1.0}, 5.0, into=strong, in_liquor=strong)
