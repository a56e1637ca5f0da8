"""Long logs of the invented growth, with and without daily noise and drift.

Members that know of them beside such that do not: what leaving them out does to how sure they are.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from functools import cache

import numpy as np

from evidence.growth_section import mean_shares, shares
from evidence.keeping import Kept, digest
from evidence.resting import rests_on
from evidence.sections import table
from evidence.shared_targets import CALIBRATION, GROWTH, long_growth
from watervane.inference.calibration import (
    Judged,
    Placed,
    look_for,
    prior_quantities,
    stratified_truths,
    together,
)
from watervane.inference.target import Floats

TRUTHS, MEMBERS, SEED = 128, 500, 57
DAYS, EVERY = 56, 4
WAYS = {"as it is": False, "every day as told": True}
KEPT = Kept("growth_ablation", digest(rests_on(GROWTH, CALIBRATION)))
OPENING = f"""\
**Long logs of the invented growth** (above), read by three kits on every fourth day up to day
{DAYS}: {3 * DAYS // EVERY} readings. Truths have {DAYS} days of food and {2 * DAYS // 7} weekly
drifts; the one half of the members knows of them, the other takes every day as told and rates as
constant. {MEMBERS} members. This model is quick, so that many truths can be looked for and members
come to rest, and only what is left out differs. A standard error of one quantity's coverage is
{100 * np.sqrt(0.16 / TRUTHS):.0f} points at 80 %. *All together* comes with its own."""


def run(*, anew: bool, workers: int) -> None:
    """Look for all truths both ways."""
    tasks = {f"{way} {number}": (way, number) for number in range(TRUTHS) for way in WAYS}
    KEPT.complete(tasks, _look, anew=anew, workers=workers)


def told() -> list[str]:
    """Coverage both ways, as far as it is kept; empty where nothing is."""
    found = judged()
    if len(found) < len(WAYS):
        return []
    with_noise, without = (found[way] for way in WAYS)
    rows = [
        (name, shares(with_noise.prior_places[name]), shares(places),
         shares(without.places[name]))
        for name, places in with_noise.places.items()
    ]  # fmt: skip
    rows.append(
        ("*all together*", mean_shares(with_noise.prior_places), mean_shares(with_noise.places),
         mean_shares(without.places))
    )  # fmt: skip
    health = [
        ", ".join(f"{one.health.count(h)} {h}" for h in ("good", "thin", "poor") if h in one.health)
        for one in (with_noise, without)
    ]
    count = len(with_noise.sweeps)
    how = f"{count} truths; health as it is: {health[0]}; every day as told: {health[1]}."
    note = KEPT.note()
    return [OPENING, how, table(("covered", "prior", *WAYS), rows), *([note] if note else [])]


def judged() -> dict[str, Judged]:
    """What is kept of truths that were looked for both ways, by way."""
    found = KEPT.found()
    both = [n for n in range(TRUTHS) if all(f"{way} {n}" in found for way in WAYS)]
    if not both:
        return {}
    return {way: together([Placed(**found[f"{way} {n}"]) for n in both]) for way in WAYS}


def _look(task: tuple[str, int]) -> dict[str, object]:
    way, number = task
    problem = long_growth(calm=WAYS[way], days=DAYS, every=EVERY)
    truth = _truths(problem.unknowns)[:, number]
    return asdict(look_for(problem, truth, _prior(), MEMBERS, SEED, number))


@cache
def _truths(unknowns: int) -> Floats:
    return stratified_truths(unknowns, TRUTHS, SEED)


@cache
def _prior() -> Mapping[str, Floats]:
    return prior_quantities(long_growth(calm=False, days=DAYS, every=EVERY), SEED)
