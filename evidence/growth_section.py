"""Calibration on an invented growth model: many truths, for each way of running the sampler."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from functools import cache

import numpy as np

from evidence.figures import ecdf_picture
from evidence.keeping import Kept, digest
from evidence.resting import rests_on
from evidence.sections import RUN_IT, Section, table
from evidence.shared_targets import CALIBRATION, GROWTH, invented_growth
from watervane.inference.calibration import (
    LEVELS,
    Judged,
    Placed,
    covered,
    look_for,
    mean_coverage,
    prior_quantities,
    stratified_truths,
    together,
    uniformity,
)
from watervane.inference.fitting import QUICK
from watervane.inference.target import Floats
from watervane.inference.tempered import Effort

TRUTHS, MEMBERS, SEED = 256, 500, 31
TESTS = 3  # of evenness
AIM = 0.04  # of coverage, either side
RARE = 0.05  # chance that ranks of right posteriors are called uneven, all tests together


@dataclass(frozen=True)
class Way:
    """A way of running the sampler."""

    told: str
    emulated: bool
    effort: Effort


WAYS = {
    "full": Way("with a surrogate, the sampler's own effort", emulated=True, effort=Effort()),
    "tanks": Way("with a surrogate, the effort tanks get", emulated=True, effort=QUICK),
    "plain": Way("without surrogate, the sampler's own effort", emulated=False, effort=Effort()),
}
KEPT = Kept("invented_growth", digest(rests_on(GROWTH, CALIBRATION)))


def run(*, anew: bool, workers: int) -> None:
    """Look for all truths in all ways."""
    tasks = {f"{way} {number}": (way, number) for number in range(TRUTHS) for way in WAYS}
    KEPT.complete(tasks, _look, anew=anew, workers=workers)


def _look(task: tuple[str, int]) -> dict[str, object]:
    name, number = task
    way = WAYS[name]
    problem = invented_growth(emulated=way.emulated)
    truth = _truths(problem.unknowns)[:, number]
    found = look_for(problem, truth, _prior(), MEMBERS, SEED, number, effort=way.effort)
    return asdict(found)


@cache
def _truths(unknowns: int) -> Floats:
    return stratified_truths(unknowns, TRUTHS, SEED)


@cache
def _prior() -> Mapping[str, Floats]:
    return prior_quantities(invented_growth(emulated=False), SEED)


def judged() -> dict[str, Judged]:
    """What is kept, by way."""
    found = KEPT.found()
    by_way = {}
    for way in WAYS:
        keys = [f"{way} {number}" for number in range(TRUTHS)]
        placed = [Placed(**found[key]) for key in keys if key in found]
        if placed:
            by_way[way] = together(placed)
    return by_way


def section() -> Section:
    """Coverage, ranks and what they cost."""
    found = judged()
    parts = [OPENING]
    for way, one in found.items():
        parts += account(WAYS[way].told, one)
    if not found:
        parts.append(RUN_IT)
    if KEPT.note():
        parts.append(KEPT.note())
    pictures = (ecdf_picture({WAYS[w].told: one.places for w, one in found.items()}),)
    return Section(
        "Calibration on an invented growth model", "\n\n".join(parts), pictures if found else ()
    )


CHANCES = " / ".join(f"{100.0 * np.sqrt(each * (1.0 - each) / TRUTHS):.1f}" for each in LEVELS)
OPENING = f"""\
A small model of the same kind as a tank, quick enough for many runs: food brings a first
substance that one colony turns into a second and another colony into a third. Unknown are ten
rates and starting colonies, the bias of each of three kits (these thirteen last), 24 days of
food and eight weekly drifts of growth. Each kit is read on every second day up to day 24 in six
or seven steps with an error, and once in thirty at random. The likelihood is the one the readings
were drawn with, so coverage can be right; a tank's never is.

{TRUTHS} truths are drawn from the prior, each unknown in {TRUTHS} strata, and looked for among
{MEMBERS} members. Shares of truths inside the central 50 / 80 / 90 % intervals; beside them the
same truths in the prior. By chance alone one quantity's coverage is off by {CHANCES} points (one
standard error). *Evenness* is the least of three chances (chi-square, Kolmogorov, simultaneous
band) that ranks of right posteriors look so uneven: the smallest of sixteen is about 0.03 by
luck."""


def account(told: str, found: Judged) -> list[str]:
    """How truths lie among members, and what is outside the aim.

    Parameters
    ----------
    told
        How members were drawn.
    found
        The truths' places.
    """
    return [f"**{told[0].upper()}{told[1:]}**: {_run_in(found)}", _table(found), _verdict(found)]


def _run_in(found: Judged) -> str:
    count = len(found.sweeps)
    health = ", ".join(
        f"{found.health.count(each)} {each}"
        for each in ("good", "thin", "poor")
        if each in found.health
    )
    return (
        f"{count} truths; sweeps {np.median(found.sweeps):.0f} in the median, "
        f"{np.quantile(found.sweeps, 0.95):.0f} in the twentieth longest, {max(found.sweeps)} at "
        f"most; health {health}."
    )


def _table(found: Judged) -> str:
    rows = [
        (name, shares(places), shares(found.prior_places[name]), f"{_even(places):.3f}")
        for name, places in found.places.items()
    ]
    rows.append(("*all together*", mean_shares(found.places), mean_shares(found.prior_places), ""))
    return table(("quantity", "posterior", "prior", "evenness"), rows)


def _even(places: Floats) -> float:
    return uniformity(places).least


def shares(places: Floats) -> str:
    """Shares of truths inside the central intervals of one quantity, of each level. [%]"""
    return " / ".join(f"{100.0 * covered(places, level):.0f}" for level in LEVELS)


def mean_shares(places: Mapping[str, Floats]) -> str:
    """The same of all quantities together, and one standard error of each. [%]"""
    means = [mean_coverage(places, level) for level in LEVELS]
    return (
        " / ".join(f"{100.0 * mean:.1f}" for mean, _ in means)
        + " ± "
        + " / ".join(f"{100.0 * error:.1f}" for _, error in means)
    )


def _verdict(found: Judged) -> str:
    """What is outside the aim, and what chance does not explain."""
    off = [
        f"{name} ({100 * share:.0f} for {100 * level:.0f} %)"
        for name, places in found.places.items()
        for level in LEVELS
        if abs((share := covered(places, level)) - level) > AIM
    ]
    uneven = [n for n, p in found.places.items() if _even(p) < RARE / (TESTS * len(found.places))]
    aside = "; ".join(off) or "nothing"
    told = ", ".join(uneven) or "none"
    return (
        f"More than {100 * AIM:.0f} points off: {aside}. Ranks more uneven than chance explains "
        f"(once in {1 / RARE:.0f} such tables): {told}."
    )
