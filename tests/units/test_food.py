"""Amounts of food against a caller's own weighings."""

from __future__ import annotations

import pytest

from watervane.units import Span, UnitError, parse_food

AMOUNTS = {
    "pinch": Span(0.02, 0.08),
    "pellet": Span(0.01, 0.03),
    "wafer": Span(0.2, 0.6),
    "cube": Span(0.15, 0.45),
    "ml": Span(0.1, 0.6),
}


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("1 pinch", 0.02, 0.08),
        ("a pinch", 0.02, 0.08),
        ("2 pinches", 0.04, 0.16),
        ("2 pellets", 0.02, 0.06),
        ("0.5 wafer", 0.1, 0.3),
        ("½ wafer", 0.1, 0.3),
        ("1/2 wafer", 0.1, 0.3),
        ("1 cube", 0.15, 0.45),
        ("0.2 ml", 0.02, 0.12),
        ("0.03 g", 0.03, 0.03),
        ("30 mg", 0.03, 0.03),
        ("1..2 pinches", 0.02, 0.16),
        ("~1 pinch", 0.02, 0.08),
        ("0", 0.0, 0.0),
        ("0 g", 0.0, 0.0),
    ],
)
def test_amounts(text: str, low: float, high: float) -> None:
    span = parse_food(text, AMOUNTS)
    assert (span.low, span.high) == pytest.approx((low, high))


def test_a_keepers_own_weighing_replaces_the_table() -> None:
    own = {**AMOUNTS, "pinch": Span.exact(0.031)}
    assert parse_food("2 pinches", own) == Span(0.062, 0.062)


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("1 handful", "unit.unknown-food"),
        ("3", "unit.unknown-food"),
        ("-1 pinch", "unit.negative"),
        ("> 1 pinch", "unit.one-number"),
        ("pinch", "unit.not-a-quantity"),
        ("1e6 kg", "unit.out-of-range"),
        (1, "unit.plain-number"),
        ("9**9**9**9", "unit.not-a-quantity"),
    ],
)
def test_refusals(text: object, key: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse_food(text, AMOUNTS)
    assert caught.value.key == key, str(caught.value)
    assert key != "unit.unknown-food" or "cube, ml, pellet, pinch, wafer" in str(caught.value)
