"""Check a tank's description; foretell its water."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time
from pathlib import Path
from zoneinfo import ZoneInfo

from watervane.app.kept_forecasts import keep_forecast
from watervane.app.kept_results import keep_newest
from watervane.app.ports import BadInput, Ports, Progress, Request
from watervane.records import Finding, Forecast, Person, Tank

END_OF_DAY = time(23, 59)
USUAL_HORIZON_D = 30  # a forecast of fewer days is not kept as the newest


@dataclass(frozen=True, slots=True)
class Checked:
    """A readable tank and what is worth telling about its description."""

    tank: Tank
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Foretold:
    """A tank, its forecast and what the reader of its file found."""

    tank: Tank
    forecast: Forecast
    findings: tuple[Finding, ...]


def check(actor: Person, source: Path, ports: Ports) -> Checked:
    """Read a tank and report what is wrong or worth knowing.

    Raises
    ------
    BadInput
        With every problem found.
    """
    tank, findings = ports.read_tank(source)
    _own(actor, tank, source)
    return Checked(tank, (*findings, *still_to_come(tank, datetime.now(UTC))))


def still_to_come(tank: Tank, now: datetime) -> tuple[Finding, ...]:
    """A caution where readings are dated on days that have not come yet: most likely slips.

    Parameters
    ----------
    tank
        With its whole log.
    now
        The present.
    """
    zone = ZoneInfo(tank.time_zone)
    today = now.astimezone(zone).date()
    ahead = sorted(
        (reading for reading in tank.readings if reading.at.astimezone(zone).date() > today),
        key=lambda reading: (reading.line or 0, reading.at),
    )
    if not ahead:
        return ()
    told = {"date": ahead[0].at.astimezone(zone).date().isoformat(), "count": len(ahead)}
    key = "reading-still-to-come" if len(ahead) == 1 else "readings-still-to-come"
    return (Finding(key, "caution", told, ahead[0].line),)


def hardness_assumed(tank: Tank) -> tuple[Finding, ...]:
    """A word of doubt where hardness is held against limits, and nobody told or read it."""
    return () if tank.hardness_told else (Finding("assumed-hardness", "info", {}),)


def left_out(tank: Tank, as_of: datetime | None) -> tuple[Finding, ...]:
    """Which readings an asked moment leaves out, where it does."""
    later = [] if as_of is None else [each for each in tank.readings if each.at > as_of]
    if as_of is None or not later:
        return ()
    key = "reading-left-out" if len(later) == 1 else "readings-left-out"
    return (Finding(key, "info", {"count": len(later), "at": as_of.date()}),)


def opened(
    actor: Person,
    source: Path,
    asked: date | datetime | None,
    ports: Ports,
    progress: Progress | None = None,
) -> tuple[Checked, datetime | None]:
    """Read a tank for what is asked of a moment, and take the moment by the tank's own clock.

    Raises
    ------
    BadInput
        With every problem found.
    """
    if progress:
        progress("read", 0.0)
    checked = check(actor, source, ports)
    as_of = moment_of(asked, checked.tank)
    findings = (*checked.findings, *left_out(checked.tank, as_of))
    return replace(checked, findings=findings), as_of


def key_in_journal(actor: Person, source: Path, ports: Ports) -> str | None:
    """Of a tank of the journal, whose last forecast may have left its members; none of a file."""
    name = ports.journal.name_of(source)
    if name is None:
        return None
    with ports.journal.open() as journal, journal.looking(actor) as view:
        return view.key_of(name)


def foretell(
    actor: Person,
    source: Path,
    request: Request,
    ports: Ports,
    progress: Progress | None = None,
) -> Foretold:
    """Read a tank and run its water forward.

    Parameters
    ----------
    actor
        Who asks; must own the tank.
    source
        A tank file, or a log with its header beside it.
    request
        Moment, horizon, members, seed, accuracy, threads.
    ports
        The outside parts.
    progress
        Called with a stage key and the share done (0..1).

    Raises
    ------
    BadInput
        With every problem found.
    """
    checked, as_of = opened(actor, source, request.as_of, ports, progress)
    forecast = ports.foretell(checked.tank, request, as_of, progress)
    findings = (*checked.findings, *keep_forecast(actor, source, request, forecast, ports))
    if request.as_of is None and request.horizon_days >= USUAL_HORIZON_D:
        keep_newest(actor, source, checked.tank, forecast, ports)
    return Foretold(checked.tank, forecast, findings)


def moment_of(asked: date | datetime | None, tank: Tank) -> datetime | None:
    """The asked moment by the tank's own clock; a date alone means its last minute.

    Raises
    ------
    BadInput
        For a moment before the filling, or in an hour the clocks skip.
    """
    if asked is None:
        return None
    zone = ZoneInfo(tank.time_zone)
    if not isinstance(asked, datetime):
        moment = datetime.combine(asked, END_OF_DAY, tzinfo=zone)
    elif asked.tzinfo is not None:
        moment = asked.astimezone(zone)
    else:
        moment = asked.replace(tzinfo=zone)
        round_trip = moment.astimezone(UTC).astimezone(zone)
        if round_trip.replace(tzinfo=None) != asked:
            raise BadInput(
                [
                    Finding(
                        "at-in-clock-gap",
                        "problem",
                        {"at": asked.isoformat(), "zone": tank.time_zone},
                    )
                ]
            )
    if moment.date() < tank.filled:
        told = {"at": moment.date().isoformat(), "filled": tank.filled}
        raise BadInput([Finding("at-before-filling", "problem", told)])
    return moment


def _own(actor: Person, tank: Tank, source: Path) -> None:
    if tank.owner != actor.name:
        told = {"owner": tank.owner, "actor": actor.name}
        raise BadInput([Finding("not-yours", "problem", told)], str(source))
