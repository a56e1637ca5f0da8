"""Measure, then write docs/benchmarks.md: ``python -m benchmarks``."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path

from benchmarks.carried import measured_apart as carried_apart
from benchmarks.choosing import choosing_cost
from benchmarks.compiled import measured_apart
from benchmarks.cvode_cost import cvode_cost
from benchmarks.fresh_process import fresh_starts
from benchmarks.numpy_cost import numpy_cost
from benchmarks.page import Busy, page
from benchmarks.planned import planned_cost
from benchmarks.steps import measured_apart as steps_apart

PAGE = Path(__file__).resolve().parents[1] / "docs" / "benchmarks.md"
WIDTHS = (250, 500, 1000, 2000, 4000, 8000)


def main() -> None:
    """Read the options, measure one thing after the other, write."""
    options = argparse.ArgumentParser(prog="python -m benchmarks", description=__doc__)
    options.add_argument("--members", type=int, default=1000, help="of the model's runs")
    options.add_argument("--days", type=int, default=60, help="of the model's runs")
    options.add_argument("--repeats", type=int, default=3, help="of which the shortest counts")
    options.add_argument("--numpy-days", type=int, default=3, help="run in NumPy, then scaled")
    options.add_argument("--cvode-members", type=int, default=3, help="run with CVODE")
    options.add_argument("--cvode-days", type=int, default=10, help="run with CVODE, then scaled")
    options.add_argument("--out", type=Path, default=PAGE, help="the page")
    told = options.parse_args()
    busy = Busy(os.cpu_count() or 1, os.getloadavg()[0])
    _say("the model alone")
    ours = measured_apart(told.members, told.days, told.repeats)
    _say("the command in a fresh process")
    fresh = fresh_starts(told.members, 30, told.repeats)
    _say("a tank carried on")
    carried = carried_apart(told.members, 30, told.repeats)
    _say("the next steps")
    steps = steps_apart(told.members, told.repeats)
    _say("a wish list")
    choosing = choosing_cost(told.repeats)
    _say("plans while they are typed")
    planned = planned_cost()
    _say("the same scheme in NumPy")
    numpy = numpy_cost(WIDTHS, told.numpy_days, told.repeats)
    _say("CVODE")
    cvode = cvode_cost(told.cvode_members, told.cvode_days)
    told.out.write_text(
        page(busy, ours, numpy, cvode, fresh, carried, steps, choosing, planned), encoding="utf-8"
    )
    _say(f"wrote {told.out.name}")


def _say(line: str) -> None:
    sys.stderr.write(f"{line}\n")
    sys.stderr.flush()


if __name__ == "__main__":
    main()
