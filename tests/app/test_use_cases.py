"""Use cases ask the ports, keep owners apart and read dates by the tank's clock."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from fake_ports import FakePorts
from sample_forecasts import ZONE, sample_tank

from watervane.app import BadInput, Request, check, foretell
from watervane.app.use_cases import hardness_assumed, left_out, moment_of, still_to_come
from watervane.records import Person, SourceWater

FILE = Path("any.tank.toml")


def test_a_date_alone_means_the_end_of_that_day() -> None:
    assert moment_of(date(2026, 3, 12), sample_tank()) == datetime(2026, 3, 12, 23, 59, tzinfo=ZONE)


def test_a_moment_without_zone_is_the_tanks_own() -> None:
    assert moment_of(datetime(2026, 7, 1, 12), sample_tank()) == datetime(
        2026, 7, 1, 11, tzinfo=UTC
    )
    assert moment_of(datetime(2026, 7, 1, 12, tzinfo=UTC), sample_tank()) == datetime(
        2026, 7, 1, 12, tzinfo=UTC
    )


@pytest.mark.parametrize(
    ("asked", "key"),
    [
        (date(2026, 2, 27), "at-before-filling"),
        (datetime(2026, 3, 29, 1, 30), "at-in-clock-gap"),  # Lisbon: 01:00 becomes 02:00
    ],
)
def test_impossible_moments_are_refused(asked: date, key: str) -> None:
    with pytest.raises(BadInput) as refused:
        moment_of(asked, sample_tank())
    assert [problem.key for problem in refused.value.problems] == [key]


def test_the_request_reaches_the_engine() -> None:
    fake = FakePorts()
    stages: list[str] = []
    request = Request(as_of=date(2026, 3, 12), horizon_days=21, members=77, seed=5, threads=3)
    done = foretell(Person(), FILE, request, fake.ports(), lambda stage, _: stages.append(stage))
    assert done.forecast.horizon_days == 21
    assert fake.asked == [(request, datetime(2026, 3, 12, 23, 59, tzinfo=ZONE))]
    assert stages == ["read", "weighing"]


def test_another_owners_tank_stays_closed() -> None:
    fake = FakePorts(tank=replace(sample_tank(), owner="nora"))
    with pytest.raises(BadInput, match="not-yours"):
        check(Person("local"), FILE, fake.ports())
    assert check(Person("nora"), FILE, fake.ports()).tank.owner == "nora"


def test_readings_dated_on_days_to_come_are_cautioned_about_at_the_first() -> None:
    tank = sample_tank()
    days = sorted({reading.at.date() for reading in tank.readings})
    noon = datetime.combine(days[-2], datetime.min.time(), tzinfo=UTC) + timedelta(hours=12)
    ahead = [reading for reading in tank.readings if reading.at.date() > days[-2]]
    (told,) = still_to_come(tank, noon)
    assert told.severity == "caution"
    assert told.arguments == {"date": days[-1].isoformat(), "count": len(ahead)}
    assert still_to_come(tank, noon + timedelta(days=400)) == ()


def test_a_reading_of_later_today_is_no_slip() -> None:
    tank = sample_tank()
    last = max(reading.at for reading in tank.readings)
    morning = last.replace(hour=0, minute=1)
    assert still_to_come(tank, morning) == ()


def test_what_an_asked_moment_leaves_out_is_told() -> None:
    tank = sample_tank()
    last = max(reading.at for reading in tank.readings)
    (told,) = left_out(tank, last - timedelta(days=1))
    later = [reading for reading in tank.readings if reading.at > last - timedelta(days=1)]
    assert told.arguments["count"] == len(later) > 0
    assert left_out(tank, last) == ()
    assert left_out(tank, None) == (), "nothing was asked"
    done = foretell(Person(), FILE, Request(as_of=last - timedelta(days=1)), FakePorts().ports())
    assert told in done.findings


def test_hardness_is_told_by_the_source_water_or_by_a_reading() -> None:
    bare = replace(sample_tank(), readings=(), source_water=SourceWater(ph=7.0))
    assert [finding.key for finding in hardness_assumed(bare)] == ["assumed-hardness"]
    assert hardness_assumed(replace(bare, source_water=SourceWater(gh_dgh=0.0))) == ()
    read = replace(sample_tank().readings[0], quantity="gh")
    assert hardness_assumed(replace(bare, readings=(read,))) == ()
