"""Whatever keepers and workers do, in any order, the queue keeps its promises."""

from __future__ import annotations

import shutil
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)
from logs import note, result, small_tank, written

from watervane.journal import Journal, JournalTrouble, Place
from watervane.journal.working import LEASE, MOST_ATTEMPTS
from watervane.records import JOB_KINDS, Finding, Job, Person

ME = Person("me")
WORKERS = ("first", "second")
# No two are asked for at the same moment: keys are drawn, and would tell which of them comes first.
AFTER = timedelta(seconds=1)
WHY = Finding("job-failed-inside", "problem", {"what": "it broke", "where": ""})


class AnyWork(RuleBasedStateMachine):
    """Two tanks, two workers that may die, a keeper who writes, asks, calls off, tries again."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.mkdtemp()
        self.journal = Journal(Place(Path(self.folder) / "journal.sqlite"))
        self.now = datetime(2026, 3, 20, 12, tzinfo=UTC)
        self.at_hand: dict[str, str | None] = dict.fromkeys(WORKERS)
        self.wanted: set[tuple[str, str]] = set()  # asked for, and not done, failed or called off

    @initialize()
    def two_tanks(self) -> None:
        self.tanks = []
        for name in ("one", "two"):
            with self.journal.writing(ME, what="add") as work:
                self.tanks.append(work.add_tank(small_tank(name)).tank)

    def jobs(self) -> dict[str, Job]:
        with self.journal.looking(ME) as look:
            return {job.key: job for job in look.jobs(newest=None)}

    @rule(tank=st.integers(0, 1))
    def something_is_written(self, tank: int) -> None:
        with self.journal.writing(ME, what="record") as work:
            work.record(self.tanks[tank], written(note("seen")))

    @rule(tank=st.integers(0, 1), kind=st.sampled_from(JOB_KINDS), again=st.booleans())
    def it_is_asked_for(self, tank: int, kind: str, again: bool) -> None:
        self.now += AFTER
        with self.journal.asking(ME, self.now) as asking:
            job = asking.ask(self.tanks[tank], kind, again=again)
            assert job.newest_entry == asking.newest_entry(self.tanks[tank])
        if job.open:
            self.wanted.add((job.tank, job.kind))

    @rule(place=st.integers(0, 50), retry=st.booleans())
    def the_keeper_changes_their_mind(self, place: int, retry: bool) -> None:
        jobs = list(self.jobs().values())
        if not jobs:
            return
        job = jobs[place % len(jobs)]
        self.now += AFTER
        try:
            with self.journal.asking(ME, self.now) as asking:
                changed = asking.retry(job.key) if retry else asking.cancel(job.key)
        except JournalTrouble:
            assert job.state not in ("failed", "cancelled")
            return
        assert changed.open == retry or not job.open
        self.settle()
        if changed.open:
            self.wanted.add((job.tank, job.kind))

    @rule(minutes=st.sampled_from([0.1, 2.0, 60.0 * 24.0]))
    def time_goes_by(self, minutes: float) -> None:
        self.now += timedelta(minutes=minutes)

    @rule(worker=st.sampled_from(WORKERS))
    def a_worker_takes_a_job(self, worker: str) -> None:
        if self.at_hand[worker] is not None:
            return
        before = self.jobs()
        with self.journal.working(worker, self.now) as step:
            taken = step.take()
        self.settle()
        if taken is None:
            assert not any(job.state == "waiting" for job in self.jobs().values())
            return
        job, tank = taken
        assert job.state == "running"
        assert 1 <= job.attempts <= MOST_ATTEMPTS
        with self.journal.looking(ME) as look:
            assert job.newest_entry == look.newest_entry(job.tank)
            assert tank == look.tank(job.tank)
        was = before[job.key]
        if was.state == "running":
            assert was.beaten_at is not None
            assert self.now - was.beaten_at > LEASE, "it was another's, and alive"
        for other, key in self.at_hand.items():
            if key == job.key:
                self.at_hand[other] = "lost"
        self.at_hand[worker] = job.key

    @precondition(lambda self: any(self.at_hand.values()))
    @rule(
        worker=st.sampled_from(WORKERS),
        what=st.sampled_from(["beat", "keep", "done", "failed", "give back", "dies", "starts"]),
    )
    def a_worker_goes_on(self, worker: str, what: str) -> None:
        key = self.at_hand[worker]
        if key is None:
            return
        before = self.jobs().get(key)
        mine = before is not None and before.state == "running"
        with self.journal.working(worker, self.now) as step:
            if what == "beat":
                assert mine or not step.beat(key, "weighing", 0.5)
            elif what == "keep" and before is not None:
                kept = step.keep(key, result(newest_entry=before.newest_entry))
                assert mine or not kept
            elif what == "done":
                assert step.done(key) is mine
            elif what == "failed":
                assert step.failed(key, WHY) is mine
            elif what == "give back":
                assert step.give_back(key) is mine
        if what not in ("beat", "keep", "starts"):
            self.at_hand[worker] = None
        self.settle()

    def settle(self) -> None:
        """What is wanted no longer: done, failed or called off."""
        open_ones = {(job.tank, job.kind) for job in self.jobs().values() if job.open}
        ended = [job for job in self.jobs().values() if not job.open]
        for one in self.wanted - open_ones:
            assert any((job.tank, job.kind) == one for job in ended), "a job was forgotten"
        self.wanted &= open_ones

    @invariant()
    def each_job_is_one_workers(self) -> None:
        keys = [key for key in self.at_hand.values() if key not in (None, "lost")]
        assert len(keys) == len(set(keys))

    @invariant()
    def a_job_is_asked_for_once(self) -> None:
        told = [(j.tank, j.kind, j.newest_entry, j.day) for j in self.jobs().values()]
        assert len(told) == len(set(told))
        for job in self.jobs().values():
            assert job.attempts <= MOST_ATTEMPTS
            assert (job.ended_at is not None) == (not job.open)

    @invariant()
    def what_is_wanted_will_be_done(self) -> None:
        """Nothing that is wanted was overtaken without something newer to take its place."""
        jobs = self.jobs().values()
        open_ones = {(job.tank, job.kind) for job in jobs if job.open}
        assert self.wanted <= open_ones

    def teardown(self) -> None:
        self.journal.close()
        shutil.rmtree(self.folder)


AnyWork.TestCase.settings = settings(max_examples=6, stateful_step_count=25)
TestAnyWork = AnyWork.TestCase


@pytest.mark.slow
def test_any_more_work_leaves_what_should_be_left() -> None:
    run_state_machine_as_test(AnyWork, settings=settings(max_examples=60, stateful_step_count=40))
