"""Put a tank away after a look at what goes out of sight, and bring it back."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse
from starlette.responses import Response

from watervane.app.putting_away import bring_back, out_of_sight, put_away, tanks_put_away
from watervane.web.desk import AtDesk
from watervane.web.sent import AsSent, new_request

routes = APIRouter()


@routes.get("/tank/{key}/put-away")
def ask_to_put_away(request: Request, desk: AtDesk, key: str) -> Response:
    """What goes out of sight, before anything does."""
    out = out_of_sight(desk.actor, key, desk.ports)
    return desk.pages.page("put_away.html", request, key=key, out=out, asking=new_request())


@routes.post("/tank/{key}/put-away")
def do_put_away(desk: AtDesk, sent: AsSent, key: str) -> Response:
    """Put it away; the next page brings it back in one tap."""
    put_away(desk.actor, key, desk.ports, sent.request)
    return RedirectResponse(f"/put-away?just={key}#just", 303)


@routes.post("/tank/{key}/bring-back")
def do_bring_back(desk: AtDesk, sent: AsSent, key: str) -> Response:
    """Put it on the lists again."""
    bring_back(desk.actor, key, desk.ports, sent.request)
    return RedirectResponse(f"/tank/{key}", 303)


@routes.get("/put-away")
def show_put_away(request: Request, desk: AtDesk, just: str = "") -> Response:
    """Every tank that was put away."""
    tanks = tanks_put_away(desk.actor, desk.ports)
    name = next((each.name for each in tanks if each.key == just), "")
    return desk.pages.page("tanks_away.html", request, tanks=tanks, just=name, asking=new_request())
