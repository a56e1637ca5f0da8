"""Paper, ink and one accent, by day and by night."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

FONT = "Liberation Sans, Helvetica Neue, Helvetica, Arial, sans-serif"


@dataclass(frozen=True, slots=True)
class Theme:
    """The colours of one page; nothing is told by them alone."""

    paper: str
    ink: str
    faint: str
    rule: str
    accent: str
    outer_opacity: float
    inner_opacity: float


LIGHT = Theme("#fcfaf5", "#22272b", "#6a6f70", "#ddd8cb", "#a8401c", 0.13, 0.22)
DARK = Theme("#15181a", "#e9e5dc", "#a9adab", "#363b3d", "#f2956b", 0.15, 0.25)
# A page lets its style sheet choose, so that day, night and print share one drawing.
PAGE = Theme(
    "var(--paper)", "var(--ink)", "var(--faint)", "var(--rule)", "var(--accent)", 0.14, 0.24
)


def config(theme: Theme, font: str = FONT) -> dict[str, Any]:
    """The Vega-Lite configuration of a theme; a spec itself names no colour and no letters."""
    text = {"font": font, "color": theme.ink}
    halo = {"stroke": theme.paper, "strokeWidth": 3, "strokeOpacity": 0.8, "strokeJoin": "round"}
    return {
        "background": theme.paper,
        "font": font,
        "view": {"stroke": None},
        "title": {
            **text,
            "subtitleFont": font,
            "subtitleColor": theme.ink,
            "fontSize": 15,
            "fontWeight": 600,
            "anchor": "start",
            "frame": "group",
            "offset": 8,
        },
        "axis": {
            "labelFont": font,
            "labelColor": theme.ink,
            "labelFontSize": 13,
            "domainColor": theme.faint,
            "tickColor": theme.faint,
            "gridColor": theme.rule,
            "titleFont": font,
            "titleColor": theme.ink,
        },
        "style": {
            "outer-band": {"color": theme.ink, "fillOpacity": theme.outer_opacity},
            "inner-band": {"color": theme.ink, "fillOpacity": theme.inner_opacity},
            "median": {"color": theme.ink, "strokeWidth": 2},
            "reading": {"color": theme.accent, "strokeWidth": 5, "strokeCap": "butt"},
            "reading-late": {"color": theme.accent, "strokeWidth": 1.5},
            "reading-point": {"color": theme.accent, "filled": True, "opacity": 1},
            "reading-late-point": {"color": theme.accent, "filled": False, "opacity": 1},
            "limit": {"color": theme.ink, "strokeDash": [6, 3], "strokeWidth": 1},
            "limit-halo": {
                **_label(theme, font),
                "fontStyle": "italic",
                "stroke": theme.paper,
                "strokeWidth": 3,
                "strokeJoin": "round",
            },
            "limit-label": {**_label(theme, font), "fontStyle": "italic"},
            "now": {"color": theme.accent, "strokeWidth": 1.2},
            "chosen": {"color": theme.ink, "strokeWidth": 1.2, "strokeDash": [1, 3]},
            "now-label": {**_label(theme, font), "color": theme.accent, "fontWeight": 600},
            "flag-pole": {"color": theme.faint, "strokeWidth": 1},
            "flag": {"color": theme.faint, "filled": True, "opacity": 1},
            "flag-letter": {**_label(theme, font), "fontSize": 12},
            "flow-bar": {"color": theme.ink, "opacity": 1},
            "flow-group": {**_label(theme, font), "fontStyle": "italic"},
            "flow-name": {**_label(theme, font), "fontWeight": 600},
            "flow-number": _label(theme, font),
            "flow-name-halo": {**_label(theme, font), "fontWeight": 600, **halo},
            "flow-number-halo": {**_label(theme, font), **halo},
            "load": {"color": theme.accent, "strokeWidth": 2, "strokeDash": [6, 3]},
            "load-edge": {"color": theme.accent, "strokeWidth": 0.8, "strokeDash": [2, 3]},
        },
    }


def _label(theme: Theme, font: str) -> dict[str, Any]:
    return {"font": font, "fontSize": 12, "color": theme.ink}
