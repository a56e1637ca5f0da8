"""Another plan for a tank, tried before it is done."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from starlette.responses import JSONResponse, Response

from watervane.app.plan_pictures import plan_picture
from watervane.app.questions import ask_rehearsal
from watervane.app.tank_page import look_at_tank
from watervane.charts.rehearsed import PlanPicture, living_plan, plan_rows, still_plan
from watervane.records import Finding
from watervane.records.other_plans import RehearsedPlan
from watervane.records.questions import Answer
from watervane.web.desk import AtDesk, Desk
from watervane.web.drawer import DRAWER
from watervane.web.forms.plan import plan_form, plan_typed
from watervane.web.pace import Paced
from watervane.wording import phrase
from watervane.wording.pages import left_words
from watervane.wording.plans import plan_advice, plan_rests_on, plan_sentences, plan_table

AT_ONCE_S = 0.25  # that a page waits before it shows how far the answer is
PATIENTLY_S = 1.0  # that a script waits before it is told how far
LOOKS = ("light", "dark")
PARTS = ("first", "rest")  # above the drawing, and below it
routes = APIRouter()


@routes.get("/tank/{key}/rehearsal")
def rehearse(request: Request, desk: AtDesk, key: str) -> Response:
    """The form, and what comes of the plan it tells."""
    tank = look_at_tank(desk.actor, key, desk.ports).tank
    typed = dict(request.query_params)
    plan, wrong = plan_typed(typed)
    answer = Answer()
    if not wrong:
        window = f"page {key} {request.url.query}"
        answer = ask_rehearsal(desk.actor, key, plan, desk.ports, window, AT_ONCE_S)
    query = request.url.query
    return desk.pages.page(
        "rehearsal.html",
        request,
        422 if wrong else 200,
        key=key,
        tank=tank,
        form=plan_form(typed, wrong),
        wrong=bool(wrong),
        query=f"?{query}" if query else "",
        waiting=answer.open and not wrong,
        description=_description(answer),
        **_told(answer),
    )


@routes.get("/tank/{key}/rehearsal.json")
def rehearse_on(
    request: Request, desk: AtDesk, key: str, window: str = "", first: int = 0
) -> Response:
    """What comes of a plan, for a page that lives on: words, and rows for its drawing.

    A script asks for a ``first`` look and then for all of it.
    """
    plan, wrong = plan_typed(dict(request.query_params))
    if wrong:
        words = _words(desk, request, Answer(why=_first(wrong)))
        return JSONResponse({"words": words, "wrong": sorted(wrong)})
    place = f"script {window}"
    look = bool(first)
    answer = ask_rehearsal(desk.actor, key, plan, desk.ports, place, PATIENTLY_S, first_look=look)
    if answer.overtaken:
        return JSONResponse({"overtaken": True})
    if answer.open:
        return JSONResponse({"line": waiting_line(answer)})
    found: dict[str, Any] = {"words": _words(desk, request, answer)}
    if isinstance(answer.told, RehearsedPlan):
        picture = plan_picture(answer.told)
        found |= {"rows": plan_rows(picture), "description": picture.description}
        if answer.told.first_look:
            some, every = (f"{count:,}" for count in answer.told.seen_of)
            found["first"] = phrase("plan-first-look", some=some, every=every)
    text = json.dumps(found, allow_nan=False, separators=(",", ":"))
    return Response(text, media_type="application/json")


@routes.get("/tank/{key}/rehearsal-drawing.json")
def draw_living(request: Request, desk: AtDesk, key: str) -> Response:
    """Both plans as the script draws them."""
    drawing = living_plan(_picture(request, desk, key))
    text = json.dumps(drawing, allow_nan=False, separators=(",", ":"))
    return Response(text, media_type="application/json")


@routes.get("/tank/{key}/rehearsal.svg")
def draw(
    request: Request, desk: AtDesk, key: str, look: str = "light", narrow: int = 0
) -> Response:
    """Both plans as a still drawing."""
    if look not in LOOKS:
        raise HTTPException(404)
    made = DRAWER.draw(still_plan(_picture(request, desk, key), look, narrow=bool(narrow)))
    return Response(made, media_type="image/svg+xml; charset=utf-8")


def waiting_line(answer: Answer, paced: Paced | None = None) -> str:
    """How far an answer is, and how long its present part has to go, where that is known."""
    if not answer.stage:
        minutes = 0 if paced is None else int(paced.waited_s // 60.0)
        return phrase("asking-begun-since" if minutes else "asking-begun", minutes=minutes)
    told = {"stage": phrase(f"stage-{answer.stage}"), "percent": f"{100 * answer.share:.0f}"}
    if paced is None or paced.left_s is None:
        return phrase("asking-wait", **told)
    return phrase("asking-wait-left", left=left_words(paced.left_s), **told)


def _picture(request: Request, desk: Desk, key: str) -> PlanPicture:
    plan, wrong = plan_typed(dict(request.query_params))
    if wrong:
        raise HTTPException(404)
    window = f"drawing {request.url.query}"
    answer = ask_rehearsal(desk.actor, key, plan, desk.ports, window, PATIENTLY_S)
    if not isinstance(answer.told, RehearsedPlan):
        raise HTTPException(404)
    return plan_picture(answer.told)


def _words(desk: Desk, request: Request, answer: Answer) -> dict[str, str]:
    told = _told(answer)
    return {
        part: desk.pages.text("rehearsal_told.html", request, part=part, **told) for part in PARTS
    }


def _told(answer: Answer) -> dict[str, Any]:
    told = answer.told if isinstance(answer.told, RehearsedPlan) else None
    return {
        "line": waiting_line(answer) if answer.open else "",
        "why": answer.why,
        "told": told,
        "sentences": plan_sentences(told) if told else (),
        "advice": plan_advice(told) if told else (),
        "rests": plan_rests_on(told) if told else (),
        "table": plan_table(told) if told else None,
    }


def _description(answer: Answer) -> str:
    return plan_picture(answer.told).description if isinstance(answer.told, RehearsedPlan) else ""


def _first(wrong: Mapping[str, Sequence[Finding]]) -> tuple[Finding, ...]:
    return tuple(found[0] for found in wrong.values())
