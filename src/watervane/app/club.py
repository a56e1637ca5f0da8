"""An invented club: tanks with what was once found out of them, moved so that it is today there."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from watervane.app.keeping import add_tank
from watervane.app.kept_results import end_of_day
from watervane.app.moved import Move
from watervane.app.ports import Ports
from watervane.records import FULL, JOB_KINDS, KeptResult, Person

SHOWN_DAYS = 20
JOURNAL_FILE = "journal.sqlite"


@dataclass(frozen=True, slots=True)
class ClubTank:
    """A tank of the club: its tank file and, by kind, the documents of its results, if any."""

    file: str
    results: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Club:
    """Tanks as they were on the evening of ``day``, told in UTC."""

    day: date
    tanks: Sequence[ClubTank]


@contextmanager
def club_journal(ports: Ports) -> Iterator[Path]:
    """A journal that lasts as long as the block; the keeper's own is not looked at meanwhile."""
    with tempfile.TemporaryDirectory(
        prefix="watervane-club-", ignore_cleanup_errors=True
    ) as folder:
        file = Path(folder) / JOURNAL_FILE
        with ports.journal.kept_in(file):
            yield file


def found_club(actor: Person, club: Club, ports: Ports) -> Move:
    """Write the club's tanks and their results to the journal, so that its evening was yesterday's.

    Returns
    -------
    Move
        By how much the club was moved.
    """
    zone = ports.pages.time_zone()
    now = ports.journal.now().astimezone(ZoneInfo(zone))
    move = Move((now.date() - timedelta(days=1) - club.day).days, zone)
    for each in club.tanks:
        key = _written(actor, move.text(each.file), ports)
        with ports.journal.open() as journal, journal.asking(actor, now) as asking:
            zone_of = asking.description(key).time_zone
            for kind in JOB_KINDS:
                if kind in each.results:
                    document = move.text(each.results[kind])
                    kept = _kept(kind, document, asking.newest_entry(key), zone_of)
                    asking.keep(key, kept)
    return move


def results_of_club(actor: Person, ports: Ports) -> Mapping[str, Mapping[str, str]]:
    """The documents of what is kept of each tank, by its name and their kind."""
    found: dict[str, dict[str, str]] = {}
    with ports.journal.open() as journal, journal.looking(actor) as view:
        for tank in view.tanks():
            kept = {kind: view.result(tank.key, kind) for kind in JOB_KINDS}
            found[tank.name] = {
                kind: without_old_course(one.document)
                for kind, one in kept.items()
                if one and one.grade == FULL
            }
    return found


def without_old_course(document: str) -> str:
    """A result without its series of more than `SHOWN_DAYS` ago, which no page draws."""
    told = json.loads(document)
    series = told.get("series")
    if series is None:
        return document
    since = datetime.fromisoformat(told["as_of"]) - timedelta(days=SHOWN_DAYS)
    begin = sum(datetime.fromisoformat(at) < since for at in series["time"])
    told["series"] = {
        name: {part: values[begin:] for part, values in band.items()}
        if isinstance(band, dict)
        else band[begin:]
        for name, band in series.items()
    }
    return json.dumps(told, ensure_ascii=False, separators=(",", ":"))


def _written(actor: Person, text: str, ports: Ports) -> str:
    with tempfile.TemporaryDirectory(prefix="watervane-club-") as folder:
        file = Path(folder) / "club.tank.toml"
        file.write_text(text, encoding="utf-8")
        return add_tank(actor, ports, source=file).receipt.tank


def _kept(kind: str, document: str, newest_entry: int, time_zone: str) -> KeptResult:
    told = json.loads(document)
    how = told["diagnostics"]
    as_of = datetime.fromisoformat(told["as_of"])
    return KeptResult(
        kind=kind,
        grade=FULL,
        as_of=as_of,
        current_until=end_of_day(as_of, time_zone),
        newest_entry=newest_entry,
        seed=int(told["seed"]),
        members=int(how["members"]),
        model_version=str(how["model_version"]),
        parameter_digest=str(how["parameter_digest"]),
        document=document,
        made_at=as_of.astimezone(UTC),
    )
