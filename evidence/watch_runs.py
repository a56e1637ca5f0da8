"""Run the watch over honest logs and over logs with a drift, and keep what it said."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from evidence.keeping import OUT
from evidence.watch_logs import SETUPS, Slide, log_of
from watervane.advice.drift_test import drift_evidence
from watervane.advice.watched_kinds import EACH_PER_Y, FEWEST_LOOKS_PER_Y, FLOW, KINDS
from watervane.engine.watching import FLOW_NOISE, flow_evidence

HONEST, DRIFTING = 300, 120  # tank-years of each kind, kit and pace
KITS, PACES_D = ("drop", "strip"), (7, 14)
FACTORS = (1.0, 0.5, 0.3, 0.2, 0.15, 0.1, 0.05)
BEGINS = 8  # the reading from which a drift is there
SETTLING = 3  # readings that only tell the forecasts of the tank
SLIDES: Mapping[str, Sequence[Slide]] = {
    "nitrate-rising": tuple(Slide(by_week=each) for each in (1.0, 2.0, 4.0)),
    "kh-sliding": tuple(Slide(by_week=-each) for each in (0.5, 1.0, 2.0)),
    "ammonia-back": tuple(Slide(at_once=each) for each in (0.25, 0.5, 1.0)),
    "temperature-wanders": (Slide(at_once=-1.5), Slide(at_once=3.0), Slide(wander=2.0)),
    FLOW: tuple(Slide(by_week=-each) for each in (0.02, 0.05, 0.1)),
}
PATH = OUT / "watch.json"


def run() -> None:
    """Everything; some minutes."""
    rows = [
        _one(name, kit, pace)
        for name in KINDS
        for kit in (KITS if name != FLOW else ("jug",))
        for pace in (PACES_D if name != FLOW else (14, 30))
    ]
    OUT.mkdir(parents=True, exist_ok=True)
    PATH.write_text(json.dumps(rows, indent=1), encoding="utf-8")


def found() -> list[dict[str, Any]]:
    """What is kept."""
    return list(json.loads(PATH.read_text(encoding="utf-8")))


def base(pace_d: int) -> float:
    """The threshold at a factor of 1."""
    return float(max(365.25 / pace_d, FEWEST_LOOKS_PER_Y) / EACH_PER_Y)


def _one(name: str, kit: str, pace: int) -> dict[str, Any]:
    rng = np.random.default_rng([7, sorted(KINDS).index(name), len(kit), pace])
    honest = [_total(name, kit, pace, number, rng, None) for number in range(HONEST)]
    alarms = {
        str(factor): float(np.mean([_episodes(t, factor * base(pace)) for t in honest]))
        for factor in FACTORS
    }
    power = []
    for slide in SLIDES[name]:
        delays: dict[str, list[int]] = {str(factor): [] for factor in FACTORS}
        for number in range(DRIFTING):
            total = _total(name, kit, pace, number, rng, slide)
            for factor in FACTORS:
                hit = np.flatnonzero(total[BEGINS:] >= factor * base(pace))
                delays[str(factor)].append(int(hit[0]) + 1 if len(hit) else 999)
        size = slide.by_week or slide.at_once or slide.wander
        power.append({"slide": size, "sort": _sort(slide), "delays": delays})
    return {"kind": name, "kit": kit, "pace_d": pace, "alarms": alarms, "power": power}


def _sort(slide: Slide) -> str:
    return "slope" if slide.by_week else "jump" if slide.at_once else "wandering"


def _episodes(total: NDArray[np.float64], threshold: float) -> int:
    """Times the sum climbs over the threshold."""
    over = total[SETTLING:] >= threshold
    return int(over[0]) + int((over[1:] & ~over[:-1]).sum())


def _total(
    name: str, kit: str, pace: int, number: int, rng: np.random.Generator, slide: Slide | None
) -> NDArray[np.float64]:
    if name == FLOW:
        return _flow(pace, rng, slide)
    log = log_of(
        number % len(SETUPS),
        KINDS[name].quantity,
        kit=kit,
        every_d=pace,
        rng=rng,
        slide=slide,
        begins=BEGINS,
    )
    return drift_evidence(log, KINDS[name].shapes).total


def _flow(pace: int, rng: np.random.Generator, slide: Slide | None) -> NDArray[np.float64]:
    day = np.arange(0.0, 378.0, pace)
    logs = 6.0 + FLOW_NOISE * rng.standard_normal(len(day))
    if slide is not None:
        logs += slide.by_week * np.maximum(day - day[BEGINS] + rng.uniform(0.0, pace), 0.0) / 7.0
    return np.concatenate([[0.0], flow_evidence(day, logs)])


if __name__ == "__main__":
    run()
