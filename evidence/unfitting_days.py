"""How often a day is said to fit no course: of honest logs falsely, of spoilt ones rightly.

Truths are drawn from the prior and read with a coarse kit every second day, as in
`simulated_tanks`; some logs are then spoilt. In an honest log a day is called up falsely unless
one of its readings was a stray one, which the model knows of and the keeper had better repeat.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from evidence.keeping import Kept, digest
from evidence.resting import rests_on
from evidence.simulated_tanks import HORIZON_DAYS, blank_tank
from watervane.inference.calibration import stratified_truths
from watervane.inference.fitting import fit_members
from watervane.inference.observation import Seen, draw, observation_models, written
from watervane.inference.tank_target import TankTarget
from watervane.kits.sizes import SIZES
from watervane.process.day_program import Action
from watervane.process.noise import keyed_uniform
from watervane.process.run import initial_state, simulate
from watervane.process.state import WATER
from watervane.process.timeline import Timeline, meal_action, timeline
from watervane.records import Dose, Reading, Span, Tank

Numbers = NDArray[np.float64]
UNTIL, MEMBERS = 16, 300
SPOILT_D = 7.5  # between the tests of days 6 and 8, both in the evening
HONEST, CHANGE, SPILT, MISREAD = "honest", "change not logged", "food spilt", "test misread"
DOSED, DOSED_CHANGE = "dosed, honest", "dosed, change not logged"
COUNTS = {HONEST: 120, CHANGE: 40, SPILT: 40, MISREAD: 40, DOSED: 40, DOSED_CHANGE: 40}
DOSE_MG_N_PER_L = 3.0  # of tanks started without animals: a change is seen where there is much
KEPT_SHARE, SPILT_G = 0.3, 1.0
LEAST_OFF = 2  # steps that a misread test is off
KEPT = Kept("unfitting_days", digest(rests_on(Path(__file__))))


@dataclass(frozen=True)
class Log:
    """One simulated log: its readings, and which of them are strays or were misread."""

    line: Timeline
    readings: tuple[Reading, ...]
    odd: tuple[bool, ...]


def run(*, anew: bool, workers: int) -> None:
    """Fit all logs that are not kept yet."""
    shares = sorted((k / n, kind, k) for kind, n in COUNTS.items() for k in range(n))
    tasks = {f"{kind} {number}": (kind, number) for _, kind, number in shares}
    KEPT.complete(tasks, _work, anew=anew, workers=workers)


def kept() -> Iterator[tuple[str, dict[str, list[float]]]]:
    """What was found so far: kind of log; day, fit and oddness of each reading."""
    for key, found in KEPT.found().items():
        yield key.rsplit(" ", 1)[0], found


def _work(task: tuple[str, int]) -> dict[str, object]:
    kind, number = task
    log = logs(kind)[number]
    fitted = fit_members(log.line, log.readings, MEMBERS, 5000 + number, 1)
    return {
        "day": [log.line.calendar.days(r.at) // 1.0 for r in log.readings],
        "quantity": [r.quantity for r in log.readings],
        "fit": [float(p) for p in fitted.fit],
        "odd": [bool(o) for o in log.odd],
        "effective": fitted.effective,
    }


@cache
def logs(kind: str) -> tuple[Log, ...]:
    """Simulate logs of one kind."""
    tank = _blank(kind)
    line = timeline(tank, HORIZON_DAYS + 1)
    count, seed = COUNTS[kind], 30 + list(COUNTS).index(kind)
    target = TankTarget(line, tank.readings, seed, 1)
    z = stratified_truths(len(target.names), count, seed)
    members = target.members(z)
    course = simulate(
        line,
        members,
        initial_state(line, members),
        (0, target.last_day + 1),
        stops_d=target.look.moments,
        extra=_unlogged(kind),
        threads=1,
    )
    stops = np.array([target.look.moments.index(line.calendar.days(r.at)) for r in tank.readings])
    odd = np.zeros((len(tank.readings), count), dtype=bool)
    shown = draw(
        observation_models(tank, tank.readings),
        Seen(course, stops),
        dict(zip(target.look.latents, z[target.latent_rows], strict=True)),
        _noting_strays(odd, seed),
    )
    made = []
    for k in range(count):
        readings = [written(tank, r, float(shown[i, k])) for i, r in enumerate(tank.readings)]
        if kind == MISREAD:
            place, value = _misread(tank.readings, readings, np.random.default_rng([seed, k]))
            readings[place] = written(tank, readings[place], value)
            odd[place, k] = True
        told = replace(line, tank=replace(tank, readings=tuple(readings)))
        made.append(Log(told, tuple(readings), tuple(bool(o) for o in odd[:, k])))
    return tuple(made)


def _blank(kind: str) -> Tank:
    tank = blank_tank(seeded=False, until=UNTIL)
    if kind not in (DOSED, DOSED_CHANGE):
        return tank
    at = tank.readings[0].at - timedelta(days=1, hours=2)
    dose = Dose(at=at, substance="ammonium chloride", target_mg_n_per_l=DOSE_MG_N_PER_L)
    return replace(tank, events=(dose,), habits=())


def _unlogged(kind: str) -> tuple[Action, ...]:
    if kind == SPILT:
        return (meal_action(SPOILT_D, Span(SPILT_G, SPILT_G), 0.42, 60.0),)
    if kind in (CHANGE, DOSED_CHANGE):
        keep = dict.fromkeys(WATER, KEPT_SHARE)
        told = {"volume_keep": KEPT_SHARE, "fill_to_mark": 1.0}
        return (Action(SPOILT_D, told, {"keep": keep}),)
    return ()


def _noting_strays(odd: NDArray[np.bool_], seed: int) -> Callable[[str, int], Numbers]:
    """Chance of the kits, noting which readings it makes strays of."""
    numbers = np.arange(odd.shape[1])
    chance = SIZES["drop"].outlier_chance

    def uniform(stream: str, at: int) -> Numbers:
        drawn = keyed_uniform(seed, numbers, at, f"read {stream}")
        if stream.startswith("odd "):
            odd[at] = drawn < chance
        return drawn

    return uniform


def _misread(
    blank: tuple[Reading, ...], readings: list[Reading], rng: np.random.Generator
) -> tuple[int, float]:
    """A test of ammonia or nitrite on a middle day, and another of its steps, far off."""
    middle = [i for i, r in enumerate(blank) if r.quantity in ("ammonia", "nitrite")][2:-2]
    place = int(rng.choice(middle))
    kit = blank_tank(seeded=False, until=UNTIL).kits["drop"]
    scale = kit.scale(readings[place].quantity)
    steps = () if scale is None else scale.steps
    shown = int(np.abs(np.array(steps) - float(readings[place].value.low or 0.0)).argmin())
    far = [s for i, s in enumerate(steps) if abs(i - shown) >= LEAST_OFF]
    return place, float(rng.choice(far))
