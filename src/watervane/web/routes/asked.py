"""Questions a tank's page leads to: its limits, and the way home for animals."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import Response

from watervane.app.animals import animal_names
from watervane.app.at_once import at_once
from watervane.app.questions import ask_homecoming, ask_limits
from watervane.app.tank_page import look_at_tank
from watervane.records import Homecoming, LimitList
from watervane.records.questions import Answer
from watervane.web.desk import AtDesk
from watervane.web.forms.trip import trip_fields, trip_typed
from watervane.web.routes.rehearsal import AT_ONCE_S, waiting_line
from watervane.wording import (
    gap_sentences,
    homecoming_sentences,
    homecoming_steps,
    homecoming_title,
    limit_groups,
    limits_sentences,
    limits_title,
    phrase,
)
from watervane.wording.rounds import standing_harm

routes = APIRouter()


@routes.get("/tank/{key}/limits")
def show_limits(request: Request, desk: AtDesk, key: str, every: int = 0) -> Response:
    """The limits that hold for a tank, subject by subject."""
    tank = look_at_tank(desk.actor, key, desk.ports).tank
    answer = ask_limits(desk.actor, key, desk.ports, f"limits {key}", AT_ONCE_S)
    told = answer.told if isinstance(answer.told, LimitList) else None
    return desk.pages.page(
        "limits.html",
        request,
        key=key,
        tank=tank,
        every=bool(every),
        title=limits_title(told) if told else "",
        sentences=_without(limits_sentences(told), "limits-list-guide") if told else (),
        groups=tuple(limit_groups(told, every=bool(every))) if told else (),
        line=waiting_line(answer) if answer.open else "",
        why=answer.why,
    )


@routes.get("/tank/{key}/bring-home")
def bring_home(request: Request, desk: AtDesk, key: str) -> Response:
    """The trip that is asked about, and what comes of it."""
    looked = look_at_tank(desk.actor, key, desk.ports)
    typed = dict(request.query_params)
    trip, wrong = trip_typed(typed) if typed else (None, {})
    answer = Answer()
    if trip is not None and not wrong:
        window = f"home {key} {request.url.query}"
        answer = ask_homecoming(desk.actor, key, trip, desk.ports, window, AT_ONCE_S)
    told = answer.told if isinstance(answer.told, Homecoming) else None
    harm = standing_harm(
        None if looked.judged is None else looked.judged.today,
        at_once(desk.actor, looked, desk.ports),
    )
    fields = trip_fields(animal_names(looked.tank.own_animals, looked.usual.animals), typed, wrong)
    return desk.pages.page(
        "bring_home.html",
        request,
        422 if wrong else 200,
        key=key,
        tank=looked.tank,
        trip_fields=fields[:7],
        water_fields=fields[7:],
        wrong=bool(wrong),
        harm=harm,
        title=homecoming_title(told) if told else "",
        sentences=homecoming_sentences(told) if told else (),
        gaps=gap_sentences(told) if told else (),
        steps=homecoming_steps(told) if told else (),
        line=waiting_line(answer) if answer.open and typed and not wrong else "",
        why=answer.why,
    )


def _without(sentences: list[str], key: str) -> list[str]:
    """Sentences but the one that tells of the command line."""
    return [each for each in sentences if each != phrase(key)]
