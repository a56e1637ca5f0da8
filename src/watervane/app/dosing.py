"""How much of what to dose, by its label."""

from __future__ import annotations

from pathlib import Path

from watervane.app.blueprint_ports import Words
from watervane.app.ports import Ports
from watervane.app.use_cases import check
from watervane.records import Person
from watervane.records.doses import DoseSheet


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
    return ports.care.dose(words, tank)


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
    return ports.care.dose(words, tank)
