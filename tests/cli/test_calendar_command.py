"""``watervane calendar`` and ``blueprint new --calendar``."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

import vobject
from fake_ports import FakePorts
from sample_care import sample_care, sample_return
from sample_forecasts import sample_tank
from sample_today import sample_today
from test_commands import call

from watervane.advice import acts
from watervane.app.calendar_changes import brought_forward
from watervane.app.calendars import DueTank, due_calendar
from watervane.records import Clean, Dose, Feed, Habit, Span, Tank, Today, TopOff, WaterChange

NEW = ("blueprint", "new", "--size", "60 x 30 x 36 cm", "--outside", "--glass", "6 mm")
TODAY = datetime.now(UTC).date()


def tank(every_days: float = 7.0, fraction: float = 0.25) -> Tank:
    at = datetime.combine(TODAY, time(18), UTC)
    food = Feed(at=at, mass_g=Span(0.1, 0.1))
    change = WaterChange(at=at, fraction=fraction)
    return replace(
        sample_tank(),
        name="Sill, left; #1",
        time_zone="UTC",
        habits=(
            Habit(template=food, every_days=1.0, start=TODAY),
            Habit(template=change, every_days=every_days, start=TODAY - timedelta(days=700)),
        ),
    )


def test_what_is_due_is_listed_and_meals_are_not(tmp_path: Path) -> None:
    result = call(FakePorts(tank=tank()), "calendar", "x.tank.toml", "--days", "14")
    assert result.code == 0, result.err
    assert result.out.count("change 25 % of the water") == 3
    assert "feed" not in result.out.lower()
    told = json.loads(call(FakePorts(tank=tank()), "calendar", "x.tank.toml", "--json").out)
    assert told["format"] == "watervane-calendar/1"
    assert len({each["uid"] for each in told["entries"]}) == len(told["entries"]) == 9
    nothing = FakePorts(tank=replace(tank(), habits=(), events=()))
    assert "Nothing is due" in call(nothing, "calendar", "x.tank.toml").out


def test_a_file_is_brought_up_to_date_by_the_same_uids(tmp_path: Path) -> None:
    file = tmp_path / "sill.ics"
    wanted = ("calendar", "x.tank.toml", "--days", "30", "--to", str(file))
    assert call(FakePorts(tank=tank()), *wanted).code == 0
    first = file.read_bytes()
    assert call(FakePorts(tank=tank()), *wanted).code == 2
    assert call(FakePorts(tank=tank()), *wanted, "--over").code == 0
    assert file.read_bytes() == first
    assert call(FakePorts(tank=tank(14.0, 0.3)), *wanted, "--over").code == 0
    found = vobject.readOne(file.read_text(encoding="utf-8")).vevent_list
    states = [(each.status.value, each.sequence.value) for each in found]
    assert states.count(("CONFIRMED", "1")) == 3
    assert states.count(("CANCELLED", "1")) == 2
    assert len(states) == 5
    file.write_text("mine", encoding="utf-8")
    refused = call(FakePorts(tank=tank()), *wanted, "--over")
    assert refused.code == 2
    assert "no calendar of ours" in refused.err
    assert file.read_text(encoding="utf-8") == "mine"


def test_a_dated_entry_takes_the_place_of_a_habit_and_twins_are_told_apart() -> None:
    now = datetime(2026, 3, 20, 9, tzinfo=UTC)
    at = datetime(2026, 3, 1, 18, tzinfo=UTC)
    change = Habit(template=WaterChange(at=at, fraction=0.2), every_days=7.0, start=at.date())
    dose = Habit(template=Dose(at=at, substance="salt"), every_days=2.5, start=at.date())
    instead = WaterChange(at=datetime(2026, 3, 22, 10, tzinfo=UTC), fraction=0.5)
    clean = Clean(at=datetime(2026, 3, 25, 10, tzinfo=UTC))
    told = replace(
        sample_tank(), time_zone="UTC", habits=(change, dose, dose), events=(instead, clean, clean)
    )
    found = due_calendar(DueTank("k", told), now, 10).entries
    assert len({each.uid for each in found}) == len(found)
    changes = [each for each in found if "change" in each.title]
    assert [(each.day.day, "50 %" in each.title) for each in changes] == [(22, True), (29, False)]
    assert sum("dose" in each.title for each in found) == 8  # on four days, twice
    assert sum("clean" in each.title for each in found) == 2


def test_what_was_done_today_is_due_no_more_and_stays_where_it_was_handed_out() -> None:
    morning, noon = datetime(2026, 3, 20, 9, tzinfo=UTC), datetime(2026, 3, 20, 12, tzinfo=UTC)
    at = datetime(2026, 3, 6, 10, tzinfo=UTC)
    weekly = Habit(template=WaterChange(at=at, fraction=0.2), every_days=7.0, start=at.date())
    planned = WaterChange(at=datetime(2026, 3, 20, 10, tzinfo=UTC), fraction=0.5)
    told = replace(sample_tank(), time_zone="UTC", habits=(weekly,), events=(planned,))
    before = due_calendar(DueTank("k", told), morning, 10)
    assert [each.day.day for each in before.entries] == [20, 27]
    after = due_calendar(DueTank("k", told), noon, 10)
    assert [each.day.day for each in after.entries] == [27], "nor is the habit of its day"
    handed = brought_forward(after, before.entries, noon)
    assert [(each.day.day, each.cancelled) for each in handed.entries] == [(20, False), (27, False)]
    by_day = replace(told, events=(replace(planned, hour_known=False),))
    assert len(due_calendar(DueTank("k", by_day), noon, 10).entries) == 2, "its day is not over"


def test_the_steps_of_a_plan_are_a_calendar(tmp_path: Path) -> None:
    file = tmp_path / "plan.ics"
    told = (
        *NEW,
        "--animals",
        "8 Poecilia wingei",
        "--filled",
        "2026-03-20",
        "--calendar",
        str(file),
    )
    assert call(FakePorts(), *told).code == 0
    found = vobject.readOne(file.read_text(encoding="utf-8")).vevent_list
    assert min(each.dtstart.value for each in found) == date(2026, 3, 19)
    assert any("First animals" in each.summary.value for each in found)
    first = {each.uid.value for each in found}
    assert call(FakePorts(), *told, "--over", "--way", "seeded").code == 0
    again = vobject.readOne(file.read_text(encoding="utf-8")).vevent_list
    assert first == {each.uid.value for each in again}
    assert {each.sequence.value for each in again} >= {"0", "1"}


def test_a_planned_change_rings_only_where_leaving_it_out_would_be_felt() -> None:
    now = datetime(2026, 3, 20, 9, tzinfo=UTC)
    at = datetime(2026, 3, 1, 18, tzinfo=UTC)
    change = Habit(template=WaterChange(at=at, fraction=0.2), every_days=7.0, start=at.date())
    top_off = Habit(template=TopOff(at=at), every_days=2.0, start=at.date())
    told = replace(sample_tank(), time_zone="UTC", habits=(change, top_off), events=())
    day = replace(sample_today(), as_of=now - timedelta(hours=1), chosen=None)
    assert day.planned is not None
    safe = replace(day.planned, chances={"acute": 0.0, "chronic": 0.02, "comfort": 0.1})

    def rings(without: float, with_it: float = 0.02, today: Today = day) -> list[int]:
        bare = replace(safe, chances={**safe.chances, "chronic": without})
        kept = replace(safe, chances={**safe.chances, "chronic": with_it})
        judged = replace(today, planned=kept, left_out=bare)
        found = due_calendar(DueTank("k", told, today=judged), now, 30).entries
        assert all("change" in each.title for each in found if each.remind)
        assert all("Worth doing" in each.why for each in found if each.remind)
        return [each.day.day for each in found if each.remind]

    assert rings(0.4) == [22]  # the changes after it lie beyond the week that was looked at
    assert rings(0.03) == []
    assert rings(0.4, 0.38) == [], "it is as bad with them"
    assert rings(0.4, today=replace(day, as_of=now - timedelta(days=4))) == []
    none = due_calendar(DueTank("k", told, today=day), now, 30).entries
    assert not any(each.remind for each in none)


def test_no_day_tells_two_changes_of_water() -> None:
    fake, now = FakePorts(), datetime(2026, 3, 12, 20, tzinfo=UTC)
    told = replace(fake.tank, habits=())
    cared = sample_care(returning=sample_return())
    care = due_calendar(DueTank("k", told, care=cared), now, 30).entries
    assert sum("way back" in each.title for each in care) == 3
    judged = replace(sample_today(), as_of=now)
    assert judged.chosen is not None
    change = acts.change(now + timedelta(days=1), 0.15, 60.0, 2)
    judged = replace(judged, chosen=replace(judged.chosen, acts=(change,)))
    both = due_calendar(DueTank("k", told, today=judged, care=cared), now, 30).entries
    days = [each.day for each in both if "change" in each.title]
    assert len(days) == len(set(days))
    assert any("change 15 % of the water" in each.title for each in both)
