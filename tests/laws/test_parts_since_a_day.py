"""Bed, media and plants that come on a day: as if from the start, and nothing for nothing."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from watervane.forecast.ledger import held, of_deed
from watervane.inference.anchors import past_digest
from watervane.inference.priors import prior_members
from watervane.process.booking import Book, BookedDeed, Seen, run_booked
from watervane.process.colony_view import ColonyView, ColonyViewer
from watervane.process.run import Course, Members, initial_state, simulate
from watervane.process.state import COLUMN, TankState
from watervane.process.timeline import Timeline, timeline
from watervane.records import (
    AnimalsIn,
    Bed,
    EquipmentChange,
    Feed,
    Filter,
    Habit,
    Media,
    SettledLevels,
    Span,
    Tank,
    WaterChange,
)

UTC = ZoneInfo("UTC")
FILLED = date(2026, 3, 1)
COUNT, CHANGED, LAST = 24, 40, 80
SMALL = Media("sponge", 0.05)


def at(day: int, hour: int = 0) -> datetime:
    return datetime(2026, 3, 1, hour, tzinfo=UTC) + timedelta(days=day)


def tank(*changes: EquipmentChange) -> Tank:
    """Fed more than so small a sponge carries."""
    meal = Feed(at=at(1, 18), mass_g=Span.exact(0.4))
    change = WaterChange(at=at(6, 9), fraction=0.3)
    return Tank(
        name="little sponge",
        filled=FILLED,
        volume_l=60.0,
        bed=Bed("none"),
        filter=Filter((SMALL,), 300.0),
        heater_power_w=75.0,
        heater_set_point_c=25.0,
        air_flow_l_per_h=60.0,
        events=(AnimalsIn(at=at(1, 12), species="Danio rerio", count=12, length_cm=3.0), *changes),
        habits=(
            Habit(template=meal, every_days=1, start=date(2026, 3, 2)),
            Habit(template=change, every_days=7, start=date(2026, 3, 7)),
        ),
    )


MORE = EquipmentChange(at=at(CHANGED, 12), media=(Media("ceramic", 1.5),))


@cache
def members() -> Members:
    return prior_members(tank(), np.arange(COUNT), 3)


@cache
def as_it_was() -> Timeline:
    return timeline(tank(), LAST)


@cache
def with_more() -> Timeline:
    return timeline(tank(MORE), LAST)


def run(line: Timeline, days: tuple[int, int], start: TankState, **more: Any) -> Course:
    return simulate(line, members(), start, days, accuracy="screening", threads=1, **more)


@cache
def grown() -> TankState:
    """The day before the change."""
    begun = initial_state(as_it_was(), members())
    return run(as_it_was(), (0, CHANGED - 1), begun).final


def same(one: Course, other: Course) -> None:
    assert np.array_equal(one.daily_means, other.daily_means)
    for a, b in zip(one.final, other.final, strict=True):
        assert np.array_equal(a, b)


def test_a_change_on_the_day_of_filling_is_the_tank_built_so() -> None:
    told = EquipmentChange(
        at=at(0, 15), plants="few", bed_material="coral sand", bed_depth_cm=4.0,
        media=(Media("sponge", 0.0), Media("foam", 0.8)),
    )  # fmt: skip
    built = replace(
        tank(), plants="few", bed=Bed("coral sand", 4.0), filter=Filter((Media("foam", 0.8),), 300)
    )
    later, from_the_start = timeline(tank(told), 3), timeline(built, 3)
    assert later.geometry == from_the_start.geometry
    assert not later.fits
    one, other = (
        run(line, (0, 3), initial_state(line, members())) for line in (later, from_the_start)
    )
    same(one, other)


def test_the_water_knows_nothing_of_a_change_before_its_day() -> None:
    stops, days = [CHANGED + 0.25, CHANGED + 2.75], (CHANGED - 1, CHANGED + 3)
    with_it, without = (
        run(line, days, grown(), stops_d=stops) for line in (with_more(), as_it_was())
    )
    assert np.array_equal(with_it.outputs[:, 0], without.outputs[:, 0])
    assert not np.array_equal(with_it.outputs[:, 1], without.outputs[:, 1])


def test_a_run_taken_up_while_surface_grows_over_goes_on_as_it_would_have() -> None:
    middle = CHANGED + 4
    whole = run(with_more(), (CHANGED - 1, middle + 2), grown(), checkpoint_days=(middle,))
    again = run(with_more(), (middle, middle + 2), whole.checkpoints[middle])
    for a, b in zip(whole.final, again.final, strict=True):
        assert np.array_equal(a, b)


def views(line: Timeline, moments: list[float]) -> list[ColonyView]:
    found: list[ColonyView] = []
    viewer = ColonyViewer(line, members(), SettledLevels())
    book = Book(seen=lambda seen: found.append(viewer(seen)), moments_d=moments)
    run_booked(line, members(), grown(), (CHANGED - 1, LAST), book, accuracy="screening")
    return found


@pytest.mark.slow
def test_more_media_carry_more_only_once_colonies_have_grown_on_them() -> None:
    moments = [CHANGED + 0.55, CHANGED + 39.0]
    (soon, late), (soon_as_was, late_as_was) = (
        views(line, moments) for line in (with_more(), as_it_was())
    )
    for name in ("capacity", "held", "turnover"):
        now, was = getattr(soon, name), getattr(soon_as_was, name)
        assert np.allclose(now, was, rtol=0.01, atol=1e-6), name
    for guild in range(2):
        more = late.capacity[guild, 1] / np.maximum(late_as_was.capacity[guild, 1], 1e-9)
        assert np.median(more) > 1.3
        assert np.median(late.held[guild, 1] / np.maximum(late_as_was.held[guild, 1], 1e-9)) > 1.3


def test_nitrogen_of_a_change_is_booked_and_none_is_made() -> None:
    change = EquipmentChange(
        at=at(CHANGED, 12), plants="many", bed_material="sand",
        media=(Media("sponge", 0.02), Media("ceramic", 1.0)),
    )  # fmt: skip
    back = EquipmentChange(at=at(CHANGED + 1, 12), plants="few", bed_material="none")
    line = timeline(tank(change, back), LAST)
    deeds: list[BookedDeed] = []
    sums: list[np.ndarray] = []

    def see(seen: Seen) -> None:
        sums.append(sum(held(seen.state.amounts[:, 0]).values(), np.zeros(COUNT)))

    book = Book(deeds.append, see, [each.from_d for each in line.fits])
    run_booked(line, members(), grown(), (CHANGED - 1, CHANGED + 2), book, accuracy="screening")
    done = [deed for deed in deeds if deed.at_d in {each.from_d for each in line.fits}]
    assert len(done) == len(sums) == 2
    for deed, before in zip(done, sums, strict=True):
        came, went = of_deed(deed)
        after = sum(held(deed.after).values(), np.zeros(COUNT))
        assert np.allclose(before + sum(came.values()) - sum(went.values()), after, rtol=1e-12)
    filter_kept = done[0].after[COLUMN["nitrite_oxidisers_filter"]]
    assert np.allclose(filter_kept, 0.4 * done[0].before[COLUMN["nitrite_oxidisers_filter"]])
    assert np.all(of_deed(done[0])[0]["seeded"] > 0.0)  # plants
    assert np.all(of_deed(done[1])[1]["plants"] > 0.0)
    bed = COLUMN["ammonia_oxidisers_bed"]
    assert np.all(done[1].after[bed] <= 0.02 * done[1].before[bed])


@pytest.mark.parametrize("day", [CHANGED - 10, CHANGED + 10])
def test_what_is_kept_of_the_past_sees_a_change_in_it_alone(day: int) -> None:
    changed, as_was = (past_digest(line, (), float(day)) for line in (with_more(), as_it_was()))
    assert (changed == as_was) == (day < CHANGED)
