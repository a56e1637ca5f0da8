"""Fit many simulated tanks and keep what was found."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path

from evidence.keeping import PACKAGE, Kept, digest
from evidence.simulated_tanks import Case, Found, look_for

FLOORS = ("inference", "forecast", "process", "chemistry", "engine")
MEMBERS = 500
CASES = (
    Case("ours", seeded=False, count=200),
    Case("ours", seeded=True, count=100),
    Case("one step", seeded=False, count=100),
    Case("wild keeper", seeded=False, count=100),
    Case("kits a fifth high", seeded=False, count=100),
)
KEPT = Kept(
    "simulated_tanks",
    digest([*(PACKAGE / f for f in FLOORS), Path(__file__).with_name("simulated_tanks.py")]),
)


def run(*, anew: bool, workers: int) -> None:
    """Fit all truths that are not kept yet."""
    most = max(case.count for case in CASES)
    # In turn, so that what is there after a while holds something of every case.
    tasks = {
        _key(case, number): (case, number)
        for number in range(most)
        for case in CASES
        if number < case.count
    }
    KEPT.complete(tasks, _work, anew=anew, workers=workers)


def kept() -> Iterator[tuple[Case, int, Found]]:
    """What was found so far."""
    found = KEPT.found()
    for case in CASES:
        for number in range(case.count):
            if (key := _key(case, number)) in found:
                yield case, number, Found(**found[key])


def _key(case: Case, number: int) -> str:
    kind = "seeded" if case.seeded else "unseeded"
    return f"{case.structure}, {kind}, seed {case.seed}, {number} of {case.count}"


def _work(task: tuple[Case, int]) -> dict[str, object]:
    case, number = task
    return asdict(look_for(number, case, MEMBERS))
