"""Calendars: lines as RFC 5545 wants them, read alike by another reader, the same when re-read.

The other reader is the package vobject, which shares no code with the one that writes them; lines
and escapes are held against the grammar of the RFC (sections 3.1 and 3.3.11) by hand.
"""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
import vobject
from hypothesis import given
from hypothesis import strategies as st

from watervane.app.calendar_changes import brought_forward
from watervane.exchange.calendar_text import calendar_text, earlier_calendar, read_calendar
from watervane.exchange.problems import TankFileErrors
from watervane.records.calendars import Calendar, CalendarEntry

NOW = datetime(2026, 3, 10, 12, tzinfo=UTC)
LISBON = ZoneInfo("Europe/Lisbon")
MOST_OCTETS = 75
CONTENT = re.compile(r"[A-Z][A-Z0-9-]*(?:;[A-Z-]+=[^:;\"]+)*:[^\x00-\x08\x0a-\x1f\x7f]*")
texts = st.text(max_size=200)
moments = st.datetimes(datetime(2024, 1, 1), datetime(2030, 1, 1), timezones=st.just(LISBON)).map(
    lambda at: at.replace(microsecond=0)
)
entries = st.builds(
    CalendarEntry,
    uid=st.uuids().map(str),
    begins=st.one_of(st.dates(date(2024, 1, 1), date(2030, 1, 1)), moments),
    title=texts,
    why=texts,
    minutes=st.integers(1, 600),
    remind=st.booleans(),
    sequence=st.integers(0, 99),
    cancelled=st.just(False),
    stamped=st.just(NOW),
)
calendars = st.builds(Calendar, texts, st.lists(entries, max_size=4).map(tuple))


def unfolded(data: bytes) -> list[str]:
    """Content lines; every octet of the file is accounted for."""
    assert data.endswith(b"\r\n")
    assert b"\n" not in data.replace(b"\r\n", b"")
    assert all(len(line) <= MOST_OCTETS for line in data.split(b"\r\n"))
    return data.replace(b"\r\n ", b"").decode("utf-8").removesuffix("\r\n").split("\r\n")


@given(calendars)
def test_any_text_makes_lines_of_the_grammar(calendar: Calendar) -> None:
    lines = unfolded(calendar_text(calendar))
    for line in lines:
        assert CONTENT.fullmatch(line), line
        name, _, value = line.partition(":")
        if name in ("SUMMARY", "DESCRIPTION", "NAME", "X-WR-CALNAME"):
            assert not re.search(r"(?<!\\)(?:\\\\)*[,;]", value), line
            assert not re.search(r"(?<!\\)(?:\\\\)*\\[^\\,;nN]", value), line
    assert lines.count("BEGIN:VEVENT") == lines.count("END:VEVENT") == len(calendar.entries)


@given(calendars)
def test_another_reader_finds_the_same(calendar: Calendar) -> None:
    data = calendar_text(calendar).decode()
    read = vobject.readOne(data)
    found = {each.uid.value: each for each in read.contents.get("vevent", [])}
    assert set(found) == {each.uid for each in calendar.entries}
    for each in calendar.entries:
        event = found[each.uid]
        assert event.dtstart.value == each.begins
        assert event.summary.value == each.title
        assert (event.description.value if each.why else "") == each.why
        assert event.sequence.value == str(each.sequence)
        assert event.dtstamp.value == NOW
        assert ("valarm" in event.contents) == each.remind


@given(calendars)
def test_what_is_read_back_is_what_was_written(calendar: Calendar) -> None:
    read = read_calendar(calendar_text(calendar), "x")
    assert [each.uid for each in read] == [each.uid for each in calendar.entries]
    assert all(a.tells_same(b) for a, b in zip(read, calendar.entries, strict=True))
    again = brought_forward(calendar, read, NOW + timedelta(hours=1), date(2024, 1, 1))
    assert {each.sequence for each in again.entries} <= {e.sequence for e in calendar.entries}
    assert all(each.stamped == NOW for each in again.entries)


@pytest.mark.parametrize(("day", "hour"), [(28, 18), (29, 17)], ids=["winter", "summer"])
def test_a_clock_time_stays_when_summer_time_comes(day: int, hour: int) -> None:
    begins = datetime(2026, 3, day, 18, 0, tzinfo=LISBON)
    text = calendar_text(Calendar("x", (CalendarEntry("u", begins, "t", stamped=NOW),)))
    assert f"DTSTART:202603{day}T{hour}0000Z" in text.decode()


def test_changes_are_numbered_and_what_is_no_longer_due_is_cancelled() -> None:
    first = CalendarEntry("a", date(2026, 3, 12), "change 25 %")
    other = CalendarEntry("b", date(2026, 3, 13), "top off", remind=True)
    past = CalendarEntry("c", date(2026, 3, 9), "cleaned")
    handed = brought_forward(Calendar("x", (first, other, past)), (), NOW).entries
    assert [each.sequence for each in handed] == [0, 0, 0]
    later = NOW + timedelta(hours=1)
    more = CalendarEntry("a", date(2026, 3, 12), "change 30 %")
    now = {e.uid: e for e in brought_forward(Calendar("x", (more,)), handed, later).entries}
    assert (now["a"].sequence, now["a"].stamped, now["a"].cancelled) == (1, later, False)
    assert (now["b"].sequence, now["b"].cancelled, now["b"].remind) == (1, True, False)
    assert (now["c"].sequence, now["c"].cancelled) == (0, False)
    again = brought_forward(Calendar("x", (more,)), tuple(now.values()), later + timedelta(hours=1))
    assert {e.uid: e for e in again.entries} == now
    back = brought_forward(Calendar("x", (more, other)), again.entries, later)
    assert [(e.sequence, e.cancelled) for e in back.entries if e.uid == "b"] == [(2, False)]
    gone = brought_forward(Calendar("x", ()), handed, NOW + timedelta(days=60))
    assert gone.entries == ()


def test_importing_twice_leaves_one_of_each() -> None:
    due = Calendar("x", tuple(CalendarEntry(str(n), date(2026, 3, n), "t") for n in range(11, 20)))
    store: dict[str, vobject.base.Component] = {}
    earlier: tuple[CalendarEntry, ...] = ()
    for hours in range(3):
        told = brought_forward(due, earlier, NOW + timedelta(hours=hours))
        text = calendar_text(told)
        for event in vobject.readOne(text.decode()).vevent_list:
            store[event.uid.value] = event
        earlier = read_calendar(text, "x")
    assert len(store) == len(due.entries)


@pytest.mark.parametrize(
    "data",
    [b"", b"mine", b"\xff\xfe", b"BEGIN:VCALENDAR\r\nPRODID:-//Other//EN\r\nEND:VCALENDAR\r\n"],
)
def test_what_is_no_calendar_of_ours_is_refused(data: bytes, tmp_path: Path) -> None:
    file = tmp_path / "x.ics"
    file.write_bytes(data)
    with pytest.raises(TankFileErrors) as caught:
        earlier_calendar(file)
    assert [each.key for each in caught.value.problems] == ["calendar-foreign"]
    assert earlier_calendar(tmp_path / "none.ics") == ()
