"""Search for the routine with the least work: closed forms, then a few members, then more."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from watervane.advice.routines import PURE, TAP, Steady, practice, routine, worth_running
from watervane.engine.care_bounds import (
    Key,
    Reach,
    Windows,
    excess,
    keeps,
    reach_of,
    with_tier_first,
)
from watervane.engine.care_food import work_of
from watervane.engine.care_gains import Gains
from watervane.engine.care_ground import LANES_IN_ONE, Ground
from watervane.engine.care_lanes import WEEK_D, Lane, LaneRan
from watervane.engine.composed import Progress
from watervane.engine.futures import Standing
from watervane.process.run import BLOCK_MEMBERS
from watervane.records import Habit, TopOff, WaterChange
from watervane.records.care import Routine, RoutineTried

LANES = 30  # routines that are looked at first, and one that no bound asks more than
SEARCHED = BLOCK_MEMBERS // (LANES + 1)
TRIES, ROUNDS = 2, 4
STRONGEST = Lane(0.5, WEEK_D), Lane(0.5, WEEK_D, pure=True)  # what no bound asks more than
HALVES = "half-share", "every-second"
Lanes = dict[tuple[str, Routine | None], Lane]
Seen = dict[Key, Windows]


@dataclass(frozen=True)
class Chosen:
    """What the search came to: the routine, its run, and all that was tried.

    ``less`` is how half of it fared, where that was run along with it.
    """

    ground: Ground
    ran: LaneRan
    tried: RoutineTried
    practice: RoutineTried
    planned: RoutineTried | None
    all_tried: tuple[RoutineTried, ...]
    windows: Seen
    reach: Reach
    less: Mapping[str, Seen] = field(default_factory=dict)


def lane_of(one: Routine) -> Lane:
    """A routine as it is run."""
    return Lane(one.share, one.every_days, pure=one.top_off == PURE, food=one.food)


def halves(lane: Lane) -> dict[str, Lane]:
    """What comes of a routine that is half followed."""
    return {
        HALVES[0]: replace(lane, share=0.5 * lane.share),
        HALVES[1]: replace(lane, made=2),
    }


def searched(
    ground: Ground,
    gains: Gains,
    quantities: Mapping[float, Mapping[str, Steady]],
    progress: Progress | None,
) -> Chosen:
    """Find the routine.

    Parameters
    ----------
    ground
        What every routine begins from.
    gains
        Of the members, with the most food that is searched.
    quantities
        By the daily food, times what is planned, and by name.
    progress
        See `watervane.engine.foretell`.
    """
    evaporated = float(np.median(gains.evaporating)) * ground.volume_l
    candidates = worth_running(quantities, ground.volume_l, evaporated, LANES)[:LANES]
    few = ground.some(SEARCHED, gains.gain["nitrate"])
    least = ground.foods.times[-1]
    lanes = [*map(lane_of, candidates), replace(STRONGEST[0], food=least)]
    seen = [few.windows(each) for each in few.run(lanes, progress, (0.05, 0.45))]
    reach = reach_of(seen, ground.standing.tank.allowed_risk, SEARCHED)
    pairs = list(zip(candidates, seen, strict=False))
    order = _Order(ground.foods.times[0])
    ranked = sorted(pairs, key=lambda p: order(p[0], p[1], reach))
    tried = tuple(_tried(one, "candidate", windows, reach) for one, windows in ranked)
    found = _confirmed(ground, [one for one, _ in ranked], evaporated, order, progress)
    return replace(found, all_tried=tried)


@dataclass(frozen=True)
class _Order:
    """Those that keep the bounds first, the least work before more."""

    most_fed: float

    def __call__(self, one: Routine, windows: Seen, reach: Reach) -> tuple[bool, float, float]:
        bounds = reach.bounds(windows)
        kept = keeps(bounds)
        return not kept, 0.0 if kept else excess(bounds), work_of(one, self.most_fed)


def _confirmed(
    ground: Ground,
    ranked: Sequence[Routine],
    evaporated_l_per_d: float,
    order: _Order,
    progress: Progress | None,
) -> Chosen:
    """The first of the ranked that keeps the bounds over all members, beside what is usual."""
    allowed = ground.standing.tank.allowed_risk
    beside = [practice(ground.volume_l, evaporated_l_per_d)]
    beside += _planned(ground.standing, ground.volume_l, evaporated_l_per_d)
    reach: Reach | None = None
    told: list[RoutineTried] = []
    ran: dict[tuple[str, Routine | None], LaneRan] = {}
    seen: dict[tuple[str, Routine | None], Seen] = {}
    tries: list[Routine] = []
    for turn in range(ROUNDS):
        some = list(ranked[TRIES * turn : TRIES * (turn + 1)])
        if not some:
            break
        lanes = _round(some, beside if reach is None else (), ground.foods.times[-1])
        span = 0.45 + 0.4 * turn / ROUNDS, 0.45 + 0.4 * (turn + 1) / ROUNDS
        more = dict(zip(lanes, ground.run(list(lanes.values()), progress, span), strict=True))
        ran |= more
        seen |= {key: ground.windows(each) for key, each in more.items()}
        if reach is None:
            halved = {key: each for key, each in seen.items() if key[0] not in HALVES}
            reach = reach_of(list(halved.values()), allowed, len(ground.members))
            kinds = ("practice", "as-planned")
            for one, kind in zip(beside, kinds, strict=False):
                told.append(_tried(one, kind, seen["beside", one], reach))
        tries += some
        if any(keeps(reach.bounds(seen["try", one])) for one in some):
            break
    if reach is None:
        raise ValueError("no routine was run")
    best = min(tries, key=lambda one: order(one, seen["try", one], reach))
    return Chosen(
        ground,
        ran["try", best],
        _tried(best, "candidate", seen["try", best], reach),
        told[0],
        told[1] if len(told) > 1 else None,
        (),
        seen["try", best],
        reach,
        {kind: seen[kind, best] for kind in HALVES if (kind, best) in seen},
    )


def _round(some: Sequence[Routine], beside: Sequence[Routine], least_food: float) -> Lanes:
    """As many lanes as are run in one go: tries, what is set beside them, half of the tries."""
    lanes: Lanes = {("try", one): lane_of(one) for one in some}
    lanes |= {("beside", one): lane_of(one) for one in beside}
    if beside:
        lanes["strongest", None] = replace(STRONGEST[0], food=least_food)
    for one in some:
        half: Lanes = {(kind, one): lane for kind, lane in halves(lane_of(one)).items()}
        if len(lanes) + len(half) <= LANES_IN_ONE:
            lanes |= half
    if beside and len(lanes) < LANES_IN_ONE:
        lanes["strongest-pure", None] = replace(STRONGEST[1], food=least_food)
    return lanes


def _tried(one: Routine, kind: str, windows: Seen, reach: Reach) -> RoutineTried:
    bounds = reach.bounds(windows)
    return RoutineTried(one, kind, keeps(bounds), with_tier_first(bounds))


def _planned(standing: Standing, volume_l: float, evaporated_l_per_d: float) -> list[Routine]:
    """The changes the log plans, as often as whole weeks tell it; nothing where none is planned."""
    today = standing.as_of.date()
    told = [
        each
        for each in standing.tank.habits
        if isinstance(each.template, WaterChange) and (each.until is None or each.until > today)
    ]
    if len(told) != 1:
        return []
    share = _share(told[0])
    weeks = max(round(told[0].every_days / WEEK_D), 1)
    pure = any(isinstance(h.template, TopOff) and h.template.pure for h in standing.tank.habits)
    top_off = PURE if pure else TAP
    return [routine(share, weeks * WEEK_D, top_off, volume_l, evaporated_l_per_d)]


def _share(habit: Habit) -> float:
    template = habit.template
    return template.fraction if isinstance(template, WaterChange) else 0.0
