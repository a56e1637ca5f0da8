"""Pull the plug on a journal: what lies on the disk after any moment, as SQLite wrote it.

The statements of real writers are noted, and run again through a file system of our own that
notes each write, sync and deletion. A crash at any place of that list leaves what was synced, and
of the rest an arbitrary part: each write whole, lost, or torn at a sector.
"""

from __future__ import annotations

import random
import re
import sqlite3
from dataclasses import dataclass, field
from pathlib import Path

import apsw
from logs import note, small_tank, written

from watervane.journal import Journal, Place, connections
from watervane.records import Person

ME = Person("me")
SECTOR = 512
AT_ONCE = 3
CHECKPOINT_PAGES = 12  # seldom in real life, often here: pages go from the log to the file


@dataclass(frozen=True)
class Step:
    """One thing done to a file, or (without a file) a write acknowledged to its writer."""

    what: str  # write, truncate, sync, delete, told
    file: str = ""
    offset: int = 0
    data: bytes = b""


@dataclass
class Disk:
    """A file that was synced, and what was done to it since."""

    synced: bytes | None = None
    since: list[Step] = field(default_factory=list)


class Noting(apsw.VFS):
    """A file system that notes what is done."""

    def __init__(self, steps: list[Step]) -> None:
        self.steps = steps
        super().__init__("noting", base="")

    def xOpen(self, name, flags) -> NotingFile:  # noqa: N802 - SQLite's own name
        return NotingFile(name, flags, self.steps)

    def xDelete(self, name, syncdir) -> None:  # noqa: N802
        self.steps.append(Step("delete", Path(name).name))
        super().xDelete(name, syncdir)
        if syncdir:
            self.steps.append(Step("sync", Path(name).name))


class NotingFile(apsw.VFSFile):
    """A file of it."""

    def __init__(self, name, flags, steps: list[Step]) -> None:
        self.steps = steps
        told = name.filename() if isinstance(name, apsw.URIFilename) else name
        self.name = Path(told).name if told else ""
        super().__init__("", name, flags)

    def xWrite(self, data, offset) -> None:  # noqa: N802
        self.steps.append(Step("write", self.name, offset, bytes(data)))
        super().xWrite(data, offset)

    def xTruncate(self, newsize) -> None:  # noqa: N802
        self.steps.append(Step("truncate", self.name, newsize))
        super().xTruncate(newsize)

    def xSync(self, flags) -> None:  # noqa: N802
        self.steps.append(Step("sync", self.name))
        super().xSync(flags)


def statements_of_a_writer(folder: Path, writes: int, monkeypatch) -> list[str]:
    """Every statement a journal runs to be made, and to take a tank and some notes."""
    said: list[str] = []
    opened = connections._opened  # noqa: SLF001 - where every statement passes

    def heard(address: str) -> sqlite3.Connection:
        connection = opened(address)
        if address.endswith("mode=rwc"):
            connection.set_trace_callback(said.append)
        return connection

    monkeypatch.setattr(connections, "_opened", heard)
    journal = Journal(Place(folder / "heard.sqlite"))
    with journal.writing(ME, what="add") as work:
        key = work.add_tank(small_tank()).tank
    for index in range(writes):
        with journal.writing(ME, what="record") as work:
            work.record(key, written(*(note(f"{index} {part}") for part in range(AT_ONCE))))
    journal.close()
    monkeypatch.setattr(connections, "_opened", opened)
    return [text for text in said if not text.startswith("--")]


def steps_of(statements: list[str], folder: Path, *, waiting: bool = True) -> list[Step]:
    """The same statements on the noting file system; without ``waiting``, nothing is synced."""
    steps: list[Step] = []
    system = Noting(steps)
    connection = apsw.Connection(str(folder / "journal.sqlite"), vfs="noting")
    # Without memory shared among processes, which this file system lacks.
    connection.execute("PRAGMA locking_mode=EXCLUSIVE").fetchall()
    connection.execute(f"PRAGMA wal_autocheckpoint={CHECKPOINT_PAGES}").fetchall()
    for text in statements:
        said = text if waiting else re.sub(r"synchronous=\w+", "synchronous=OFF", text)
        connection.execute(said).fetchall()
        if text == "COMMIT":
            steps.append(Step("told"))
    connection.close()
    system.unregister()
    return steps


def crashed(steps: list[Step], at: int, chance: random.Random, folder: Path) -> int:
    """Leave on the disk what a crash at a step may leave; how many writes were told of by then."""
    disks: dict[str, Disk] = {}
    told = 0
    for step in steps[:at]:
        if step.what == "told":
            told += 1
            continue
        disk = disks.setdefault(step.file, Disk())
        if step.what == "sync":
            disk.synced = applied(disk.synced, disk.since)
            disk.since = []
        else:
            disk.since.append(step)
    for name, disk in disks.items():
        content = applied(disk.synced, [part for s in disk.since if (part := left(s, chance))])
        if content is not None:
            (folder / name).write_bytes(content)
    return told


def applied(content: bytes | None, steps: list[Step]) -> bytes | None:
    """A file after some steps; ``None`` where there is none."""
    for step in steps:
        if step.what == "delete":
            content = None
            continue
        held = content or b""
        if step.what == "truncate":
            content = held[: step.offset].ljust(step.offset, b"\0")
        else:
            end = step.offset + len(step.data)
            content = held[: step.offset].ljust(step.offset, b"\0") + step.data + held[end:]
    return content


def left(step: Step, chance: random.Random) -> Step | None:
    """What is left of a step that was not synced."""
    fate = chance.random()
    if fate < 0.4:
        return step
    if fate < 0.7 or step.what != "write":
        return None
    sectors = chance.randrange(len(step.data) // SECTOR + 1)
    return Step("write", step.file, step.offset, step.data[: sectors * SECTOR])
