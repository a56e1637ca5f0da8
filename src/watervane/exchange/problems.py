"""Collect what is wrong with a file: every problem, each with its place."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import NoReturn

from watervane.exchange.meant import meant_word
from watervane.exchange.positions import Path, Positions
from watervane.records import Finding

_SHOWN_LENGTH = 48


class TankFileErrors(Exception):
    """A file that cannot be used; carries one finding a problem.

    Parameters
    ----------
    problems : sequence of Finding
        Severity ``problem``; ``arguments`` hold ``column`` where a line is known, and the
        ``field`` whose value it is, where it is one.
    """

    def __init__(self, problems: Sequence[Finding]) -> None:
        super().__init__("; ".join(f"line {p.line}: {p.key}" for p in problems[:20]))
        self.problems = tuple(problems)


class Refusal(Exception):
    """One value that cannot be read; turned into a finding where its place is known."""

    def __init__(self, key: str, **arguments: object) -> None:
        super().__init__(key)
        self.key = key
        self.arguments = arguments


def refuse(key: str, **arguments: object) -> NoReturn:
    """Refuse the value at hand."""
    raise Refusal(key, **arguments)


def fail(key: str, line: int | None = None, **arguments: object) -> NoReturn:
    """Give the whole file up for one reason."""
    raise TankFileErrors([Finding(key, "problem", arguments, line)])


@dataclass
class Problems:
    """The findings of one file so far."""

    positions: Positions
    findings: list[Finding] = field(default_factory=list)
    count: int = 0  # problems so far

    def note(self, severity: str, key: str, path: Path, **arguments: object) -> None:
        """Add a finding about the value at ``path``."""
        line, column = self.positions.of(path)
        if line is not None:
            arguments.setdefault("column", column)
        if path and isinstance(path[-1], str):
            arguments.setdefault("field", path[-1])  # so that a form can show it there
        self.count += severity == "problem"
        self.findings.append(Finding(key, severity, arguments, line))

    @property
    def fatal(self) -> list[Finding]:
        """The findings that stop the reader, in the order of the file."""
        found = [f for f in self.findings if f.severity == "problem"]
        return sorted(found, key=lambda f: f.line or 0)

    @property
    def remarks(self) -> tuple[Finding, ...]:
        """The findings that do not."""
        return tuple(f for f in self.findings if f.severity != "problem")


@dataclass(frozen=True)
class Place:
    """Where in the file the reader stands, and where to report."""

    problems: Problems
    path: Path = ()
    name: str = "the file"  # as said in messages, such as ``[tank]``

    def at(self, key: str | int, name: str | None = None) -> Place:
        """The place one key deeper."""
        return Place(self.problems, (*self.path, key), name or self.name)

    def problem(self, key: str, **arguments: object) -> None:
        """Report a problem here."""
        self.problems.note("problem", key, self.path, **arguments)

    def caution(self, key: str, **arguments: object) -> None:
        """Report something doubtful here."""
        self.problems.note("caution", key, self.path, **arguments)

    def info(self, key: str, **arguments: object) -> None:
        """Report what was taken for granted here."""
        self.problems.note("info", key, self.path, **arguments)

    @property
    def line(self) -> int | None:
        """Line of the file, counted from 1."""
        return self.problems.positions.of(self.path)[0]


def shown(value: object) -> str:
    """Short printable form of what was read."""
    text = value if isinstance(value, str) else _plain(value)
    printable = "".join(c if c.isprintable() else "?" for c in text[: _SHOWN_LENGTH + 1])
    return printable[:_SHOWN_LENGTH] + "..." if len(printable) > _SHOWN_LENGTH else printable


def _plain(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int) and abs(value) >= 10**_SHOWN_LENGTH:
        return "a huge number"
    if isinstance(value, dict):
        return "a table"
    return "a list" if isinstance(value, list) else str(value)


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word meant by ``word`` or most like it, or ``None`` when none is alike."""
    known = tuple(known)
    meant = meant_word(word, known)
    if meant is not None:
        return meant
    plain = word.lower().replace("-", "_").replace(" ", "_")[:60]
    folded = {k.lower().replace("-", "_").replace(" ", "_"): k for k in known}
    close = difflib.get_close_matches(plain, folded, n=1, cutoff=0.6)
    return folded[close[0]] if close else None
