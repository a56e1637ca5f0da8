"""Choose animals from a wish list for a tank that does not exist yet."""

from __future__ import annotations

from dataclasses import dataclass

from watervane.app.animals import Own, own_rows
from watervane.app.blueprint_ports import Words
from watervane.app.handing_over import NOTHING, HandOver, hand_over
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
    own: Own = None,
    files: HandOver = NOTHING,
) -> ChosenAnimals:
    """Choose, and maybe hand over the plan with the chosen animals.

    Parameters
    ----------
    _actor
        On whose behalf; whoever asks may plan.
    words
        By option: those of a blueprint, and ``wish``, ``change``.
    ports
        The outside parts.
    own
        A table of the keeper's own animals, or rows of their tanks.
    files
        What is to be made of the plan.

    Raises
    ------
    BadInput
        With every problem found.
    """
    rows, remarks = own_rows(own, ports)
    choice = ports.blueprint.choose(words, rows)
    found = tuple(remarks)
    if files.any:
        blueprint = ports.blueprint.plan_chosen(choice, words)
        found = (*found, *hand_over(blueprint, files, ports, choice))
    return ChosenAnimals(choice, found)
