"""A choice of animals in the order of a keeper's questions, for a page."""

from __future__ import annotations

from dataclasses import dataclass

from watervane.records import Choice, Help
from watervane.wording.blueprint_page import PlanAnswer
from watervane.wording.blueprint_why import choice_whys
from watervane.wording.choices import (
    choice_lists,
    choice_sentences,
    choice_table,
    help_line,
    rooms_table,
)
from watervane.wording.templates import phrase


@dataclass(frozen=True, slots=True)
class ChoiceOnPage:
    """The first sentences, the answers in order, and the changes that would help."""

    lead: str
    answers: tuple[PlanAnswer, ...]
    helps: tuple[tuple[Help, str], ...]


def choice_on_page(choice: Choice) -> ChoiceOnPage:
    """A choice as its page tells it.

    Parameters
    ----------
    choice
        As chosen.
    """
    first, *rest = choice_sentences(choice)
    chosen = bool(choice.chosen)
    numbers = PlanAnswer(
        "numbers",
        phrase("choose-page-numbers"),
        tuple(rest),
        tables=(choice_table(choice), rooms_table(choice)) if chosen else (rooms_table(choice),),
        whys=tuple(choice_whys(choice)),
    )
    lists = [
        PlanAnswer(name, title, (), points=(("", lines),))
        for name, title, lines in choice_lists(choice)
        if name != "helps"
    ]
    helps = tuple((each, help_line(each)) for each in choice.helps)
    return ChoiceOnPage(first, (numbers, *lists), helps)
