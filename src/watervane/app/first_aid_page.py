"""First aid as one page in a file, for a phone or a stick, where no program runs."""

from __future__ import annotations

from pathlib import Path

from watervane.app.first_aid import AidCase, aid_cases
from watervane.app.ports import Ports
from watervane.report import Block, Fold, Heading, Items, Paragraph, Steps, StillPage, still_page
from watervane.wording import phrase
from watervane.wording.first_aid import (
    aid_at_once,
    aid_cautions,
    aid_label,
    aid_left,
    aid_next,
    aid_reasons,
    aid_steps,
)


def write_page(file: Path, ports: Ports) -> None:
    """Write the page.

    Raises
    ------
    BadInput
        Where the file cannot be written.
    """
    ports.care.write_file(file, still_page(first_aid_page(ports)).encode())


def first_aid_page(ports: Ports) -> StillPage:
    """Two questions as folds, and under each pair of answers what to do."""
    folds = tuple(
        Fold(
            aid_label("see", see),
            (
                Heading(phrase("aid-at-once")),
                Steps(tuple(aid_at_once(found[-1].told))),
                *(Paragraph(text) for text in aid_next(found[-1].told)),
                Paragraph(phrase("aid-at-once-then")),
            ),
            question=phrase("aid-done"),
            folds=tuple(Fold(aid_label("done", case.done), (*_told(case),)) for case in found),
        )
        for see, found in aid_cases(ports).items()
    )
    return StillPage(
        phrase("aid-title"),
        phrase("aid-lead"),
        phrase("aid-see"),
        folds,
        tuple(Paragraph(text) for text in aid_cautions()),
        phrase("aid-sheet-foot"),
    )


def _told(case: AidCase) -> list[Block]:
    return [
        Heading(phrase("aid-steps")),
        Steps(tuple(aid_steps(case.told))),
        Heading(phrase("aid-left")),
        Items(tuple(aid_left(case.told))),
        Heading(phrase("aid-why")),
        *(Paragraph(text) for text in aid_reasons(case.told)),
    ]
