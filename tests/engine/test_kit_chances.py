"""Chances of what a kit shows are those of the models that draw readings."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zlib import crc32

import numpy as np
import pytest

from watervane.engine.kit_chances import Witnesses, kit_chances
from watervane.engine.showable import showable
from watervane.inference.observation import Seen, draw, observation_models
from watervane.process.run import Course
from watervane.process.state import OUTPUT, OUTPUTS, TankState
from watervane.records import Kit, KitScale, Reading, ReadingValue, Tank

START = datetime(2026, 3, 1, 12, tzinfo=UTC)
COUNT = 4000
KITS = {
    "drop": Kit(
        "drop",
        "drop",
        (
            KitScale("ammonia", (0.0, 0.3, 0.7, 1.5, 3.0), "n"),
            KitScale("nitrate", (0.0, 2.0, 5.0, 10.0, 25.0), "unknown"),
        ),
    ),
    "cell": Kit("cell", "photometer", (KitScale("nitrite", (), "n", 0.01, 0.6),)),
    "meter": Kit("meter", "probe", (KitScale("ph", resolution=0.1),)),
}
TANK = Tank(name="steady", filled=START.date(), kits=KITS)
RNG = np.random.default_rng(8)
LEVELS = {
    "ammonia_mg_n_per_l": 0.9 * np.exp(0.4 * RNG.standard_normal(COUNT)),
    "nitrite_mg_n_per_l": 0.2 * np.exp(0.4 * RNG.standard_normal(COUNT)),
    "nitrate_mg_n_per_l": 4.0 * np.exp(0.3 * RNG.standard_normal(COUNT)),
    "ph": 7.4 + 0.2 * RNG.standard_normal(COUNT),
}
NONE = TankState(*(np.zeros(0) for _ in TankState._fields))


def reading(day: int, value: float, quantity: str, kit: str | None, basis: str = "n") -> Reading:
    told = ReadingValue("exact", value, value, "none" if quantity == "ph" else basis)
    return Reading(START + timedelta(days=day), quantity, told, kit=kit)


def members() -> Witnesses:
    outputs = np.zeros((len(OUTPUTS), 12, COUNT))
    for name, levels in LEVELS.items():
        outputs[OUTPUT[name]] = levels
    course = Course(np.arange(12.0), outputs, np.zeros((0, 2, COUNT)), 0, NONE)
    return Witnesses(course, lambda r: (r.at - START).days, np.zeros((0, COUNT)), unknown)


def unknown(name: str) -> np.ndarray:
    return np.random.default_rng(crc32(name.encode())).standard_normal(COUNT)


def uniform() -> Callable[[str, int], np.ndarray]:
    rng = np.random.default_rng(12)
    return lambda stream, place: rng.random(COUNT)


@pytest.mark.parametrize(
    "one",
    [
        reading(9, 0.7, "ammonia", "drop"),
        reading(9, 0.7, "ammonia", None),
        reading(9, 5.0, "nitrate", "drop", "unknown"),
        reading(9, 0.12, "nitrite", "cell"),
        reading(9, 7.4, "ph", "meter"),
        reading(9, 7.4, "ph", "drop"),
    ],
)
def test_chances_are_how_often_the_model_draws_each_value(one: Reading) -> None:
    found = showable(TANK, one)
    (chances,) = kit_chances(TANK, [], [found], members())
    models = observation_models(TANK, [one])
    seen = Seen(members().course, np.array([9]))
    unknowns = {name: unknown(name) for model in models for name in model.names}
    drawn = draw(models, seen, unknowns, uniform())[0]
    edges = np.array([cell.low for cell in found.cells[:-1]][1:])
    cut = np.append(edges, np.inf)
    often = np.array([(np.searchsorted(edges, drawn) == i).mean() for i in range(len(cut))])
    if one.value.kind == "exact" and one.quantity == "ammonia" and one.kit == "drop":
        often = np.array([(drawn == value).mean() for value in found.values])
    assert chances[:-1].sum() == pytest.approx(1.0, abs=1e-6)
    gap = np.abs(np.cumsum(chances[:-1]) - np.cumsum(often)).max()
    assert gap < 4.0 * np.sqrt(0.25 / COUNT)


def test_a_value_that_can_be_shown_has_its_own_chance() -> None:
    one = showable(TANK, reading(9, 0.7, "ammonia", "drop"))
    (chances,) = kit_chances(TANK, [], [one], members())
    assert chances[-1] == pytest.approx(chances[2])


@pytest.mark.parametrize(("kit", "quantity"), [("drop", "nitrate"), ("meter", "ph")])
def test_readings_seen_before_tell_how_the_kit_is_read(kit: str, quantity: str) -> None:
    one = showable(TANK, reading(9, 5.0, quantity, kit, "unknown"))
    low = [reading(day, 1.13, "nitrate", "drop", "unknown") for day in range(1, 6)]
    told = kit_chances(TANK, low, [one], members())[0]
    blind = kit_chances(TANK, [], [one], members())[0]
    mean = [float((c[:-1] * one.values).sum()) for c in (told, blind)]
    if kit == "drop":  # the basis is learned: these kits show the nitrogen as a small ion value
        assert mean[0] < 0.9 * mean[1]
    else:  # another kit's readings tell nothing
        assert mean[0] == pytest.approx(mean[1])


def test_the_same_chances_whatever_is_asked_beside() -> None:
    first = showable(TANK, reading(9, 5.0, "nitrate", "drop", "unknown"))
    second = showable(TANK, replace(first.reading, at=first.reading.at + timedelta(days=1)))
    used = [reading(3, 2.0, "nitrate", "drop", "unknown")]
    alone = kit_chances(TANK, used, [second], members())[0]
    beside = kit_chances(TANK, used, [first, second], members())[1]
    assert beside == pytest.approx(alone)
