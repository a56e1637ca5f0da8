"""Set up a tank: its description and its first entries, in one commit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

from watervane.app.doubting import SURE, ask_once
from watervane.app.exchange_ports import TableWords
from watervane.app.keeping import KeptWrite, Line
from watervane.app.ports import BadInput, Ports
from watervane.app.recording import understood
from watervane.app.unit_of_work import UnitOfWork, View
from watervane.records import (
    LOCAL_OWNER,
    Event,
    Finding,
    Habit,
    KeptTank,
    Person,
    Reading,
    TableRead,
    Tank,
)
from watervane.wording import phrase

LONG_AGO = date(1900, 1, 1)
NAME_AWAY, NAME_FREED = "setup-name-away", "setup-name-freed"


@dataclass(frozen=True, slots=True)
class FromTable:
    """A table of what was read and done so far, and what was told of its columns.

    ``good_rows`` takes those rows that are understood even where others are not.
    """

    source: Path
    words: TableWords = field(default_factory=TableWords)
    good_rows: bool = False


def described(name: str, words: Sequence[str], ports: Ports) -> Tank:
    """The tank that words tell of; raises ``BadInput`` with all that is wrong with them."""
    return ports.journal.describe(words, None, name)


def look_at_table(tank: Tank, table: FromTable, ports: Ports) -> TableRead:
    """What a table would come to in a tank, days before its filling among it.

    Raises
    ------
    BadInput
        Where it cannot be read as a table; single rows that are wrong are told by the result.
    """
    any_day = replace(tank, filled=min(tank.filled, LONG_AGO))
    return ports.exchange.read_table(table.source, any_day, table.words)


def set_up_tank(
    actor: Person,
    name: str,
    words: Sequence[str],
    lines: Sequence[Line],
    ports: Ports,
    request: str | None = None,
    table: FromTable | None = None,
    sure: str = SURE,
) -> KeptWrite:
    """Add a tank described by words, with the entries it begins with.

    Parameters
    ----------
    actor
        Whose it will be.
    name
        Of the tank; no other tank of the actor may have it.
    words
        ``key=value`` of a tank file.
    lines
        What was done so far, each with its moment.
    ports
        The outside parts.
    request
        The writer's own name for this write.
    table
        What was read and done so far, as a table.
    sure
        The token of the questions that were answered; what is doubtful of tank and lines is asked
        about where it is another.

    Raises
    ------
    BadLines
        With the problems of the lines; nothing was written then.
    Doubted
        With what is asked; nothing was written then.
    BadInput
        With those of the description, or of the table.
    """
    told_as = "\n".join((name, *words, *(f"{line.raw} {line.at}" for line in lines)))
    tank = described(name, words, ports)
    read, findings = understood(lines, tank, ports)
    away = _named_away(actor, name, ports)
    besides = () if away is None else (_name_away(away, NAME_FREED, "caution"),)
    ask_once(read, tank, ports, sure, described=True, besides=besides)
    if table is not None:
        told_as += f"\n{ports.exchange.digest_of(table.source)}\n{table.words}"
        rows, remarks = _rows(table, tank, ports)
        read, findings = [*read, *rows], (*findings, *remarks)
    begun = replace(
        tank,
        events=tuple(each for each in read if not isinstance(each, Habit | Reading)),
        habits=tuple(each for each in read if isinstance(each, Habit)),
        readings=tuple(each for each in read if isinstance(each, Reading)),
    )
    if away is not None:
        _let_go_of_name(actor, away, ports)
    with (
        ports.journal.open() as journal,
        journal.writing(actor, what="add tank", asked=told_as, request=request) as work,
    ):
        _check_free(name, work)
        receipt = work.earlier or work.add_tank(begun, " ".join(words))
    return KeptWrite(tank.name, receipt, (), findings)


def _check_free(name: str, work: UnitOfWork) -> None:
    """No other tank has the name; one that was put away keeps its own, so that it can come back."""
    other = _named(name, work)
    if work.earlier is not None or other is None:
        return
    if other.put_away is None:
        told = {"name": other.name, "field": "name"}
        raise BadInput([Finding("setup-name-taken", "problem", told)])
    raise BadInput([_name_away(other, NAME_AWAY, "problem")])


def _named(name: str, view: View) -> KeptTank | None:
    wanted = name.strip().casefold()
    return next((each for each in view.tanks() if each.name.casefold() == wanted), None)


def _named_away(actor: Person, name: str, ports: Ports) -> KeptTank | None:
    """A tank that was put away and has the name of one that is to be set up."""
    with ports.journal.open() as journal, journal.looking(actor) as view:
        other = _named(name, view)
    return None if other is None or other.put_away is None else other


def _name_away(other: KeptTank, key: str, severity: str) -> Finding:
    told = {"name": other.name, "field": "name", "day": str(other.put_away)}
    return Finding(key, severity, {**told, "then": name_when_away(other)})


def name_when_away(tank: KeptTank) -> str:
    """What a tank that was put away is called once another has its name."""
    return phrase("away-name", name=tank.name, day=str(tank.put_away))


def _let_go_of_name(actor: Person, away: KeptTank, ports: Ports) -> None:
    """Call a tank that was put away otherwise; with its log it can come back under that name."""
    then = name_when_away(away)
    with (
        ports.journal.open() as journal,
        journal.writing(actor, what="let go of name", asked=away.key) as work,
    ):
        tank = work.description(away.key)
        work.describe(away.key, replace(tank, name=then), f"name={then}")


def _rows(
    table: FromTable, tank: Tank, ports: Ports
) -> tuple[tuple[Event | Habit | Reading, ...], tuple[Finding, ...]]:
    found = ports.exchange.read_table(table.source, tank, table.words)
    if found.bad and not (table.good_rows and found.rows):
        raise BadInput(found.bad)
    whats = tuple(written.what for row in found.rows for written in row.written)
    return whats, (*found.remarks, *found.bad)


def take_over_tank(
    actor: Person, source: Path, ports: Ports, request: str | None = None
) -> KeptWrite:
    """Add a tank with its whole log from a tank file.

    Raises
    ------
    BadInput
        With every problem found, each with its line; nothing was written then.
    """
    tank, findings = ports.read_tank(source)
    return adopt_tank(actor, tank, ports, asked=source.name, findings=findings, request=request)


def adopt_tank(
    actor: Person,
    tank: Tank,
    ports: Ports,
    *,
    asked: str,
    findings: tuple[Finding, ...] = (),
    request: str | None = None,
) -> KeptWrite:
    """Add a tank with whatever log it has.

    Parameters
    ----------
    actor
        Whose it will be.
    tank
        Under a name no other tank of the actor has.
    ports
        The outside parts.
    asked
        What it was told by, for the journal.
    findings
        Noticed on the way to it.
    request
        The writer's own name for this write.

    Raises
    ------
    BadInput
        Where the name is taken; nothing was written then.
    """
    tank = replace(tank, owner=LOCAL_OWNER)
    with (
        ports.journal.open() as journal,
        journal.writing(actor, what="add tank", asked=asked, request=request) as work,
    ):
        _check_free(tank.name, work)
        receipt = work.earlier or work.add_tank(tank, asked)
    return KeptWrite(tank.name, receipt, (), findings)
