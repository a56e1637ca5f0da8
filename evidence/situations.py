"""Keepers' situations in figures: the verdict and first step beside a competent keeper's."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from evidence.keeping import SHIPPED, Kept, digest
from evidence.resting import rests_on
from watervane.engine.futures import stand
from watervane.engine.today import today_of
from watervane.exchange import quick_tank
from watervane.records import Act, AnimalsIn
from watervane.wording import short_act

FILE = Path(__file__).with_name("situations.toml")
NOW = datetime(2026, 6, 1, 18, tzinfo=UTC)
MEMBERS = 1000
TWO_DAYS = 2.0


@cache
def situations() -> Sequence[Mapping[str, Any]]:
    """As written in the file."""
    found: list[Mapping[str, Any]] = tomllib.loads(FILE.read_text(encoding="utf-8"))["situation"]
    return found


def _told() -> bytes:
    """What is put in; how it is judged afterwards changes no run."""
    names = ("id", "readings", "animals", "volume", "days")
    return repr([[each[name] for name in names] for each in situations()]).encode()


KEPT = Kept(
    "situations",
    sha256(digest(rests_on(Path(__file__))).encode() + _told()).hexdigest()[:12],
    SHIPPED,
)


def run(*, anew: bool, workers: int) -> None:
    """Judge what is not kept yet."""
    tasks = {str(each["id"]): str(each["id"]) for each in situations()}
    KEPT.complete(tasks, judged, anew=anew, workers=workers)


def judged(name: str) -> dict[str, object]:
    """The day of one situation, and what its chosen acts leave of acute hours."""
    told = next(each for each in situations() if each["id"] == name)
    tank, _ = quick_tank(NOW, told["readings"], told["animals"], told["volume"], told["days"])
    if not told["animals"]:  # the quick tank takes it that some are there, whatever they are
        others = tuple(e for e in tank.events if not isinstance(e, AnimalsIn))
        tank = replace(tank, events=others)
    standing = stand(tank, as_of=NOW, members=MEMBERS, threads=1, now=NOW)
    day = today_of(standing, seed=1)
    chosen, planned = day.chosen, day.planned
    return {
        "key": day.verdict.key,
        "subject": day.verdict.leading.subject if day.verdict.leading else "",
        "chance": day.verdict.leading.soon if day.verdict.leading else 0.0,
        "kinds": [act.kind for act in chosen.acts] if chosen else [],
        "steps": [short_act(act) for act in chosen.acts] if chosen else [],
        "share": new_within_two_days(chosen.acts) if chosen else 0.0,
        "acute": [planned.hours["acute"], chosen.hours["acute"]] if planned and chosen else [0, 0],
        "kept": list(day.good_enough),
        "health": day.diagnostics.health,
        "seconds": day.diagnostics.seconds,
    }


def new_within_two_days(acts: Iterable[Act]) -> float:
    """Share of the water that the changes of the first two days replace."""
    kept = 1.0
    for act in acts:
        if act.kind == "change":
            times = sum(k * act.every_days < TWO_DAYS for k in range(act.times))
            kept *= (1.0 - act.amount) ** times
    return 1.0 - kept
