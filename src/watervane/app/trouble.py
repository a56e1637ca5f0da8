"""Finding the cause of trouble, for a tank or for whoever asks."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from watervane.app.blueprint_ports import Words
from watervane.app.foretold_trouble import kept_before, made_before
from watervane.app.ports import BadInput, Ports, Progress
from watervane.app.use_cases import check, moment_of
from watervane.records import Finding, Person, Tank
from watervane.records.trouble import Trouble


@dataclass(frozen=True, slots=True)
class Fit:
    """That the model is to be run; ``progress`` is told how far it is."""

    progress: Progress | None = None


def find_trouble(
    actor: Person,
    source: Path | None,
    words: Words,
    asked: date | datetime | None,
    ports: Ports,
    fit: Fit | None = None,
) -> Trouble:
    """Which causes explain trouble, what to check next and what to do meanwhile.

    Parameters
    ----------
    actor
        Who asks; must own the tank where one is named.
    source
        A tank file whose log, animals and kits count; ``None`` where there is none.
    words
        By option, without its dashes.
    asked
        The moment; now where left out.
    ports
        The outside parts.
    fit
        Where told, the model is run to the days before where no forecast of them was kept.

    Raises
    ------
    BadInput
        With every answer that is not understood, and where there is nothing to run the model on.
    """
    tank = None if source is None else check(actor, source, ports).tank
    moment = _when(tank, asked)
    if tank is None or source is None:
        if fit is not None:
            raise BadInput([Finding("trouble-fit-nothing", "problem", {"field": "fit"})])
        return ports.care.trouble(words, tank, moment)
    ports.care.trouble(words, tank, moment)  # what is not understood is told before any run
    forecast, name = None, ports.journal.name_of(source)
    if name is not None:
        with ports.journal.open() as journal, journal.looking(actor) as view:
            forecast = kept_before(view.key_of(name), tank, moment, view, ports)
    if forecast is None and fit is not None:
        forecast = made_before(tank, moment, ports, fit.progress)
        if forecast is None:
            raise BadInput([Finding("trouble-fit-short", "problem", {"field": "fit"})])
    return ports.care.trouble(words, tank, moment, forecast)


def _when(tank: Tank | None, asked: date | datetime | None) -> datetime:
    now = datetime.now(UTC)
    moment = (moment_of(asked, tank) if tank else _moment(asked)) or now
    if moment > now and asked is not None:
        told = {"told": str(asked), "field": "at"}
        raise BadInput([Finding("trouble-no-moment", "problem", told)])
    return moment


def _moment(asked: date | datetime | None) -> datetime | None:
    if asked is None:
        return None
    if isinstance(asked, datetime):
        return asked if asked.tzinfo else asked.replace(tzinfo=UTC)
    return datetime.combine(asked, datetime.max.time().replace(microsecond=0), UTC)


def trouble_in_journal(actor: Person, key: str, words: Words, ports: Ports) -> Trouble:
    """The same of a tank of the journal, now.

    Parameters
    ----------
    actor
        Who asks.
    key
        Of the tank.
    words
        By option, without its dashes.
    ports
        The outside parts.

    Raises
    ------
    BadInput
        Where the actor has no such tank, and with every answer that is not understood.
    """
    with ports.journal.open() as journal, journal.looking(actor) as view:
        tank = view.tank(key)
        moment = _when(tank, None)
        forecast = kept_before(key, tank, moment, view, ports)
    return ports.care.trouble(words, tank, moment, forecast)


def tank_in_trouble(actor: Person, key: str, ports: Ports) -> Tank:
    """What a tank is called and holds, without its log.

    Raises
    ------
    BadInput
        Where the actor has no such tank.
    """
    with ports.journal.open() as journal, journal.looking(actor) as view:
        return view.description(key)
