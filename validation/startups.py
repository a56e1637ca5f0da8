"""Published start-up times beside the prior's start of an invented tank."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime

import numpy as np
from numpy.typing import NDArray

from validation.kept_logs import DATA
from watervane.engine.foretell import made
from watervane.records import AnimalsIn, Feed, Habit, Span, Tank

TABLE = DATA / "startup_milestones" / "startup_milestones.csv"
FILLED = date(2001, 1, 1)
HORIZON_DAYS = 120
AMMONIA_DOWN_MG_N_PER_L = 0.2
NITRITE_DOWN_MG_N_PER_L = 0.1
QUANTILES = (0.05, 0.5, 0.95)
STARTS = (
    "ammonia oxidation reaches",
    "nitrite oxidation reaches",
    "full nitrification",
    "complete nitrification",
    "order of events",
)


@dataclass(frozen=True)
class Start:
    """When the colonies of an unseeded tank have caught up, member by member.

    Infinite where it does not happen within the horizon. [d]
    """

    temperature_c: float
    ammonia_day: NDArray[np.float64]
    nitrite_day: NDArray[np.float64]
    ammonia_peak_first: float  # share of members

    @property
    def both_day(self) -> NDArray[np.float64]:
        """Day both are down. [d]"""
        return np.maximum(self.ammonia_day, self.nitrite_day)

    @property
    def lag_d(self) -> NDArray[np.float64]:
        """Nitrite behind ammonia, of members that get both down. [d]"""
        done = np.isfinite(self.both_day)
        return np.asarray(self.nitrite_day[done] - self.ammonia_day[done])


def invented_tank(temperature_c: float) -> Tank:
    """Sixty litres, six small fish, fed daily: invented for this comparison."""
    at = datetime(FILLED.year, FILLED.month, FILLED.day, 18, tzinfo=UTC)
    return Tank(
        name=f"Invented tank at {temperature_c:g} °C",
        filled=FILLED,
        volume_l=60.0,
        heater_set_point_c=temperature_c,
        room_temperature_c=min(temperature_c, 20.0),
        events=(AnimalsIn(at=at, species="Danio rerio", count=6, length_cm=3.0),),
        habits=(Habit(template=Feed(at=at, mass_g=Span(0.05, 0.07)), every_days=1, start=FILLED),),
    )


def start(temperature_c: float, members: int, seed: int) -> Start:
    """Run the invented tank from the prior."""
    tank = invented_tank(temperature_c)
    filled = datetime(FILLED.year, FILLED.month, FILLED.day, tzinfo=UTC)
    course = made(
        tank,
        as_of=filled,
        now=filled,
        horizon_days=HORIZON_DAYS,
        members=members,
        seed=seed,
        accuracy="sampling",
    ).course
    means = course.daily_means[:HORIZON_DAYS]
    peaks = means.argmax(axis=0)
    return Start(
        temperature_c,
        _down_for_good(means[:, 0], AMMONIA_DOWN_MG_N_PER_L),
        _down_for_good(means[:, 1], NITRITE_DOWN_MG_N_PER_L),
        float(np.mean(peaks[0] < peaks[1])),
    )


def _down_for_good(means: NDArray[np.float64], level: float) -> NDArray[np.float64]:
    """First day after the last one over a level; infinite where that is the horizon."""
    over = means >= level
    last = len(means) - 1 - over[::-1].argmax(axis=0)
    first_free = np.where(over.any(axis=0), last + 1.0, 0.0)
    return np.where(first_free >= len(means), np.inf, first_free)


@dataclass(frozen=True)
class Row:
    """A published milestone and what the model's prior says beside it."""

    published: str
    citation: str
    measured: str
    foretold: str
    verdict: str


def rows(starts: Sequence[Start]) -> list[Row]:
    """Published milestones that can be set beside an aquarium's start."""
    at = {s.temperature_c: s for s in starts}
    beside = (_beside(told, at) for told in _table())
    return [row for row in beside if row is not None]


def left_out() -> list[str]:
    """Published rows that no start of an aquarium can be set beside."""
    return [
        f"{row.published}: {row.measured} ({row.citation})"
        for told in _table()
        if not _is_start(told)
        for row in (_row(told, "", ""),)
    ]


def _is_start(told: dict[str, str]) -> bool:
    return told["milestone"].startswith(STARTS)


def _table() -> list[dict[str, str]]:
    with TABLE.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def _row(told: dict[str, str], foretold_text: str, verdict: str) -> Row:
    warm = told["temp_C"]
    warmth = f", {warm} °C" if warm and warm[0] in "0123456789>" else ""
    doi = f", doi:{told['doi']}" if told["doi"] else ""
    return Row(
        f"{told['system']}{warmth}: {told['milestone']}",
        f"{told['citation']}{doi}",
        f"{told['value']} {told['unit'].strip('-')}".strip(),
        foretold_text,
        verdict,
    )


def _beside(told: dict[str, str], at: dict[float, Start]) -> Row | None:
    if not _is_start(told):
        return None
    milestone, value = told["milestone"], told["value"]
    if milestone.startswith("ammonia oxidation reaches"):
        return _compared(told, at[20.0].ammonia_day, 20.0, float(value))
    if milestone.startswith("nitrite oxidation reaches"):
        return _compared(told, at[20.0].lag_d, 20.0, float(value))
    if milestone == "full nitrification":
        return _compared(told, at[13.0].both_day, 13.0, float(value.split()[-1]))
    if milestone == "complete nitrification":
        limit = float(value.split()[-1])
        share = float(np.mean(at[13.0].both_day < limit))
        verdict = "agrees" if share > 0.5 else "the prior is slower"
        return _row(told, f"{100.0 * share:.0f} % of members under {limit:g} d at 13 °C", verdict)
    share = at[13.0].ammonia_peak_first
    verdict = "agrees" if share > 0.9 else "differs"
    return _row(told, f"ammonia peaks before nitrite in {100.0 * share:.0f} % of members", verdict)


def _compared(
    told: dict[str, str], days: NDArray[np.float64], temperature_c: float, measured_d: float
) -> Row:
    ordered = np.sort(days)
    low, middle, high = (ordered[round(q * (len(ordered) - 1))] for q in QUANTILES)
    inside = "inside the 90 % range" if low <= measured_d <= high else "outside the 90 % range"
    return _row(
        told,
        f"{_days(middle)} ({_days(low)} to {_days(high)}) at {temperature_c:g} °C",
        inside,
    )


def _days(day: float) -> str:
    return f"over {HORIZON_DAYS} d" if not np.isfinite(day) else f"{day:.0f} d"
