"""What is made of a year's care: a sheet to print, and days in a calendar."""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import vobject
from fake_ports import FakePorts
from sample_care import KEPT, sample_care, sample_return, sample_routine
from sample_forecasts import sample_tank
from test_commands import call

from watervane.app.calendar_changes import brought_forward
from watervane.app.calendars import DueTank, care_calendar, due_calendar
from watervane.app.care_days import care_days
from watervane.app.care_sheet import care_sheet
from watervane.records import Habit, WaterChange
from watervane.records.calendars import Calendar
from watervane.records.care import CareSchedule, Neglect, Routine, RoutineTried
from watervane.report import Heading

FILE = "x.tank.toml"
NOW = datetime(2026, 3, 12, 19, tzinfo=UTC)  # of the sample care
TANK = replace(sample_tank(), time_zone="UTC", habits=(), events=())


def told(
    routine: Routine | None = None, *, missed: bool = False, at: datetime = NOW
) -> CareSchedule:
    """The sample with its care of another routine, and of a tank that bears what is left out."""
    one = routine or sample_routine()
    neglect = Neglect("every-second", not missed, sample_care().neglect[0].worst, 8)
    return replace(
        sample_care(),
        as_of=at,
        chosen=RoutineTried(one, "candidate", True, KEPT),
        neglect=(neglect,),
    )


def calendar(one: CareSchedule, now: datetime = NOW) -> Calendar:
    return care_calendar(one, TANK, "key", now, 60)


def test_changes_come_by_the_routine_and_topping_off_between() -> None:
    found = care_days(told(), TANK, NOW)
    changes = [(each.day - NOW.date()).days for each in found if each.kind == "change"]
    assert changes[:3] == [14, 28, 42]
    assert changes[-1] <= 364
    between = [(each.day - NOW.date()).days for each in found if each.kind == "top-off"]
    assert between[:2] == [21, 35]
    tests = [(e.subject, (e.day - NOW.date()).days) for e in found if e.kind == "test"]
    assert tests[:3] == [("nitrate", 63), ("kh", 91), ("nitrate", 126)]
    assert [each.day for each in found] == sorted(each.day for each in found)


def test_they_are_counted_on_from_the_last_change_of_the_log() -> None:
    made = WaterChange(at=NOW - timedelta(days=3), fraction=0.3)
    found = care_days(told(), replace(TANK, events=(made,)), NOW)
    assert (found[0].kind, (found[0].day - NOW.date()).days) == ("change", 11)
    long_ago = WaterChange(at=NOW - timedelta(days=40), fraction=0.3)
    found = care_days(told(), replace(TANK, events=(long_ago,)), NOW)
    assert (found[0].day - NOW.date()).days == 1, "it is overdue"


def test_it_rings_only_where_leaving_out_passes_a_bound() -> None:
    silent, loud = calendar(told()), calendar(told(missed=True))
    assert silent.entries
    assert not any(each.remind for each in silent.entries)
    ringing = [each for each in loud.entries if each.remind]
    assert [each.title for each in ringing] == ["Reading room: change 30 % of the water (18 L)"] * 4
    assert all("Every second change left out: nitrate" in each.why for each in ringing)
    back = replace(told(), returning=sample_return())
    steps = [each for each in calendar(back).entries if "way back" in each.title]
    assert [(each.day - NOW.date()).days for each in steps] == [1, 2, 3]
    assert all(each.remind for each in steps), "left alone, acute limits are passed"
    later = [each.day for each in calendar(back).entries if "change 30" in each.title]
    assert (later[0] - NOW.date()).days == 3 + 14


def test_a_line_is_known_again_when_the_plan_changes() -> None:
    first = brought_forward(calendar(told()), (), NOW)
    assert brought_forward(calendar(told()), first.entries, NOW) == first
    assert len({each.uid for each in first.entries}) == len(first.entries)
    next_day = NOW + timedelta(days=1)
    more = told(sample_routine(0.4), at=next_day)
    moved = brought_forward(calendar(more, next_day), first.entries, next_day)
    before = {each.uid for each in first.entries if "change 30" in each.title}
    after = {each.uid: each for each in moved.entries if "change 40" in each.title}
    assert before == set(after), "the same weeks: moved and told anew, not cancelled"
    assert {each.sequence for each in after.values()} == {1}
    monthly = told(sample_routine(0.4, 28), at=next_day)
    fewer = brought_forward(calendar(monthly, next_day), first.entries, next_day)
    gone = [each for each in fewer.entries if each.cancelled]
    assert any("change 30" in each.title for each in gone)
    assert not any(each.remind for each in gone)


def test_the_calendar_of_a_tank_takes_the_last_care_where_the_log_plans_no_changes() -> None:
    due = DueTank("key", TANK, care=told())
    assert any("change 30" in each.title for each in due_calendar(due, NOW).entries)
    late = NOW + timedelta(days=100)
    assert not due_calendar(due, late).entries, "it is to be asked anew"
    habit = Habit(template=WaterChange(at=NOW, fraction=0.2), every_days=7, start=NOW.date())
    own = due_calendar(replace(due, tank=replace(TANK, habits=(habit,))), NOW)
    assert not any("change 30" in each.title for each in own.entries)
    assert any("change 20" in each.title for each in own.entries)


def test_both_are_written_and_a_file_that_is_there_is_kept(tmp_path: Path) -> None:
    sheet, dates = tmp_path / "care.pdf", tmp_path / "care.ics"
    at = datetime.now(UTC).replace(microsecond=0)
    fake = FakePorts(tank=TANK, schedule=told(missed=True, at=at))
    wanted = ("care", FILE, "--sheet", str(sheet), "--calendar", str(dates))
    result = call(fake, *wanted)
    assert result.code == 0, result.err
    assert "the care of a year, to print" in " ".join(result.out.split())
    program = shutil.which("pdftotext")
    assert program is not None
    ran = subprocess.run((program, "-raw", sheet, "-"), capture_output=True, text=True, check=True)
    text = ran.stdout
    words = " ".join(text.split())
    assert text.count("\f") <= 2
    assert "Change 30 % of the water (18 L)" in words
    assert "Each time: change 30 % of the water (18 L)." in words
    assert "watervane care" not in words
    lines = vobject.readOne(dates.read_text(encoding="utf-8")).vevent_list
    assert sum("change 30" in each.summary.value for each in lines) == 26
    assert all(hasattr(e, "valarm") == ("change" in e.summary.value) for e in lines)
    assert call(fake, *wanted).code == 2, "they are there already"
    before = dates.read_bytes()
    assert call(fake, *wanted, "--over").code == 0
    assert dates.read_bytes() == before


def test_on_paper_too_the_way_back_comes_before_the_days_of_the_year() -> None:
    sheet = care_sheet(sample_care(returning=sample_return()), None)
    heads = [each.text for each in sheet.blocks if isinstance(each, Heading)]
    first = [heads.index(text) for text in ("The way back", "After that, for the year", "Cleaning")]
    assert first == sorted(first)
    assert first[1] < heads.index("Days to change water") < first[2]
    usual = care_sheet(sample_care(), None).blocks
    assert next(b.text for b in usual if isinstance(b, Heading)) == "Days to change water"
