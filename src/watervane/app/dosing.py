"""How much of what to dose, by its label."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

from watervane.app.blueprint_ports import Words
from watervane.app.ports import Ports
from watervane.app.use_cases import check
from watervane.records import Finding, Person, Reading, Tank
from watervane.records.doses import DoseSheet

STILL_HOLDS = timedelta(days=8)  # who reads once a week has read within it
BUFFER = "buffer"
# What a buffer asks of the water, and the unit a log keeps it in.
OF_WATER = {"ph": "", "kh": " dKH", "ammonia": " mg/L as N"}


def dose(actor: Person, words: Words, source: Path | None, ports: Ports) -> DoseSheet:
    """Work a dose out.

    Parameters
    ----------
    actor
        Who asks; must own the tank where one is named.
    words
        By option, without its dashes.
    source
        A tank file whose net volume and animals are taken where the words tell none.
    ports
        The outside parts.

    Raises
    ------
    BadInput
        With every reason why it cannot be read, or is not given.
    """
    tank = None if source is None else check(actor, source, ports).tank
    return _dosed(words, tank, ports)


def tanks_to_dose(actor: Person, ports: Ports) -> list[tuple[str, str]]:
    """Keys and names of the actor's tanks."""
    with ports.journal.open() as journal, journal.looking(actor) as view:
        return [(tank.key, tank.name) for tank in view.tanks()]


def dose_for(actor: Person, words: Words, key: str | None, ports: Ports) -> DoseSheet:
    """Work a dose out, of a tank of the journal by its key where one is told.

    Raises
    ------
    BadInput
        As `dose`, and where there is no such tank.
    """
    tank = None
    if key is not None:
        with ports.journal.open() as journal, journal.looking(actor) as view:
            tank = view.tank(key)
    return _dosed(words, tank, ports)


def _dosed(words: Words, tank: Tank | None, ports: Ports) -> DoseSheet:
    """What is not told of a tank's water is taken from its log, and said to be."""
    if tank is None or words.get("bath"):
        return ports.care.dose(words, tank)
    found = _last_read(tank, ports.journal.now())
    taken = {name: found[name] for name in OF_WATER if name in found and not words.get(name)}
    told = {name: f"{_careful(each):g}{OF_WATER[name]}" for name, each in taken.items()}
    sheet = ports.care.dose({**words, **told}, tank)
    if not taken or sheet.kind != BUFFER:
        return sheet
    read = [{"quantity": name, "value": value} for name, value in told.items()]
    named = {"day": min(each.at for each in taken.values()).date(), "readings": read}
    return replace(sheet, findings=(Finding("dose-of-log", "info", named), *sheet.findings))


def _last_read(tank: Tank, now: datetime) -> dict[str, Reading]:
    """The newest reading of each quantity that a dose asks for, while it may still hold."""
    found: dict[str, Reading] = {}
    for each in sorted(tank.readings, key=lambda one: one.at):
        known = each.value.low is not None or each.value.high is not None
        lately = now - STILL_HOLDS <= each.at <= now
        if each.quantity in OF_WATER and known and lately and not each.of_source_water:
            found[each.quantity] = each
    return found


def _careful(reading: Reading) -> float:
    """The end of what was read under which a buffer does more: of KH the lower one."""
    ends = [end for end in (reading.value.low, reading.value.high) if end is not None]
    end = min(ends) if reading.quantity == "kh" else max(ends)
    return end if reading.quantity == "ph" else end * reading.diluted
