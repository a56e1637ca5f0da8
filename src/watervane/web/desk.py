"""What every page works with: the actor, the ports and the renderer."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated

from fastapi import Depends, Request

from watervane.app import Ports
from watervane.app.log import entry_of_tank
from watervane.records import Entry, Person
from watervane.web.ahead import Ahead
from watervane.web.drawings import Drawings
from watervane.web.gate import Gate
from watervane.web.pace import Pace
from watervane.web.plans_ahead import PlansAhead
from watervane.web.renderer import Renderer
from watervane.web.sharing import Share

MOST_TOLD = 80  # entries of one write


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
    pace: Pace = field(default_factory=Pace)
    plans: PlansAhead = field(default_factory=PlansAhead)

    def entries_named(self, key: str, numbers: str) -> list[Entry]:
        """The entries of a tank that an address names, those that are not its own left out."""
        told = [int(each) for each in numbers.split(",")[:MOST_TOLD] if each.isdecimal()]
        found = [entry_of_tank(self.actor, key, number, self.ports) for number in told]
        return [each for each in found if each is not None]


def _desk_of(request: Request) -> Desk:
    desk: Desk = request.app.state.desk
    return desk


AtDesk = Annotated[Desk, Depends(_desk_of)]
