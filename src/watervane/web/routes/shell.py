"""The shell that browsers keep, and the page that stands where there is no network."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import JSONResponse, Response

from watervane.app import list_tanks
from watervane.web.desk import AtDesk
from watervane.web.shell import ALONE, LIST, MANIFEST, WORKER, manifest, shell_list, shell_script

routes = APIRouter()


@routes.get(WORKER)
def send_worker() -> Response:
    """The script between the pages and the network; browsers ask for it anew each time."""
    headers = {"cache-control": "no-cache", "service-worker-allowed": "/"}
    return Response(shell_script(), media_type="text/javascript", headers=headers)


@routes.get(LIST)
def list_shell(desk: AtDesk) -> Response:
    """What is to be kept."""
    return JSONResponse(shell_list([each.key for each in list_tanks(desk.actor, desk.ports)]))


@routes.get(ALONE)
def stand_alone(request: Request, desk: AtDesk) -> Response:
    """What can be done without a network."""
    tanks = list_tanks(desk.actor, desk.ports)
    return desk.pages.page("offline.html", request, tanks=tanks)


@routes.get(MANIFEST)
def send_manifest() -> Response:
    """Name and icons for the home screen."""
    return Response(manifest(), media_type="application/manifest+json")
