"""Move colonies over the members of a tank, beside other ways to carry them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

import numpy as np

from watervane.engine.carried_tank import CarriedTank
from watervane.engine.foretell import Progress
from watervane.engine.larger_tank import drawn_share, moved
from watervane.engine.mishaps import LEAST_LARGER, Scene, meals_times, rewritten, under
from watervane.engine.rehearse import compared, future_of, harm_of
from watervane.engine.stage import LOOKS_PER_DAY, Stage, set_stage
from watervane.planning.carrying_media import (
    CannotResettle,
    kept_shares,
    lent_share,
    problems,
    steps,
)
from watervane.process.rates.nitrifiers import GUILDS
from watervane.process.state import COLUMN, TankState
from watervane.process.timeline import Timeline, timeline
from watervane.records import Feed, Finding, Mishap, Span, Tank
from watervane.records.resettling import CARRIED, ColonyMove, ResettledWay, Resettling

WHOLE_MOVE = "colonies-moved"  # the kind of mishap that stands for the move
LEAN_DAYS, LEAN_MEALS = 7, 0.5


def resettle(
    tank: Tank,
    move: ColonyMove,
    before: CarriedTank | None = None,
    *,
    as_of: datetime | None = None,
    horizon_days: int = 28,
    members: int = 1000,
    seed: int = 1,
    threads: int = 2,
    now: datetime | None = None,
    progress: Progress | None = None,
) -> Resettling:
    """Work a move of tomorrow out.

    Parameters
    ----------
    tank
        With its whole log.
    move
        What is moved, and how.
    before
        Members that agree with its readings; without any they are fitted, which takes a while.
    horizon_days
        Days looked at. [d]
    as_of, members, seed, threads, now, progress
        See `watervane.engine.foretell`.

    Raises
    ------
    ChangedPastError
        If carried members were fitted to another past.
    CannotResettle
        For what makes no sense, or a larger tank that is no larger.
    """
    wrong = problems(move)
    if wrong:
        raise CannotResettle(wrong)
    stage = set_stage(
        tank,
        before,
        as_of=as_of,
        horizon_days=horizon_days,
        members=members,
        seed=seed,
        threads=threads,
        now=now,
        progress=progress,
    )
    other = _line_of(stage, move)
    ways = []
    asked = ways_of(move)
    for number, (name, one) in enumerate(asked.items()):
        if progress is not None:
            progress("future", number / len(asked))
        ways.append(_way(stage, other, name, one, threads))
    known = stage.known
    return Resettling(
        tank=tank.name,
        owner=tank.owner,
        as_of=known.calendar.moment(known.calendar.days(known.as_of)),
        horizon_days=stage.horizon_days,
        move=move,
        ways=tuple(ways),
        steps=steps(move),
        diagnostics=stage.diagnostics,
        lent=lent_share(move),
    )


def ways_of(move: ColonyMove) -> dict[str, ColonyMove]:
    """The move as asked for, and the others it is set beside."""
    found = {"asked": move}
    if move.kind == "lend":  # how it travels is felt where it goes
        return found | {"half-now": replace(move, share=0.5 * move.share), "half-food": move}
    others = {each: replace(move, carried=each) for each in CARRIED if each != move.carried}
    if move.kind == "filter":
        return found | others | {"half-now": replace(move, share=0.5 + 0.5 * move.share)}
    return found | others | {"half-food": move}


def _line_of(stage: Stage, move: ColonyMove) -> Timeline:
    if move.volume_l is None:
        return stage.line
    before_l = stage.line.geometry["volume_l"]
    if move.volume_l <= LEAST_LARGER * before_l:
        told: dict[str, object] = {"field": "volume", "before": before_l, "told": move.volume_l}
        raise CannotResettle((Finding("resettle-not-larger", "problem", told),))
    line = stage.line
    scene = Scene(line, line.calendar.moment(line.calendar.bounds_d(stage.days[0])[0]))
    return timeline(under(scene, Mishap("larger-tank", move.volume_l)), stage.days[1])


def _way(stage: Stage, other: Timeline, name: str, move: ColonyMove, threads: int) -> ResettledWay:
    line, kept = stage.line, kept_shares(move)
    begins = line.calendar.moment(line.calendar.bounds_d(stage.days[0])[0])
    state = _moved(stage, other, move, kept)
    if name == "half-food":
        scene = Scene(other, begins, LEAN_DAYS)
        lean = rewritten(scene, Feed, meals_times(LEAN_MEALS), LEAN_DAYS)
        other = other if lean is None else timeline(lean, stage.days[1])
    changed = future_of(other, stage.run, state, stage.days, threads, LOOKS_PER_DAY)
    told = compared(
        Mishap(WHOLE_MOVE, 0.0),
        (begins, begins),
        line.calendar,
        (stage.planned, stage.harmed),
        (changed, harm_of(other, changed)),
        other.geometry["volume_l"] / line.geometry["volume_l"],
    )
    return ResettledWay(name, kept, replace(told, warmth_change_c_per_h=stage.gentle_c_per_h))


def _moved(stage: Stage, other: Timeline, move: ColonyMove, kept: Mapping[str, Span]) -> TankState:
    if move.kind in ("larger-tank", "house"):
        shares = {h: s for h, s in kept.items() if move.kind == "house" or h != "surface"}
        return moved(stage.state, stage.line, other, stage.run, shares, move.old_water)
    amounts = np.array(stage.state.amounts)
    for guild in GUILDS:
        column = COLUMN[f"{guild}_oxidisers_filter"]
        amounts[column] = drawn_share(kept["filter"], stage.run, "filter") * amounts[column]
    return stage.state._replace(amounts=amounts)
