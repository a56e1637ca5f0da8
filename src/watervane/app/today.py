"""What is wrong with a tank today, and what to do: from a file, or from a few words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from watervane.app.at_once import at_once_of, with_bound
from watervane.app.kept_results import keep_newest
from watervane.app.own_animals import own_of_keeper, told_of_own
from watervane.app.ports import BadInput, Ports, Progress, TodayRequest
from watervane.app.use_cases import Checked, opened
from watervane.app.watching import watch_of
from watervane.records import AnimalsIn, AtOnce, Finding, Person, Tank, Today


@dataclass(frozen=True, slots=True)
class Judged:
    """A tank, its day, and what had to be assumed or was found in its file."""

    tank: Tank
    today: Today
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Meanwhile:
    """Who is told of what, while a judgement is worked out.

    ``by_readings`` hears of readings that alarm by themselves, before any model is run; ``early``
    of the verdict, still without steps.
    """

    by_readings: Callable[[AtOnce], None] | None = None
    early: Callable[[Today], None] | None = None


def today(
    actor: Person,
    source: Path | None,
    request: TodayRequest,
    ports: Ports,
    progress: Progress | None = None,
    meanwhile: Meanwhile | None = None,
) -> Judged:
    """Judge a tank and choose its next steps.

    Parameters
    ----------
    actor
        Who asks; must own the tank.
    source
        A tank file, or a log with its header beside it; ``None`` takes what the request tells.
    request
        Of what moment, at what risk, how carefully.
    ports
        The outside parts.
    progress
        Called with a stage key and the share done (0..1).
    meanwhile
        Who is told of what is known before all of it is.

    Raises
    ------
    BadInput
        With every problem found.
    """
    words = (*request.readings, *request.animals, *filter(None, (request.volume,)))
    if source is not None and (words or request.days_old is not None):
        raise BadInput([Finding("quick-beside-file", "problem", {"file": source.name})])
    if source is None and not request.readings and not request.animals:
        raise BadInput([Finding("quick-nothing", "problem", {})])
    if source is None:
        checked, as_of = _told(actor, request, ports, progress)
    else:
        checked, as_of = opened(actor, source, request.as_of, ports, progress)
    meanwhile = meanwhile or Meanwhile()
    told = at_once_of(checked.tank, as_of, ports)
    if meanwhile.by_readings is not None and (told.alarms or told.asleep is not None):
        meanwhile.by_readings(told)
    judged = ports.today(checked.tank, request, as_of, progress, meanwhile.early)
    found = with_bound(judged, told)
    if source is not None and request.as_of is None and not request.allowed:
        found = replace(found, watch=watch_of(actor, source, ports))
        keep_newest(actor, source, checked.tank, found, ports)
    return Judged(checked.tank, found, checked.findings)


def _told(
    actor: Person, request: TodayRequest, ports: Ports, progress: Progress | None
) -> tuple[Checked, datetime | None]:
    """A tank of a few words, as it stands at the moment they are told.

    Rows of animals that the keeper told for tanks of the journal go before ours here, too.
    """
    if progress:
        progress("read", 0.0)
    now = request.as_of if isinstance(request.as_of, datetime) else datetime.now(UTC)
    own = own_of_keeper(actor, ports)
    tank, findings = ports.quick_tank(request, now, own)
    used = told_of_own((e.species for e in tank.events if isinstance(e, AnimalsIn)), own)
    return Checked(tank, (*findings, *used)), now
