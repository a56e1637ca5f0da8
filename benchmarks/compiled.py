"""The program as it ships: both accuracies, one thread and two, in a process of its own.

A process of its own (``python -m benchmarks.compiled``), so that its memory is its own too.
"""

from __future__ import annotations

import itertools
import json
import resource
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from benchmarks.workload import SEED, shortest_s, tank
from watervane.inference.priors import prior_members
from watervane.process.day_grid import ACCURACIES
from watervane.process.run import (
    day_rows_program,
    initial_state,
    simulate,
)
from watervane.process.timeline import timeline

THREADS = (1, 2)
ROOT = Path(__file__).resolve().parents[1]


@dataclass(frozen=True)
class Compiled:
    """What the compiled program took.

    Parameters
    ----------
    seconds, processor_s
        By accuracy and threads, written ``sampling 1``: on the clock, and of all processors. [s]
    first_call_s
        The first call, with whatever the compilation cache held. [s]
    programs_first, programs
        Compiled versions of the day program after the first call and after all runs.
    memory_gb
        Largest of the process. [GB]
    """

    members: int
    days: int
    seconds: dict[str, float]
    processor_s: dict[str, float]
    first_call_s: float
    programs_first: int
    programs: int
    memory_gb: float

    def per_member_day_s(self, accuracy: str, threads: int) -> float:
        """Seconds for one member and one day. [s]"""
        return self.seconds[f"{accuracy} {threads}"] / (self.members * self.days)


def measured_apart(members: int, days: int, repeats: int) -> Compiled:
    """Measure in a fresh process."""
    told = [str(each) for each in (members, days, repeats)]
    done = subprocess.run(  # noqa: S603  (our own module)
        [sys.executable, "-m", "benchmarks.compiled", *told],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    )
    return Compiled(**json.loads(done.stdout))


def measured(members: int, days: int, repeats: int) -> Compiled:
    """Measure here."""
    begun = time.perf_counter()
    _seconds("sampling", 1, 10, 1, 1)
    first_call_s = time.perf_counter() - begun
    first = programs_compiled()
    seconds, processor_s = {}, {}
    for accuracy, threads in itertools.product(ACCURACIES, THREADS):
        key = f"{accuracy} {threads}"
        begun = time.process_time()
        seconds[key] = _seconds(accuracy, threads, members, days, repeats)
        processor_s[key] = (time.process_time() - begun) / repeats
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0**2
    programs = programs_compiled()
    return Compiled(members, days, seconds, processor_s, first_call_s, first, programs, memory)


def programs_compiled() -> int:
    """Versions of the day program this process holds."""
    return day_rows_program.made


def _seconds(accuracy: str, threads: int, members: int, days: int, repeats: int) -> float:
    line = timeline(tank(), days)
    drawn = prior_members(line.tank, np.arange(members), SEED)
    start = initial_state(line, drawn)
    return shortest_s(
        lambda: simulate(line, drawn, start, (0, days), accuracy=accuracy, threads=threads),
        repeats,
    )


if __name__ == "__main__":
    print(json.dumps(vars(measured(*(int(each) for each in sys.argv[1:4])))))
