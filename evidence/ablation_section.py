"""What happens to a fit that takes every day as told: daily noise and drift left out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from evidence import growth_ablation, long_logs
from evidence.sections import RUN_IT, Section, table
from evidence.simulated_tanks import WATCHED as WATCHED_UNKNOWNS
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
AND = " and "
OF_PARAMETERS, OF_WATER = "six lasting unknowns", "water 7 and 14 days later"
TOLD = {"drop": "a kit of six steps", "photometer": "a photometer"}
LONG = f"""\
**Long logs.** Unseeded tanks of our own structure are read for ammonia, nitrite and nitrate on
every second day up to day {long_logs.UNTIL}, and fitted with {long_logs.MEMBERS:,} members. Later
water is that at noon, {AND.join(map(str, long_logs.LATER_D))} days after the last reading, all
three quantities. Shares of truths inside the central 50 / 80 / 90 % intervals; *spread* is the
standard deviation among members over the root mean square distance of truths from their middle: 1
is as sure as it should be, less is too sure (of several quantities the median)."""
SLOW = """\
Members of such logs are moved for up to 90 sweeps and more, five times as long as those of a dozen
readings. Where few are effective all the same the sampler has not come to rest (such forecasts are
marked *thin* or *poor*), and a row decides nothing about noise."""
SHORT = """\
**Few coarse readings.** The same unseeded tanks of our own structure, read up to day 24, whose
food, changes and growth rates vary from day to day as in all others, are fitted twice: by the model
as it is, and by one that takes every day as told and rates as constant. Shares of truths inside the
central 50 / 80 / 90 % intervals."""


def run(*, anew: bool, workers: int) -> None:
    """Fit all tanks that are not kept yet."""
    growth_ablation.run(anew=anew, workers=workers)
    run_tanks(anew=anew, workers=workers)
    long_logs.run(anew=anew, workers=workers)


def section() -> Section:
    """Coverage with and without."""
    parts = [*growth_ablation.told(), *_short(), *_long()]
    if not parts:
        return Section(TITLE, RUN_IT)
    return Section(TITLE, "\n\n".join(parts))


def _short() -> list[str]:
    cases = {case: case for case, _, _ in kept() if not case.restless}
    if not cases:
        return []
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
    return [SHORT, told, table(head, rows)]


def _long() -> list[str]:
    parts = [part for kit in long_logs.KITS for part in _of_kit(kit)]
    note = long_logs.KEPT.note()
    return [LONG, *parts, SLOW, *([note] if note else [])] if parts else []


def _of_kit(kit: str) -> list[str]:
    both = list(long_logs.kept(kit))
    if not both:
        return []
    pairs = list(zip(*both, strict=True))
    names = list(both[0][0]["places"])
    groups = {
        OF_PARAMETERS: [name for name in names if name in WATCHED_UNKNOWNS],
        OF_WATER: [name for name in names if name not in WATCHED_UNKNOWNS],
    }
    rows = [_long_row(name, several, pairs) for name, several in groups.items()]
    rows += [_long_row(name, [name], pairs) for name in names]
    effective, odd = (
        [np.median([one[key] for one in several]) for several in pairs]
        for key in ("effective", "odd")
    )
    told = (
        f"Read with {TOLD[kit]}, {len(both)} tanks; effective members in the median: "
        f"{effective[0]:.0f} with, "
        f"{effective[1]:.0f} without; readings that fit worse than one in a thousand: "
        f"{odd[0]:.0f} with, {odd[1]:.0f} without."
    )
    head = (
        *("covered", "prior", "as it is", "every day as told"),
        *("spread as it is", "spread, every day as told"),
    )
    return [told, table(head, rows)]


def _long_row(
    title: str, names: Sequence[str], pairs: Sequence[Sequence[Mapping[str, Any]]]
) -> tuple[str, ...]:
    places = [
        [[one[key][n] for one in several for n in names] for several in pairs]
        for key in ("prior", "places")
    ]
    covers = [places[0][0], *places[1]]
    return (
        title,
        *(_share_of(each) for each in covers),
        *(f"{_sureness(names, several):.2f}" for several in pairs),
    )


def _sureness(names: Sequence[str], several: Sequence[Mapping[str, Any]]) -> float:
    """Spread among members over the distance of truths from their middle."""
    told = []
    for name in names:
        spread = np.array([one["spread"][name] for one in several])
        off = np.array([one["off"][name] for one in several])
        told.append(np.sqrt((spread**2).mean() / (off**2).mean()))
    return float(np.median(told))


def _shares(several: Sequence[Found], name: str) -> str:
    return _share_of([found.places[name] for found in several])


def _share_of(places: Sequence[float]) -> str:
    drawn = np.array(places)
    return " / ".join(f"{100.0 * covered(drawn, level):.0f}" for level in LEVELS)
