"""A dose by its label, and a bare tank for newcomers or the sick; nothing of it is recorded."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from watervane.app import BadInput
from watervane.app.dosing import dose_for, tanks_to_dose
from watervane.app.quarantine import quarantine
from watervane.charts import WordTable
from watervane.records import Finding
from watervane.web.desk import AtDesk, Desk
from watervane.web.forms.doses import (
    DOSE,
    QUARANTINE,
    WorkedForm,
    dose_form,
    quarantine_form,
    words_typed,
    wrong_by_field,
)
from watervane.wording import phrase
from watervane.wording.doses import course_rows, dose_remarks, dose_sentences, dose_title
from watervane.wording.quarantine import (
    quarantine_remarks,
    quarantine_rounds,
    quarantine_sentences,
    quarantine_title,
)

TANK = "tank"
routes = APIRouter()


@routes.get("/dose")
def work_out_dose(request: Request, desk: AtDesk) -> Response:
    """The form, and the dose that comes of what it tells."""
    typed = dict(request.query_params)
    tanks = tanks_to_dose(desk.actor, desk.ports)
    told: dict[str, Any] = {}
    problems: Sequence[Finding] = ()
    if set(typed) - {TANK}:
        words = words_typed({n: text for n, text in typed.items() if n != TANK})
        words.setdefault("substance", "")
        try:
            sheet = dose_for(desk.actor, words, typed.get(TANK) or None, desk.ports)
        except BadInput as error:
            problems = error.problems
        else:
            table = WordTable(
                phrase("dose-course"), phrase("dose-course-note"), *course_rows(sheet)
            )
            told = {
                "heading": dose_title(sheet),
                "sentences": dose_sentences(sheet),
                "table": table if sheet.course else None,
                "remarks": dose_remarks(sheet),
            }
    form = dose_form(tanks, typed, _wrong(problems, dose_form(tanks, {}, {})))
    return _page(request, desk, DOSE, form, problems, told)


@routes.get("/quarantine")
def work_out_quarantine(request: Request, desk: AtDesk) -> Response:
    """The form, and the plan that comes of what it tells."""
    typed = dict(request.query_params)
    told: dict[str, Any] = {}
    problems: Sequence[Finding] = ()
    if typed:
        try:
            plan = quarantine(words_typed(typed), desk.ports)
        except BadInput as error:
            problems = error.problems
        else:
            rounds = quarantine_rounds(plan)
            told = {
                "heading": quarantine_title(plan),
                "sentences": quarantine_sentences(plan),
                "table": WordTable(rounds.title, rounds.caption, rounds.headers, rounds.rows),
                "remarks": quarantine_remarks(plan),
            }
    form = quarantine_form(typed, _wrong(problems, quarantine_form({}, {})))
    return _page(request, desk, QUARANTINE, form, problems, told)


def _wrong(problems: Sequence[Finding], form: WorkedForm) -> Mapping[str, Sequence[Finding]]:
    return wrong_by_field(problems, [each.name for each in form.all_fields])


def _page(
    request: Request,
    desk: Desk,
    kind: str,
    form: WorkedForm,
    problems: Sequence[Finding],
    told: Mapping[str, Any],
) -> Response:
    loose = _wrong(problems, form).get("", ())
    return desk.pages.page(
        "worked.html",
        request,
        422 if problems else 200,
        kind=kind,
        form=form,
        loose=loose,
        wrong=bool(problems),
        told=told or None,
    )
