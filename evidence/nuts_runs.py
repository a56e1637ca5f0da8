"""Both samplers on every log: what they are given, what they leave behind, what they cost."""

from __future__ import annotations

import sys
import time
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from evidence.effective_size import bulk_size, split_r_hat
from evidence.keeping import Kept, digest
from evidence.lane_force import Guess, LaneForce, steep_axes
from evidence.nuts_chains import WANTED_ACCEPTANCE, Chains, run_chains
from evidence.nuts_logs import DATES, LOGS, Frozen, frozen, milestones
from evidence.nuts_points import POINTS
from evidence.resting import rests_on
from watervane.inference.algebra_threads import one_algebra_thread
from watervane.inference.fitting import THOROUGH, Fitted, fit_members
from watervane.inference.target import Floats

LEGS = (1, 2)
SEEDS = 4  # runs of our sampler a leg
MEMBERS = 4000
CHAINS = 500  # one for each lane of a block
WARM, DRAWS, EVERY = 16, 40, 2  # transitions of the warm-ups and after; every second is kept
AXES = 16  # directions along which the guess pulls
SLOPES_AT = 100  # members at which the steep directions are looked for
WIDER = 1.5  # times as far from the middle as members: where chains begin
WIDE_WEIGHT = 0.3  # of runs so far out, in the guess
ROUNDING = 1e-3  # variance added to that of members, so that no direction is left out
KEPT = Kept(
    "nuts",
    digest(rests_on(Path(__file__))),
)


def run(*, anew: bool, workers: int) -> None:
    """Run both samplers on every log, leg by leg."""
    tasks = {f"{log} {leg}": (log, leg) for leg in LEGS for log in LOGS}
    KEPT.complete(tasks, look, anew=anew, workers=workers)


@dataclass(frozen=True)
class Clock:
    """Times since it was made. [s]"""

    wall: float
    worked: float

    @classmethod
    def begun(cls) -> Clock:
        return cls(time.perf_counter(), time.process_time())

    @property
    def passed(self) -> dict[str, float]:
        """On the wall, and worked by all threads of this process."""
        return {
            "wall": time.perf_counter() - self.wall,
            "worked": time.process_time() - self.worked,
        }


def look(task: tuple[str, int]) -> dict[str, object]:
    """Run our sampler a few times, then NUTS, on the same log in the same process."""
    name, leg = task
    log = LOGS[name]
    data = frozen(log)
    seeds = [SEEDS * leg + number for number in range(SEEDS)]
    data.target.evaluate(np.zeros((len(data.target.names), 1)))  # compiled, on nobody's clock
    clock = Clock.begun()
    fits = [
        fit_members(data.line, data.readings, MEMBERS, seed, 1, effort=THOROUGH) for seed in seeds
    ]
    ours = clock.passed
    z, families = zip(*(_drawn(fitted) for fitted in fits), strict=True)
    clock = Clock.begun()
    with one_algebra_thread():
        chains, told = _nuts(data, z[0], leg)
    theirs = clock.passed
    flat = chains.z[::EVERY].reshape(-1, chains.z.shape[2]).T
    rows = data.target.lasting
    first = leg << 24
    return {
        "unknowns": len(z[0]),
        "readings": len(data.readings),
        "ours": {
            "time": ours,
            "health": [fitted.info.health for fitted in fits if fitted.info is not None],
            "sweeps": [fitted.tried / MEMBERS for fitted in fits],
            "families": [family.tolist() for family in families],
            "milestones": _rounded(milestones(data, log, np.concatenate(z, axis=1), first)),
            "lasting": _points(np.concatenate(z, axis=1)[rows]),
        },
        "nuts": {
            "time": theirs,
            **told,
            "milestones": _rounded(milestones(data, log, flat, first + (1 << 23))),
            "lasting": _points(flat[rows]),
            "r_hats": {
                data.target.names[row]: round(split_r_hat(chains.z[:, :, row]), 4) for row in rows
            },
            "sizes": {
                data.target.names[row]: round(bulk_size(chains.z[:, :, row])) for row in rows
            },
        },
    }


def _drawn(fitted: Fitted) -> tuple[Floats, NDArray[np.int64]]:
    if fitted.z is None or fitted.families is None:
        raise ValueError("a log without readings")
    return fitted.z, fitted.families


def _nuts(data: Frozen, members: Floats, seed: int) -> tuple[Chains, dict[str, object]]:
    """Chains that begin about the members, wider, in coordinates that make these round."""
    rng = np.random.default_rng(seed)
    middle = members.mean(axis=1)
    wide = middle[:, None] + WIDER * (rng.permutation(members, axis=1) - middle[:, None])
    guess = _guess(data, members, wide)
    axes, left_out = steep_axes(guess, members[:, :SLOPES_AT], AXES)
    spread: Floats = np.cov(members) + ROUNDING * np.eye(len(members))
    force = LaneForce(data.target, axes, guess)
    found = run_chains(
        force,
        middle,
        np.asarray(np.linalg.cholesky(spread), dtype=np.float64),
        wide[:, :CHAINS],
        warm=WARM,
        draws=DRAWS,
        seed=seed,
        wanted=WANTED_ACCEPTANCE,
        tuned_on=LaneForce(guess, axes),
        progress=_tell,
    )
    begin, end = wide[data.target.lasting, :CHAINS], found.z[0].T[data.target.lasting]
    return found, {
        "calls": force.calls,
        "slope left out": left_out,
        "path": found.leapfrogs / (DRAWS * CHAINS),
        "divergent": found.divergent,
        "longest": found.longest,
        "acceptance": found.acceptance,
        "step": found.step,
        "resemblance": _alike(begin, end),
    }


def _guess(data: Frozen, members: Floats, wide: Floats) -> Guess:
    """The likelihood guessed from runs of members, and of points farther out."""
    runs = np.concatenate([members, wide], axis=1)
    kept = data.target.evaluate(runs).kept
    weights = np.repeat([1.0, WIDE_WEIGHT], [members.shape[1], wide.shape[1]])
    needed = {name: np.asarray(kept[name], dtype=np.float64) for name in data.target.needed}
    return Guess(data.target.surrogate(runs, needed, weights))


def _alike(begin: Floats, end: Floats) -> list[float]:
    """Correlation of each unknown at the first draw kept with that where its chain began."""
    pairs = zip(begin, end, strict=True)
    return [round(float(np.corrcoef(one, two)[0, 1]), 3) for one, two in pairs]


def _tell(number: int) -> None:
    sys.stderr.write(f"\r{number + 1} of {WARM + DRAWS} transitions")


def _rounded(found: Mapping[str, Floats]) -> dict[str, list[Any]]:
    return {
        name: [float(f"{v:.5g}") for v in values] if name not in DATES else values.tolist()
        for name, values in found.items()
    }


def _points(z: Floats) -> list[list[float]]:
    """Points of each unknown, and its spread."""
    points = np.quantile(z, POINTS, axis=1)
    found: list[list[float]] = np.round(np.vstack([points, z.std(axis=1)]).T, 4).tolist()
    return found
