"""The sampler where the answer is known: in closed form, or by quadrature."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from evidence.keeping import Kept, digest
from evidence.resting import rests_on
from evidence.sections import RUN_IT, Section, table
from evidence.shared_targets import TEMPERED, Value, bent_targets, bent_values
from watervane.inference.target import Evaluated, Posterior
from watervane.inference.tempered import sample

Numbers = NDArray[np.float64]
LASTING, NOISES, READINGS, ERROR = 10, 60, 20, 1.0
MEMORY_DAYS = 8.0
MEMBERS, SEEDS = 1000, (1, 2, 3)
FAR = 0.2  # spreads


class LinearTarget:
    """Readings that are sums of unknowns with normal errors."""

    def __init__(self, seed: int, *, rough: bool) -> None:
        rng = np.random.default_rng(seed)
        count = LASTING + NOISES
        self._weights = rng.standard_normal((READINGS, count))
        if rough:
            self._weights[:, LASTING:] *= 0.2
        else:
            day = np.arange(NOISES)
            read = np.linspace(5.0, NOISES, READINGS)[:, None]
            memory = np.where(day < read, np.exp(-(read - day) / MEMORY_DAYS), 0.0)
            self._weights[:, LASTING:] = 0.15 * memory
        truth = rng.standard_normal(count)
        self._read = self._weights @ truth + ERROR * rng.standard_normal(READINGS)
        precision = np.eye(count) + self._weights.T @ self._weights / ERROR**2
        self.covariance = np.linalg.inv(precision)
        self.mean = self.covariance @ self._weights.T @ self._read / ERROR**2
        whole = ERROR**2 * np.eye(READINGS) + self._weights @ self._weights.T
        _, log_volume = np.linalg.slogdet(2.0 * np.pi * whole)
        square = self._read @ np.linalg.solve(whole, self._read)
        self.log_evidence = -0.5 * float(log_volume + square)

    @property
    def names(self) -> tuple[str, ...]:
        """One name a row."""
        return tuple(f"unknown {i}" for i in range(LASTING + NOISES))

    @property
    def lasting(self) -> NDArray[np.int64]:
        """Rows that hold for all days."""
        return np.arange(LASTING)

    @property
    def fleeting(self) -> Mapping[str, NDArray[np.int64]]:
        """Rows of noise."""
        return {"noise": np.arange(LASTING, LASTING + NOISES)}

    def evaluate(self, z: Numbers) -> Evaluated:
        """Weigh all members."""
        off = (self._read[:, None] - self._weights @ z) / ERROR
        constant = READINGS * np.log(ERROR * np.sqrt(2.0 * np.pi))
        return Evaluated(-0.5 * (off * off).sum(axis=0) - constant)


@dataclass(frozen=True)
class Task:
    """A run: of which target, and which seed."""

    kind: str
    name: str
    seed: int


TASKS = {
    f"{kind} {name} {seed}": Task(kind, name, seed)
    for kind, names in (("linear", ("smooth", "rough")), ("bent", ("banana", "two peaks")))
    for name in names
    for seed in SEEDS
}
KEPT = Kept("exact", digest(rests_on(TEMPERED, Path(__file__))))


def run(*, anew: bool, workers: int) -> None:
    """Run every target with every seed."""
    KEPT.complete(TASKS, _look, anew=anew, workers=workers)


def _look(task: Task) -> dict[str, object]:
    return _linear(task) if task.kind == "linear" else _bent(task)


def _linear(task: Task) -> dict[str, object]:
    target = LinearTarget(task.seed, rough=task.name == "rough")
    found = sample(target, MEMBERS, task.seed)
    spread = np.sqrt(np.diag(target.covariance))[:LASTING]
    apart = (found.z[:LASTING].mean(axis=1) - target.mean[:LASTING]) / spread
    wide = found.z[:LASTING].std(axis=1) / spread
    return {
        **_course(found),
        "mean": float(np.abs(apart).max()),
        "narrowest": float(wide.min()),
        "widest": float(wide.max()),
        "evidence": found.info.log_evidence - target.log_evidence,
    }


def _bent(task: Task) -> dict[str, object]:
    target = bent_targets()[task.name]
    found = sample(target, MEMBERS, task.seed)
    errors, names = [], []
    for name, value in bent_values().items():
        drawn, actual = value(found.z[0], found.z[1]), target.expected(value)
        spread = np.sqrt(target.expected(_squared(value)) - actual**2)
        errors.append(abs(float(drawn.mean()) - actual) / float(spread))
        names.append(name)
    return {
        **_course(found),
        "mean": max(errors),
        "where": names[int(np.argmax(errors))],
        "evidence": found.info.log_evidence - target.log_evidence(),
    }


def _squared(value: Value) -> Value:
    return lambda x, y: value(x, y) ** 2


def _course(found: Posterior) -> dict[str, object]:
    info = found.info
    return {"sweeps": info.sweeps, "health": info.health, "effective": info.effective}


def section() -> Section:
    """How far from exact answers each run lands."""
    found = KEPT.found()
    linear, bent, unseen = [], [], []
    for key, task in TASKS.items():
        if key not in found:
            continue
        r = found[key]
        first = (task.name, task.seed, r["sweeps"], r["health"], f"{r['effective']:.0f}")
        off, apart = f"{r['mean']:.2f}", f"{r['evidence']:+.2f}"
        if task.kind == "linear":
            wide = f"{r['narrowest']:.2f} to {r['widest']:.2f}"
            linear.append((*first, off, wide, apart))
        else:
            bent.append((*first, off, r["where"], apart))
        if r["mean"] > FAR and r["health"] == "good":
            unseen.append(f"{task.name} {task.seed}")
    head = ("seed", "sweeps", "health", "effective", "furthest mean")
    told = ", ".join(unseen) or "none"
    parts = [
        LINEAR_OPENING,
        table(("noise", *head, "spread over exact", "log evidence off"), linear),
        BENT_OPENING,
        table(("posterior", *head, "of", "log evidence off"), bent),
        f"Runs with a mean more than {FAR} spreads off and still called good: {told}.",
        KEPT.note() if found else RUN_IT,
    ]
    title = "The sampler against exact answers"
    return Section(title, "\n\n".join(each for each in parts if each))


LINEAR_OPENING = f"""\
{READINGS} readings, each a sum of {LASTING} lasting unknowns and {NOISES} daily noises with a
normal error; the posterior is known in closed form. Differences of lasting unknowns' means are in
their posterior spreads; with {MEMBERS:,} independent members chance alone puts the largest of ten
about 0.06 off. *Smooth* noise fades out of the readings over days, as food does out of a tank;
*rough* noise acts day by day at random and strongly, which no tank does and this sampler is not
made for: it should say so by its health."""

BENT_OPENING = """\
Two unknowns bound along a curve (*banana*) or to either of two peaks far apart, besides fourteen of
which the readings say nothing; the posterior is known by quadrature. The furthest of six means:
both unknowns, their squares, their product, and the share in the upper peak."""
