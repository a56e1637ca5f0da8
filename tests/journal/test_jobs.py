"""Jobs wait, are taken by one worker, survive its death, and change nothing that was written."""

from __future__ import annotations

import dataclasses
import multiprocessing
from datetime import UTC, date, datetime, timedelta

import pytest
from logs import BEGUN, note, result, small_tank, written

from watervane.journal import Journal, JournalTrouble, Place
from watervane.journal.copying import contents
from watervane.journal.tables import entries, forecasts, photos, tanks, writes
from watervane.journal.working import LEASE, MOST_ATTEMPTS
from watervane.records import Finding, Job, Person

ME, YOU = Person("me"), Person("you")
NOON = datetime(2026, 3, 20, 12, tzinfo=UTC)


@pytest.fixture
def tank(journal: Journal) -> str:
    """The key of a tank of mine."""
    return added(journal, "Reading room")


def added(journal: Journal, name: str, owner: Person = ME) -> str:
    with journal.writing(owner, what="add") as work:
        return work.add_tank(small_tank(name)).tank


def told(journal: Journal, tank: str, text: str = "seen") -> int:
    with journal.writing(ME, what="record") as work:
        return work.record(tank, written(note(text))).entries[0]


def asked(journal: Journal, tank: str, kind: str = "forecast", at: datetime = NOON) -> Job:
    with journal.asking(ME, at) as asking:
        return asking.ask(tank, kind)


def taken(journal: Journal, worker: str = "a", at: datetime = NOON) -> Job | None:
    with journal.working(worker, at) as step:
        found = step.take()
    return None if found is None else found[0]


def looked(journal: Journal, job: Job) -> Job:
    with journal.looking(ME) as look:
        return look.job(job.key)


def test_asked_for_twice_it_is_one_job_until_something_is_written(
    journal: Journal, tank: str
) -> None:
    first = asked(journal, tank)
    assert (first.state, first.attempts, first.day) == ("waiting", 0, date(2026, 3, 20))
    assert asked(journal, tank, at=NOON + timedelta(hours=3)) == first
    assert asked(journal, tank, "today").key != first.key
    assert asked(journal, tank, at=NOON + timedelta(days=1)).key != first.key
    told(journal, tank)
    assert asked(journal, tank).newest_entry == first.newest_entry + 1
    with journal.looking(ME) as look:
        assert len(look.jobs(tank)) == 4


def test_a_done_job_is_not_done_again_unless_it_is_asked_for_again(
    journal: Journal, tank: str
) -> None:
    job = asked(journal, tank)
    assert taken(journal) is not None
    with journal.working("a", NOON) as step:
        assert step.done(job.key)
    assert asked(journal, tank).state == "done"
    assert taken(journal) is None
    with journal.asking(ME, NOON) as asking:
        again = asking.ask(tank, "forecast", again=True)
    assert (again.key, again.state, again.attempts) == (job.key, "waiting", 0)


def test_the_job_asked_for_first_is_taken_first_with_its_whole_tank(
    journal: Journal, tank: str
) -> None:
    other = added(journal, "Study")
    told(journal, other, "murky")
    second = asked(journal, tank, at=NOON + timedelta(minutes=1))
    first = asked(journal, other)
    with journal.working("a", NOON + timedelta(minutes=2)) as step:
        job, whole = step.take() or pytest.fail("nothing was taken")
    assert (job.key, job.state, job.attempts) == (first.key, "running", 1)
    assert [event.text for event in whole.events] == ["murky"]
    assert (taken(journal) or first).key == second.key
    assert taken(journal) is None


def test_two_workers_never_take_the_same_job(place: Place) -> None:
    journal = Journal(place)
    keys = {asked(journal, added(journal, f"tank {n}")).key for n in range(12)}
    journal.close()
    spawn = multiprocessing.get_context("spawn")
    with spawn.Pool(2) as pool:
        where = str(place.file) if place.file else place.url.render_as_string(hide_password=False)
        found = pool.starmap(take_all, [(where, "a"), (where, "b")])
    assert len(found[0]) + len(found[1]) == len(keys)
    assert {*found[0], *found[1]} == keys


def take_all(where: str, worker: str) -> list[str]:
    """Take jobs until there are none, in a process of its own."""
    from watervane.journal import place_of

    journal = Journal(place_of(where))
    found = []
    while (job := taken(journal, worker)) is not None:
        found.append(job.key)
    journal.close()
    return found


def test_the_job_of_a_worker_that_died_is_tried_again_but_not_for_ever(
    journal: Journal, tank: str
) -> None:
    job, now = asked(journal, tank), NOON
    for attempt in range(1, MOST_ATTEMPTS + 1):
        found = taken(journal, f"worker {attempt}", now)
        assert found is not None
        assert found.attempts == attempt
        assert taken(journal, "other", now + LEASE / 2) is None
        now += LEASE + timedelta(seconds=1)
    assert taken(journal, "last", now) is None
    ended = looked(journal, job)
    assert (ended.state, ended.ended_at) == ("failed", now)
    assert ended.why == Finding("job-died", "problem", {"attempts": MOST_ATTEMPTS})


def test_a_sign_of_life_keeps_a_job_and_tells_how_far_it_is(journal: Journal, tank: str) -> None:
    job, now = asked(journal, tank), NOON
    taken(journal, "a", now)
    for share in (0.2, 0.4, 0.6):
        now += LEASE * 0.9
        with journal.working("a", now) as step:
            assert step.beat(job.key, "weighing", share)
        assert taken(journal, "b", now) is None
    assert (looked(journal, job).stage, looked(journal, job).progress) == ("weighing", 0.6)
    later = now + LEASE * 2
    assert (taken(journal, "b", later) or job).attempts == 2
    with journal.working("a", later) as step:
        assert not step.beat(job.key, "future", 0.9), "it is another worker's now"
        assert not step.done(job.key)
        assert not step.keep(job.key, result(newest_entry=1))
    assert looked(journal, job).state == "running"


def test_a_clock_set_back_does_not_keep_a_job_for_ever(journal: Journal, tank: str) -> None:
    asked(journal, tank)
    taken(journal, "a", NOON + timedelta(days=2))
    assert (taken(journal, "b", NOON) or pytest.fail("left alone")).attempts == 2


def test_a_worker_that_is_alone_takes_over_at_once(journal: Journal, tank: str) -> None:
    job = asked(journal, tank)
    taken(journal, "a")
    with journal.working("b", NOON) as step:
        assert step.take_over() == 1
    assert (taken(journal, "b") or job).attempts == 2


def test_a_job_is_called_off_while_it_waits_and_while_it_runs(journal: Journal, tank: str) -> None:
    job = asked(journal, tank)
    with journal.asking(ME, NOON) as asking:
        assert asking.cancel(job.key).state == "cancelled"
    assert taken(journal) is None
    with journal.asking(ME, NOON) as asking:
        assert asking.retry(job.key).state == "waiting"
    assert taken(journal) is not None
    with journal.asking(ME, NOON) as asking:
        asking.cancel(job.key)
    with journal.working("a", NOON) as step:
        assert not step.beat(job.key, "weighing", 0.5)
        assert not step.give_back(job.key)
        assert not step.keep(job.key, result(newest_entry=1))
    ended = looked(journal, job)
    assert (ended.state, ended.why and ended.why.key) == ("cancelled", "job-cancelled")


def test_only_what_ended_badly_is_tried_again(journal: Journal, tank: str) -> None:
    job = asked(journal, tank)
    with pytest.raises(JournalTrouble, match="job-not-ended"), journal.asking(ME) as asking:
        asking.retry(job.key)
    taken(journal)
    why = Finding("job-failed-inside", "problem", {"what": "it broke", "where": "x.py, line 1"})
    with journal.working("a", NOON) as step:
        assert step.failed(job.key, why)
    assert (looked(journal, job).state, looked(journal, job).why) == ("failed", why)
    assert asked(journal, tank).state == "failed", "asking does not try again by itself"
    with journal.asking(ME, NOON) as asking:
        fresh = asking.retry(job.key)
    assert (fresh.state, fresh.why, fresh.attempts, fresh.ended_at) == ("waiting", None, 0, None)


def test_a_job_given_back_lost_no_attempt(journal: Journal, tank: str) -> None:
    job = asked(journal, tank)
    for _ in range(2 * MOST_ATTEMPTS):
        assert taken(journal) is not None
        with journal.working("a", NOON) as step:
            assert step.give_back(job.key)
    assert looked(journal, job).attempts == 0


def test_a_stale_job_is_skipped_where_the_present_was_asked_for(
    journal: Journal, tank: str
) -> None:
    stale = asked(journal, tank)
    newest = told(journal, tank)
    fresh = asked(journal, tank)
    assert (taken(journal) or stale).key == fresh.key
    assert taken(journal) is None
    ended = looked(journal, stale)
    assert (ended.state, ended.why and ended.why.key) == ("cancelled", "job-superseded")
    assert looked(journal, fresh).newest_entry == newest


def test_a_stale_job_is_brought_up_to_the_present_where_nobody_asked_for_that(
    journal: Journal, tank: str
) -> None:
    stale = asked(journal, tank)
    newest = told(journal, tank)
    found = taken(journal, at=NOON + timedelta(days=1)) or pytest.fail("it was dropped")
    assert (found.key, found.newest_entry, found.day) == (stale.key, newest, date(2026, 3, 21))


def test_a_running_job_makes_way_for_one_of_more_entries(journal: Journal, tank: str) -> None:
    stale = asked(journal, tank)
    taken(journal)
    told(journal, tank)
    with journal.working("a", NOON) as step:
        assert step.beat(stale.key, "weighing", 0.1), "nobody asked for more yet"
    asked(journal, tank)
    with journal.working("a", NOON) as step:
        assert not step.beat(stale.key, "weighing", 0.2)
    assert looked(journal, stale).state == "cancelled"


def test_the_newest_result_is_kept_and_never_made_worse(journal: Journal, tank: str) -> None:
    job = asked(journal, tank)
    taken(journal)
    number = told(journal, tank)
    steps = [
        (result(newest_entry=number, grade="provisional"), True),
        (result(newest_entry=number), True),
        (result(newest_entry=number, grade="provisional", at=NOON + timedelta(hours=1)), False),
        (result(newest_entry=number - 1, at=NOON + timedelta(hours=1)), False),
        (result(newest_entry=number + 1, grade="provisional"), True),
    ]
    for each, kept in steps:
        with journal.working("a", NOON) as step:
            assert step.keep(job.key, each) is kept
        with journal.looking(ME) as look:
            assert (look.result(tank, "forecast") == each) is kept
    with journal.looking(ME) as look:
        assert look.result(tank, "today") is None


def test_jobs_and_results_are_their_owners(journal: Journal, tank: str) -> None:
    job = asked(journal, tank)
    taken(journal)
    with journal.working("a", NOON) as step:
        step.keep(job.key, result(newest_entry=1))
    with journal.looking(YOU) as look:
        assert look.jobs() == ()
        assert look.result(tank, "forecast") is None
        with pytest.raises(JournalTrouble, match="job-unknown"):
            look.job(job.key)
    with pytest.raises(JournalTrouble, match="tank-unknown"), journal.asking(YOU) as asking:
        asking.ask(tank, "forecast")
    with pytest.raises(JournalTrouble, match="job-unknown"), journal.asking(YOU) as asking:
        asking.cancel(job.key)


def test_the_job_of_a_tank_whose_adding_was_undone_is_dropped(journal: Journal, tank: str) -> None:
    asked(journal, tank)
    with journal.writing(ME, what="undo") as work:
        work.undo_last(tank)
    assert taken(journal) is None


def finished(journal: Journal, job: Job, at: datetime, until: timedelta) -> None:
    kept = dataclasses.replace(
        result(newest_entry=job.newest_entry, at=at), kind=job.kind, current_until=at + until
    )
    with journal.working("a", at) as step:
        step.keep(job.key, kept)
        step.done(job.key)


def test_an_idle_worker_asks_for_what_is_not_current(journal: Journal, tank: str) -> None:
    long_ago = BEGUN - timedelta(days=900)

    def news(at: datetime, version: str = "1", since: datetime = long_ago) -> str | None:
        with journal.working("a", at) as step:
            job = step.ask_for_news(version, since)
        return None if job is None else job.kind

    assert news(NOON) == "forecast"
    assert news(NOON) is None, "something waits already"
    finished(journal, taken(journal) or pytest.fail("nothing waits"), NOON, timedelta(hours=12))
    assert news(NOON) == "today"
    finished(journal, taken(journal) or pytest.fail("nothing waits"), NOON, timedelta(hours=12))
    assert news(NOON + timedelta(hours=11)) is None
    assert news(NOON + timedelta(hours=13), since=datetime(2999, 1, 1, tzinfo=UTC)) is None
    assert news(NOON + timedelta(hours=13)) == "forecast", "another day"
    later = NOON + timedelta(hours=13)
    job = taken(journal, at=later) or pytest.fail("nothing waits")
    finished(journal, job, later, timedelta(hours=12))
    told(journal, tank)
    assert news(NOON) == "forecast", "another entry"


def test_a_job_that_failed_is_not_asked_for_by_the_worker(journal: Journal, tank: str) -> None:
    for _ in range(2):
        with journal.working("a", NOON) as step:
            assert step.ask_for_news("1", BEGUN) is not None
        job = taken(journal) or pytest.fail("nothing waits")
        with journal.working("a", NOON) as step:
            step.failed(job.key, Finding("job-failed-inside", "problem"))
    with journal.working("a", NOON) as step:
        assert step.ask_for_news("1", BEGUN) is None


def test_jobs_leave_all_that_was_written_as_it_is(journal: Journal, tank: str) -> None:
    def all_written() -> list[object]:
        with journal.looking(ME) as look:
            connection = look._connection  # noqa: SLF001 - whole tables are compared
            kept = (writes, tanks, entries, forecasts, photos)
            return [connection.execute(table.select()).all() for table in kept]

    before = all_written()
    for end in ("done", "give_back"):
        with journal.asking(ME, NOON) as asking:
            job = asking.ask(tank, "forecast", again=True)
        taken(journal)
        with journal.working("a", NOON) as step:
            step.beat(job.key, "weighing", 0.5)
            step.keep(job.key, result(newest_entry=1))
            getattr(step, end)(job.key)
    with journal.asking(ME, NOON) as asking:
        asking.cancel(job.key)
    assert all_written() == before


def test_jobs_that_ended_long_ago_are_forgotten(journal: Journal, tank: str) -> None:
    old, waiting = asked(journal, tank), asked(journal, tank, "today", NOON + timedelta(seconds=1))
    taken(journal)
    with journal.working("a", NOON) as step:
        step.done(old.key)
    for days, left in ((29, {old.key, waiting.key}), (31, {waiting.key})):
        with journal.working("a", NOON + timedelta(days=days)) as step:
            step.clear_away()
        with journal.looking(ME) as look:
            assert {job.key for job in look.jobs()} == left


@pytest.fixture
def filled(journal: Journal, tank: str) -> Journal:
    """A journal with a waiting job and a result."""
    job = asked(journal, tank)
    taken(journal)
    with journal.working("a", NOON) as step:
        step.keep(job.key, result(newest_entry=1))
    asked(journal, tank, "today")
    return journal


def test_a_copy_holds_jobs_and_results_too(filled: Journal, tmp_path) -> None:
    from watervane.journal import back_up, restore

    copy = tmp_path / "copy.sqlite"
    held = back_up(filled.place, copy)
    assert held.entries == 1
    target = Place(tmp_path / "other" / "journal.sqlite")
    restore(copy, target)
    other = Journal(target)
    with filled.looking(ME) as before, other.looking(ME) as after:
        assert contents(after._connection) == contents(before._connection)  # noqa: SLF001
        assert len(after.jobs()) == 2
    other.close()
