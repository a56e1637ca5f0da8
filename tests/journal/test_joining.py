"""Two journals of the same tank are joined: nothing is lost, and nothing counts twice."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from logs import feed, forecast, note, photo, reading, small_tank, written

from watervane.journal import Journal, JournalTrouble, Place
from watervane.records import Joined, Note, Person, Tank, Written

ME = Person("me")


class Clock:
    """Tells a later second at each look, for both journals."""

    def __init__(self) -> None:
        self.at = datetime(2026, 3, 1, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.at += timedelta(seconds=1)
        return self.at


@pytest.fixture
def pair(place: Place, tmp_path: Path) -> Iterator[tuple[Journal, Journal, str]]:
    """A journal of either kind with a tank of two entries, and a file that was joined with it."""
    clock = Clock()
    first, second = Journal(place, clock), Journal(Place(tmp_path / "b" / "j.sqlite"), clock)
    with first.writing(ME, what="add tank") as work:
        key = work.add_tank(small_tank()).tank
    record(first, key, note("one"))
    record(first, key, note("two"))
    take(second, first, key)
    yield first, second, key
    first.close()
    second.close()


def record(journal: Journal, key: str, *things: object, request: str | None = None) -> None:
    with journal.writing(ME, what="record", asked=str(things), request=request) as work:
        work.record(key, written(*things))


def take(journal: Journal, other: Journal, key: str) -> Joined:
    with other.looking(ME) as look:
        history = look.history(key)
    with journal.writing(ME, what="merge") as work:
        return work.join(history)


def number_of(journal: Journal, key: str, text: str) -> int:
    with journal.looking(ME) as look:
        found = [e for e in look.entries(key) if isinstance(e.what, Note) and e.what.text == text]
    return found[0].number


def correct(journal: Journal, key: str, wrong: str, right: str) -> None:
    number = number_of(journal, key, wrong)
    with journal.writing(ME, what="correct") as work:
        work.correct(number, Written(note(right)))


def undo(journal: Journal, key: str, text: str) -> None:
    number = number_of(journal, key, text)
    with journal.writing(ME, what="undo") as work:
        work.undo_entry(number)


def describe(journal: Journal, key: str, **changes: object) -> None:
    with journal.writing(ME, what="edit") as work:
        work.describe(key, dataclasses.replace(work.description(key), **changes))


def tank_of(journal: Journal, key: str) -> Tank:
    with journal.looking(ME) as look:
        return look.tank(key)


def meaning(journal: Journal, key: str) -> tuple[Tank, list[str]]:
    """What a tank is and what stands in its log, in no order."""
    tank = tank_of(journal, key)
    log = sorted(map(repr, (*tank.events, *tank.habits, *tank.readings)))
    return dataclasses.replace(tank, events=(), habits=(), readings=()), log


def texts(journal: Journal, key: str) -> list[str]:
    return sorted(e.text for e in tank_of(journal, key).events if isinstance(e, Note))


def joined_both_ways(first: Journal, second: Journal, key: str) -> tuple[Joined, Joined]:
    """Join each with what the other was; both must then mean the same, and again change nothing."""
    with first.looking(ME) as look:
        history = look.history(key)
    one = take(first, second, key)
    with second.writing(ME, what="merge") as work:
        two = work.join(history)
    assert meaning(first, key) == meaning(second, key)
    for journal, other in ((first, second), (second, first)):
        before = meaning(journal, key)
        again = take(journal, other, key)
        assert (again.added, again.twins, again.clashes) == (0, 0, ())
        assert meaning(journal, key) == before
    with first.looking(ME) as here, second.looking(ME) as there:
        ours, theirs = here.history(key), there.history(key)
    assert {e.key: e for e in ours.entries} == {e.key: e for e in theirs.entries}
    return one, two


Pair = tuple[Journal, Journal, str]


def test_a_history_in_an_empty_journal_is_the_same_history(pair: Pair, tmp_path: Path) -> None:
    first, _, key = pair
    correct(first, key, "one", "uno")
    undo(first, key, "two")
    with first.writing(ME, what="record", request="r-1") as work:
        work.record(key, [Written(reading(), "ammonia 0,7", (photo(),))])
    with first.writing(ME, what="forecast") as work:
        work.keep_forecast(key, forecast(newest_entry=work.newest_entry(key)))
    describe(first, key, plants="few")
    other = Journal(Place(tmp_path / "c" / "j.sqlite"))
    with other.writing(ME, what="add tank") as work:
        work.add_tank(small_tank("Another"))  # so that entries are numbered otherwise
    told = take(other, first, key)
    assert (told.new_tank, told.forecasts, told.photos, told.clashes) == (True, 1, 1, ())
    with first.looking(ME) as here, other.looking(ME) as there:
        assert here.history(key) == there.history(key)
        assert here.tank(key) == there.tank(key)
        (kept,) = there.forecasts(key)
        knew = there.entry(kept.newest_entry)[1]
        assert knew.what == reading()
        assert there.photos(knew.number) == (photo(),)
    other.close()


def test_what_was_told_to_either_stands_in_both(pair: Pair) -> None:
    first, second, key = pair
    record(first, key, note("a"), reading())
    record(second, key, note("b"))
    correct(second, key, "one", "uno")
    undo(first, key, "two")
    told, _ = joined_both_ways(first, second, key)
    assert texts(first, key) == ["a", "b", "uno"]
    assert (told.added, told.twins, told.clashes) == (2, 0, ())


def test_equal_entries_told_to_each_count_once_and_two_of_one_stay_two(pair: Pair) -> None:
    first, second, key = pair
    record(first, key, feed(), feed(), reading())
    record(second, key, feed(), reading())
    told, _ = joined_both_ways(first, second, key)
    tank = tank_of(first, key)
    assert told.twins == 2
    assert (tank.readings, [e for e in tank.events if e == feed()]) == ((reading(),), [feed()] * 2)
    # A value that was put right here is not brought back by an old copy.
    number = next(n for n, e in numbered(first, key) if e == reading())
    with first.writing(ME, what="correct") as work:
        work.correct(number, Written(reading("0.3 mg/L as N")))
    joined_both_ways(first, second, key)
    assert tank_of(second, key).readings == (reading("0.3 mg/L as N"),)


def numbered(journal: Journal, key: str) -> list[tuple[int, object]]:
    with journal.looking(ME) as look:
        return [(entry.number, entry.what) for entry in look.entries(key)]


def test_a_line_sent_to_both_under_one_key_is_one_even_where_one_was_put_right(pair: Pair) -> None:
    first, second, key = pair
    for journal in (first, second):
        record(journal, key, note("sent"), request="phone-7")
    correct(first, key, "sent", "sent, put right")
    told, _ = joined_both_ways(first, second, key)
    assert told.twins == 1
    assert texts(first, key) == ["one", "sent, put right", "two"]


def test_one_key_used_for_two_things_keeps_both_and_says_so(pair: Pair) -> None:
    first, second, key = pair
    record(first, key, note("a"), request="phone-7")
    record(second, key, note("b"), request="phone-7")
    told, _ = joined_both_ways(first, second, key)
    assert texts(first, key) == ["a", "b", "one", "two"]
    assert [clash.kind for clash in told.clashes] == ["request"]
    with first.writing(ME, what="record", asked=str((note("a"),)), request="phone-7") as work:
        assert work.earlier is not None


def test_of_two_corrections_the_later_stands_with_what_corrected_it(pair: Pair) -> None:
    first, second, key = pair
    correct(first, key, "one", "here")
    correct(first, key, "here", "here again")
    correct(second, key, "one", "there")
    told, _ = joined_both_ways(first, second, key)
    assert texts(first, key) == ["there", "two"]
    (clash,) = told.clashes
    assert (clash.kind, clash.entry is not None) == ("correction", True)
    correct(first, key, "there", "in the end")
    joined_both_ways(first, second, key)
    assert texts(second, key) == ["in the end", "two"]


def test_what_was_corrected_here_and_undone_there_stands_corrected(pair: Pair) -> None:
    first, second, key = pair
    correct(first, key, "one", "uno")
    take(second, first, key)
    correct(first, key, "uno", "eins")
    undo(second, key, "uno")
    told, _ = joined_both_ways(first, second, key)
    assert texts(first, key) == ["eins", "two"]
    assert [clash.kind for clash in told.clashes] == ["undone"]


def test_the_same_correction_in_both_is_no_clash(pair: Pair) -> None:
    first, second, key = pair
    correct(first, key, "one", "uno")
    correct(second, key, "one", "uno")
    told, _ = joined_both_ways(first, second, key)
    assert (texts(first, key), told.clashes) == (["two", "uno"], ())


def test_descriptions_are_joined_field_by_field(pair: Pair) -> None:
    first, second, key = pair
    describe(first, key, plants="many", heater_set_point_c=25.0)
    describe(first, key, lid=True)
    describe(second, key, light_hours=8.0, heater_set_point_c=26.0)
    told, other = joined_both_ways(first, second, key)
    tank = tank_of(first, key)
    assert (tank.plants, tank.lid, tank.light_hours) == ("many", True, 8.0)
    assert tank.heater_set_point_c == 26.0
    assert told.clashes == other.clashes
    (clash,) = told.clashes
    assert clash.kind == "description"
    assert {clash.standing, clash.other} == {
        "heater_set_point_c: 26.0",
        "heater_set_point_c: 25.0",
    }


def test_three_journals_mean_the_same_in_whatever_order_they_are_joined(
    pair: Pair, tmp_path: Path
) -> None:
    first, second, key = pair
    third = Journal(Place(tmp_path / "c" / "j.sqlite"), Clock())
    take(third, second, key)
    record(first, key, reading(), note("a"))
    record(second, key, reading(), note("b"))
    record(third, key, reading())
    correct(third, key, "two", "due")
    correct(second, key, "two", "zwei")
    take(first, second, key)
    take(second, third, key)
    take(third, first, key)
    for journal, other in ((first, third), (second, first), (third, second), (first, second)):
        take(journal, other, key)
    assert meaning(first, key) == meaning(second, key) == meaning(third, key)
    assert tank_of(first, key).readings == (reading(),)
    third.close()


Spoil = Callable[[Journal, Journal, str], None]


def test_a_tank_of_another_name_or_owner_is_not_mixed_up(pair: Pair, tmp_path: Path) -> None:
    first, second, key = pair
    other = Journal(Place(tmp_path / "c" / "j.sqlite"))
    with other.writing(ME, what="add tank") as work:
        work.add_tank(small_tank("READING ROOM"))
    with pytest.raises(JournalTrouble, match="join-name-taken"):
        take(other, first, key)
    with other.looking(ME) as look:
        assert len(look.tanks()) == 1
    with first.looking(ME) as look:
        history = look.history(key)
    with (
        pytest.raises(JournalTrouble, match="tank-of-another"),
        second.writing(Person("neighbour"), what="merge") as work,
    ):
        work.join(history)
    other.close()


def test_a_tank_that_was_undone_in_one_is_not_taken_in_silently(pair: Pair) -> None:
    first, second, key = pair
    record(second, key, note("new"))
    with first.writing(ME, what="undo") as work:
        for _ in range(3):
            work.undo_last(key)
    with first.looking(ME) as look:
        assert look.tanks() == ()
    with pytest.raises(JournalTrouble, match="join-tank-undone"):
        take(first, second, key)


def test_what_was_tampered_with_is_refused_whole(pair: Pair) -> None:
    first, second, key = pair
    record(first, key, note("new"))
    with first.looking(ME) as look:
        history = look.history(key)
    *rest, last = history.entries
    spoiled = {
        "history-differs": (dataclasses.replace(rest[1], body='{"is":"note","text":"x"}'), last),
        "history-unreadable": (rest[1], dataclasses.replace(last, body="{}", subject="nothing")),
        "history-torn": (rest[1], dataclasses.replace(last, corrects="nobody")),
    }
    for trouble, (changed, final) in spoiled.items():
        bad = dataclasses.replace(history, entries=(rest[0], changed, *rest[2:], final))
        with (
            pytest.raises(JournalTrouble, match=trouble),
            second.writing(ME, what="merge") as work,
        ):
            work.join(bad)
        assert texts(second, key) == ["one", "two"]
