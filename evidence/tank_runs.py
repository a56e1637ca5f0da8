"""Fit many simulated tanks and keep what was found."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path

from evidence.keeping import Kept, digest
from evidence.resting import rests_on
from evidence.simulated_tanks import Case, Found, look_for

MEMBERS = 500
OTHERS = ("one step", "wild keeper", "kits a fifth high")
CURVE_DAYS, FEW, MANY = (4, 8, 16, 20, 28), 40, 100
CASES = (
    Case("ours", seeded=False, count=600),
    Case("ours", seeded=True, count=400),
    *(Case(structure, seeded=False, count=300) for structure in OTHERS),
    Case("one step", seeded=False, count=MANY, until=20),
    *(Case("ours", seeded=s, count=FEW, until=day) for day in CURVE_DAYS for s in (False, True)),
    Case("ours", seeded=True, count=FEW, until=24),
    *(Case("ours", seeded=False, count=MANY, until=24, restless=r) for r in (True, False)),
)
KEPT = Kept(
    "simulated_tanks",
    digest(rests_on(Path(__file__).with_name("simulated_tanks.py"))),
)


def run(*, anew: bool, workers: int) -> None:
    """Fit all truths that are not kept yet."""
    # In step, so that what is there after a while holds the same share of every case.
    shares = sorted(
        ((number + 0.5) / case.count, place, number)
        for place, case in enumerate(CASES)
        for number in range(case.count)
    )
    tasks = {_key(CASES[p], number): (CASES[p], number) for _, p, number in shares}
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
    calm = "" if case.restless else ", calm"
    return (
        f"{case.structure}, {kind}, until {case.until}{calm}, seed {case.seed}, "
        f"{number} of {case.count}"
    )


def _work(task: tuple[Case, int]) -> dict[str, object]:
    case, number = task
    return asdict(look_for(number, case, MEMBERS))
