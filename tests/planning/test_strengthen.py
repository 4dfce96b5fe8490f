"""Swap and top-up keep the balance and never use more than there is."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tanwright.errors import InputError
from tanwright.planning.strengthen import Liquor, ways

litres = st.floats(1.0, 500.0)


@given(litres, litres, st.floats(0.0, 40.0), st.floats(0.01, 0.99), st.floats(0.5, 60.0),
       st.one_of(st.none(), st.floats(0.0, 200.0)))  # fmt: skip
def test_every_way_balances_within_the_stock(
    vat_l: float, stock_l: float, from_bk: float, part: float, step: float, room_l: float | None
) -> None:
    vat, stock = Liquor(vat_l, from_bk), Liquor(stock_l, from_bk + step)
    to_bk = from_bk + part * step
    for way in ways(vat, to_bk, stock, room_l=room_l):
        assert 0.0 <= way.in_l <= stock_l + 1e-6
        assert 0.0 <= way.out_l <= vat_l + 1e-6
        assert way.stock_left_l == pytest.approx(stock_l - way.in_l, abs=1e-6)
        assert way.vat_l == pytest.approx(vat_l - way.out_l + way.in_l, abs=1e-6)
        solubles = (vat_l - way.out_l) * from_bk + way.in_l * stock.strength_bk
        assert way.reaches_bk * way.vat_l == pytest.approx(solubles, rel=1e-9, abs=1e-9)
        if way.enough:
            assert way.reaches_bk == pytest.approx(to_bk, rel=1e-6, abs=1e-6)
        else:
            assert from_bk < way.reaches_bk < to_bk + 1e-6
            assert way.in_l == stock_l
        if room_l is not None:
            assert way.vat_l <= vat_l + room_l + 1e-6


def test_a_swap_asks_for_less_of_the_stock_than_a_top_up() -> None:
    swap, mixed = ways(Liquor(60.0, 8.0), 14.0, Liquor(50.0, 35.0), room_l=5.0)
    _, top_up = ways(Liquor(60.0, 8.0), 14.0, Liquor(50.0, 35.0))
    assert swap.in_l < mixed.in_l < top_up.in_l


def test_water_thins_a_liquor() -> None:
    swap, top_up = ways(Liquor(60.0, 20.0), 15.0, Liquor(100.0, 0.0))
    assert swap.in_l == pytest.approx(15.0)
    assert top_up.in_l == pytest.approx(20.0)


def test_the_whole_vat_may_be_replaced_but_not_topped_up_to_the_stock_itself() -> None:
    swap, top_up = ways(Liquor(10.0, 8.0), 20.0, Liquor(30.0, 20.0))
    assert (swap.out_l, swap.in_l, swap.enough) == (10.0, 10.0, True)
    assert not top_up.enough
    assert top_up.reaches_bk == pytest.approx(17.0)


@pytest.mark.parametrize(
    ("from_bk", "to_bk", "with_bk", "message"),
    [
        (8.0, 40.0, 35.0, "cannot bring a vat from 8 to 40 °Bk; use a liquor stronger than 40"),
        (8.0, 4.0, 6.0, "cannot bring a vat from 8 to 4 °Bk; use a liquor weaker than 4"),
        (8.0, 8.0, 35.0, "the vat already stands at 8 °Bk"),
    ],
)
def test_what_no_amount_can_do(from_bk: float, to_bk: float, with_bk: float, message: str) -> None:
    with pytest.raises(InputError, match=message):
        ways(Liquor(60.0, from_bk), to_bk, Liquor(20.0, with_bk))
