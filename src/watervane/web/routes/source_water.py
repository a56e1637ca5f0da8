"""A source water alone: what it is fit for, and how to mix another from it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse
from starlette.responses import Response

from watervane.app import BadInput
from watervane.app.blueprints import plan_source_water
from watervane.app.planning_pages import read_water_report
from watervane.records import Finding, SourcePlan
from watervane.web.desk import AtDesk, Desk
from watervane.web.forms.blueprint import PARTS, WATER_PARTS, form_parts, names_of, wrong_alone
from watervane.web.forms.blueprint_words import blueprint_words, fields_of_report, problems_by_field
from watervane.web.sent import AsSent
from watervane.wording.blueprint_page import water_answer
from watervane.wording.source_water import kinds_table, source_lead

LIVE = "live"  # asked while somebody types: half a number is no failure
FILE = "file"
routes = APIRouter()


@routes.get("/source-water")
def judge(request: Request, desk: AtDesk) -> Response:
    """The form, and what comes of the water it tells."""
    typed, live = asked(request, desk)
    return _page(request, desk, typed, live=live)


@routes.post("/source-water/file")
def fill_in(request: Request, desk: AtDesk, sent: AsSent) -> Response:
    """The form filled in from a report, or every problem of the file with its line."""
    files = sent.files.get(FILE, ())
    wrong: Sequence[Finding] = (Finding("setup-no-file", "problem", {}),)
    if files:
        try:
            texts = read_water_report(desk.actor, files[0], desk.ports)
            return RedirectResponse(f"/source-water?{urlencode(fields_of_report(texts))}", 303)
        except BadInput as error:
            wrong = error.problems
    return _page(request, desk, {}, file_wrong=tuple(wrong))


def _page(
    request: Request,
    desk: Desk,
    typed: Mapping[str, str],
    *,
    live: bool = False,
    file_wrong: Sequence[Finding] = (),
) -> Response:
    words, wrong = blueprint_words(typed)
    plan: SourcePlan | None = None
    if words.get("tap") and not wrong:
        try:
            plan = plan_source_water(desk.actor, words, desk.ports)
        except BadInput as error:
            wrong = problems_by_field(error.problems)
    whole = {name: PARTS[name] for name in WATER_PARTS}
    names = names_of(whole)
    parts = form_parts(typed, wrong, wrong_alone(whole, wrong) if live else whole, ("tap",))
    fields = [each for part in parts for each in (*part.fields, *part.more)]
    return desk.pages.page(
        "source_water.html",
        request,
        422 if (wrong and not live) or file_wrong else 200,
        parts_of=parts,
        fields=fields,
        loose=[each for name, found in wrong.items() if name not in names for each in found],
        wrong=bool(wrong),
        file_wrong=file_wrong,
        query=water_query(typed),
        **_told(plan),
    )


def asked(request: Request, desk: Desk) -> tuple[dict[str, str], bool]:
    """What was typed, and whether somebody types still; opening a form begins the first plan."""
    typed = dict(request.query_params)
    live = typed.pop(LIVE, "") != ""
    if not live:
        desk.plans.begin()
    return typed, live


def water_query(typed: Mapping[str, str]) -> str:
    """What was typed of the water, as an address tells it."""
    names = [name for part in WATER_PARTS for fields in PARTS[part] for name in fields]
    return urlencode({name: typed[name] for name in names if typed.get(name)})


def _told(plan: SourcePlan | None) -> dict[str, Any]:
    if plan is None:
        return {"water": None}
    return {"water": water_answer(plan), "lead": source_lead(plan), "kinds": kinds_table(plan)}
