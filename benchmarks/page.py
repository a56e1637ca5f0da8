"""The page: what was measured, beside what was aimed at."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from functools import partial

from benchmarks.carried import CarriedCost, aims, section
from benchmarks.choosing import ChoosingCost
from benchmarks.choosing import aims as aims_of_choosing
from benchmarks.choosing import section as section_of_choosing
from benchmarks.compiled import THREADS, Compiled
from benchmarks.cvode_cost import CvodeCost
from benchmarks.fresh_process import FreshStarts, Start
from benchmarks.numpy_cost import NumpyCost
from benchmarks.planned import PlannedCost
from benchmarks.planned import section as section_of_planned
from benchmarks.steps import StepsCost
from benchmarks.steps import aims as aims_of_steps
from benchmarks.steps import section as section_of_steps
from watervane.process.day_grid import USUAL

AIMS_S = {"sampling": 0.6, "printed": 1.2}  # 1000 members, 60 days, two threads
AIM_COLD_S, AIM_WARM_S = 12.0, 5.0
AIM_MEMORY_GB = 1.0
AIMED_MEMBERS, AIMED_DAYS = 1000, 60
# The machine whose seconds the aims were set in ran the NumPy program, which nobody tunes, at
# sampling accuracy in so many milliseconds a member of 60 days.
AIMS_NUMPY_MS = 2.16


@dataclass(frozen=True)
class Busy:
    """How many cores the machine has, and how many were at work before the run began."""

    cores: int
    before: float


def page(
    busy: Busy,
    ours: Compiled,
    numpy: NumpyCost,
    cvode: CvodeCost,
    fresh: FreshStarts,
    carried: CarriedCost | None = None,
    steps: StepsCost | None = None,
    choosing: ChoosingCost | None = None,
    planned: PlannedCost | None = None,
) -> str:
    """Write the page; sections without figures are left out."""
    sections = [_head(busy, ours), _ours(ours), _beside(ours, numpy, cvode), _fresh(fresh)]
    if carried is not None:
        sections.append(section(carried))
    if steps is not None:
        sections.append(section_of_steps(steps))
    if choosing is not None:
        sections.append(section_of_choosing(choosing))
    if planned is not None:
        sections.append(section_of_planned(planned))
    slower = 1e3 * AIMED_DAYS * numpy.per_member_day_s["sampling"] / AIMS_NUMPY_MS
    return "\n".join([*sections, _aims(slower, ours, fresh, carried, steps, choosing)])


def _head(busy: Busy, ours: Compiled) -> str:
    return f"""\
# Speed and memory

Written by `make bench` from one run. Seconds are of the machine it ran on and of whatever else it
was doing; ratios say more. It has {busy.cores} cores, and in the minute before the run
{busy.before:.1f} processes on average wanted them: two threads gain only what is left over.
Each time is the shortest of some repeats.

The tank is invented: {ours.members} members over {ours.days} days, daily food and weekly water
changes, all components, 64-bit floats.
"""


def _ours(ours: Compiled) -> str:
    first = ours.seconds["sampling 1"]
    rows = "\n".join(
        f"| {accuracy}, {USUAL[accuracy].steps} even steps a day | {threads} "
        f"| {ours.seconds[key]:.2f} | {ours.processor_s[key]:.2f} "
        f"| {ours.seconds[key] / first:.2f} |"
        for accuracy, threads in itertools.product(AIMS_S, THREADS)
        for key in (f"{accuracy} {threads}",)
    )
    return f"""\
## The model alone

The program is compiled before the clock starts. Processor seconds are the mean of all repeats,
making ready included; where they exceed the seconds, more than one core was at work.

| run | threads | seconds | processor seconds | against sampling on one thread |
|---|---|---|---|---|
{rows}

- First call with whatever the compilation cache held: {ours.first_call_s:.1f} s.
- Compiled versions of the day program after the first call: {ours.programs_first}; after all
  runs: {ours.programs}.
- Largest memory of these runs: {ours.memory_gb:.2f} GB.
"""


def _beside(ours: Compiled, numpy: NumpyCost, cvode: CvodeCost) -> str:
    days = ours.days
    base = ours.per_member_day_s("sampling", 1)

    def row(what: str, per_day_s: float) -> str:
        return f"| {what} | {1000.0 * days * per_day_s:.2f} | {per_day_s / base:.1f} |"

    tried = ", ".join(f"{w}: {1000.0 * days * s:.2f}" for w, s in numpy.tried_s.items())
    table = [
        f"| one thread | milliseconds per member of {days} days | against ours at sampling |",
        "|---|---|---|",
        row("ours, sampling", base),
        row("ours, printed", ours.per_member_day_s("printed", 1)),
        row("the same scheme in NumPy, sampling", numpy.per_member_day_s["sampling"]),
        row("the same scheme in NumPy, printed", numpy.per_member_day_s["printed"]),
        row("CVODE, as it is", cvode.as_is_s),
        row("CVODE, only its rates at compiled cost", cvode.least_s),
        row("the same, as if Jacobians were free", cvode.without_jacobians_s),
    ]
    return "\n".join(
        [
            "## Beside NumPy and CVODE, per member",
            "",
            *table,
            "",
            *_numpy_notes(numpy, tried),
            *_cvode_notes(cvode),
            "",
        ]
    )


def _numpy_notes(numpy: NumpyCost, tried: str) -> list[str]:
    return f"""\
- NumPy runs the very same scheme: one row of the model is traced and written out as NumPy
  statements, what is not used left out and what repeats computed once. It and CVODE run without
  the daily noise of meals, changes and growth, which ours is timed with. Before it is timed its
  final state is compared with the compiled program's; they differ by {numpy.difference:.0e} at
  most. {numpy.days} days were run and scaled to all. Milliseconds per member at sampling by width
  of block: {tried}.
  The table takes {numpy.best}.""".split("\n")


def _cvode_notes(cvode: CvodeCost) -> list[str]:
    percent = {name: f"{100.0 * error:.3f} %" for name, error in cvode.errors.items()}
    way_s = cvode.in_slopes_s - cvode.least_s
    return f"""\
- CVODE (BDF, dense, difference Jacobian) runs one member after the other on the model's own rates,
  compiled for one tank and called through Python, and is restarted at each event and at midnight,
  {cvode.restarts:.1f} times a day. {cvode.members} members and the first {cvode.days} days were run
  and scaled to all.
- Its relative tolerance, {cvode.rtol:.0e}, is the loosest of those tried whose largest error is no
  larger than sampling's. Against a tight CVODE it is off by {percent["CVODE"]} of a series'
  largest value, our sampling by {percent["sampling"]}, printed by {percent["printed"]}.
- It asks for the rates {cvode.calls:.0f} times a day, {cvode.calls - cvode.calls_stepping:.0f} of
  them for Jacobians. One evaluation costs {1e6 * cvode.slopes_s:.1f} microseconds inside compiled
  code and {1e6 * cvode.in_slopes_s / cvode.calls:.0f} through Python: the way there and back is
  {100.0 * way_s / cvode.as_is_s:.0f} % of all its time.
- So the last rows count nothing but evaluations at the compiled cost, without CVODE's own algebra:
  less than that these tolerances cannot take, whatever CVODE is called from.""".split("\n")


def _fresh(fresh: FreshStarts) -> str:
    def row(what: str, start: Start) -> str:
        kept = len(start.programs)
        return f"| {what} | {start.seconds:.2f} | {start.memory_gb:.2f} | {kept} |"

    return f"""\
## The command in a fresh process

`watervane forecast` on an invented tank with {fresh.readings} readings, {fresh.days} days ahead,
{fresh.members} members; cold means that no compiled program is kept yet.

| run | seconds | largest memory, GB | compiled programs kept |
|---|---|---|---|
{row("cold", fresh.cold)}
{row("warm", fresh.warm)}
{row("`--help`", fresh.help_only)}
"""


def _aims(
    slower: float,
    ours: Compiled,
    fresh: FreshStarts,
    carried: CarriedCost | None,
    steps: StepsCost | None,
    choosing: ChoosingCost | None,
) -> str:
    aim = partial(_aim, slower)
    rows = [
        aim(f"{accuracy}, two threads, {AIMED_MEMBERS} members, {AIMED_DAYS} days", "s",
             ours.per_member_day_s(accuracy, 2) * AIMED_MEMBERS * AIMED_DAYS, aim_s)
        for accuracy, aim_s in AIMS_S.items()
    ]  # fmt: skip
    memory_gb = max(ours.memory_gb, fresh.cold.memory_gb, fresh.warm.memory_gb)
    rows += [
        aim("forecast, cold", "s", fresh.cold.seconds, AIM_COLD_S),
        aim("forecast, warm", "s", fresh.warm.seconds, AIM_WARM_S),
        aim("largest memory", "GB", memory_gb, AIM_MEMORY_GB),
    ]
    if carried is not None:
        rows += [aim(*told) for told in aims(carried)]
    if steps is not None:
        rows += [aim(*told) for told in aims_of_steps(steps)]
    if choosing is not None:
        rows += [aim(*told) for told in aims_of_choosing(choosing)]
    said = f"""\
## Aims

The aims are in seconds of the machine they were set on. The NumPy program above, which nobody
tunes, took {AIMS_NUMPY_MS} ms a member there, and {slower:.2f} times as long in this run; *there*
is what was measured here divided by that.

| what | aim | measured | there | |
|---|---|---|---|---|"""
    return "\n".join([said, *rows, ""])


def _aim(slower: float, what: str, unit: str, found: float, aim: float) -> str:
    there = found / slower if unit == "s" else found
    if min(found, there) > aim:
        verdict = f"missed, {there / aim:.1f} times the aim there"
    elif found > aim:
        verdict = f"met there, {found / aim:.1f} times the aim here"
    else:
        verdict = "met"
    here = f"{found:.2f} {unit}"
    return f"| {what} | {aim:g} {unit} | {here} | {there:.2f} {unit} | {verdict} |"
