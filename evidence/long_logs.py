"""Long, exact logs, fitted with daily noise and drift and without.

Truths are drawn from the prior, with days that differ and rates that drift, and read with a
photometer or a kit of six steps on every second day for eight weeks. Few coarse readings leave so
much open that a model without noise goes unpunished; these do not.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from evidence.keeping import Kept, digest
from evidence.resting import rests_on
from evidence.simulated_tanks import HORIZON_DAYS, WATCHED, blank_tank
from watervane.inference.calibration import place, stratified_truths
from watervane.inference.fitting import fit_members
from watervane.inference.observation import Seen, draw, observation_models, written
from watervane.inference.priors import UNKNOWNS
from watervane.inference.tank_target import TankTarget
from watervane.process.noise import keyed_uniform
from watervane.process.run import Course, Members, initial_state, simulate
from watervane.process.timeline import Timeline, timeline
from watervane.records import Kit, Reading, Tank

Numbers = NDArray[np.float64]
UNTIL, MEMBERS, TANKS, SEED = 56, 1000, 24, 41
PRIOR_DRAWS = 2000
LATER_D = (7, 14)  # after the last reading
LEAST_FIT = 0.001  # chance of a reading as far out, from which it is counted
KITS = ("drop", "photometer")
READ = ("ammonia", "nitrite", "nitrate")
KEPT = Kept("long_logs_usual", digest(rests_on(Path(__file__))))


def run(*, anew: bool, workers: int) -> None:
    """Fit all logs that are not kept yet, each with and without."""
    tasks = {
        _key(kit, number, restless=restless): (kit, number, restless)
        for number in range(TANKS)
        for kit in KITS
        for restless in (True, False)
    }
    KEPT.complete(tasks, look, anew=anew, workers=workers)


def kept(kit: str) -> Iterator[tuple[Mapping[str, Any], Mapping[str, Any]]]:
    """What was found of each tank that was fitted both ways: with, and without."""
    found = KEPT.found()
    for number in range(TANKS):
        both = [found.get(_key(kit, number, restless=restless)) for restless in (True, False)]
        if both[0] is not None and both[1] is not None:
            yield both[0], both[1]


def _key(kit: str, number: int, *, restless: bool) -> str:
    return f"{kit} {number} {'restless' if restless else 'calm'}"


def look(task: tuple[str, int, bool]) -> dict[str, object]:
    """Where one truth lies among its members, and among draws of the prior."""
    kit, number, restless = task
    line, readings, actual = truths(kit)
    told = replace(line, tank=replace(line.tank, readings=readings[number]))
    fitted = fit_members(told, readings[number], MEMBERS, 7000 + number, 1, restless=restless)
    if fitted.z is None or fitted.info is None:
        raise ValueError("a truth without readings")
    there = _quantities(told, fitted.z, fitted.members, restless=restless)
    before = _prior(kit)
    rng = np.random.default_rng([SEED, number])
    truth = {name: float(values[number]) for name, values in actual.items()}
    return {
        "places": {name: place(value, there[name], rng) for name, value in truth.items()},
        "prior": {name: place(value, before[name], rng) for name, value in truth.items()},
        "spread": {name: float(there[name].std()) for name in truth},
        "off": {name: float(np.median(there[name]) - value) for name, value in truth.items()},
        "effective": fitted.effective,
        "sweeps": fitted.info.sweeps,
        "odd": int((fitted.fit < LEAST_FIT).sum()),
    }


@cache
def truths(kit: str) -> tuple[Timeline, tuple[tuple[Reading, ...], ...], dict[str, Numbers]]:
    """Draw truths, and read each tank."""
    tank = _blank(kit)
    line = timeline(tank, HORIZON_DAYS + 1)
    target = TankTarget(line, tank.readings, SEED, 1)
    z = stratified_truths(len(target.names), TANKS, SEED)
    members = target.members(z)
    course = _run(line, members, target.last_day + 1, target.look.moments, restless=True)
    stops = np.array([target.look.moments.index(line.calendar.days(r.at)) for r in tank.readings])
    numbers = np.arange(TANKS)
    shown = draw(
        observation_models(tank, tank.readings),
        Seen(course, stops),
        dict(zip(target.look.latents, z[target.latent_rows], strict=True)),
        lambda stream, at: keyed_uniform(SEED, numbers, at, f"read {stream}"),
    )
    readings = tuple(
        tuple(written(tank, r, float(shown[i, k])) for i, r in enumerate(tank.readings))
        for k in range(TANKS)
    )
    return line, readings, _quantities(line, z, members, restless=True)


def _blank(kit: str) -> Tank:
    tank = blank_tank(seeded=False, until=UNTIL)
    dense = [replace(r, quantity=q) for r in tank.readings if r.quantity == READ[0] for q in READ]
    if kit == "photometer":
        tank = replace(tank, kits={"drop": Kit("drop", kit, ())})
    return replace(tank, readings=tuple(dense))


@cache
def _prior(kit: str) -> dict[str, Numbers]:
    tank = _blank(kit)
    line = timeline(tank, HORIZON_DAYS + 1)
    target = TankTarget(line, tank.readings, SEED + 1, 1)
    z = np.random.default_rng(SEED).standard_normal((len(target.names), PRIOR_DRAWS))
    return _quantities(line, z, target.members(z), restless=True)


def _quantities(
    line: Timeline, z: Numbers, members: Members, *, restless: bool
) -> dict[str, Numbers]:
    later = [float(UNTIL + back) + 0.5 for back in LATER_D]
    course = _run(line, members, HORIZON_DAYS + 1, later, restless=restless)
    found = {name: z[UNKNOWNS.index(name)] for name in WATCHED}
    for quantity in READ:
        levels = np.asarray(course.output(f"{quantity}_mg_n_per_l"))
        for place_of, back in enumerate(LATER_D):
            found[f"{quantity}, {back} days later"] = levels[place_of]
    return found


def _run(
    line: Timeline, members: Members, end: int, stops_d: list[float], *, restless: bool
) -> Course:
    start = initial_state(line, members)
    return simulate(
        line,
        members,
        start,
        (0, end),
        stops_d=stops_d,
        threads=1,
        food_noise=restless,
    )
