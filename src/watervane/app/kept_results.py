"""The newest forecast and judgement of a tank, as they are kept to be read by anybody later."""

from __future__ import annotations

import json
from contextlib import suppress
from dataclasses import replace
from datetime import datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from watervane.app.kept_inside import with_inside_kept
from watervane.app.ports import BadInput, Ports
from watervane.records import FULL, Forecast, KeptResult, Person, Tank, Today

AS_MANY = 1000  # members a result has at least that is kept though nobody asked a worker for it


def result_of(
    made: Forecast | Today, tank: Tank, newest_entry: int, ports: Ports, grade: str = FULL
) -> KeptResult:
    """A forecast or a judgement as the journal keeps it."""
    if isinstance(made, Today):
        kind, document = "today", ports.today_document(made)
    else:
        kind, document = "forecast", ports.forecast_document(made)
    how = made.diagnostics
    return KeptResult(
        kind=kind,
        grade=grade,
        as_of=made.as_of,
        current_until=end_of_day(made.as_of, tank.time_zone),
        newest_entry=newest_entry,
        seed=made.seed,
        members=how.members,
        model_version=how.model_version,
        parameter_digest=how.parameter_digest,
        document=json.dumps(document, allow_nan=False, separators=(",", ":")),
        made_at=ports.journal.now(),
    )


def keep_newest(
    actor: Person, source: Path, tank: Tank, made: Forecast | Today, ports: Ports
) -> None:
    """Keep what a command found out about a tank of the journal, so that the rounds know of it.

    It is left where it comes of a file or of few members, where something was written to the tank
    meanwhile, and where the journal cannot be written: the command has told it all the same.
    """
    name = ports.journal.name_of(source)
    if name is None or made.diagnostics.members < AS_MANY:
        return
    now = ports.journal.now()
    with (
        suppress(BadInput),
        ports.journal.open() as journal,
        journal.asking(actor, now) as asking,
    ):
        key = asking.key_of(name)
        if replace(asking.tank(key), owner=tank.owner) == tank:
            if isinstance(made, Forecast):
                made = with_inside_kept(made, actor, key, ports, journal)
            asking.keep(key, result_of(made, tank, asking.newest_entry(key), ports))


def end_of_day(moment: datetime, time_zone: str) -> datetime:
    """The midnight after a moment by the clock of a zone."""
    local = moment.astimezone(ZoneInfo(time_zone))
    return datetime.combine(local.date() + timedelta(days=1), time(0), tzinfo=local.tzinfo)
