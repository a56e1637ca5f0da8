"""Formulas, trade words and dates in other orders lead to what the file knows."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watervane.exchange import TankFileErrors, parse_tank_text
from watervane.exchange.event_vocabulary import EVENT_KINDS
from watervane.exchange.meant import MEANT, date_part, meant_date, meant_word
from watervane.exchange.problems import nearest
from watervane.exchange.tank_reader import read_tank_file_with_remarks
from watervane.records import QUANTITY_UNITS, Finding

HEAD = 'format = "watervane-tank/1"\ntank = { name = "A", filled = 2026-02-01 }\n'
NEAR = {
    "NO2": "nitrite",
    "no2-": "nitrite",
    "NO\N{SUBSCRIPT TWO}": "nitrite",
    "NO3": "nitrate",
    "NO3-N": "nitrate",
    "NH3": "ammonia",
    "NH4": "ammonia",
    "NH4+": "ammonia",
    "TAN": "ammonia",
    "NH3/NH4": "ammonia",
    "PO4": "phosphate",
    "O2": "oxygen",
}


def problems(text: str) -> list[Finding]:
    with pytest.raises(TankFileErrors) as caught:
        parse_tank_text(text)
    return list(caught.value.problems)


@pytest.mark.parametrize(("written", "near"), NEAR.items())
def test_a_formula_as_quantity_leads_to_the_name(written: str, near: str) -> None:
    told = f'[[reading]]\nat = 2026-02-03\nquantity = "{written}"\nvalue = "1 mg/L"\n'
    (problem,) = problems(HEAD + told)
    assert (problem.key, problem.arguments["near"]) == ("not-choice-near", near)


@pytest.mark.parametrize(("written", "near"), [("NO2", "nitrite"), ("NH4", "ammonia")])
def test_a_formula_as_key_of_a_kit_leads_to_the_name(written: str, near: str) -> None:
    (problem,) = problems(f'{HEAD}[kits.drop]\n{written} = {{ unit = "mg/L" }}\n')
    assert (problem.key, problem.arguments["near"]) == ("unknown-key-near", near)


@pytest.mark.parametrize(
    ("kind", "near"),
    [("water-change", "fraction"), ("media-moved", "fraction"), ("top-off", "volume")],
)
def test_an_amount_leads_to_what_the_event_measures(kind: str, near: str) -> None:
    found = problems(f'{HEAD}[[event]]\nat = 2026-02-03\nkind = "{kind}"\namount = 0.3\n')
    (problem,) = [p for p in found if p.key == "unknown-key-near"]
    assert problem.arguments["near"] == near


def test_a_word_that_is_known_where_it_stands_is_never_led_away() -> None:
    assert meant_word("amount", ("mass", "protein")) is None
    assert nearest("co2", QUANTITY_UNITS) == "co2"
    assert not MEANT.keys() & QUANTITY_UNITS.keys()


def test_quantities_meant_are_quantities() -> None:
    told = {first for first, *_ in MEANT.values()} - {"fraction", "reading"}
    assert told <= QUANTITY_UNITS.keys() | EVENT_KINDS.keys()
    assert not MEANT.keys() & {kind.replace("-", "") for kind in EVENT_KINDS}


@pytest.mark.parametrize(
    "written",
    ["20/02/2026", "20.02.2026", "20-02-2026", "2/20/2026", "2026/2/20", "20 Feb 2026",
     "20. february 2026", "Feb 20, 2026", "February 20 2026", "20/02/2026 18:00"],
)  # fmt: skip
def test_a_date_in_another_order_is_told_as_it_should_stand(written: str) -> None:
    (problem,) = problems(HEAD.replace("2026-02-01", written))
    assert (problem.key, problem.line) == ("syntax-date-order-near", 2)
    assert problem.arguments["near"] == "2026-02-20"


@pytest.mark.parametrize("written", ["03/04/2026", "20/02/26", "31/02/2026"])
def test_a_date_of_two_readings_or_none_is_not_guessed(written: str) -> None:
    (problem,) = problems(HEAD.replace("2026-02-01", written))
    assert problem.key == "syntax-date-order"
    assert problem.arguments["value"] == written


def test_what_is_no_date_is_told_as_before() -> None:
    for written in ("57 L", "may it be", "1/2 L", "March"):
        assert date_part(written) == ""
    assert problems(HEAD.replace("2026-02-01", "57 L"))[0].key == "syntax-quotes"
    assert problems(HEAD.replace("2026-02-01", "2026-02-30"))[0].key == "syntax-date"


@given(st.dates(date(1000, 1, 1), date(9999, 12, 31)), st.sampled_from("-/."))
def test_a_date_with_its_year_first_is_that_day(day: date, sign: str) -> None:
    assert meant_date(f"{day.year}{sign}{day.month}{sign}{day.day}") == day


@given(st.dates(date(1000, 1, 1), date(9999, 12, 31)))
def test_a_guess_is_one_of_the_two_readings(day: date) -> None:
    guess = meant_date(f"{day.day:02}/{day.month:02}/{day.year}")
    assert guess == (day if day.day > 12 or day.day == day.month else None)


KINDS = {
    "fish-in": "animals-in",
    "waterchange": "water-change",
    "WC": "water-change",
    "death": "died",
    "power cut": "outage",
    "top up": "top-off",
    "meds": "treatment",
    "feeding": "feed",
}


@pytest.mark.parametrize(("written", "near"), KINDS.items())
def test_what_keepers_call_an_event_leads_to_its_kind(written: str, near: str) -> None:
    found = problems(f'{HEAD}[[event]]\nat = 2026-02-03\nkind = "{written}"\n')
    (problem,) = [p for p in found if p.key.startswith("kind-unknown")]
    assert (problem.key, problem.arguments["near"]) == ("kind-unknown-near", near)


def test_mistakes_inside_an_event_of_a_kind_nobody_knows_are_told_at_once() -> None:
    text = (
        f'{HEAD}[[event]]\nat = 2026-02-03\nkind = "fish-in"\nspecies = "guppy"\ncuont = 3\n'
        '[[event]]\nat = "yesterday"\nkind = "dance"\nsteps = 3\n'
        '[[event]]\nat = 2026-02-04\nkind = "wc"\nfraction = 2\n'
    )
    assert [(p.line, p.key) for p in problems(text)] == [
        (5, "kind-unknown-near"),
        (7, "unknown-key-near"),
        (9, "moment-wanted"),
        (10, "kind-unknown"),
        (14, "kind-unknown-near"),
        (15, "number-out-open"),
    ]


def test_the_value_of_a_quantity_that_was_meant_is_read_too() -> None:
    told = '[[reading]]\nat = 2026-02-03\nquantity = "NO2"\nvalue = "1 mgg/L"\n'
    assert [p.key for p in problems(HEAD + told)] == ["not-choice-near", "unit.unknown"]


@pytest.mark.parametrize(("written", "near"), [("gupies", "guppy"), ("neon tetre", "neon tetra")])
def test_an_animal_much_like_a_known_one_is_asked_about(written: str, near: str) -> None:
    text = (
        f'{HEAD}[[event]]\nat = 2026-02-03\nkind = "animals-in"\nspecies = "{written}"\ncount = 2\n'
    )
    (told,) = [f for f in remarks(text) if f.key.startswith("species")]
    assert (told.key, told.arguments["near"]) == ("species-unknown-near", near)
    strange = text.replace(written, "Aphyocharax anisitsi")
    assert [f.key for f in remarks(strange) if f.key.startswith("species")] == ["species-unknown"]


def remarks(text: str) -> tuple[Finding, ...]:
    with TemporaryDirectory() as folder:
        file = Path(folder) / "a.tank.toml"
        file.write_text(text, encoding="utf-8")
        return read_tank_file_with_remarks(file)[1]
