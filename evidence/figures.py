"""Pictures of the evidence page."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

import vl_convert

INK, ACCENT, PALE = "#1b1a17", "#1f5f6b", "#8a857a"
Row = dict[str, object]


def coverage_picture(rows: Sequence[Row], path: Path) -> None:
    """Draw what 80 % intervals covered: members filled, prior hollow, 80 % as a line.

    Parameters
    ----------
    rows
        With ``tanks``, ``quantity``, ``posterior`` and ``prior`` [%].
    path
        Of the SVG.
    """
    dots = [
        {**row, "from": source, "covered": row[source]}
        for row in rows
        for source in ("posterior", "prior")
    ]
    spec = {
        "$schema": "https://vega.github.io/schema/vega-lite/v5.json",
        "config": {"font": "sans-serif", "background": "#ffffff"},
        "facet": {
            "row": {
                "field": "tanks",
                "header": {
                    "title": None,
                    "labelAngle": 0,
                    "labelAlign": "left",
                    "labelOrient": "top",
                },
            }
        },
        "spec": {
            "width": 460,
            "layer": [
                {
                    "data": {"values": [{"claimed": 80}]},
                    "mark": {"type": "rule", "strokeDash": [4, 3], "color": PALE},
                    "encoding": {"x": {"field": "claimed", "type": "quantitative"}},
                },
                {
                    "mark": {"type": "point", "size": 70, "strokeWidth": 1.5},
                    "encoding": {
                        "x": {
                            "field": "covered",
                            "type": "quantitative",
                            "scale": {"domain": [0, 100]},
                            "title": "truths inside the 80 % interval, %",
                        },
                        "y": {"field": "quantity", "type": "nominal", "title": None},
                        "shape": {
                            "field": "from",
                            "scale": {
                                "domain": ["posterior", "prior"],
                                "range": ["circle", "triangle"],
                            },
                            "title": None,
                        },
                        "color": {
                            "field": "from",
                            "scale": {
                                "domain": ["posterior", "prior"],
                                "range": [ACCENT, PALE],
                            },
                            "title": None,
                        },
                        "fill": {
                            "field": "from",
                            "scale": {
                                "domain": ["posterior", "prior"],
                                "range": [ACCENT, "#ffffff"],
                            },
                            "title": None,
                        },
                    },
                },
            ],
        },
        "data": {"values": dots},
        "resolve": {"scale": {"y": "independent"}},
    }
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(vl_convert.vegalite_to_svg(json.dumps(spec)), encoding="utf-8")
