"""Keep tanks: add, describe, record, correct, undo, look. Each is one commit, or none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from pathlib import Path
from zoneinfo import ZoneInfo

from watervane.app.doubting import SURE, as_far_as_asked, ask_once
from watervane.app.ports import BadInput, Ports
from watervane.app.unit_of_work import Copied, UnitOfWork, View
from watervane.app.use_cases import check
from watervane.records import (
    LOCAL_OWNER,
    Entry,
    Finding,
    Habit,
    KeptTank,
    Person,
    Photo,
    Receipt,
    Tank,
    Written,
)


@dataclass(frozen=True, slots=True)
class Line:
    """What a keeper told in one line; ``at`` is as told, ``None`` for now."""

    kind: str
    words: tuple[str, ...]
    at: date | datetime | time | None = None
    photos: tuple[Path, ...] = ()

    @property
    def raw(self) -> str:
        """The words as they were told."""
        return " ".join((self.kind, *self.words))


@dataclass(frozen=True, slots=True)
class KeptWrite:
    """What was written to which tank, and what is worth telling about it."""

    tank: str
    receipt: Receipt
    entries: tuple[Entry, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class OpenedTank:
    """A tank of the journal and its newest entries."""

    tank: Tank
    entries: tuple[Entry, ...]


def list_tanks(actor: Person, ports: Ports) -> tuple[KeptTank, ...]:
    """The actor's tanks, by name, but those put away."""
    with ports.journal.open() as journal, journal.looking(actor) as view:
        return in_sight(view)


def in_sight(view: View) -> tuple[KeptTank, ...]:
    """The actor's tanks, by name, but those put away."""
    return tuple(tank for tank in view.tanks() if tank.put_away is None)


def open_tank(actor: Person, name: str, ports: Ports, newest: int = 10) -> OpenedTank:
    """A tank with its whole log, and its newest entries with their numbers.

    Raises
    ------
    BadInput
        Where the actor has no tank of that name.
    """
    with ports.journal.open() as journal, journal.looking(actor) as view:
        key = view.key_of(name)
        return OpenedTank(view.tank(key), view.entries(key, newest))


def add_tank(
    actor: Person,
    ports: Ports,
    *,
    source: Path | None = None,
    name: str = "",
    words: Sequence[str] = (),
    request: str | None = None,
) -> KeptWrite:
    """Add a tank from a tank file or a log, or one described by words.

    Parameters
    ----------
    actor
        Whose it will be.
    ports
        The outside parts.
    source
        A file; its whole log is kept, too.
    name
        Of the tank; left out, the one in the file.
    words
        ``key=value``, in place of a file or to change what it says.
    request
        The writer's own name for this write.

    Raises
    ------
    BadInput
        With every problem found; nothing was written then.
    """
    findings: tuple[Finding, ...] = ()
    if source is None:
        tank = ports.journal.describe(words, None, name)
    else:
        checked = check(Person(LOCAL_OWNER), source, ports)
        tank, findings = checked.tank, checked.findings
        if words or name:
            told = [*words, *([f"name={name}"] if name else [])]
            tank = replace(
                ports.journal.describe(told, tank),
                events=tank.events,
                habits=tank.habits,
                readings=tank.readings,
            )
    told_as = "\n".join((str(source or ""), name, *words))
    with (
        ports.journal.open() as journal,
        journal.writing(actor, what="add tank", asked=told_as, request=request) as work,
    ):
        receipt = work.earlier or work.add_tank(tank, " ".join(words))
    return KeptWrite(tank.name, receipt, (), findings)


def edit_tank(
    actor: Person,
    name: str,
    words: Sequence[str],
    ports: Ports,
    request: str | None = None,
    sure: str = SURE,
) -> KeptWrite:
    """Change a tank's description; the old one stays in the journal.

    Parameters
    ----------
    actor
        Whose it is.
    name
        Of the tank.
    words
        ``key=value`` of a tank file; nothing after the sign takes a key out.
    ports
        The outside parts.
    request
        The writer's own name for this write.
    sure
        As of `record`.

    Raises
    ------
    BadInput
        With every problem found; nothing was written then.
    """
    told_as = "\n".join((name, *words))
    with (
        ports.journal.open() as journal,
        journal.writing(actor, what="edit tank", asked=told_as, request=request) as work,
    ):
        if work.earlier is not None:
            return KeptWrite(work.description(work.earlier.tank).name, work.earlier)
        key = work.key_of(name)
        before = work.description(key)
        tank = ports.journal.describe(words, before)
        ask_once((), tank, ports, sure, described=True, before=before)
        return KeptWrite(tank.name, work.describe(key, tank, " ".join(words)))


def record(
    actor: Person,
    name: str | None,
    line: Line,
    ports: Ports,
    request: str | None = None,
    sure: str = SURE,
) -> KeptWrite:
    """Write down what was done to a tank or read off a kit.

    Parameters
    ----------
    actor
        Who asks; must own the tank.
    name
        Of the tank; may be left out by who has only one.
    line
        What is told.
    ports
        The outside parts.
    request
        The writer's own name for this write: sent twice, it is kept once.
    sure
        The token of the questions that were answered; what is doubtful is asked about where it
        is another.

    Raises
    ------
    BadInput
        With every problem found; nothing was written then.
    Doubted
        With what is asked; nothing was written then.
    """
    photos = tuple(map(ports.journal.read_photo, line.photos))
    seen = (photo.digest for photo in photos)
    told_as = "\n".join((name or "", line.raw, str(line.at), *seen))
    with (
        ports.journal.open() as journal,
        journal.writing(actor, what="record", asked=told_as, request=request) as work,
    ):
        if work.earlier is not None:
            return kept_write(work, work.earlier)
        key = work.key_of(name) if name else _only_tank(work)
        tank = work.description(key)
        at = moment_told(line.at, tank, ports)
        what, findings = ports.journal.read_entry(line.kind, line.words, at, tank)
        ask_once([what], as_far_as_asked(work, key, [what]), ports, sure)
        receipt = work.record(key, [Written(what, line.raw, photos)])
        return replace(kept_write(work, receipt), findings=findings)


def photo_of(actor: Person, number: int, ports: Ports) -> Photo:
    """The first photo of an entry.

    Raises
    ------
    BadInput
        Where there is none.
    """
    with ports.journal.open() as journal, journal.looking(actor) as view:
        found = view.photos(number)
    if not found:
        raise BadInput([Finding("photo-none", "problem", {"number": number})])
    return found[0]


def correct(
    actor: Person,
    number: int,
    words: Sequence[str],
    ports: Ports,
    *,
    at: date | datetime | time | None = None,
    request: str | None = None,
    sure: str = SURE,
) -> KeptWrite:
    """Put something in the place of an entry that was wrong; the old one stays in the journal.

    Parameters
    ----------
    actor
        Who asks; must own the tank.
    number
        Of the entry.
    words
        What is right, in the words of `record` without the kind.
    ports
        The outside parts.
    at
        When it was; left out, the moment of the entry that is corrected.
    request
        The writer's own name for this write.
    sure
        As of `record`.

    Raises
    ------
    BadInput
        With every problem found; nothing was written then.
    Doubted
        With what is asked; nothing was written then.
    """
    told_as = "\n".join((str(number), *words, str(at)))
    with (
        ports.journal.open() as journal,
        journal.writing(actor, what="correct", asked=told_as, request=request) as work,
    ):
        if work.earlier is not None:
            return kept_write(work, work.earlier)
        key, wrong = work.entry(number)
        tank = work.description(key)
        kind = ports.journal.kind_of(wrong.what)
        moment = _moment_of(wrong) if at is None else moment_told(at, tank, ports)
        what, findings = ports.journal.read_entry(kind, words, moment, tank)
        ask_once([what], tank, ports, sure)
        receipt = work.correct(number, Written(what, " ".join((kind, *words))))
        return replace(kept_write(work, receipt), findings=findings)


def undo(
    actor: Person,
    ports: Ports,
    *,
    name: str | None = None,
    number: int | None = None,
    request: str | None = None,
) -> KeptWrite:
    """Undo the newest write about a tank, or one entry; both stay in the journal.

    Without a name the actor must have one tank only.

    Raises
    ------
    BadInput
        Where there is nothing to undo; nothing was written then.
    """
    told_as = f"{name}\n{number}"
    with (
        ports.journal.open() as journal,
        journal.writing(actor, what="undo", asked=told_as, request=request) as work,
    ):
        if work.earlier is not None:
            return KeptWrite(name or "", work.earlier)
        if number is not None:
            key, entry = work.entry(number)
            told = work.description(key).name
            return KeptWrite(told, work.undo_entry(number), (entry,))
        key = work.key_of(name) if name else _only_tank(work)
        told = work.description(key).name
        receipt = work.undo_last(key)
        return KeptWrite(told, receipt, work.taken_back(receipt))


def back_up(target: Path, ports: Ports) -> Copied:
    """Copy the whole journal to a file and read it back; it may be in use meanwhile."""
    return ports.journal.back_up(target)


def restore(copy: Path, ports: Ports, *, over: bool = False) -> Copied:
    """Put a copy in the journal's place; one that is not empty only with ``over``."""
    return ports.journal.restore(copy, over)


def examine(ports: Ports) -> tuple[Finding, ...]:
    """Everything worth knowing about the journal, what is wrong with it as problems."""
    return tuple(ports.journal.examine())


def kept_write(work: UnitOfWork, receipt: Receipt) -> KeptWrite:
    """A write with the entries it made."""
    entries = tuple(work.entry(number)[1] for number in receipt.entries)
    return KeptWrite(work.description(receipt.tank).name, receipt, entries)


def _only_tank(work: UnitOfWork) -> str:
    tanks = in_sight(work)
    if len(tanks) == 1:
        return tanks[0].key
    names = tuple(tank.name for tank in tanks)
    key = "tank-which" if tanks else "tank-none"
    raise BadInput([Finding(key, "problem", {"known": names})])


def moment_told(at: date | datetime | time | None, tank: Tank, ports: Ports) -> date | datetime:
    """As told, by the tank's own clock; now to the second where nothing was told."""
    now = ports.journal.now().astimezone(ZoneInfo(tank.time_zone)).replace(microsecond=0)
    if at is None:
        return now
    return datetime.combine(now.date(), at) if isinstance(at, time) else at


def _moment_of(entry: Entry) -> date | datetime:
    what = entry.what
    if isinstance(what, Habit):
        return what.start
    return what.at if what.hour_known else what.at.date()
