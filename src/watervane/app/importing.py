"""Take files into the journal: a whole history, a tank file or a log, a table."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from watervane.app.exchange_ports import TableWords
from watervane.app.keeping import in_sight
from watervane.app.ports import BadInput, Ports
from watervane.app.sameness import held_of, surplus
from watervane.app.unit_of_work import UnitOfWork, View
from watervane.app.use_cases import check
from watervane.records import (
    LOCAL_OWNER,
    Finding,
    Joined,
    Person,
    TableRead,
    Tank,
    Written,
)

LOG = ("events", "habits", "readings", "owner")
ANY_NAME = TableWords()


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import came to, or with ``preview`` what it would come to."""

    tank: str
    new_tank: bool = False
    added: int = 0
    known: int = 0
    preview: bool = False
    table: TableRead | None = None
    joined: Joined | None = None
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Asked:
    """How a file is to be taken in.

    ``name`` is of the tank it is for; ``preview`` writes nothing; ``good_rows`` takes the rows
    of a table that are understood even where others are not.
    """

    name: str | None = None
    preview: bool = False
    good_rows: bool = False
    words: TableWords = ANY_NAME
    request: str | None = None


def import_file(actor: Person, source: Path, asked: Asked, ports: Ports) -> Imported:
    """Take a file into the journal; what it says already stands there is skipped and counted.

    Raises
    ------
    BadInput
        With every problem, each with its place and a remedy; nothing was written then.
    """
    sort = ports.exchange.sort_of(source)
    if sort == "table":
        return _import_table(actor, source, asked, ports)
    if asked.words != ANY_NAME or asked.good_rows:
        raise BadInput([Finding("import-no-columns", "problem", {"file": source.name})])
    if sort == "journal":
        return _import_history(actor, source, asked, ports)
    return _import_tank(actor, source, asked, ports)


def _import_history(actor: Person, source: Path, asked: Asked, ports: Ports) -> Imported:
    history = ports.exchange.read_journal(source)
    if asked.name is not None and asked.name.casefold() != history.name.casefold():
        told = {"name": asked.name, "told": history.name}
        raise BadInput([Finding("import-other-tank", "problem", told)])
    with ports.journal.open() as journal:
        if asked.preview:
            with journal.looking(actor) as view:
                is_here = any(tank.key == history.key for tank in view.tanks())
                here = view.history(history.key).entries if is_here else ()
            known = {entry.key for entry in here}
            new = sum(entry.key not in known for entry in history.entries)
            count = len(history.entries) - new
            return Imported(history.name, not is_here, new, count, preview=True)
        # Joining twice comes to the same, so the write needs no name of its own.
        with journal.writing(actor, what="import", asked=history.key) as work:
            joined = work.join(history)
    return Imported(history.name, joined.new_tank, joined.added, joined.same, joined=joined)


def _import_tank(actor: Person, source: Path, asked: Asked, ports: Ports) -> Imported:
    checked = check(Person(LOCAL_OWNER), source, ports)
    told = checked.tank
    name = asked.name or told.name
    entries = [Written(what) for what in (*told.events, *told.habits, *told.readings)]
    with ports.journal.open() as journal:
        if asked.preview:
            with journal.looking(actor) as view:
                key, remarks = _tank_for(view, name, told, named=asked.name is not None)
                new, known = _new(view, key, entries)
            done = Imported(name, key is None, len(new), len(known), preview=True)
            return dataclasses.replace(done, findings=(*checked.findings, *remarks))
        with journal.writing(
            actor, what="import", asked=f"{name}\n{told}", request=asked.request
        ) as work:
            if work.earlier is not None:
                return Imported(name, known=len(entries))
            key, remarks = _tank_for(work, name, told, named=asked.name is not None)
            if key is None:
                work.add_tank(dataclasses.replace(told, name=name))
                return Imported(name, True, len(entries), findings=checked.findings)
            new, known = _new(work, key, entries)
            work.record(key, new)
    return Imported(name, False, len(new), len(known), findings=(*checked.findings, *remarks))


def _tank_for(
    view: View, name: str, told: Tank, *, named: bool
) -> tuple[str | None, tuple[Finding, ...]]:
    """The tank a file is for, ``None`` for a new one, and whether it is described otherwise."""
    alike = [tank.key for tank in view.tanks() if tank.name.casefold() == name.casefold()]
    if not alike:
        return None, ()
    here = view.description(alike[0])
    differing = tuple(
        field.name
        for field in dataclasses.fields(Tank)
        if field.name not in (*LOG, "name")
        and getattr(here, field.name) != getattr(told, field.name)
    )
    if not differing:
        return alike[0], ()
    if not named:
        arguments = {"name": here.name, "fields": differing}
        raise BadInput([Finding("import-described-otherwise", "problem", arguments)])
    return alike[0], (Finding("import-description-left", "caution", {"fields": differing}),)


def _new(
    view: View, key: str | None, entries: Sequence[Written]
) -> tuple[list[Written], list[Written]]:
    if key is None:
        return list(entries), []
    held = held_of(view.entries(key, all_of_them=True))
    return surplus(((each.what, each) for each in entries), held)


def _import_table(actor: Person, source: Path, asked: Asked, ports: Ports) -> Imported:
    with ports.journal.open() as journal:
        if asked.preview:
            with journal.looking(actor) as view:
                key = _key(view, asked.name)
                tank = view.description(key)
                table = ports.exchange.read_table(source, tank, asked.words)
                new, known = _new(view, key, _entries(table))
            done = Imported(tank.name, False, len(new), len(known), preview=True, table=table)
            return dataclasses.replace(done, findings=table.remarks)
        words = f"{asked.name}\n{ports.exchange.digest_of(source)}\n{asked.words}"
        with journal.writing(actor, what="import", asked=words, request=asked.request) as work:
            return _write_table(work, source, asked, ports)


def _write_table(work: UnitOfWork, source: Path, asked: Asked, ports: Ports) -> Imported:
    if work.earlier is not None:
        tank = work.description(work.earlier.tank)
        return Imported(tank.name, known=len(work.earlier.entries))
    key = _key(work, asked.name)
    tank = work.description(key)
    table = ports.exchange.read_table(source, tank, asked.words)
    if table.bad and not asked.good_rows:
        left = Finding("import-half-bad", "problem", {"count": len(table.rows)})
        raise BadInput([*table.bad, *([left] if table.rows else [])], str(source))
    new, known = _new(work, key, _entries(table))
    if new:
        work.record(key, new)
    done = Imported(tank.name, False, len(new), len(known), table=table)
    return dataclasses.replace(done, findings=(*table.remarks, *table.bad))


def _entries(table: TableRead) -> list[Written]:
    return [written for row in table.rows for written in row.written]


def _key(view: View, name: str | None) -> str:
    if name is not None:
        return view.key_of(name)
    tanks = in_sight(view)
    if len(tanks) == 1:
        return tanks[0].key
    known = tuple(tank.name for tank in tanks)
    raise BadInput([Finding("tank-which" if tanks else "tank-none", "problem", {"known": known})])
