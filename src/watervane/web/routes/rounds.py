"""The first page: all tanks, the one that could lose animals soonest first."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import Response

from watervane.app.at_once import rounds_at_once
from watervane.app.putting_away import tanks_put_away
from watervane.app.rounds import rounds
from watervane.web.desk import AtDesk
from watervane.web.rows import row_of

routes = APIRouter()


@routes.get("/")
def show_rounds(request: Request, desk: AtDesk) -> Response:
    """All tanks; before there is one, the way to the first."""
    found = rounds_at_once(desk.actor, rounds(desk.actor, desk.ports), desk.ports)
    if desk.ahead is not None:
        desk.ahead.draw(found)
    rows = [row_of(each) for each in found]
    away = bool(tanks_put_away(desk.actor, desk.ports))
    return desk.pages.page("rounds.html", request, rows=rows, away=away)
