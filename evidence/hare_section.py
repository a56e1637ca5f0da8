"""Hare and lynx: the sampler on somebody else's model, against their reference draws."""

from __future__ import annotations

import numpy as np

from evidence.keeping import Kept, digest
from evidence.resting import rests_on
from evidence.sections import RUN_IT, Section, table
from evidence.shared_targets import LYNX_HARE, SAMPLER, lynx_hare
from watervane.inference.fitting import QUICK
from watervane.inference.tempered import Effort, sample

MEMBERS, SEEDS = 2000, (1, 2, 3, 4, 5, 6)
FAIR_MEAN, FAIR_QUANTILE = 0.1, 0.15  # standard deviations; what the reference's notes call fair
QUANTILES = {"p05": 0.05, "p25": 0.25, "p50": 0.5, "p75": 0.75, "p95": 0.95}
WAYS = {
    "small steps": Effort(effective_share=0.9, between=0.35, most_between=20),
    "own effort": Effort(),
    "effort of tanks": QUICK,
}
KEPT = Kept("lynx_hare", digest(rests_on(LYNX_HARE, SAMPLER)))


def run(*, anew: bool, workers: int) -> None:
    """Run all seeds in all ways."""
    tasks = {f"{way} {seed}": (way, seed) for way in WAYS for seed in SEEDS}
    KEPT.complete(tasks, _look, anew=anew, workers=workers)


def _look(task: tuple[str, int]) -> dict[str, object]:
    way, seed = task
    target, reference = lynx_hare()
    found = sample(target, MEMBERS, seed, effort=WAYS[way])
    told = target.parameters(found.z)
    means, quantiles, spreads = [], [], []
    for name, row in reference.items():
        values, spread = told[name], float(row["sd"])
        means.append(abs(float(values.mean()) - float(row["mean"])) / spread)
        spreads.append(float(values.std()) / spread)
        quantiles += [
            abs(float(np.quantile(values, share)) - float(row[column])) / spread
            for column, share in QUANTILES.items()
        ]
    return {
        "sweeps": found.info.sweeps,
        "stages": len(found.info.stages),
        "health": found.info.health,
        "effective": found.info.effective,
        "mean": max(means),
        "quantile": max(quantiles),
        "narrowest": min(spreads),
        "widest": max(spreads),
    }


def section() -> Section:
    """How far from the reference each run lands."""
    found = KEPT.found()
    rows, verdicts = [], []
    for way in WAYS:
        runs = [(seed, found[f"{way} {seed}"]) for seed in SEEDS if f"{way} {seed}" in found]
        rows += [
            (way, seed, r["stages"], r["sweeps"], r["health"], f"{r['effective']:.0f}",
             f"{r['mean']:.2f}", f"{r['quantile']:.2f}",
             f"{r['narrowest']:.2f} to {r['widest']:.2f}")
            for seed, r in runs
        ]  # fmt: skip
        fair = [r["mean"] < FAIR_MEAN and r["quantile"] < FAIR_QUANTILE for _, r in runs]
        unseen = [
            seed
            for (seed, r), good in zip(runs, fair, strict=True)
            if not good and r["health"] == "good"
        ]
        told = f"unfair and still called good: seeds {', '.join(map(str, unseen))}"
        verdicts.append(
            f"- {way}: {sum(fair)} of {len(fair)} runs within both bounds; "
            + (told if unseen else "no run outside was called good")
        )
    head = ("steps", "seed", "temperatures", "sweeps", "health", "effective", "furthest mean",
            "furthest quantile", "spread over reference")  # fmt: skip
    parts = [OPENING, table(head, rows), "\n".join(verdicts), KEPT.note() if found else RUN_IT]
    return Section("Hare and lynx", "\n\n".join(each for each in parts if each))


OPENING = f"""\
Eight unknowns of a predator and its prey, 42 counts of pelts, and a reference of 10,000 checked
draws made by another program ([what it is](../tests/published/data/posterior_lynx_hare/README.md)).
{MEMBERS:,} members. Differences of means and of the 5, 25, 50, 75 and 95 % points are in the
reference's spreads, the furthest of all parameters; bounds called fair are {FAIR_MEAN} and
{FAIR_QUANTILE}. *Small steps* keep nine tenths of the members effective from one temperature to the
next, the sampler's own effort a half."""
