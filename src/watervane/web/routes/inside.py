"""The drawings of a tank's nitrogen and of its colonies."""

from __future__ import annotations

from fastapi import APIRouter, HTTPException, Request
from starlette.responses import Response

from watervane.app.tank_page import look_at_tank
from watervane.web.desk import AtDesk
from watervane.web.inside import PARTS, mark_of_part, picture_of_part
from watervane.web.routes.tank import KEPT_A_WHILE, LOOKS, answer

routes = APIRouter()


@routes.get("/tank/{key}/inside/{part}.svg")
def draw_part(
    request: Request,
    desk: AtDesk,
    key: str,
    part: str,
    look: str = "light",
    narrow: int = 0,
    of: str = "",
) -> Response:
    """One of `PARTS` as a still drawing; ``of`` names it, so that browsers may keep it."""
    if part not in PARTS or look not in LOOKS:
        raise HTTPException(404)
    looked = look_at_tank(desk.actor, key, desk.ports)
    picture = picture_of_part(looked, part)
    if picture is None:
        raise HTTPException(404)
    mark = mark_of_part(looked, part)
    made = desk.drawings.inside(picture, mark, look, narrow=bool(narrow))
    return answer(made, request, KEPT_A_WHILE if of == mark else "private, no-cache")
