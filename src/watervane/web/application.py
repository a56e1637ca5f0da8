"""The app: its routes, what it says when something is wrong, and the guard around it all."""

from __future__ import annotations

import logging
from functools import partial

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse
from starlette.exceptions import HTTPException
from starlette.middleware.gzip import GZipMiddleware
from starlette.responses import Response
from starlette.types import ASGIApp, Scope

from watervane.app import BadInput, Ports
from watervane.records import Finding, Person
from watervane.web.ahead import Ahead
from watervane.web.desk import Desk
from watervane.web.devices_shown import device_called
from watervane.web.drawings import Drawings
from watervane.web.gate import Gate
from watervane.web.guard import Guard
from watervane.web.reader import AsReadersKnow
from watervane.web.renderer import Renderer
from watervane.web.routes import ROUTES
from watervane.web.routes.first_plan import first_plan
from watervane.web.sent import PASSED
from watervane.web.sharing import Share, SharedGate
from watervane.web.shell import ToldToOutbox

NOT_FOUND = 404
CONFLICT = 409
PACKED = 5  # how hard pages are packed while somebody waits; what is kept is packed to the utmost
UNKNOWN = frozenset({"tank-unknown", "tank-none", "entry-unknown"})
log = logging.getLogger("watervane.web")


def make_app(
    ports: Ports,
    gate: Gate,
    actor: Person | None = None,
    notice: str = "",
    share: Share | None = None,
    *,
    draw_ahead: bool = False,
    plan_ahead: bool = False,
) -> ASGIApp:
    """The pages of one actor, behind a gate.

    Parameters
    ----------
    ports
        The outside parts.
    gate
        Whom to let in.
    actor
        Who works at the pages; the loopback user where nobody is told.
    notice
        Key of a sentence that stands on every page.
    share
        What this door has in common with another one; ``None`` where nothing is shared.
    draw_ahead
        Whether drawings are made before they are asked for.
    plan_ahead
        Whether opening the form of a plan does ahead what the first plan needs.
    """
    pages = FastAPI(title="Watervane", docs_url=None, redoc_url=None, openapi_url=None)
    actor, drawings = actor or Person(), Drawings(ports.pages.cache)
    renderer = Renderer(notice)
    ahead = Ahead(actor, ports, drawings, renderer.warm) if draw_ahead else None
    desk = Desk(ports, actor, gate, renderer, drawings, share, ahead)
    if plan_ahead:
        desk.plans.does(partial(first_plan, desk))
    pages.state.desk = desk
    for routes in ROUTES:  # as they are: a router that is included makes each of them anew
        pages.router.routes.extend(routes.routes)
    pages.add_exception_handler(BadInput, _bad_input)
    pages.add_exception_handler(HTTPException, _http_error)
    pages.add_exception_handler(Exception, _failure)
    pages.add_middleware(GZipMiddleware, minimum_size=1000, compresslevel=PACKED)
    pages.add_middleware(ToldToOutbox)
    pages.add_middleware(AsReadersKnow)

    def refuse(key: str, status: int, scope: Scope) -> Response:
        request = Request(scope)
        template = "pair.html" if key == SharedGate.refusal else "trouble.html"
        return desk.pages.page(
            template,
            request,
            status,
            title_key=key,
            findings=(),
            code="",
            name=device_called(request),
            stranger=True,
        )

    return Guard(pages, gate, refuse)


def _trouble(
    request: Request, status: int, key: str, findings: tuple[Finding, ...] = ()
) -> HTMLResponse:
    desk: Desk = request.app.state.desk
    return desk.pages.page("trouble.html", request, status, title_key=key, findings=findings)


def _bad_input(request: Request, error: Exception) -> HTMLResponse:
    problems = error.problems if isinstance(error, BadInput) else ()
    keys = {problem.key for problem in problems}
    status = NOT_FOUND if keys & UNKNOWN else CONFLICT if PASSED in keys else 422
    return _trouble(request, status, "trouble-input", problems)


def _http_error(request: Request, error: Exception) -> HTMLResponse:
    status = error.status_code if isinstance(error, HTTPException) else 500
    return _trouble(request, status, "trouble-lost" if status == NOT_FOUND else "trouble-request")


def _failure(request: Request, error: Exception) -> HTMLResponse:
    log.error("a page failed", exc_info=error)
    return _trouble(request, 500, "trouble-inside")
