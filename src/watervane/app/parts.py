"""Tell what a tank is made of, since when, and how it began: description and entries at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from zoneinfo import ZoneInfo

from watervane.app.doubting import SURE, ask_once
from watervane.app.keeping import KeptWrite, Line, kept_write
from watervane.app.ports import BadInput, Ports
from watervane.app.recording import understood
from watervane.app.unit_of_work import View
from watervane.records import Finding, Person, Tank, Written, as_fitted

OTHER_SIZE = 1.25  # as many times is more than a size measured better


def tell_parts(
    actor: Person,
    key: str,
    words: Sequence[str],
    lines: Sequence[Line],
    ports: Ports,
    request: str | None = None,
    sure: str = SURE,
) -> KeptWrite:
    """Change a tank's description and record what goes with it, in one commit.

    Parameters
    ----------
    actor
        Whose it is.
    key
        Of the tank.
    words
        ``key=value`` of a tank file.
    lines
        What holds since a day of its own, or happened.
    ports
        The outside parts.
    request
        The writer's own name for this write.
    sure
        The token of the questions that were answered.

    Raises
    ------
    BadLines
        With the problems of the lines; nothing was written then.
    BadInput
        With those of the description, or where there is nothing to write.
    Doubted
        With what is asked; nothing was written then.
    """
    if not words and not lines:
        raise BadInput([Finding("record-nothing", "problem", {})])
    told_as = "\n".join((key, *words, *(f"{line.raw} {line.at}" for line in lines)))
    with (
        ports.journal.open() as journal,
        journal.writing(actor, what="tell parts", asked=told_as, request=request) as work,
    ):
        if work.earlier is not None:
            return kept_write(work, work.earlier)
        before = work.description(key)
        tank = ports.journal.describe(words, before) if words else before
        if tank.filled > before.filled:
            _check_nothing_before(work, key, tank.filled)
        read, findings = understood(lines, tank, ports)
        besides = _another_size(before, tank, work, key)
        ask_once(read, tank, ports, sure, described=True, before=before, besides=besides)
        if words:
            receipt = work.describe(key, tank, " ".join(words))
        if read:
            written = [Written(what, line.raw) for what, line in zip(read, lines, strict=True)]
            receipt = work.record(key, written)
            receipt = replace(receipt, entries=receipt.entries[-len(written) :])
        else:
            receipt = replace(receipt, entries=())
        return replace(kept_write(work, receipt), findings=findings)


def _another_size(before: Tank, tank: Tank, view: View, key: str) -> tuple[Finding, ...]:
    """Ask about a size that is far from the one before: all of the log counts by one size."""
    was, now = before.volume_l, tank.volume_l
    if was is None or now is None or max(was, now) < OTHER_SIZE * min(was, now):
        return ()
    if not view.latest(key, 1):
        return ()
    told = {"field": "volume", "was": f"{was:.4g}", "litres": f"{now:.4g}"}
    return (Finding("doubt-other-size", "caution", told),)


def _check_nothing_before(view: View, key: str, filled: date) -> None:
    """Refuse a day of filling after something that happened in the tank."""
    first = first_day_told(view.tank(key))
    if first is not None and first < filled:
        told = {"field": "filled", "first": f"{first}"}
        raise BadInput([Finding("filled-after-entries", "problem", told)])


def first_day_told(tank: Tank) -> date | None:
    """The first day on which something stands in the log of a tank; of its own water alone."""
    days = [event.at.date() for event in tank.events]
    days += [habit.start for habit in tank.habits]
    days += [each.at.date() for each in tank.readings if not each.of_source_water]
    return min(days, default=None)


def look_at_parts(actor: Person, key: str, ports: Ports) -> Tank:
    """A tank with every part as it is today, whatever day it has been so since."""
    with ports.journal.open() as journal, journal.looking(actor) as view:
        tank = view.tank(key)
    today = ports.journal.now().astimezone(ZoneInfo(tank.time_zone)).date()
    return as_fitted(tank, today)
