"""Kits, readings and water to test observation models on."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import numpy as np

from watervane.inference.observation import ObservationModel, Seen, observation_models
from watervane.process.noise import keyed_uniform
from watervane.process.run import Course
from watervane.process.state import OUTPUT, OUTPUTS, TankState
from watervane.records import Kit, KitScale, Reading, ReadingValue, Tank

FILLED = date(2026, 3, 1)
START = datetime(2026, 3, 1, tzinfo=UTC)
STEPS = (0.0, 0.3, 0.7, 1.5, 3.0, 6.0)
NO_STATE = TankState(*(np.zeros((1, 1)) for _ in TankState._fields))


def drop(quantity: str = "ammonia", basis: str = "n", steps: Sequence[float] = STEPS) -> Kit:
    return Kit("drop", "drop", (KitScale(quantity, tuple(steps), basis),))


def tank(kit: Kit, **told: object) -> Tank:
    return replace(Tank(name="a log", filled=FILLED, kits={kit.name: kit}), **told)


def read(
    value: float | None,
    day: float = 1.0,
    quantity: str = "ammonia",
    *,
    kind: str = "exact",
    basis: str = "n",
    kit: str | None = "drop",
    high: float | None = None,
    **told: object,
) -> Reading:
    low = None if kind == "below" else value
    top = None if kind == "above" else (value if high is None else high)
    return Reading(
        at=START + timedelta(days=day),
        quantity=quantity,
        value=ReadingValue(kind, low, top, basis),
        kit=kit,
        **told,
    )


def water(days: Sequence[float], levels: Mapping[str, object]) -> Course:
    """Water that held some outputs; each broadcasts to (stops, members)."""
    members = max((np.shape(v)[-1] if np.ndim(v) else 1) for v in levels.values())
    outputs = np.zeros((len(OUTPUTS), len(days), members))
    for name, level in levels.items():
        outputs[OUTPUT[name]] = level
    return Course(np.asarray(days, float), outputs, np.zeros((1, 2, members)), 0, NO_STATE)


def seen(readings: Sequence[Reading], levels: Mapping[str, object], **told: object) -> Seen:
    days = [(r.at - START).total_seconds() / 86400 for r in readings]
    return Seen(water(days, levels), np.arange(len(readings)), **told)


def only_model(kit: Kit, readings: Sequence[Reading], **told: object) -> ObservationModel:
    (model,) = observation_models(tank(kit, **told), readings)
    return model


def zeros(model: ObservationModel, members: int = 1) -> dict[str, np.ndarray]:
    return {name: np.zeros(members) for name in model.names}


def keyed(members: int, seed: int = 5) -> Callable[[str, int], np.ndarray]:
    """Uniform numbers as the models ask for them."""
    numbers = np.arange(members)
    return lambda stream, place: keyed_uniform(seed, numbers, place, stream)


def as_read(reading: Reading, shown: float, range_end: float | None = None) -> Reading:
    """The reading a keeper writes who sees a value; infinite means off the range."""
    if np.isinf(shown):
        value = ReadingValue("above", range_end, None, reading.value.basis)
    else:
        value = ReadingValue("exact", shown, shown, reading.value.basis)
    return replace(reading, value=value)


def chances_of(
    kit: Kit,
    reading: Reading,
    shown: Sequence[float],
    levels: Mapping[str, object],
    unknowns: Mapping[str, np.ndarray],
    range_end: float | None = None,
) -> np.ndarray:
    """Chance of each shown value, shape (values, members)."""
    found = []
    for value in shown:
        one = as_read(reading, value, range_end)
        model = only_model(kit, [one])
        at = seen([one], levels)
        found.append(np.exp(model.log_likelihood(at, {n: unknowns[n] for n in model.names}))[0])
    return np.array(found)


def chi_square(counts: np.ndarray, expected: np.ndarray) -> tuple[float, int]:
    """Statistic and degrees of freedom, rare values taken together."""
    rare = expected < 10.0
    counts = np.append(counts[~rare], counts[rare].sum())
    expected = np.append(expected[~rare], expected[rare].sum())
    kept = expected > 1e-6
    statistic = float(((counts[kept] - expected[kept]) ** 2 / expected[kept]).sum())
    return statistic, int(kept.sum()) - 1
