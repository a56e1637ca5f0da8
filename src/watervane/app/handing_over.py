"""Hand a blueprint over: as a tank file ready to start, a sheet to print, a calendar."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from watervane.app.blueprint_sheet import blueprint_sheet
from watervane.app.calendars import plan_calendar
from watervane.app.due import write_calendar
from watervane.app.ports import Ports
from watervane.records import Blueprint, Choice, Finding


@dataclass(frozen=True, slots=True)
class HandOver:
    """Files to be made of a plan; ``over`` replaces those that are there already."""

    tank: Path | None = None
    sheet: Path | None = None
    calendar: Path | None = None
    over: bool = False

    @property
    def any(self) -> bool:
        """Whether there is a file to make."""
        return any((self.tank, self.sheet, self.calendar))


NOTHING = HandOver()


def filled_on(plan: Blueprint) -> date:
    """The day water goes in: as wished, else today."""
    told = plan.wish.filled
    return date.today() if told is None else told  # noqa: DTZ011 - the keeper's own day


def hand_over(
    plan: Blueprint, files: HandOver, ports: Ports, choice: Choice | None = None
) -> tuple[Finding, ...]:
    """Make the files asked for.

    Parameters
    ----------
    plan
        As worked out.
    files
        Where to.
    ports
        The outside parts.
    choice
        The animals it was made for, where they were chosen.

    Raises
    ------
    BadInput
        For the first file that cannot be written.
    """
    found: tuple[Finding, ...] = ()
    if files.tank is not None:
        over = files.over
        found = ports.blueprint.write_tank(plan, filled_on(plan), files.tank, over=over)
    if files.sheet is not None:
        printed = ports.care.sheet_pdf(blueprint_sheet(plan, choice))
        ports.exchange.write_file(files.sheet, printed, over=files.over)
        found = (*found, Finding("plan-sheet-written", "info", {"file": str(files.sheet)}))
    if files.calendar is not None:
        now = datetime.now(UTC).replace(microsecond=0)
        steps = plan_calendar(plan, filled_on(plan))
        found = (*found, write_calendar(steps, files.calendar, ports, now, over=files.over))
    return found
