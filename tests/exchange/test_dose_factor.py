"""What really went in by what is told of a dose, and the strength told in a name."""

from __future__ import annotations

import pytest

from watervane.exchange import TankFileErrors, parse_tank_text, write_tank_file
from watervane.records import Dose, Span

HEAD = 'format = "watervane-tank/1"\ntank = { name = "A", filled = 2026-03-01 }\n'
DOSE = '[[event]]\nat = 2026-03-02\nkind = "dose"\nsubstance = "ammonium chloride"\n'


def dose(more: str, substance: str = "ammonium chloride") -> Dose:
    (event,) = parse_tank_text(HEAD + DOSE.replace("ammonium chloride", substance) + more).events
    assert isinstance(event, Dose)
    return event


@pytest.mark.parametrize(
    ("told", "factor"),
    [("[0.5, 2.0]", Span(0.5, 2.0)), ("0.8", Span(0.8, 0.8)), ("[1, 1]", Span(1.0, 1.0))],
)
def test_a_number_or_a_range_is_read(told: str, factor: Span) -> None:
    found = dose(f'raise_by = "2 mg/L as N"\namount_factor = {told}\n')
    assert found.amount_factor == factor


def test_left_out_the_amount_is_taken_as_told() -> None:
    assert dose('raise_by = "2 mg/L as N"\n').amount_factor is None


@pytest.mark.parametrize("told", ["[0.5, 2.0]", "0.8"])
def test_it_is_written_back(told: str) -> None:
    first = parse_tank_text(f'{HEAD}{DOSE}amount = "2 g"\namount_factor = {told}\n')
    text = write_tank_file(first)
    assert f"amount_factor = {told}" in text
    (event,) = parse_tank_text(text).events
    assert isinstance(event, Dose)
    assert event.amount_factor == first.events[0].amount_factor


@pytest.mark.parametrize(
    ("told", "key"),
    [
        ("0", "number-out-open"),
        ("-1", "number-out-open"),
        ("[0, 2]", "number-out-open"),
        ("[2, 1]", "range-reversed"),
        ("[1]", "not-two-numbers"),
        ('"twice"', "not-number"),
        ("1000", "number-out-open"),
    ],
)
def test_an_impossible_factor_is_refused(told: str, key: str) -> None:
    with pytest.raises(TankFileErrors) as caught:
        dose(f'raise_by = "2 mg/L as N"\namount_factor = {told}\n')
    assert [problem.key for problem in caught.value.problems] == [key]


def test_a_told_strength_stays_in_the_name_even_where_it_is_the_usual_one() -> None:
    """Told, it is known; left out, its range widens the dose."""
    assert dose('amount = "2 mL"\n', "ammonia solution 9.5 %").substance.endswith("9.5 %")
    assert dose('amount = "2 mL"\n', "ammonia solution").substance == "ammonia solution"
