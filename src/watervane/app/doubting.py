"""Ask once about what is likely a slip, before it is kept; who says so again is believed."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import replace
from zoneinfo import ZoneInfo

from watervane.app.ports import BadInput, Ports
from watervane.app.unit_of_work import View
from watervane.records import AnimalsOut, Died, Event, Finding, Habit, Reading, Tank

What = Event | Habit | Reading
SURE = "sure"  # in the place of a token: whatever the questions are
LATEST = 60  # of the log, enough to know the readings of a fortnight


class BadLines(BadInput):
    """What is wrong with lines told together, by the place of each line."""

    def __init__(self, by_line: Mapping[int, Sequence[Finding]]) -> None:
        super().__init__([problem for problems in by_line.values() for problem in problems])
        self.by_line = {index: tuple(problems) for index, problems in by_line.items()}


class Doubted(BadLines):
    """Questions about lines told together; ``token`` sent along the next time answers them.

    ``of_tank`` are those about the description of a tank.
    """

    def __init__(
        self, by_line: Mapping[int, Sequence[Finding]], of_tank: Sequence[Finding] = ()
    ) -> None:
        super().__init__(by_line)
        self.of_tank = tuple(of_tank)
        self.problems = (*self.of_tank, *self.problems)
        told = "\n".join(f"{each.key} {dict(each.arguments)}" for each in self.problems)
        self.token = hashlib.sha256(told.encode()).hexdigest()[:16]


def ask_once(
    whats: Sequence[What],
    tank: Tank,
    ports: Ports,
    sure: str,
    *,
    described: bool = False,
    before: Tank | None = None,
    besides: Sequence[Finding] = (),
) -> None:
    """Nothing where all is likely, or was said to be so.

    Parameters
    ----------
    whats
        What the lines mean.
    tank
        Of the lines, with what is to be known of its log.
    ports
        The outside parts.
    sure
        The token of the questions that were answered, or ``sure``.
    described
        Whether the tank itself is asked about, too.
    before
        The tank as it was described so far: nothing is asked about it a second time.
    besides
        What else is asked about the tank.

    Raises
    ------
    BadLines
        Where something cannot be, whatever is answered.
    Doubted
        Where something is doubtful and was not answered.
    """
    now = ports.journal.now().astimezone(ZoneInfo(tank.time_zone))
    found = {index: ports.journal.doubts(what, tank, now) for index, what in enumerate(whats)}
    by_line = {index: told for index, told in found.items() if told}
    never = {i: told for i, told in by_line.items() if any(f.severity == "problem" for f in told)}
    if never:
        raise BadLines(never)
    of_tank = ports.journal.doubts_of_tank(tank, now) if described else ()
    if before is not None:
        asked = ports.journal.doubts_of_tank(before, now)
        of_tank = tuple(each for each in of_tank if each not in asked)
    of_tank = (*of_tank, *besides)
    if not by_line and not of_tank:
        return
    doubted = Doubted(by_line, of_tank)
    if sure not in (SURE, doubted.token):
        raise doubted


def as_far_as_asked(view: View, key: str, whats: Sequence[What]) -> Tank:
    """A tank with as much of its log as questions about these need."""
    if any(isinstance(what, AnimalsOut | Died) for what in whats):
        return view.tank(key)
    tank = view.description(key)
    if not any(isinstance(what, Reading) for what in whats):
        return tank
    latest = [entry.what for entry in view.latest(key, LATEST) if entry.standing]
    return replace(tank, readings=tuple(each for each in latest if isinstance(each, Reading)))
