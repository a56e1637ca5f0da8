"""Hand a blueprint over: as a tank file ready to start, a sheet to print, a calendar."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
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
    return plan.wish.filled or _today()


def _today() -> date:
    return date.today()  # noqa: DTZ011 - the keeper's own day


def filled_after_setting_up(plan: Blueprint, today: date) -> date:
    """The day water goes in where nobody told one: the first step is tomorrow's.

    Parameters
    ----------
    plan
        As worked out.
    today
        The keeper's own day.
    """
    steps = () if plan.timeline is None else plan.timeline.steps
    first = min((each.days.early for each in steps), default=0.0)
    return today + timedelta(days=1 + math.ceil(max(-first, 0.0)))


def dated(plan: Blueprint, filled: date) -> Blueprint:
    """The same plan with dates beside its days."""
    timeline = None if plan.timeline is None else replace(plan.timeline, filled=filled)
    return replace(plan, wish=replace(plan.wish, filled=filled), timeline=timeline)


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
        day = plan.wish.filled or filled_after_setting_up(plan, _today())
        steps = plan_calendar(plan, day)
        found = (*found, write_calendar(steps, files.calendar, ports, now, over=files.over))
    return found
