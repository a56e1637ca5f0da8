"""The watch: kept forecasts beside later readings, what it tells and what it lays on the tap."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from watervane.engine.watching import watch
from watervane.records import (
    AnimalsIn,
    Band,
    DateQuantiles,
    Diagnostics,
    EquipmentChange,
    Event,
    Forecast,
    Kit,
    KitScale,
    Milestone,
    NumberQuantiles,
    Peak,
    Reading,
    ReadingValue,
    SourceWater,
    Tank,
    WaterChange,
)
from watervane.records.watching import Foretold, Watch

ZONE = ZoneInfo("UTC")
START = datetime(2026, 3, 1, 19, tzinfo=ZONE)
STEPS = {
    "kh": tuple(float(n) for n in range(20)),
    "nitrate": (0.0, 1.0, 2.5, 5.0, 10.0, 20.0),
    "ammonia": (0.0, 0.2, 0.5, 1.0, 2.0),
}
LEVELS = {
    "kh_dkh": (5.6, 6.0, 6.4),
    "nitrate_mg_n_per_l": (3.5, 4.5, 5.5),
    "nitrite_mg_n_per_l": (0.0, 0.01, 0.02),
    "ammonia_mg_n_per_l": (0.0, 0.02, 0.06),
    "temperature_c": (24.3, 25.0, 25.7),
}
NONE = NumberQuantiles(None, None, None, None, None)
NEVER = DateQuantiles(None, None, None, None, None)


def _forecast(as_of: datetime) -> Forecast:
    times = tuple(as_of + timedelta(days=n) for n in range(31))
    series = {
        name: Band(*((value,) * 31 for value in (low, middle, middle, middle, high)))
        for name, (low, middle, high) in LEVELS.items()
    }
    told = Diagnostics(1000, 3000, 500.0, 3, "good", 1.0, "printed", "1", "x")
    peak, date_told = Peak(NEVER, NONE, 0.0), Milestone(NEVER, 0.0, "not needed")
    return Forecast(
        "watched",
        "local",
        START,
        as_of,
        30,
        1,
        peak,
        peak,
        date_told,
        date_told,
        times,
        series,
        {},
        told,
    )


def _reading(week: float, quantity: str, value: float) -> Reading:
    basis = "n" if quantity in ("nitrate", "ammonia") else "none"
    told = ReadingValue("exact", value, value, basis, f"{value}")
    return Reading(START + timedelta(days=7 * week), quantity, told, kit="drop")


def _tank(readings: Sequence[Reading], events: Sequence[Event] = (), **more: object) -> Tank:
    scales = tuple(
        KitScale(name, steps=steps, basis="none" if name == "kh" else "n")
        for name, steps in STEPS.items()
    )
    tank = Tank(
        name="watched",
        filled=date(2026, 1, 1),
        volume_l=60.0,
        source_water=SourceWater(kh_dkh=6.0, chloramine_mg_per_l=2.0),
        kits={"drop": Kit("drop", "drop", scales)},
        readings=tuple(readings),
        events=tuple(events),
    )
    return replace(tank, **more)


def _watch(tank: Tank, unknown: Sequence[Event] = ()) -> Watch:
    last = max([each.at for each in (*tank.readings, *tank.events)])
    told = [
        Foretold(_forecast(at), tuple(e for e in unknown if e.at > at))
        for at in (START - timedelta(days=1) + timedelta(days=7 * n) for n in range(12))
    ]
    return watch(tank, told, last + timedelta(hours=1))


def _series(quantity: str, values: Sequence[float]) -> list[Reading]:
    return [_reading(week, quantity, value) for week, value in enumerate(values)]


@pytest.mark.parametrize(
    ("quantity", "steady"), [("kh", 6.0), ("nitrate", 5.0), ("ammonia", 0.0), ("temperature", 25.0)]
)
def test_readings_as_foretold_tell_nothing(quantity: str, steady: float) -> None:
    found = _watch(_tank(_series(quantity, [steady] * 10)))
    assert found.drifts == ()
    assert sum(found.compared.values()) == 10


@pytest.mark.parametrize(
    ("quantity", "values", "kind"),
    [
        ("kh", [6.0, 6.0, 6.0, 6.0, 5.0, 3.0, 1.0], "kh-sliding"),
        ("nitrate", [5.0, 5.0, 5.0, 5.0, 10.0, 20.0, 20.0], "nitrate-rising"),
        ("ammonia", [0.0, 0.0, 0.0, 0.0, 0.5, 0.5], "ammonia-back"),
        ("temperature", [25.0, 25.0, 25.0, 25.0, 22.0, 22.0], "temperature-wanders"),
    ],
)
def test_a_drift_is_told_with_what_was_expected(
    quantity: str, values: list[float], kind: str
) -> None:
    found = _watch(_tank(_series(quantity, values)))
    assert [each.kind for each in found.drifts] == [kind]
    drift = found.drifts[0]
    assert drift.odds >= 1.0
    assert drift.seen == values[-1]
    assert abs(drift.seen - drift.expected) > 0.2
    assert drift.since < drift.last_read
    if quantity in ("kh", "nitrate"):
        assert drift.by_week is not None
        assert np.sign(drift.by_week) == np.sign(values[-1] - values[0])


def test_kh_that_rises_and_nitrate_that_falls_are_no_warning() -> None:
    rising = _watch(_tank(_series("kh", [6.0] * 4 + [8.0, 10.0, 12.0])))
    falling = _watch(_tank(_series("nitrate", [5.0] * 4 + [2.5, 1.0, 0.0])))
    assert rising.drifts == falling.drifts == ()


def test_a_change_the_forecast_did_not_know_of_is_allowed_for() -> None:
    change = WaterChange(at=START + timedelta(days=27), fraction=0.8)
    soft = SourceWater(kh_dkh=1.0)
    readings = _series("kh", [6.0, 6.0, 6.0, 6.0, 2.0, 2.0])
    tank = _tank(readings, [change], source_water=soft)
    assert _watch(tank).drifts
    assert not _watch(tank, [change]).drifts


def test_newcomers_end_what_was_foretold_of_nitrate() -> None:
    more = AnimalsIn(at=START + timedelta(days=25), species="Danio rerio", count=20)
    tank = _tank(_series("nitrate", [5.0, 5.0, 5.0, 5.0, 10.0, 10.0]), [more])
    seen = _watch(tank, [more])
    assert not seen.drifts
    assert seen.compared["nitrate-rising"] == 6  # each has a forecast made after the newcomers


def test_a_trace_after_each_change_is_the_taps() -> None:
    changes = [
        WaterChange(at=START + timedelta(days=7 * n) - timedelta(hours=5), fraction=0.5)
        for n in range(10)
    ]
    readings = _series("ammonia", [0.0] * 4 + [0.2] * 6)
    found = _watch(_tank(readings, changes))
    assert not found.drifts
    assert [each.key for each in found.explained] == ["watch-tap-ammonia"]
    assert found.explained[0].arguments["brought"] == pytest.approx(0.1975, rel=0.01)
    unknown = _watch(_tank(readings, changes, source_water=SourceWater()))
    assert [each.key for each in unknown.explained] == ["watch-tap-assumed"]
    without = _watch(_tank(readings, changes, source_water=SourceWater(chlorine_mg_per_l=0.5)))
    assert not without.explained
    assert [each.kind for each in without.drifts] == ["ammonia-back"]


def test_more_than_the_tap_can_bring_is_still_told() -> None:
    changes = [
        WaterChange(at=START + timedelta(days=7 * n) - timedelta(hours=5), fraction=0.25)
        for n in range(10)
    ]
    found = _watch(_tank(_series("ammonia", [0.0] * 4 + [1.0, 1.0, 2.0]), changes))
    assert [each.kind for each in found.drifts] == ["ammonia-back"]


def test_a_fading_flow_is_told_and_an_even_one_is_not() -> None:
    def measured(*flows: float) -> list[Event]:
        return [
            EquipmentChange(at=START + timedelta(days=14 * n), changes={"filter_flow_l_per_h": f})
            for n, f in enumerate(flows)
        ]

    fading = _watch(_tank([], measured(300.0, 290.0, 250.0, 200.0, 170.0, 150.0)))
    assert [each.kind for each in fading.drifts] == ["flow-fading"]
    assert (fading.drifts[0].expected, fading.drifts[0].seen) == (300.0, 150.0)
    assert not _watch(_tank([], measured(300.0, 280.0, 310.0, 295.0, 305.0, 290.0))).drifts


def test_readings_of_unclear_basis_and_old_ones_are_left_out() -> None:
    unclear = [
        replace(r, kit=None, value=replace(r.value, basis="unknown"))
        for r in _series("nitrate", [5.0] * 6)
    ]
    assert _watch(_tank(unclear)).compared["nitrate-rising"] == 0
    sliding = _tank(_series("kh", [6.0, 6.0, 6.0, 6.0, 5.0, 3.0, 1.0]))
    told = [
        Foretold(_forecast(START - timedelta(days=1) + timedelta(days=7 * n))) for n in range(8)
    ]
    assert watch(sliding, told, START + timedelta(days=45)).drifts
    assert not watch(sliding, told, START + timedelta(days=95)).drifts


def test_without_forecasts_there_is_nothing_to_say() -> None:
    found = watch(_tank(_series("kh", [6.0, 2.0])), [], START + timedelta(days=8))
    assert found.drifts == ()
    assert set(found.compared.values()) == {0}
