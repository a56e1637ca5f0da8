"""A week with its planned changes left out: what was done stays done."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from watervane.engine.left_out import without_changes
from watervane.engine.today import today
from watervane.process.calendar import Calendar, events_through
from watervane.records import AnimalsIn, Feed, Habit, Seed, SourceWater, Span, Tank, WaterChange

START = datetime(2026, 3, 1, 12, tzinfo=UTC)
AS_OF = START + timedelta(days=30, hours=2)


class _Stands:
    """What is asked of a standing: its tank and its moment."""

    def __init__(self, tank: Tank) -> None:
        self.tank = tank
        self.calendar = Calendar(tank.filled, tank.time_zone)
        self.as_of_d = self.calendar.days(AS_OF)
        self.today = int(self.as_of_d)


def _tank(*, changed: bool = True) -> Tank:
    change = Habit(template=WaterChange(at=START, fraction=0.5), every_days=2, start=START.date())
    meal = Feed(at=START.replace(hour=8), mass_g=Span(1.0, 1.0))
    return Tank(
        name="full",
        filled=date(2026, 3, 1),
        volume_l=60.0,
        heater_power_w=75.0,
        heater_set_point_c=25.0,
        source_water=SourceWater(ph=7.6, kh_dkh=8.0, gh_dgh=8.0, nitrate_mg_n_per_l=1.0),
        events=(
            Seed(at=START, source="media", volume_l=1.0),
            AnimalsIn(at=START, species="Danio rerio", count=20, length_cm=3.5),
        ),
        habits=(
            Habit(template=meal, every_days=1, start=date(2026, 3, 2)),
            *((change,) if changed else ()),
        ),
    )


def _changes(tank: Tank) -> dict[datetime, float]:
    calendar = Calendar(tank.filled, tank.time_zone)
    events = events_through(tank, calendar, int(calendar.days(AS_OF)) + 6)
    return {e.at: e.fraction for e in events if isinstance(e, WaterChange)}


def test_only_what_is_still_to_come_is_left_out() -> None:
    tank = replace(_tank(), events=(*_tank().events, WaterChange(at=AS_OF, fraction=0.1)))
    bare = without_changes(_Stands(tank), 7)  # type: ignore[arg-type]
    assert bare is not None
    before, after = _changes(tank), _changes(bare)
    assert set(before) == set(after)
    for at, fraction in before.items():
        assert after[at] == (fraction if at <= AS_OF else 0.0)
    assert without_changes(_Stands(_tank(changed=False)), 7) is None  # type: ignore[arg-type]


@pytest.mark.slow
def test_a_judgement_tells_what_leaving_changes_out_risks() -> None:
    found = today(_tank(), as_of=AS_OF, members=48, threads=1, now=AS_OF)
    assert found.left_out is not None
    assert found.planned is not None
    worse = {t: found.left_out.burden[t] - found.planned.burden[t] for t in found.planned.burden}
    assert max(worse.values()) > 0.0
    assert found.left_out.acts == ()
