"""What is written comes back; what was wrong is corrected or undone, never changed."""

from __future__ import annotations

import dataclasses
from datetime import UTC, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from logs import BEGUN, ZONE, feed, forecast, note, photo, reading, small_tank, written
from sqlalchemy import Update, delete, update
from sqlalchemy.exc import DBAPIError

from watervane.journal import Journal, JournalTrouble
from watervane.journal.connections import writer
from watervane.journal.tables import metadata
from watervane.journal.writing import Writing
from watervane.records import Habit, Note, Person, Reading, Written

ME, NEIGHBOUR = Person("me"), Person("neighbour")


def kept(journal: Journal, *things: object) -> str:
    """A tank with these entries, each written apart; its key."""
    with journal.writing(ME, what="add") as work:
        key = work.add_tank(small_tank()).tank
    for thing in things:
        with journal.writing(ME, what="record") as work:
            work.record(key, written(thing))
    return key


def texts(journal: Journal, key: str) -> list[str]:
    with journal.looking(ME) as look:
        return [event.text for event in look.tank(key).events if isinstance(event, Note)]


def test_entries_come_back_in_the_order_they_were_written(journal: Journal) -> None:
    key = kept(journal, note("b", day=3), reading(), note("a", day=1), feed())
    with journal.looking(ME) as look:
        tank = look.tank(key)
    assert tank.events == (note("b", day=3), note("a", day=1), feed())
    assert tank.readings == (reading(),)


def test_the_words_are_kept_beside_what_they_were_understood_as(journal: Journal) -> None:
    key = kept(journal)
    with journal.writing(ME, what="record") as work:
        work.record(key, [Written(reading(), "ammonia 0,7 as N this morning"), Written(feed())])
    with journal.looking(ME) as look:
        entries = look.entries(key)
    assert [entry.raw for entry in entries] == ["ammonia 0,7 as N this morning", "1 pinch"]
    assert [entry.what for entry in entries] == [reading(), feed()]
    assert {entry.written_by for entry in entries} == {"me"}


def test_a_correction_takes_the_place_of_what_it_corrects(journal: Journal) -> None:
    key = kept(journal, note("one"), note("tow"), note("three"))
    with journal.looking(ME) as look:
        wrong = look.entries(key)[1]
    with journal.writing(ME, what="correct") as work:
        work.correct(wrong.number, Written(note("two")))
    assert texts(journal, key) == ["one", "two", "three"]
    with journal.looking(ME) as look:
        everything = look.entries(key, all_of_them=True)
    assert [(e.what.text, e.standing) for e in everything if isinstance(e.what, Note)] == [
        ("one", True), ("tow", False), ("three", True), ("two", True)
    ]  # fmt: skip
    assert everything[-1].corrects == wrong.key


def test_undoing_goes_back_write_by_write_and_a_correction_gives_way_to_the_old(
    journal: Journal,
) -> None:
    key = kept(journal, note("one"), note("tow"))
    with journal.looking(ME) as look:
        wrong = look.entries(key)[1]
    with journal.writing(ME, what="correct") as work:
        work.correct(wrong.number, Written(note("two")))
    seen = []
    for _ in range(3):
        with journal.writing(ME, what="undo") as work:
            work.undo_last(key)
        seen.append(texts(journal, key))
    assert seen == [["one", "tow"], ["one"], []]


def test_a_tank_that_was_added_by_mistake_can_be_undone_and_its_name_is_free(
    journal: Journal,
) -> None:
    key = kept(journal)
    with journal.writing(ME, what="undo") as work:
        work.undo_last(key)
    with journal.looking(ME) as look:
        assert look.tanks() == ()
    assert kept(journal) != key


def test_nothing_is_left_to_undo(journal: Journal) -> None:
    key = kept(journal)
    with journal.writing(ME, what="undo") as work:
        work.undo_last(key)
    with pytest.raises(JournalTrouble, match="tank-unknown"), journal.writing(ME, what="u") as work:
        work.undo_last(key)


def test_what_fell_is_not_corrected_or_undone_again(journal: Journal) -> None:
    key = kept(journal, note("tow"))
    with journal.looking(ME) as look:
        (wrong,) = look.entries(key)
    with journal.writing(ME, what="correct") as work:
        work.correct(wrong.number, Written(note("two")))
    with pytest.raises(JournalTrouble, match="entry-fallen"), journal.writing(ME, what="c") as work:
        work.correct(wrong.number, Written(note("zwei")))
    with pytest.raises(JournalTrouble, match="entry-fallen"), journal.writing(ME, what="u") as work:
        work.undo_entry(wrong.number)


def test_a_reading_is_not_corrected_into_an_event(journal: Journal) -> None:
    key = kept(journal, reading())
    with journal.looking(ME) as look:
        (found,) = look.entries(key)
    with (
        pytest.raises(JournalTrouble, match="another-kind"),
        journal.writing(ME, what="correct") as work,
    ):
        work.correct(found.number, Written(note("two")))


def test_a_description_is_edited_beside_the_log_and_undone(journal: Journal) -> None:
    key = kept(journal, reading())
    with journal.writing(ME, what="edit") as work:
        work.describe(key, small_tank("Study", heater_set_point_c=24.0))
    with journal.looking(ME) as look:
        tank = look.tank(look.key_of("study"))
    assert (tank.name, tank.heater_set_point_c, tank.readings) == ("Study", 24.0, (reading(),))
    with journal.writing(ME, what="undo") as work:
        work.undo_last(key)
    with journal.looking(ME) as look:
        assert look.tank(key) == dataclasses.replace(
            small_tank(), owner="me", readings=(reading(),)
        )


def test_a_request_sent_twice_is_kept_once(journal: Journal) -> None:
    key = kept(journal)
    receipts = []
    for _ in range(2):
        with journal.writing(ME, what="record", asked="feed", request="phone-17") as work:
            receipts.append(work.earlier or work.record(key, written(feed())))
    assert receipts[1] == dataclasses.replace(receipts[0], repeated=True)
    with journal.looking(ME) as look:
        assert look.tank(key).events == (feed(),)


def test_a_request_with_another_content_is_refused(journal: Journal) -> None:
    key = kept(journal)
    with journal.writing(ME, what="record", asked="feed", request="phone-17") as work:
        work.record(key, written(feed()))
    with (
        pytest.raises(JournalTrouble, match="request-reused"),
        journal.writing(ME, what="record", asked="note", request="phone-17") as work,
    ):
        work.record(key, written(note("other")))
    with journal.writing(NEIGHBOUR, what="add", asked="tank", request="phone-17") as work:
        assert work.earlier is None
        work.add_tank(small_tank())


def test_nobody_sees_or_writes_to_anothers_tank(journal: Journal) -> None:
    key = kept(journal, note("mine"))
    with journal.looking(NEIGHBOUR) as look:
        assert look.tanks() == ()
        for ask in (look.tank, look.entries, look.key_of):
            with pytest.raises(JournalTrouble, match=r"tank-(unknown|none)"):
                ask(key)
        with pytest.raises(JournalTrouble, match="entry-unknown"):
            look.entry(2)
    for ask in ("record", "correct", "undo_last", "undo_entry", "describe"):
        arguments = {
            "record": (key, written(feed())), "correct": (2, Written(note("theirs"))),
            "undo_last": (key,), "undo_entry": (2,), "describe": (key, small_tank()),
        }[ask]  # fmt: skip
        with (
            pytest.raises(JournalTrouble, match="unknown"),
            journal.writing(NEIGHBOUR, what=ask) as work,
        ):
            getattr(work, ask)(*arguments)


def test_names_are_taken_once_however_they_are_capitalised(journal: Journal) -> None:
    kept(journal)
    with (
        pytest.raises(JournalTrouble, match="tank-name-taken"),
        journal.writing(ME, what="add") as work,
    ):
        work.add_tank(small_tank("READING room"))


def test_a_block_that_ends_badly_leaves_nothing(journal: Journal) -> None:
    key = kept(journal)

    def half_done() -> None:
        with journal.writing(ME, what="record") as work:
            work.record(key, written(feed(), note("half")))
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        half_done()
    with journal.looking(ME) as look:
        assert look.entries(key) == ()


def test_the_database_itself_refuses_to_change_or_delete(journal: Journal) -> None:
    key = kept(journal, feed())
    with journal.writing(ME, what="forecast") as work:
        work.keep_forecast(key, forecast())
        work.record(key, [Written(note("seen"), photos=(photo(),))])
    engine = writer(journal.place)
    for table in ("writes", "tanks", "entries", "forecasts", "photos"):
        for order in (delete(metadata.tables[table]), update(metadata.tables[table])):
            change = order.values(key="x") if isinstance(order, Update) else order
            with pytest.raises(DBAPIError, match="never changed"), engine.begin() as connection:
                connection.execute(change)
    engine.dispose()


def test_a_reader_cannot_write_and_sees_one_moment(journal: Journal) -> None:
    key = kept(journal, note("before"))
    with journal.looking(ME) as look:
        assert len(look.entries(key)) == 1
        with journal.writing(ME, what="record") as work:
            work.record(key, written(note("meanwhile")))
        assert len(look.entries(key)) == 1
    with journal.looking(ME) as look:
        assert len(look.entries(key)) == 2
    with pytest.raises((JournalTrouble, DBAPIError)), journal.looking(ME) as look:
        Writing(
            look._connection,  # noqa: SLF001 - past the door that is not there
            ME,
            request=None,
            asked="",
            what="record",
            now=BEGUN,
        )


@pytest.mark.parametrize(
    "at",
    [
        datetime(2026, 10, 25, 1, 30, tzinfo=ZONE),
        datetime(2026, 10, 25, 1, 30, tzinfo=ZONE, fold=1),
        datetime(2026, 6, 1, 12, 0, 0, 123456, tzinfo=ZoneInfo("Asia/Kathmandu")),
        datetime(2026, 6, 1, 12, tzinfo=timezone(timedelta(hours=-3, minutes=-30))),
        datetime(2026, 6, 1, 12, tzinfo=UTC),
        datetime(1899, 12, 31, 23, 59, tzinfo=UTC),
    ],
)
def test_a_moment_comes_back_by_the_same_clock(journal: Journal, at: datetime) -> None:
    key = kept(journal, dataclasses.replace(reading(), at=at))
    with journal.looking(ME) as look:
        (found,) = look.tank(key).readings
    assert found.at.isoformat() == at.isoformat()
    assert found.at.fold == at.fold
    assert found.at.astimezone(UTC) == at.astimezone(UTC)


def test_a_clock_set_back_changes_no_order(journal: Journal) -> None:
    key = kept(journal, note("first"))
    late = Journal(journal.place, now=lambda: datetime(1999, 1, 1, tzinfo=UTC))
    with late.writing(ME, what="record") as work:
        work.record(key, written(note("second")))
    assert texts(journal, key) == ["first", "second"]
    with late.writing(ME, what="undo") as work:
        work.undo_last(key)
    assert texts(journal, key) == ["first"]
    late.close()


def test_a_list_tells_what_stands(journal: Journal) -> None:
    key = kept(journal, reading(day=1), reading(day=9), Habit(
        template=feed(), every_days=1.0, start=BEGUN.date()))  # fmt: skip
    with journal.looking(ME) as look:
        (listed,) = look.tanks()
        wrong = next(e for e in look.entries(key) if e.what == reading(day=9))
    assert (listed.readings, listed.last_reading) == (2, reading(day=9).at)
    with journal.writing(ME, what="correct") as work:
        work.correct(wrong.number, Written(reading(day=4)))
    with journal.looking(ME) as look:
        (listed,) = look.tanks()
        newest = look.entries(key, 1)
    assert (listed.readings, listed.last_reading) == (2, reading(day=4).at)
    assert isinstance(newest[0].what, Reading)


def test_forecasts_are_kept_as_they_were_made(journal: Journal) -> None:
    key = kept(journal, reading())
    for day in (5.0, 3.0, 9.0):
        with journal.writing(ME, what="forecast") as work:
            known = work.newest_entry(key)
            work.keep_forecast(key, forecast(day=day, newest_entry=known))
    with journal.looking(ME) as look:
        found = look.forecasts(key)
        newest = look.forecasts(key, 1)
    bare = [dataclasses.replace(each, made_at=None) for each in found]
    assert bare == [forecast(day=day, newest_entry=2) for day in (3.0, 5.0, 9.0)]
    assert newest == found[-1:]
    assert all(each.made_at is not None for each in found)
    with journal.writing(ME, what="undo") as work:
        work.undo_last(key)  # undoes the reading: a forecast is no entry
    with journal.looking(ME) as look:
        assert look.tank(key).readings == ()
        assert look.forecasts(key) == found
    with journal.looking(NEIGHBOUR) as look, pytest.raises(JournalTrouble, match="unknown"):
        look.forecasts(key)


def test_a_forecast_sent_twice_is_kept_once(journal: Journal) -> None:
    key = kept(journal)
    for _ in range(2):
        with journal.writing(ME, what="forecast", request="job-1") as work:
            repeated = work.earlier or work.keep_forecast(key, forecast())
    assert (repeated.tank, repeated.repeated) == (key, True)
    with journal.looking(ME) as look:
        assert len(look.forecasts(key)) == 1


def test_photos_stay_with_their_entry_and_its_corrections(journal: Journal) -> None:
    key = kept(journal)
    with journal.writing(ME, what="record") as work:
        pair = (Written(note("tow"), photos=(photo(b"a"),)), Written(note("bare")))
        first, bare = work.record(key, pair).entries
    with journal.writing(ME, what="correct") as work:
        right = Written(note("two"), photos=(photo(b"b"),))
        (second,) = work.correct(first, right).entries
    with journal.looking(ME) as look:
        assert look.photos(first) == (photo(b"a"),)
        assert look.photos(second) == (photo(b"b"), photo(b"a"))
        assert look.photos(bare) == ()
    with journal.looking(NEIGHBOUR) as look, pytest.raises(JournalTrouble, match="unknown"):
        look.photos(first)
