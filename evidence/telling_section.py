"""The next test: what the one named narrows, against others."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np

from evidence.keeping import Kept, digest
from evidence.resting import rests_on
from evidence.sections import RUN_IT, Section, table
from evidence.telling_tests import DAYS_AHEAD, LEAST_EFFECTIVE, READ_BACK_D, Narrowed, narrowed

TITLE = "Does the next test teach what it says?"
TANKS, MEMBERS = 200, 3000
CASES = tuple((until, seeded) for seeded in (False, True) for until in (8, 12, 16, 24))
KEPT = Kept(
    "telling_tests",
    digest(rests_on(Path(__file__).with_name("telling_tests.py"))),
)
OPENING = f"""\
The next test is chosen on tanks whose date of *settled* is known but not told, of all that a coarse
kit can test on the {DAYS_AHEAD} evenings to come, and then read off the tank itself. Tanks are
{TANKS} draws of the prior, of which those are looked at whose readings of ammonia and nitrite on
two evenings ({READ_BACK_D[1]} days before the last and on the last) leave at least
{LEAST_EFFECTIVE:.0f} effective of {MEMBERS:,} other draws. Days are the length of the 80 % range of
the date, on the mean over tanks and over what the kit could show of each; *by lot* is a test drawn
from the same list, *same evening* another quantity on the evening of the one chosen. *True date,
bit* is by how much the chance given to the true date rose, in powers of two, by the test chosen
and by one drawn by lot. Behind ± stands one standard error."""


def run(*, anew: bool, workers: int) -> None:
    """Draw and look, case by case."""
    tasks = {_key(until, seeded=seeded): (until, seeded) for until, seeded in CASES}
    KEPT.complete(tasks, look, anew=anew, workers=workers)


def look(task: tuple[int, bool]) -> dict[str, object]:
    """Choose tests for the tanks of one case."""
    until, seeded = task
    found = narrowed(TANKS, MEMBERS, until=until, seeded=seeded)
    return {name: np.round(values, 4).tolist() for name, values in asdict(found).items()}


def section() -> Section:
    """A row a case."""
    kept = KEPT.found()
    cases = [
        (key, kept[key]) for until, seeded in CASES if (key := _key(until, seeded=seeded)) in kept
    ]
    if not cases:
        return Section(TITLE, RUN_IT)
    told = [OPENING, table(HEAD, [_row(key, found) for key, found in cases]), _verdict(cases)]
    return Section(TITLE, "\n\n".join([*told, *([KEPT.note()] if KEPT.note() else [])]))


HEAD = (
    "tanks",
    "number",
    "before, d",
    "foreseen, d",
    "chosen, d",
    "by lot, d",
    "same evening, d",
    "gained over lot, d",
    "true date, bit",
)


def _key(until: int, *, seeded: bool) -> str:
    return f"{'seeded' if seeded else 'unseeded'}, last read on day {until}"


def _row(key: str, found: Mapping[str, Any]) -> tuple[object, ...]:
    all_of = Narrowed(**{name: np.array(values) for name, values in found.items()})
    means = (
        all_of.before_days,
        all_of.foreseen_days,
        all_of.chosen_days,
        all_of.lot_days,
        all_of.same_evening_days,
    )
    gained = all_of.lot_days - all_of.chosen_days
    return (
        key,
        len(gained),
        *(f"{values.mean():.1f}" for values in means),
        _with_error(gained),
        f"{_with_error(all_of.chosen_bits)}, {_with_error(all_of.lot_bits)}",
    )


def _verdict(cases: list[tuple[str, Mapping[str, Any]]]) -> str:
    """Whether chosen tests did what was foreseen, over all."""
    of = {
        name: np.concatenate([np.array(found[name]) for _, found in cases])
        for name in ("before_days", "foreseen_days", "chosen_days", "lot_days")
    }
    chosen, foreseen = (of["before_days"] - of[name] for name in ("chosen_days", "foreseen_days"))
    lot = of["before_days"] - of["lot_days"]
    return (
        f"Over all {len(chosen)} tanks the test chosen took away {_with_error(chosen)} days of "
        f"{of['before_days'].mean():.1f}, foreseen were {foreseen.mean():.1f} (apart by "
        f"{_with_error(chosen - foreseen)}), a test drawn by lot {_with_error(lot)}."
    )


def _with_error(values: np.ndarray[Any, np.dtype[np.float64]]) -> str:
    return f"{values.mean():.2f} ± {values.std() / np.sqrt(len(values)):.2f}"
