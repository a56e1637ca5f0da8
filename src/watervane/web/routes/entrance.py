"""Exchange the token of the launch for a cookie."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse
from starlette.responses import Response

from watervane.web.desk import AtDesk
from watervane.web.gate import ENTRANCE

routes = APIRouter()


@routes.get(ENTRANCE)
def enter(request: Request, desk: AtDesk, token: str = "") -> Response:
    """Let in who was given the address; the token leaves the address bar at once."""
    session = desk.gate.let_in(token)
    if session is None:
        return desk.pages.page("trouble.html", request, 403, title_key="refused-key", findings=())
    answer = RedirectResponse("/", 303)
    answer.set_cookie(
        desk.gate.cookie,
        session,
        httponly=True,
        samesite="strict",
        secure=desk.gate.scheme == "https",
        path="/",
    )
    return answer
