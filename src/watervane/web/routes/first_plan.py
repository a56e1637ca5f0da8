"""A plan of nobody's, so that nothing of the first keeper's plan is done for the first time."""

from __future__ import annotations

from urllib.parse import urlencode

from fastapi import Request

from watervane.web.desk import Desk
from watervane.web.routes.blueprint import plan
from watervane.web.routes.choosing import choose

LIVE = {"live": "1"}
TANK = {"length": "60", "width": "30", "height": "36", "coldest": "17", "warmest": "28"}
TAP = {"kh": "11", "gh": "15", "ph": "7.8", "nitrate": "30", "chloramine": "1"}
MIXED = {"want-gh": "4..8", "want-kh": "2..4", "membrane": "yes"}
LOAD = {"species-1": "zebra danio", "count-1": "10", "species-2": "axolotl"}


def first_plan(desk: Desk) -> None:
    """Plan and choose as the pages do: one that stands, one that does not, a mixture."""
    desk.ports.blueprint.warm_up()
    for told in (TANK | LOAD | TAP | MIXED, TANK | TAP):
        plan(_asked("/blueprint", told), desk)
    choose(_asked("/blueprint/choose", TANK | LOAD | TAP), desk)


def _asked(path: str, told: dict[str, str]) -> Request:
    """As a browser asks while somebody types."""
    query = urlencode(told | LIVE).encode()
    return Request({"type": "http", "path": path, "query_string": query, "headers": []})
