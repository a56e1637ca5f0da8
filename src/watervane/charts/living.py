"""Drawings for pages of the program: still ones in two widths, and a living one."""

from __future__ import annotations

import hashlib
from importlib import resources
from typing import Any

from watervane.charts.colonies_spec import ColoniesPicture, colonies_spec
from watervane.charts.ledger_spec import LedgerPicture, ledger_spec
from watervane.charts.moving import moving_spec
from watervane.charts.picture import Picture
from watervane.charts.spec import forecast_spec
from watervane.charts.theme import DARK, FONT, LIGHT, PAGE, config

VEGA_LITE = "6.4"
WIDE, NARROW = 720, 300  # of the drawn panels [px]
PADDING = {"left": 4, "right": 12, "top": 4, "bottom": 4}
# One spoken name for the whole drawing, given by the page: a hundred nameless marks tell less.
UNSPOKEN: dict[str, Any] = {"aria": False, "mark": {"aria": False}}
PAGE_FONT = f"Source Sans, {FONT}"  # which the page brings along; a still drawing cannot
THEMES = {"light": LIGHT, "dark": DARK}


def still_drawing(picture: Picture, *, narrow: bool) -> dict[str, Any]:
    """The picture to be drawn as SVG, without title and guide: those stand on the page.

    Its colours are names yet, so that it is drawn once for day and night; see `coloured`.

    Parameters
    ----------
    picture
        What to draw.
    narrow
        For a telephone.
    """
    bare = forecast_spec(picture, titled=False, width=NARROW if narrow else WIDE)
    return {**bare, "padding": PADDING, "config": {**config(PAGE), **UNSPOKEN}}


def coloured(svg: str, look: str) -> str:
    """A drawing with the colours of a look in place of their names.

    Parameters
    ----------
    svg
        As `still_drawing` was drawn.
    look
        ``light`` or ``dark``.
    """
    theme = THEMES[look]
    for name in ("paper", "ink", "faint", "rule", "accent"):
        svg = svg.replace(getattr(PAGE, name), getattr(theme, name))
    return svg


def still_ledger(picture: LedgerPicture, look: str, *, narrow: bool) -> dict[str, Any]:
    """The nitrogen ledger to be drawn, without its title; see `still_drawing`."""
    return _still(ledger_spec(picture, titled=False, width=NARROW if narrow else WIDE), look)


def still_colonies(picture: ColoniesPicture, look: str, *, narrow: bool) -> dict[str, Any]:
    """The colonies to be drawn, without their title; see `still_drawing`."""
    return _still(colonies_spec(picture, titled=False, width=NARROW if narrow else WIDE), look)


def _still(bare: dict[str, Any], look: str) -> dict[str, Any]:
    return {**bare, "config": {**config(THEMES[look]), **UNSPOKEN}}


def living_drawing(picture: Picture) -> dict[str, Any]:
    """What the script of a page draws: a specification, and colours left to the style sheet."""
    spec = {**moving_spec(forecast_spec(picture, titled=False)), "padding": PADDING}
    return {"spec": spec, "config": {**config(PAGE, PAGE_FONT), **UNSPOKEN}}


def living_digest() -> str:
    """Changes with our own part of the script."""
    return hashlib.sha256(own_part().encode()).hexdigest()[:12]


def own_part() -> str:
    """Our own part of the script of a page, to be put together with the drawing library."""
    place = resources.files("watervane.charts").joinpath("living.js")
    return place.read_text(encoding="utf-8")
