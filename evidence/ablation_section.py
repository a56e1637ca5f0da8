"""What happens to a fit that takes every day as told: daily noise and drift left out."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from evidence.sections import Section, table
from evidence.simulated_tanks import Found
from evidence.tank_runs import kept
from evidence.tank_runs import run as run_tanks
from watervane.inference.calibration import covered

TITLE = "Are daily noise and drift needed?"
WATCHED = (
    "ammonia_oxidiser_growth_per_d",
    "nitrite_oxidiser_growth_per_d",
    "food_multiplier",
    "settled",
    "nitrite peak",
    "ammonia on the last day",
    "nitrite on the last day",
)
LEVELS = (0.5, 0.8, 0.9)
OPENING = """\
The same unseeded tanks of our own structure, read up to day 24, whose food, changes and growth
rates vary from day to day as in all others, are fitted twice: by the model as it is, and by one
that takes every day as told and rates as constant. Shares of truths inside the central 50 / 80 /
90 % intervals."""


def run(*, anew: bool, workers: int) -> None:
    """Fit all tanks that are not kept yet."""
    run_tanks(anew=anew, workers=workers)


def section() -> Section:
    """Coverage with and without."""
    cases = {case: case for case, _, _ in kept() if not case.restless}
    if not cases:
        return Section(TITLE, "Nothing was run yet: `make evidence` runs it.")
    calm_case = next(iter(cases))
    calm, full = {}, {}
    for case, number, found in kept():
        if case == calm_case:
            calm[number] = found
        elif (case.structure, case.seeded, case.until, case.count) == (
            calm_case.structure,
            calm_case.seeded,
            calm_case.until,
            calm_case.count,
        ):
            full[number] = found
    both = sorted(calm.keys() & full.keys())
    pairs = ([full[n] for n in both], [calm[n] for n in both])
    rows = [(name, *(_shares(several, name) for several in pairs)) for name in WATCHED]
    effective = [np.median([f.effective for f in several]) for several in pairs]
    told = (
        f"{len(both)} tanks; effective members in the median: {effective[0]:.0f} with, "
        f"{effective[1]:.0f} without."
    )
    head = ("covered", "as it is", "every day as told")
    return Section(TITLE, f"{OPENING}\n\n{told}\n\n{table(head, rows)}")


def _shares(several: Sequence[Found], name: str) -> str:
    drawn = np.array([found.places[name] for found in several])
    return " / ".join(f"{100.0 * covered(drawn, level):.0f}" for level in LEVELS)
