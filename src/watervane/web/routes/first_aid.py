"""First aid: three questions for anybody, let in or not, and what to do in the next hour."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from watervane.app import BadInput
from watervane.app.first_aid import aid_cases, first_aid
from watervane.records import Finding
from watervane.records.first_aid import FirstAid
from watervane.web.desk import AtDesk
from watervane.web.gate import FIRST_AID

NONE_KNOWN = ("none", "unsure")
MOST_TYPED = 40
routes = APIRouter()


@routes.get(FIRST_AID)
def help_at_once(
    request: Request,
    desk: AtDesk,
    see: str = "",
    done: Annotated[list[str] | None, Query()] = None,
) -> Response:
    """The questions, what comes of the answers sent, and below what comes of all others."""
    asked = desk.ports.care.questions()
    deeds = [deed[:MOST_TYPED] for deed in (done or [])[: len(asked.done) + 2]]
    typed = {test: request.query_params.get(test, "")[:MOST_TYPED] for test in asked.levels}
    told: FirstAid | None = None
    findings: tuple[Finding, ...] = ()
    if request.query_params:
        tests = [f"{test} {level}" for test, level in typed.items() if level.strip()]
        try:
            told = first_aid(desk.actor, see[:MOST_TYPED], deeds, tests, desk.ports)
        except BadInput as error:
            findings = error.problems
    return desk.pages.page(
        "first_aid.html",
        request,
        422 if findings else 200,
        asked=asked,
        deeds=(*asked.done, *NONE_KNOWN),
        see=see[:MOST_TYPED],
        done=deeds,
        typed=typed,
        told=told,
        findings=findings,
        wrong={str(each.arguments.get("field", "")): each for each in findings},
        cases=aid_cases(desk.ports),
        stranger=not desk.gate.holds_session(request.cookies.get(desk.gate.cookie)),
    )
