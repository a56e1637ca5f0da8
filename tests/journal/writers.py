"""Writers to be killed, or to get in each other's way: run as a script, in processes of its own.

``python writers.py killed PLACE ROUNDS SEED`` forks a writer a round, kills it at a random moment
and looks whether all it was told to be kept is there. ``python writers.py racing PLACE WRITERS
EACH`` lets several write at once, ``making`` lets several make the journal. Each prints one JSON
object.
"""

from __future__ import annotations

import json
import os
import random
import select
import signal
import sqlite3
import sys
import time
from contextlib import closing

from logs import note, small_tank, written

from watervane.journal import Journal, Place, place_of
from watervane.records import Note, Person

ME = Person("me")
AT_ONCE = 3  # notes in one write: all of them are kept or none


def texts(place: Place) -> list[str]:
    """Every note of the only tank."""
    journal = Journal(place)
    with journal.looking(ME) as look:
        events = look.tank(look.tanks()[0].key).events
    journal.close()
    return [event.text for event in events if isinstance(event, Note)]


def write(place: Place, name: str, count: int, told: int, pause_s: float) -> None:
    """Write notes and tell of each write after it was acknowledged."""
    journal = Journal(place)
    with journal.looking(ME) as look:
        key = look.tanks()[0].key
    for index in range(count):
        with journal.writing(ME, what="record") as work:
            work.record(key, written(*(note(f"{name} {index} {part}") for part in range(AT_ONCE))))
        os.write(told, f"{index}\n".encode())
        if pause_s:
            time.sleep(pause_s)


def forked(place: Place, name: str, count: int, pause_s: float = 0.0) -> tuple[int, int]:
    """A writer in a process of its own, and the pipe it tells its writes through."""
    heard, told = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(heard)
        code = 1
        try:
            write(place, name, count, told, pause_s)
            code = 0
        finally:
            os._exit(code)
    os.close(told)
    return child, heard


def acknowledged(heard: int) -> int:
    """How many writes were told of before the pipe was closed."""
    with os.fdopen(heard, "rb") as pipe:
        return pipe.read().count(b"\n")


def killed(place: Place, rounds: int, seed: int) -> dict[str, int]:
    """Kill writers; counts of what they were told was kept, and of what is missing."""
    chance = random.Random(seed)  # noqa: S311 - a moment, not a secret
    counts = {
        "rounds": 0,
        "acknowledged": 0,
        "missing": 0,
        "halves": 0,
        "unsound": 0,
        "unfinished": 0,
    }
    for index in range(rounds):
        name = f"round{index}"
        child, heard = forked(place, name, 10_000)
        if index % 4:  # else it is killed while it opens the journal
            select.select([heard], [], [], 5.0)
        time.sleep(chance.uniform(0.0, 0.03))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        told = acknowledged(heard)
        found = [text for text in texts(place) if text.split(" ")[0] == name]
        wanted = [f"{name} {at} {part}" for at in range(told) for part in range(AT_ONCE)]
        counts["rounds"] += 1
        counts["acknowledged"] += told
        counts["missing"] += len(set(wanted) - set(found))
        counts["halves"] += len(found) % AT_ONCE != 0
        counts["unfinished"] += len(found) > len(wanted)
        counts["unsound"] += not sound(place)
    return counts


def sound(place: Place) -> bool:
    """Whether SQLite finds its file in order."""
    if place.file is None:
        return True
    with closing(sqlite3.connect(place.file)) as connection:
        return connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


def racing(place: Place, writers: int, each: int) -> dict[str, object]:
    """Let writers write at once; who failed, and the notes in their order."""
    children = [forked(place, f"writer{index}", each, 0.002) for index in range(writers)]
    told = [acknowledged(heard) for _, heard in children]
    codes = [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child, _ in children]
    return {"codes": codes, "told": told, "texts": texts(place)}


def making(place: Place, makers: int, _: int) -> dict[str, object]:
    """Let several open a journal that is not there yet; who failed, and the tanks there are."""
    children = []
    for index in range(makers):
        child = os.fork()
        if child == 0:
            code = 1
            try:
                journal = Journal(place)
                with journal.writing(ME, what="add") as work:
                    work.add_tank(small_tank(f"tank {index}"))
                journal.close()
                code = 0
            finally:
                os._exit(code)
        children.append(child)
    codes = [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children]
    journal = Journal(place)
    with journal.looking(ME) as look:
        names = [tank.name for tank in look.tanks()]
    journal.close()
    return {"codes": codes, "names": names}


def main(what: str, where: str, first: str, second: str) -> None:
    place = place_of(where)
    if what != "making":
        journal = Journal(place)
        with journal.writing(ME, what="add") as work:
            work.add_tank(small_tank())
        journal.close()
    run = {"killed": killed, "racing": racing, "making": making}[what]
    print(json.dumps(run(place, int(first), int(second))))


if __name__ == "__main__":
    main(*sys.argv[1:])
