"""What every page works with: the actor, the ports and the renderer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends, Request

from watervane.app import Ports
from watervane.records import Person
from watervane.web.ahead import Ahead
from watervane.web.drawings import Drawings
from watervane.web.gate import Gate
from watervane.web.renderer import Renderer
from watervane.web.sharing import Share


@dataclass(frozen=True)
class Desk:
    """The parts behind one server."""

    ports: Ports
    actor: Person
    gate: Gate
    pages: Renderer
    drawings: Drawings
    share: Share | None = None
    ahead: Ahead | None = None


def _desk_of(request: Request) -> Desk:
    desk: Desk = request.app.state.desk
    return desk


AtDesk = Annotated[Desk, Depends(_desk_of)]
