"""One reading by itself is weighed as the models of whole logs weigh it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import numpy as np
import pytest

from watervane.inference.observation import observation_models
from watervane.inference.observation.model import Seen
from watervane.inference.observed import DKH_PER_MEQ, output_of
from watervane.kits.chance import look
from watervane.kits.sizes import errors_of_kit
from watervane.process.run import Course
from watervane.process.state import OUTPUT
from watervane.records import Kit, KitScale, Reading, ReadingValue, Tank
from watervane.reference import value

AT = datetime(2026, 3, 9, 18, tzinfo=UTC)
LEVELS = np.geomspace(0.01, 9.0, 40)
STEPS = KitScale("ammonia", steps=(0.0, 0.3, 0.7, 1.5, 3.0, 6.0), basis="n")
PALE = KitScale("nitrite", steps=(0.1, 0.5, 2.0))
DIGITS = KitScale("nitrite", resolution=0.01, range_end=0.5, basis="n")
CASES = {
    "steps": ("ammonia", ReadingValue("exact", 0.7, 0.7, "n"), Kit("k", "drop", (STEPS,))),
    "between": ("ammonia", ReadingValue("range", 0.3, 0.7, "n"), Kit("k", "strip", (STEPS,))),
    "zero": ("ammonia", ReadingValue("exact", 0.0, 0.0, "n"), Kit("k", "drop", (STEPS,))),
    "pale": ("nitrite", ReadingValue("exact", 0.0, 0.0, "n"), Kit("k", "drop", (PALE,))),
    "digits": ("nitrite", ReadingValue("exact", 0.2, 0.2, "n"), Kit("k", "photometer", (DIGITS,))),
    "over": ("nitrite", ReadingValue("above", 0.5, None, "n"), Kit("k", "photometer", (DIGITS,))),
    "no kit": ("ammonia", ReadingValue("exact", 0.5, 0.5, "n"), None),
    "ion or not": ("ammonia", ReadingValue("exact", 0.5, 0.5, "unknown"), None),
    "under": ("ammonia", ReadingValue("below", None, 0.3, "n"), None),
    "ph": ("ph", ReadingValue("exact", 7.0, 7.0), None),
    "kh": ("kh", ReadingValue("exact", 5.0, 5.0), None),
    "kh by drops": ("kh", ReadingValue("exact", 5.0, 5.0), Kit("k", "drop")),
}


def _by_whole_log(reading: Reading, kit: Kit | None, bias: np.ndarray) -> np.ndarray:
    kits = {} if kit is None else {kit.name: kit}
    tank = Tank(name="t", filled=date(2026, 3, 1), volume_l=60.0, kits=kits)
    outputs = np.zeros((len(OUTPUT), 1, len(LEVELS)))
    unit = DKH_PER_MEQ if reading.quantity == "kh" else 1.0
    outputs[OUTPUT[output_of(reading.quantity)], 0] = LEVELS / unit
    blank = dict.fromkeys(Course.__dataclass_fields__)
    course = Course(**blank | {"outputs": outputs, "stops_d": np.array([8.75])})
    (model,) = observation_models(tank, (reading,))
    seen = Seen(course, np.array([0]))
    return np.exp(model.log_likelihood(seen, dict.fromkeys(model.names, bias)))[0]


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("diluted", [1.0, 4.0])
def test_it_agrees_with_the_model_of_a_log(case: str, diluted: float) -> None:
    quantity, value, kit = CASES[case]
    if diluted > 1.0 and quantity == "ph":
        return  # nobody dilutes for it
    reading = Reading(AT, quantity, value, kit=None if kit is None else kit.name, diluted=diluted)
    bias = np.linspace(-2.0, 2.0, len(LEVELS))
    ours = look(reading, kit).chance(LEVELS, bias)
    assert ours == pytest.approx(_by_whole_log(reading, kit, bias), rel=1e-9, abs=1e-11)


def test_a_stray_reading_falls_on_any_step_alike() -> None:
    quantity, value, kit = CASES["steps"]
    reading = Reading(AT, quantity, value, kit="k")
    told = [
        look(replace(reading, value=ReadingValue("exact", s, s, "n")), kit).stray
        for s in STEPS.steps
    ]
    assert told == pytest.approx([1 / 6] * 6)


def test_drops_that_are_counted_tell_kh_better_than_colours_do() -> None:
    by_drops = errors_of_kit(Kit("k", "drop"), "kh")
    assert by_drops.relative == value("counted_relative_error").value < 0.1
    assert by_drops.bias_log_sd == value("counted_bias_log_sd").value
    for other in (None, Kit("k", "strip")):  # nobody says how it was read, or by a card
        assert errors_of_kit(other, "kh").relative > 2.0 * by_drops.relative
    colours = errors_of_kit(Kit("k", "drop"), "nitrate")
    assert colours.relative == value("drop_relative_error").value
    told = Kit("k", "drop", (KitScale("kh", relative_error=0.2),))
    assert errors_of_kit(told, "kh").relative == 0.2
