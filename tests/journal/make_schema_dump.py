"""Write the journal that keeps a landed schema testable: ``python make_schema_dump.py``.

Run once when a migration lands; a dump that landed is never made anew.
"""

from __future__ import annotations

import sqlite3
import sys
import tempfile
from contextlib import closing
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "exchange"))

from logs import forecast, note, photo, result, written
from sample_files import FULL

from watervane.exchange import parse_tank_text
from watervane.journal import Journal, Place
from watervane.journal.schema import HEAD
from watervane.records import Note, Person, Written

ME = Person("me")
DATA = Path(__file__).with_name("data")


def fill(place: Place) -> None:
    """A tank with every kind of entry, a corrected note and one that was undone."""
    journal = Journal(place)
    with journal.writing(ME, what="add") as work:
        key = work.add_tank(parse_tank_text(FULL)).tank
    for text in ("kept", "tow", "undone"):
        with journal.writing(ME, what="record", request=text) as work:
            work.record(key, written(note(text, day=20)))
    with journal.writing(ME, what="undo") as work:
        work.undo_last(key)
    with journal.looking(ME) as look:
        entries = look.entries(key)
    wrong = next(e for e in entries if isinstance(e.what, Note) and e.what.text == "tow")
    with journal.writing(ME, what="correct") as work:
        work.correct(wrong.number, Written(note("two", day=20), photos=(photo(),)))
    with journal.writing(ME, what="forecast") as work:
        work.keep_forecast(key, forecast(newest_entry=work.newest_entry(key)))
    with journal.asking(ME) as asking:
        job = asking.ask(key, "forecast")
    with journal.working("worker") as step:
        step.take()
        step.keep(job.key, result(newest_entry=job.newest_entry))
        step.done(job.key)
    with journal.asking(ME) as asking:
        asking.ask(key, "today")
    journal.close()


def main() -> None:
    """Write the dump of this program's schema, unless it is there."""
    target = DATA / f"schema_{HEAD}.sql"
    if target.exists():
        sys.exit(f"{target.name} has landed")
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "journal.sqlite"
        fill(Place(file))
        with closing(sqlite3.connect(file)) as connection:
            target.write_text("\n".join(connection.iterdump()) + "\n", encoding="utf-8")
    target.with_suffix(".tank.toml").write_text(FULL, encoding="utf-8")


if __name__ == "__main__":
    main()
