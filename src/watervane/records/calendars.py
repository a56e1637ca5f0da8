"""What is due, as a calendar tells it: each line known again by its UID when it changes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True, slots=True)
class CalendarEntry:
    """One thing to do or to see.

    Texts are freed of control characters, which no calendar can carry; ``begins`` without a clock
    time is for the whole day. ``sequence`` counts changes since it was first handed out,
    ``stamped`` is the moment of the last, ``None`` before the first.
    """

    uid: str
    begins: date | datetime
    title: str
    why: str = ""
    minutes: int = 15
    remind: bool = False
    sequence: int = 0
    cancelled: bool = False
    stamped: datetime | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "title", _line(self.title))
        lines = map(_line, _plain(self.why).split("\n"))
        object.__setattr__(self, "why", "\n".join(lines).strip())

    @property
    def day(self) -> date:
        """The day it is on, by the clock its moment is told in."""
        return self.begins.date() if isinstance(self.begins, datetime) else self.begins

    def tells_same(self, other: CalendarEntry) -> bool:
        """Whether a reader of both would learn nothing from the second."""
        return (
            self.begins == other.begins
            and isinstance(self.begins, datetime) == isinstance(other.begins, datetime)
            and (self.title, self.why, self.remind) == (other.title, other.why, other.remind)
            and (not isinstance(self.begins, datetime) or self.minutes == other.minutes)
        )


@dataclass(frozen=True, slots=True)
class Calendar:
    """Entries under one name, the earliest first.

    ``done_uids`` are those of what the log has at an hour of today that is over.
    """

    name: str
    entries: tuple[CalendarEntry, ...] = ()
    done_uids: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        object.__setattr__(self, "name", _line(self.name))


def _line(text: str) -> str:
    return " ".join(_plain(text).split())


def _plain(text: str) -> str:
    broken = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(each if each == "\n" or each.isprintable() else " " for each in broken)
