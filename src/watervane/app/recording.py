"""Several lines told at once, as a form tells them: all of them are kept, or none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from watervane.app.doubting import SURE, BadLines, as_far_as_asked, ask_once
from watervane.app.keeping import KeptWrite, Line, kept_write, moment_told
from watervane.app.ports import BadInput, Ports
from watervane.records import Event, Finding, Habit, Person, Reading, Tank, Written


def record_lines(
    actor: Person,
    key: str,
    lines: Sequence[Line],
    ports: Ports,
    request: str | None = None,
    sure: str = SURE,
) -> KeptWrite:
    """Write down all that one form tells of a tank, in one commit.

    Parameters
    ----------
    actor
        Who asks; must own the tank.
    key
        Of the tank.
    lines
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
    BadLines
        With every problem found, by line; nothing was written then.
    Doubted
        With what is asked, by line; nothing was written then.
    BadInput
        Where there is nothing to write, or no such tank.
    """
    if not lines:
        raise BadInput([Finding("record-nothing", "problem", {})])
    photos = [tuple(map(ports.journal.read_photo, line.photos)) for line in lines]
    told_as = "\n".join(
        "\n".join((key, line.raw, str(line.at), *(photo.digest for photo in seen)))
        for line, seen in zip(lines, photos, strict=True)
    )
    with (
        ports.journal.open() as journal,
        journal.writing(actor, what="record", asked=told_as, request=request) as work,
    ):
        if work.earlier is not None:
            return kept_write(work, work.earlier)
        read, findings = understood(lines, work.description(key), ports)
        ask_once(read, as_far_as_asked(work, key, read), ports, sure)
        written = [
            Written(what, line.raw, seen)
            for what, line, seen in zip(read, lines, photos, strict=True)
        ]
        return replace(kept_write(work, work.record(key, written)), findings=findings)


def understood(
    lines: Sequence[Line], tank: Tank, ports: Ports
) -> tuple[list[Event | Habit | Reading], tuple[Finding, ...]]:
    """Lines as the entries they mean, with what is worth telling about them.

    Raises
    ------
    BadLines
        With the problems of every line that means nothing.
    """
    read: list[Event | Habit | Reading] = []
    findings: list[Finding] = []
    wrong: dict[int, Sequence[Finding]] = {}
    for index, line in enumerate(lines):
        try:
            at = moment_told(line.at, tank, ports)
            what, told = ports.journal.read_entry(line.kind, line.words, at, tank)
        except BadInput as error:
            wrong[index] = error.problems
        else:
            read.append(what)
            findings += told
    if wrong:
        raise BadLines(wrong)
    return read, tuple(findings)
