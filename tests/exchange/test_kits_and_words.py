"""Kits with digits, probes, diluted samples and words without numbers, as a file tells them."""

from __future__ import annotations

from datetime import date

import pytest

from watervane.exchange import parse_tank_text
from watervane.records import KitScale

HEAD = 'format = "watervane-tank/1"\ntank = { name = "A", filled = 2026-03-01 }\n'


def scale(told: str, quantity: str = "ammonia") -> KitScale:
    tank = parse_tank_text(f"{HEAD}[kits.k]\n{quantity} = {{ {told} }}\n")
    (found,) = tank.kits["k"].scales
    return found


def test_numbers_of_a_scale_are_kept_in_the_canonical_unit() -> None:
    found = scale('resolution = "0.01", range_end = "3.28454", unit = "mg/L as NO2"', "nitrite")
    assert found.basis == "ion"
    assert found.range_end == pytest.approx(1.0, rel=1e-5)
    assert found.resolution == pytest.approx(0.01 / 3.28454, rel=1e-5)


def test_a_unit_alone_tells_the_basis() -> None:
    assert scale('unit = "mg/L as N"').basis == "n"
    assert scale("relative_error = 0.1").basis == "unknown"
    assert scale("relative_error = 0.1", "gh").basis == "none"


def test_numbers_may_carry_their_own_unit() -> None:
    assert scale('resolution = "1 dKH"', "kh").resolution == 1.0
    assert scale('error_floor = "0.3 degC"', "temperature").error_floor == pytest.approx(0.3)
    assert scale("resolution = 0.01", "ph").resolution == 0.01


def test_a_probe_tells_its_calibrations_in_order() -> None:
    text = '[kits.pen]\nkind = "probe"\ncalibrated = [2026-04-01, 2026-03-02]\n'
    pen = parse_tank_text(f'{HEAD}{text}response_time = "3 min"\n').kits["pen"]
    assert pen.calibrated == (date(2026, 3, 2), date(2026, 4, 1))
    assert pen.response_h == pytest.approx(0.05)


def test_a_diluted_reading_keeps_what_the_kit_showed() -> None:
    text = '[[reading]]\nat = 2026-03-02\nquantity = "nitrate"\nvalue = "10 mg/L as N"\n'
    (reading,) = parse_tank_text(f"{HEAD}{text}diluted = 4\n").readings
    assert (reading.value.low, reading.diluted) == (10.0, 4.0)


@pytest.mark.parametrize("said", ["fine", "not fine", "Not  fine"])
def test_a_word_on_the_water_has_no_number(said: str) -> None:
    text = f'[[reading]]\nat = 2026-03-02\nquantity = "water"\nvalue = "{said}"\n'
    (reading,) = parse_tank_text(HEAD + text).readings
    assert reading.value.kind == " ".join(said.lower().split())
    assert (reading.value.low, reading.value.high) == (None, None)


def test_a_binding_conditioner_has_a_name() -> None:
    text = '[[event]]\nat = 2026-03-02\nkind = "dose"\nsubstance = "ammonia-binding conditioner"\n'
    (dose,) = parse_tank_text(HEAD + text).events
    assert dose.substance == "ammonia binder"
