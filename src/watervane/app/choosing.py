"""Choose animals from a wish list for a tank that does not exist yet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from watervane.app.blueprint_ports import Words
from watervane.app.ports import Ports
from watervane.records import Choice, Finding, Person


@dataclass(frozen=True, slots=True)
class ChosenAnimals:
    """A choice, and what was noticed on the way to it."""

    choice: Choice
    findings: tuple[Finding, ...] = ()


def choose_animals(
    _actor: Person,
    words: Words,
    ports: Ports,
    own: Path | None = None,
    write: Path | None = None,
    *,
    over: bool = False,
) -> ChosenAnimals:
    """Choose, and maybe make a tank file of the plan with the chosen animals.

    Parameters
    ----------
    _actor
        On whose behalf; whoever asks may plan.
    words
        By option: those of a blueprint, and ``wish``, ``change``.
    ports
        The outside parts.
    own
        A table of the keeper's own animals.
    write
        A tank file to be made.
    over
        Whether a file that is there may be replaced.

    Raises
    ------
    BadInput
        With every problem found.
    """
    rows, remarks = ((), ()) if own is None else ports.animals.read_own(own)
    choice = ports.blueprint.choose(words, rows)
    found = tuple(remarks)
    if write is not None:
        blueprint = ports.blueprint.plan_chosen(choice, words)
        told = blueprint.wish.filled
        filled = date.today() if told is None else told  # noqa: DTZ011 - the keeper's own day
        found = (*found, *ports.blueprint.write_tank(blueprint, filled, write, over=over))
    return ChosenAnimals(choice, found)
