"""Ask for forecasts and judgements, follow them, and read the newest there are.

The process that asks computes nothing: it writes down what is wanted, and a worker (see
`watervane.app.working`) does it. The newest result can be read all the while. A page would do

>>> worker = ports.jobs.start_worker(WorkRequest())    # once, at its start   # doctest: +SKIP
>>> job = ask_for(actor, "Study", "forecast", ports)   # after a reading      # doctest: +SKIP
>>> newest = newest_results(actor, "Study", ports)     # as often as wanted   # doctest: +SKIP
>>> newest.forecast, newest.is_current("forecast"), newest.job("forecast")    # doctest: +SKIP
>>> worker.stop()                                      # at its end           # doctest: +SKIP
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from watervane import __version__
from watervane.app.ports import Ports
from watervane.records import FULL, JOB_KINDS, Job, KeptResult, Person


@dataclass(frozen=True, slots=True)
class NewestResults:
    """What is known of a tank now, and what is being computed.

    Parameters
    ----------
    tank
        Its key.
    name
        Its name.
    newest_entry
        Number of the last entry about it.
    forecast, today
        The newest of each, provisional or full, however old; ``None`` before there is one.
        ``document`` is the JSON text that the commands of that name print.
    jobs
        Those about it, the one asked for last at the end.
    now
        When this was looked up.
    """

    tank: str
    name: str
    newest_entry: int
    forecast: KeptResult | None
    today: KeptResult | None
    jobs: tuple[Job, ...]
    now: datetime

    def result(self, kind: str) -> KeptResult | None:
        """The newest result of a kind."""
        return self.forecast if kind == "forecast" else self.today

    def is_current(self, kind: str) -> bool:
        """Whether it rests on all entries, speaks of today, and this program made it."""
        kept = self.result(kind)
        return (
            kept is not None
            and kept.newest_entry == self.newest_entry
            and self.now < kept.current_until
            and kept.model_version == __version__
        )

    def is_full(self, kind: str) -> bool:
        """Whether it is current and nothing better is to come."""
        kept = self.result(kind)
        return kept is not None and kept.grade == FULL and self.is_current(kind)

    def job(self, kind: str) -> Job | None:
        """The last job of a kind: with ``state``, ``stage`` and ``progress``."""
        of_kind = [job for job in self.jobs if job.kind == kind]
        last = [job for job in of_kind if job.open] or of_kind
        return last[-1] if last else None


def ask_for(actor: Person, name: str, kind: str, ports: Ports, *, again: bool = False) -> Job:
    """Ask for a forecast or a judgement of a tank as it is now.

    Ask only where a worker is at work or will be: `record` and its like ask for nothing. Asked
    for twice, with no entry in between and on the same day, it is one job, whatever became of it.

    Parameters
    ----------
    actor
        Who asks; must own the tank.
    name
        Of the tank.
    kind
        ``forecast`` or ``today``.
    ports
        The outside parts.
    again
        Where that job has ended, begin it anew.

    Raises
    ------
    BadInput
        Where the actor has no tank of that name.
    """
    if kind not in JOB_KINDS:
        raise ValueError(f"a job is one of {JOB_KINDS}, not {kind}")
    with ports.journal.open() as journal, journal.asking(actor, ports.journal.now()) as asking:
        return asking.ask(asking.key_of(name), kind, again=again)


def newest_results(actor: Person, name: str, ports: Ports) -> NewestResults:
    """The newest forecast and judgement of a tank, whatever is being made meanwhile.

    Raises
    ------
    BadInput
        Where the actor has no tank of that name.
    """
    now = ports.journal.now()
    with ports.journal.open() as journal, journal.looking(actor) as view:
        key = view.key_of(name)
        return NewestResults(
            key,
            view.description(key).name,
            view.newest_entry(key),
            view.result(key, "forecast"),
            view.result(key, "today"),
            view.jobs(key),
            now,
        )


def list_jobs(actor: Person, ports: Ports, name: str | None = None) -> tuple[Job, ...]:
    """The actor's jobs, or those about one tank, the one asked for last at the end."""
    with ports.journal.open() as journal, journal.looking(actor) as view:
        return view.jobs(None if name is None else view.key_of(name))


def look_at_job(actor: Person, key: str, ports: Ports) -> Job:
    """A job as it stands; raises ``BadInput`` where it is none of the actor's."""
    with ports.journal.open() as journal, journal.looking(actor) as view:
        return view.job(key)


def cancel_job(actor: Person, key: str, ports: Ports) -> Job:
    """Call a job off; the worker lets go of it within seconds. What it kept stays."""
    with ports.journal.open() as journal, journal.asking(actor, ports.journal.now()) as asking:
        return asking.cancel(key)


def retry_job(actor: Person, key: str, ports: Ports) -> Job:
    """Let a job that failed or was called off wait again; raises ``BadInput`` for any other."""
    with ports.journal.open() as journal, journal.asking(actor, ports.journal.now()) as asking:
        return asking.retry(key)
