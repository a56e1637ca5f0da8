"""A log as rows in time: what happens when, and what holds in between."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from watervane.process.day_grid import USUAL
from watervane.process.day_program import Rows, padded
from watervane.process.state import COLUMN, MATRIX, WATER
from watervane.process.timeline import Timeline, timeline
from watervane.records import (
    AnimalsIn,
    Dose,
    EquipmentChange,
    Feed,
    Habit,
    Outage,
    SourceWater,
    Span,
    Tank,
    TopOff,
    WaterChange,
)

LISBON = ZoneInfo("Europe/Lisbon")
FILLED = date(2026, 3, 1)
SPRING, AUTUMN = 28, 238


def _at(day: int, hour: int, minute: int = 0) -> datetime:
    first = datetime(2026, 3, 1, tzinfo=LISBON)
    return first.fromordinal(first.toordinal() + day).replace(
        hour=hour, minute=minute, tzinfo=LISBON
    )


def _line(last: int = 10, **fields: Any) -> Timeline:
    tank = Tank(name="t", filled=FILLED, time_zone="Europe/Lisbon", volume_l=60.0, **fields)
    return timeline(tank, last)


def _rows(line: Timeline, day: int, **more: Any) -> tuple[Rows, np.ndarray]:
    return line.day_rows(day, USUAL["sampling"], **more)


def _value(rows: Rows, starts: np.ndarray, name: str, at_d: float) -> float:
    place = int(np.searchsorted(starts, at_d + 1e-9)) - 1
    return float(rows[name][place, 0, 0])


def test_no_row_is_spent_on_looks_and_cuts_that_fall_together() -> None:
    at = _at(3, 12)
    meal = Feed(at=at, mass_g=Span.exact(0.1))
    line = _line(events=(meal,))
    begin, end = line.calendar.bounds_d(3)
    looks = tuple(begin + (end - begin) * k / 8 for k in range(8))
    rows, starts = _rows(line, 3, stops_d=looks)
    idle = np.flatnonzero(rows["step_d"][:, 0, 0] < 1e-9)
    assert rows["acts"][idle].sum() == 0.0  # the water is looked at
    assert rows["acts"][idle + 1].min() == 1.0  # before something is done to it
    assert len(idle) == 2  # topped off at nine, fed at noon
    for look in looks:
        assert np.abs(starts - look).min() < 1e-9


@pytest.mark.parametrize(("day", "hours"), [(1, 24.0), (SPRING, 23.0), (AUTUMN, 25.0)])
def test_rows_fill_the_day(day: int, hours: float) -> None:
    line = _line(240, events=(Dose(at=_at(day, 12), substance="conditioner"),))
    rows, starts = _rows(line, day, stops_d=(line.calendar.bounds_d(day)[0] + 0.3,))
    assert rows["step_d"].sum() * 24 == pytest.approx(hours)
    assert rows["step_d"].min() >= 0.0
    assert np.all(np.diff(starts) >= 0.0)
    assert np.allclose(np.diff(starts), rows["step_d"][:-1, 0, 0])


def test_padding_adds_rows_in_which_nothing_happens() -> None:
    rows, _ = _rows(_line(), 1)
    pieces = padded(rows, 16)
    assert {len(p["step_d"]) for p in pieces} == {16}
    assert sum(p["step_d"].sum() for p in pieces) == pytest.approx(1.0)
    idle = {name: values[-1] for name, values in pieces[-1].items()}
    assert idle["step_d"] == 0.0
    assert np.all(idle["keep"] == 1.0)
    assert np.all(idle["add"] == 0.0)


def test_a_level_nobody_keeps_is_kept_and_said() -> None:
    line = _line()
    assert "assumed-level-kept" in [f.key for f in line.findings]
    filled = [a for a in line.actions if a.scalars.get("fill_to_mark")]
    assert len(filled) == 10
    clocks = {line.calendar.moment(a.at_d).hour for a in filled}
    assert clocks == {9}


@pytest.mark.parametrize("as_habit", [True, False])
def test_a_keeper_who_logs_top_offs_gets_no_others(as_habit: bool) -> None:
    event = TopOff(at=_at(3, 8), volume_l=2.0, pure=True)
    logged: dict[str, Any] = {"events": (event,)}
    if as_habit:
        logged = {"habits": (Habit(template=event, every_days=5, start=date(2026, 3, 4)),)}
    line = _line(**logged)
    actions = [a for a in line.actions if a.scalars.get("volume_add")]
    assert len(line.actions) == len(actions) == (2 if as_habit else 1)
    assert actions[0].scalars["volume_add"] == pytest.approx(2.0 / 60.0)
    assert actions[0].scalars["pure"] == 1.0
    assert "assumed-level-kept" not in [f.key for f in line.findings]


def test_a_water_change_takes_water_but_no_bed_nor_animals() -> None:
    line = _line(events=(WaterChange(at=_at(3, 12), fraction=0.3, temperature_c=18.0),))
    action = next(a for a in line.actions if "volume_keep" in a.scalars)
    assert action.scalars["volume_keep"] == pytest.approx(0.7)
    assert action.scalars["fill_to_mark"] == 1.0
    assert action.scalars["poured_temperature_c"] == 18.0
    assert action.scalars["conditioned"] == 1.0
    assert set(action.vectors["keep"]) == set(WATER)
    assert not {"food_nitrogen", "animal_nitrogen", "ammonia_oxidisers_bed"} & set(WATER)


def test_a_change_with_other_water_pours_that_water_for_every_member() -> None:
    """Not the usual water shifted: members differ in the usual, and a shift could go below zero."""
    told = {"nitrate_mg_n_per_l": 0.5, "kh_dkh": 1.0, "ph": 6.8, "gh_dgh": 2.0}
    event = WaterChange(at=_at(3, 12), fraction=0.3, water=told)
    line = _line(events=(event,), source_water=SourceWater(nitrate_mg_n_per_l=4.0, kh_dkh=9.0))
    action = next(a for a in line.actions if "volume_keep" in a.scalars)
    poured = action.vectors["water_differs"]
    assert action.scalars["pure"] == 1.0
    assert poured["nitrate"] == pytest.approx(0.5)
    assert poured["alkalinity"] == pytest.approx(0.35665)
    assert poured["calcium"] + poured["magnesium"] == pytest.approx(2 * 0.178325)
    amounts = np.array([poured[c.name] for c in MATRIX.components])
    assert abs(MATRIX.content[:, 1] @ amounts) < 1e-9, (
        "its charges cancel, to the digits of the table"
    )


def test_food_is_weighed_as_nitrogen_and_a_pinch_is_a_range() -> None:
    exact = Feed(at=_at(1, 18), mass_g=Span.exact(0.06), protein=0.42)
    pinch = replace(exact, at=_at(2, 18), mass_g=Span(0.03, 0.12))
    line = _line(events=(exact, pinch))
    first, second = (a.scalars for a in line.actions if "food_mg_n_per_l" in a.scalars)
    assert first["food_mg_n_per_l"] == pytest.approx(60.0 * 0.42 * 0.16 / 60.0)
    assert first["food_log_spread"] == 0.0
    assert second["food_mg_n_per_l"] == pytest.approx(first["food_mg_n_per_l"])
    assert np.exp(1.96 * second["food_log_spread"]) == pytest.approx(2.0)
    assert first["mouths"] == 0.0, "nobody there to eat it"


def test_a_meal_finds_mouths_once_animals_are_in() -> None:
    fish = AnimalsIn(at=_at(2, 12), species="Danio rerio", count=5)
    habit = Habit(
        template=Feed(at=_at(1, 18), mass_g=Span.exact(0.05)), every_days=1, start=date(2026, 3, 2)
    )
    line = _line(events=(fish,), habits=(habit,))
    mouths = [a.scalars["mouths"] for a in line.actions if "mouths" in a.scalars]
    assert mouths[:3] == [0.0, 1.0, 1.0]
    assert line.animals_at(2.0) == 0
    assert line.animals_at(2.6) == 5
    assert line.first_meal_d(3) == pytest.approx(3 + 18 / 24)
    assert line.first_meal_d(0) is None


def test_a_fast_day_is_no_meal() -> None:
    fast = Feed(at=_at(3, 18), mass_g=Span.exact(0.0))
    assert _line(events=(fast,)).first_meal_d(3) is None


@pytest.mark.parametrize(
    ("what", "stopped"),
    [
        ("all", {"filter_running", "heater_running", "gas_transfer_share", "light"}),
        ("filter", {"filter_running", "gas_transfer_share"}),
        ("heater", {"heater_running"}),
        ("air", {"gas_transfer_share"}),
        ("light", {"light"}),
    ],
)
def test_an_outage_stops_its_machines_for_its_hours(what: str, stopped: set[str]) -> None:
    outage = Outage(at=_at(3, 11, 20), hours=3.0, what=what)
    fields: dict[str, Any] = {
        "heater_set_point_c": 25.0,
        "air_flow_l_per_h": 40.0,
        "light_hours": 8.0,
    }
    hit, well = _line(events=(outage,), **fields), _line(**fields)
    start = 3 + (11 + 20 / 60) / 24
    names = ("filter_running", "heater_running", "gas_transfer_share", "light")
    for offset, during in ((-0.01, False), (0.001, True), (3 / 24 - 0.001, True), (0.127, False)):
        at_d = start + offset
        for name in names:
            here, usual = (_value(*_rows(x, 3), name, at_d) for x in (hit, well))
            assert (here < usual) == (during and name in stopped), (name, offset)
    assert np.isclose(_rows(hit, 3)[1], start).any(), "the day is cut where the power fails"
    assert np.isclose(_rows(hit, 3)[1], start + 3 / 24).any()


def test_a_still_tank_keeps_the_gas_exchange_of_its_surface() -> None:
    line = _line(events=(Outage(at=_at(3, 0), hours=24.0),), air_flow_l_per_h=40.0)
    share = _rows(line, 3)[0]["gas_transfer_share"]
    assert np.allclose(share, line.geometry["gas_share_still"])


def test_light_shines_its_hours_with_the_day_s_sum_kept() -> None:
    for hours in (4.0, 8.0, 12.0):
        rows, _ = _rows(_line(light_hours=hours), 2)
        assert (rows["light"] * rows["step_d"]).sum() == pytest.approx(1.0)
        lit = rows["step_d"][rows["light"][:, 0, 0] > 0].sum()
        assert lit * 24 == pytest.approx(hours)
    assert _rows(_line(light_hours=0.0), 2)[0]["light"].max() == 0.0


def test_a_setting_changes_from_its_moment_on() -> None:
    change = EquipmentChange(at=_at(3, 12), changes={"heater_set_point_c": 27.0})
    line = _line(events=(change,), heater_set_point_c=25.0)
    rows, starts = _rows(line, 3)
    assert _value(rows, starts, "set_point_c", 3.49) == 25.0
    assert _value(rows, starts, "set_point_c", 3.51) == 27.0
    assert line.setting("heater_set_point_c", 9.0, 0.0) == 27.0


def test_extra_actions_join_the_log_s() -> None:
    line = _line(events=(Dose(at=_at(3, 12), substance="conditioner"),))
    other = _line(events=(WaterChange(at=_at(3, 14), fraction=0.5),))
    extra = tuple(a for a in other.actions if "volume_keep" in a.scalars)
    rows, _ = _rows(line, 3, extra=extra)
    assert rows["volume_keep"].min() == 0.5
    assert rows["add"][:, COLUMN["dechlorinator"]].max() > 0.0
    assert _rows(line, 4, extra=extra)[0]["volume_keep"].min() == 1.0
