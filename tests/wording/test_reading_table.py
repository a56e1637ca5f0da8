"""Readings as the table of a page tells them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sample_forecasts import moment, sample_forecast, sample_tank

from watervane.records import Reading, ReadingValue
from watervane.units import parse_reading
from watervane.wording.tables import reading_table


def told(value: ReadingValue, diluted: float = 1.0, quantity: str = "ammonia") -> str:
    reading = Reading(moment(5), quantity, value, diluted=diluted)
    tank = replace(sample_tank(), readings=(reading,))
    (row,) = reading_table(tank, sample_forecast()).rows
    return row[2]


def test_a_reading_stands_as_it_was_written() -> None:
    assert told(parse_reading("0.7 mg/L as N", "ammonia")) == "0.7 mg/L as N"
    assert told(ReadingValue("exact", 0.7, 0.7, "n")) == "0.7 mg/L as N"


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("0.7 mg/L as N", "2.8 mg/L as N"),
        ("> 5 mg/L as N", "> 20 mg/L as N"),
        ("< 0.3 mg/L as N", "< 1.2 mg/L as N"),
        ("0.3..0.7 mg/L as N", "1.2..2.8 mg/L as N"),
        ("~1.5 mg/L as N", "~6 mg/L as N"),
        ("1.5 mg/L", "6 mg/L"),
    ],
)
def test_a_thinned_sample_is_multiplied_and_says_what_the_kit_showed(
    written: str, value: str
) -> None:
    text = told(parse_reading(written, "ammonia"), diluted=4.0)
    assert text == f"{value} (sample thinned 4 times; the kit showed {written})"


def test_hardness_by_drops_is_multiplied_too() -> None:
    assert told(parse_reading("3 dKH", "kh"), 2.0, "kh").startswith("6 dKH (sample thinned 2 times")
