"""What a keeper knows of animals better than the catalogue, over all of their tanks."""

from __future__ import annotations

from collections.abc import Iterable

from watervane.app.ports import BadInput, Ports
from watervane.records import Finding, OwnAnimal, Person
from watervane.reference import own_row


def own_of_keeper(actor: Person, ports: Ports) -> tuple[OwnAnimal, ...]:
    """The own rows of all the actor's tanks; of an animal told in several the last told counts.

    None where no journal was begun, or where it cannot be read: what is asked goes on without.

    Parameters
    ----------
    actor
        Whose tanks.
    ports
        The outside parts.
    """
    found: dict[str, OwnAnimal] = {}
    try:
        if not ports.journal.begun():
            return ()
        with ports.journal.open() as journal, journal.looking(actor) as view:
            for tank in view.tanks():
                found |= {row.name: row for row in view.description(tank.key).own_animals}
    except BadInput:
        return ()
    return tuple(found.values())


def told_of_own(species: Iterable[str], own: tuple[OwnAnimal, ...]) -> tuple[Finding, ...]:
    """That rows of the keeper's own are used, where any of the animals named has one."""
    named = [row.name for name in species if (row := own_row(name, own)) is not None]
    names = list(dict.fromkeys(named))
    return (Finding("own-animals-used", "caution", {"names": names}),) if names else ()
