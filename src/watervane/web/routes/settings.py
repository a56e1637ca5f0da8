"""How the pages look on this browser."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import RedirectResponse
from starlette.responses import Response

from watervane.app import list_tanks
from watervane.web.desk import AtDesk
from watervane.web.devices_shown import devices_shown
from watervane.web.reader import UNITS_COOKIE
from watervane.web.renderer import LOOK_COOKIE, LOOKS
from watervane.wording.in_units import CHOICES, current_units, units_of

A_YEAR_S = 31_536_000
routes = APIRouter()


@routes.get("/settings")
def show_settings(request: Request, desk: AtDesk) -> Response:
    """What can be set."""
    paired = devices_shown(desk, request)
    return desk.pages.page(
        "settings.html",
        request,
        looks=LOOKS,
        paired=paired,
        choices=CHOICES,
        units={name: getattr(current_units(), name) for name in CHOICES},
        tanks=list_tanks(desk.actor, desk.ports),
    )


@routes.post("/settings/units")
def choose_units(
    volume: Annotated[str, Form()] = "",
    warmth: Annotated[str, Form()] = "",
    hardness: Annotated[str, Form()] = "",
    nitrogen: Annotated[str, Form()] = "",
) -> Response:
    """Keep the units in a cookie of this browser; an unknown one is the usual."""
    answer = RedirectResponse("/settings#units", 303)
    told = units_of(f"{volume}.{warmth}.{hardness}.{nitrogen}").text()
    answer.set_cookie(UNITS_COOKIE, told, max_age=A_YEAR_S, samesite="strict", httponly=True)
    return answer


@routes.post("/settings/look")
def choose_look(look: Annotated[str, Form()] = LOOKS[0]) -> Response:
    """Keep the look in a cookie of this browser; an unknown one is the machine's own."""
    answer = RedirectResponse("/settings", 303)
    told = look if look in LOOKS else LOOKS[0]
    answer.set_cookie(LOOK_COOKIE, told, max_age=A_YEAR_S, samesite="strict", httponly=True)
    return answer
