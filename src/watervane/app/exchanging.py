"""Take tanks out of the journal into files, and join journals."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from watervane.app.ports import BadInput, Ports
from watervane.records import Finding, Joined, Person

ENDINGS = (".json", ".toml", ".csv")


@dataclass(frozen=True, slots=True)
class Exported:
    """A tank in a file, how many entries of it, and what such a file cannot hold."""

    tank: str
    entries: int
    left_out: tuple[Finding, ...]


def export_tank(
    actor: Person, name: str, target: Path, ports: Ports, *, over: bool = False
) -> Exported:
    """Write a tank to a file whose ending tells the form: JSON, tank file or CSV.

    Parameters
    ----------
    actor
        Whose tank it is.
    name
        Of the tank.
    target
        ``.json`` holds everything, ``.toml`` what stands, ``.csv`` what stands in the log.
    ports
        The outside parts.
    over
        Whether a file that is there may be replaced.

    Raises
    ------
    BadInput
        Where there is no such tank, or the file cannot be written.
    """
    ending = target.suffix.lower()
    if ending not in ENDINGS:
        told = {"file": str(target), "known": ENDINGS}
        raise BadInput([Finding("export-ending", "problem", told)])
    exchange = ports.exchange
    with ports.journal.open() as journal, journal.looking(actor) as view:
        key = view.key_of(name)
        history, entries, tank = view.history(key), view.entries(key), view.tank(key)
    if ending == ".json":
        exchange.write_file(target, exchange.journal_text(history), over=over)
        return Exported(tank.name, len(history.entries), ())
    is_table = ending == ".csv"
    text = exchange.table_text(tank, entries) if is_table else ports.journal.tank_text(tank)
    exchange.write_file(target, text, over=over)
    # A description, entries that fell, undoings: rows of the journal that are no standing entry.
    gone = len(history.entries) - len(entries) - 1
    parts = {"fallen": gone, "photos": len(history.photos), "forecasts": len(history.forecasts)}
    left_out = [Finding("export-left-description", "info")] if is_table else []
    if any(parts.values()):
        left_out.append(Finding("export-left-history", "info", parts))
    return Exported(tank.name, len(entries), tuple(left_out))


def merge_journal(actor: Person, other: Path, ports: Ports) -> tuple[Joined, ...]:
    """Take in all the actor's tanks of another journal's file; that file is left as it is.

    Raises
    ------
    BadInput
        Where the file is no journal or a tank of it cannot be joined; nothing was taken in then.
    """
    with ports.exchange.open_copy(other) as copy, copy.looking(actor) as view:
        histories = [view.history(tank.key) for tank in view.tanks()]
    if not histories:
        raise BadInput([Finding("merge-empty", "problem", {"file": str(other)})])
    with (
        ports.journal.open() as journal,
        journal.writing(actor, what="merge", asked=str(other)) as work,
    ):
        return tuple(work.join(history) for history in histories)
