"""First aid for anybody: no tank, no journal, no account."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from watervane.app.ports import Ports
from watervane.records import Person
from watervane.records.first_aid import AidAnswers, FirstAid
from watervane.report import Heading, Items, Paragraph, Sheet, Steps, Table
from watervane.wording import phrase
from watervane.wording.first_aid import (
    aid_cautions,
    aid_label,
    aid_left,
    aid_next,
    aid_places,
    aid_steps,
)

NOBODY_KNOWS = "unsure"
PRINTED = (
    *("water-raw", "food-spilt", "stopped", "heat", "gas", "sprayed", "treated"),
    *("filter-cleaned", "months"),
)
SHEET_SEEN = "gasping"


@dataclass(frozen=True, slots=True)
class AidCase:
    """One pair of answers and what comes of it; ``done`` is empty where nobody knows."""

    see: str
    done: str
    told: FirstAid


def first_aid(
    actor: Person,
    see: str,
    done: Sequence[str],
    tests: Sequence[str],
    ports: Ports,
) -> FirstAid:
    """What to do in the next hour.

    Parameters
    ----------
    actor
        Anybody.
    see, done, tests
        The three answers in words; each may be empty.
    ports
        The outside parts.

    Raises
    ------
    BadInput
        With every answer that is not understood; its ``field`` names the question.
    """
    del actor  # first aid is for whoever asks
    care = ports.care
    return care.first_aid(care.read_answers(see, done, tests))


def aid_cases(ports: Ports) -> dict[str, list[AidCase]]:
    """Every pair of what is seen and what was done, worked out without any test."""
    care = ports.care
    asked = care.questions()
    deeds: list[tuple[str, tuple[str, ...]]] = [(deed, (deed,)) for deed in asked.done]
    deeds += [("none", ("none",)), (NOBODY_KNOWS, ())]
    return {
        see: [AidCase(see, name, care.first_aid(AidAnswers(see, done))) for name, done in deeds]
        for see in asked.seen
    }


def write_sheet(file: Path, ports: Ports) -> None:
    """Write the sheet for the wall as PDF.

    Raises
    ------
    BadInput
        Where the file cannot be written.
    """
    ports.care.write_file(file, ports.care.sheet_pdf(first_aid_sheet(ports)))


def first_aid_sheet(ports: Ports) -> Sheet:
    """The steps that hold whatever happened, then what comes first in each case."""
    care = ports.care
    usual = care.first_aid(AidAnswers(SHEET_SEEN))
    steps = tuple(aid_steps(usual))
    cases = tuple(
        (
            aid_label("done", deed),
            aid_places(care.first_aid(AidAnswers(SHEET_SEEN, (deed,))), usual),
        )
        for deed in PRINTED
    )
    headers = (phrase("aid-sheet-case"), phrase("aid-sheet-order"))
    return Sheet(
        phrase("aid-title"),
        phrase("aid-sheet-lead"),
        (
            Heading(phrase("aid-sheet-steps")),
            Steps(steps),
            Heading(phrase("aid-sheet-cases")),
            Table(phrase("aid-sheet-cases-note"), headers, cases),
            Heading(phrase("aid-left")),
            Items(tuple(aid_left(usual, brief=True))),
            Heading(phrase("aid-after")),
            *(Paragraph(text) for text in (*aid_next(usual), *aid_cautions())),
        ),
        foot=phrase("aid-sheet-foot"),
    )
