"""Templates to pages. Every sentence comes out of the catalogue, every value is escaped."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined

from watervane.web.assets import asset_path
from watervane.web.drawings import script_path
from watervane.web.marks import marked_paths
from watervane.wording import finding_line, first_aid, phrase

LOOKS = ("auto", "light", "dark")
LOOK_COOKIE = "look"
OF_A_TANK = ("tank.html", "base.html", "parts.html", "inside.html", "entries.html", "days.html",
             "outbox.html")  # fmt: skip

_UNITS = r"(?:mg|g|L|mL|US gal|imp gal|%|dKH|dGH|meq|°C|°F|cm|h|d|minutes|days|of)"
_LOOSE = re.compile(rf"(?<=\d) (?={_UNITS}\b|%)|(?<=of) (?=\d)|(?<=mg) (?=N/L)")


def bound(text: str) -> str:
    """A sentence whose numbers stay on one line with their units."""
    return _LOOSE.sub("\N{NO-BREAK SPACE}", text)


@cache
def _templates() -> Environment:
    """The templates of the package, compiled once, however many doors they are shown at."""
    templates = Environment(
        loader=PackageLoader("watervane.web"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    templates.filters["bound"] = bound
    templates.globals.update(
        aid=first_aid,
        say=phrase,
        finding=finding_line,
        asset=asset_path,
        marks=marked_paths,
        drawing_script=script_path,
    )
    return templates


class Renderer:
    """The pages of one door: what is told to a template, and what stands on each page."""

    def __init__(self, notice: str = "") -> None:
        self._notice = notice

    def warm(self) -> None:
        """Compile what a tank's page is made of, before somebody waits for it."""
        for name in OF_A_TANK:
            _templates().get_template(name)

    def text(self, template: str, request: Request, **told: Any) -> str:
        """A page as text."""
        common = {
            "look": look_of(request),
            "path": request.url.path,
            "stranger": False,
            "notice": self._notice,
        }
        return _templates().get_template(template).render({**common, **told})

    def page(
        self,
        template: str,
        request: Request,
        status: int = 200,
        headers: Mapping[str, str] | None = None,
        **told: Any,
    ) -> HTMLResponse:
        """A page as an answer."""
        return HTMLResponse(self.text(template, request, **told), status, headers)


def look_of(request: Request) -> str:
    """Light, dark, or as the machine is set: what this browser was told last."""
    told = request.cookies.get(LOOK_COOKIE, LOOKS[0])
    return told if told in LOOKS else LOOKS[0]
