"""Work out the care of a tank for a year."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from watervane.app.at_once import at_once_of
from watervane.app.calendars import care_calendar
from watervane.app.care_ports import CareRequest
from watervane.app.care_sheet import care_sheet
from watervane.app.due import write_calendar
from watervane.app.ports import Ports, Progress
from watervane.app.use_cases import key_in_journal, opened
from watervane.app.working import present_moment
from watervane.records import Finding, Person, ReadAlarm, Tank
from watervane.records.care import CareSchedule

YEAR_D = 364


@dataclass(frozen=True, slots=True)
class CareFiles:
    """Files to be made of a year's care; ``over`` replaces those that are there already."""

    sheet: Path | None = None
    calendar: Path | None = None
    over: bool = False


@dataclass(frozen=True, slots=True)
class Cared:
    """The care of a tank, what the reader of its file found, and what was read last.

    ``alarms`` are readings that harm at once: those come before any care for a year.
    """

    schedule: CareSchedule
    findings: tuple[Finding, ...]
    alarms: tuple[ReadAlarm, ...]


def plan_care(
    actor: Person,
    source: Path,
    request: CareRequest,
    ports: Ports,
    progress: Progress | None = None,
    files: CareFiles = CareFiles(),
) -> Cared:
    """Read a tank and find its routine.

    Parameters
    ----------
    actor
        Who asks; must own the tank.
    source
        A tank file, or a log with its header beside it.
    request
        From what moment, and with how many members.
    ports
        The outside parts.
    progress
        Called with a stage key and the share done (0..1).
    files
        To be made of it.

    Raises
    ------
    BadInput
        With every problem found.
    """
    checked, as_of = opened(actor, source, request.as_of, ports, progress)
    key = key_in_journal(actor, source, ports) if request.as_of is None else None
    if key is not None:  # its days are counted from now, as on its page
        request = replace(request, carried_from=key)
        as_of = present_moment(checked.tank, ports.journal.now())
    found = ports.care.schedule(checked.tank, request, as_of, progress)
    written = _handed_over(found, checked.tank, files, ports)
    told = at_once_of(checked.tank, as_of, ports).alarms
    alarms = tuple(each for each in told if each.limit.tier == "acute")
    return Cared(found, (*checked.findings, *written), alarms)


def _handed_over(
    told: CareSchedule, tank: Tank, files: CareFiles, ports: Ports
) -> Iterator[Finding]:
    if files.sheet is not None:
        printed = ports.care.sheet_pdf(care_sheet(told, tank))
        ports.exchange.write_file(files.sheet, printed, over=files.over)
        yield Finding("care-sheet-written", "info", {"file": str(files.sheet)})
    if files.calendar is not None:
        now = ports.journal.now().replace(microsecond=0)
        due = care_calendar(told, tank, f"file\n{tank.name}", now, YEAR_D)
        yield write_calendar(due, files.calendar, ports, now, over=files.over)
