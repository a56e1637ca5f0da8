"""Fit many simulated tanks, two at a time, and keep what was found."""

from __future__ import annotations

import json
import multiprocessing
from collections.abc import Iterator, Mapping
from dataclasses import asdict
from pathlib import Path

from evidence.simulated_tanks import Case, Found, look_for

KEPT = Path("out") / "evidence" / "simulated_tanks.jsonl"
WORKERS = 2
CASES = (
    Case("ours", seeded=False, count=200),
    Case("ours", seeded=True, count=100),
    Case("one step", seeded=False, count=100),
    Case("wild keeper", seeded=False, count=100),
    Case("kits a fifth high", seeded=False, count=100),
)


def run(cases: tuple[Case, ...], members: int, *, anew: bool = False) -> None:
    """Fit all truths that are not kept yet; what is found is written at once.

    Parameters
    ----------
    cases
        Which truths.
    members
        Of each fit.
    anew
        Forget what was kept.
    """
    KEPT.parent.mkdir(parents=True, exist_ok=True)
    if anew:
        KEPT.unlink(missing_ok=True)
    done = {(case, number) for case, number, _ in kept()}
    most = max(case.count for case in cases)
    # In turn, so that what is there after a while holds something of every case.
    todo = [
        (case, number, members)
        for number in range(most)
        for case in cases
        if number < case.count and (case, number) not in done
    ]
    context = multiprocessing.get_context("spawn")  # a fork after JAX has started would hang
    with context.Pool(WORKERS) as pool, KEPT.open("a", encoding="utf-8") as file:
        for case, number, found in pool.imap_unordered(_work, todo):
            row = {"case": asdict(case), "number": number, "found": asdict(found)}
            file.write(json.dumps(row) + "\n")
            file.flush()


def kept() -> Iterator[tuple[Case, int, Found]]:
    """What was found so far."""
    if not KEPT.exists():
        return
    for line in KEPT.read_text(encoding="utf-8").splitlines():
        row: Mapping[str, dict[str, object]] = json.loads(line)
        yield Case(**row["case"]), int(str(row["number"])), Found(**row["found"])  # type: ignore[arg-type]


def _work(task: tuple[Case, int, int]) -> tuple[Case, int, Found]:
    case, number, members = task
    return case, number, look_for(number, case, members)
