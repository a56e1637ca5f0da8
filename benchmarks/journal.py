"""Measure a journal of ten years: ``python -m benchmarks.journal``.

50,000 readings and 20,000 events of one invented tank are written into a new file; then the
median and the worst of repeated openings, lists and writes are printed in milliseconds.
"""

from __future__ import annotations

import statistics
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from watervane.journal import Journal, Place, back_up, examined
from watervane.records import Feed, Person, Reading, ReadingValue, Span, Tank, Written

READINGS, EVENTS, DAYS = 50_000, 20_000, 3650
BEGUN = datetime(2026, 3, 1, 9, tzinfo=UTC)
ME = Person()


def main() -> None:
    """Write, measure, print."""
    with tempfile.TemporaryDirectory() as folder:
        place = Place(Path(folder) / "journal.sqlite")
        journal = Journal(place)
        key = _said("write it all at once", lambda: _written(journal))
        journal.close()
        size_mb = (Path(folder) / "journal.sqlite").stat().st_size / 1e6
        print(f"{'file':<34}{size_mb:8.1f} MB")
        _repeated("open and list the tanks", lambda: _looked(place, list_tanks=True, key=key), 30)
        _repeated(
            "open and show ten entries", lambda: _looked(place, list_tanks=False, key=key), 30
        )
        journal = Journal(place)
        _repeated("append a reading", lambda: _appended(journal, key), 200)
        _repeated("undo", lambda: _undone(journal, key), 20)
        _said("read the whole tank", lambda: _read(journal, key))
        _said("back up and read back", lambda: back_up(place, Path(folder) / "copy.sqlite"))
        _said("look it over", lambda: examined(place))
        journal.close()


def _tank() -> Tank:
    readings = tuple(
        Reading(
            at=BEGUN + timedelta(days=DAYS * index / READINGS),
            quantity="ammonia",
            value=ReadingValue("exact", 0.3, 0.3, "n", "0.3 mg/L as N"),
        )
        for index in range(READINGS)
    )
    events = tuple(
        Feed(
            at=BEGUN + timedelta(days=DAYS * index / EVENTS), mass_g=Span(0.02, 0.08), raw="1 pinch"
        )
        for index in range(EVENTS)
    )
    return Tank("Ten years", date(2026, 3, 1), volume_l=57.0, readings=readings, events=events)


def _written(journal: Journal) -> str:
    with journal.writing(ME, what="add tank") as work:
        return work.add_tank(_tank()).tank


def _looked(place: Place, *, list_tanks: bool, key: str) -> None:
    journal = Journal(place)
    with journal.looking(ME) as view:
        found = view.tanks() if list_tanks else view.entries(key, 10)
    journal.close()
    if not found:
        raise RuntimeError("nothing was found")


def _appended(journal: Journal, key: str) -> None:
    reading = Reading(at=BEGUN, quantity="ph", value=ReadingValue("exact", 7.4, 7.4, "none", "7.4"))
    with journal.writing(ME, what="record") as work:
        work.record(key, [Written(reading)])


def _undone(journal: Journal, key: str) -> None:
    with journal.writing(ME, what="undo") as work:
        work.undo_last(key)


def _read(journal: Journal, key: str) -> None:
    with journal.looking(ME) as view:
        view.tank(key)


def _said(what: str, work: Callable[[], object]) -> str:
    begun = time.perf_counter()
    found = work()
    print(f"{what:<34}{(time.perf_counter() - begun) * 1e3:8.1f} ms")
    return str(found)


def _repeated(what: str, work: Callable[[], None], count: int) -> None:
    took = []
    for _ in range(count):
        begun = time.perf_counter()
        work()
        took.append((time.perf_counter() - begun) * 1e3)
    print(f"{what:<34}{statistics.median(took):8.1f} ms, at worst {max(took):.1f} ms of {count}")


if __name__ == "__main__":
    main()
