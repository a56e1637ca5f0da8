"""Simulated tanks on the evidence page: how good the date of *settled* is, day by day."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from evidence.figures import ACCENT, INK, PALE, SCHEMA
from evidence.sections import RUN_IT, Picture, Section, table
from evidence.simulated_tanks import HORIZON_DAYS, Case, Found
from evidence.tank_runs import kept
from evidence.tank_runs import run as run_tanks

TITLE = "Skill, day by day"
SOURCES = ("posterior", "prior", "rule")
TURNED_D = 2.0  # nitrite peaked so long before the last reading: it is seen to fall
LEAST_TANKS = 10
OPENING = f"""\
CRPS of the *settled* date in days, smaller is better; dates past day {HORIZON_DAYS} count as day
{HORIZON_DAYS}. The rule is "four to six weeks after filling", every day alike. Tanks are those of
the calibration, each read on every second day up to the day told."""
AIMS = """\
Aimed at: a ratio to the rule of at most 0.8 over unseeded tanks and 0.6 over all on day 12, at most
0.6 over unseeded tanks once nitrite has turned down, and never more than 1.05 over the prior."""


def run(*, anew: bool, workers: int) -> None:
    """Fit all tanks that are not kept yet."""
    run_tanks(anew=anew, workers=workers)


def section() -> Section:
    """Tables, and a curve of ratios by day."""
    own, others = _own(), _others()
    if not own:
        return Section(TITLE, RUN_IT)
    rows = [_row(f"ours, {kind}, day {day}", found) for (kind, day), found in sorted(own.items())]
    seeded, unseeded = own.get(("seeded", 12), []), own.get(("unseeded", 12), [])
    few = min(len(seeded), len(unseeded))
    if few:
        both = [*seeded[:few], *unseeded[:few]]
        rows.append(_row("ours, as many seeded as unseeded, day 12", both))
    turned = [
        found
        for (kind, day), several in own.items()
        for found in several
        if kind == "unseeded" and found.days["nitrite peak"] + TURNED_D <= day
    ]
    if turned:
        rows.append(_row("ours, unseeded, nitrite has turned down", turned))
    rows += [_row(f"{c.structure}, {_kind(c)}, day {c.until}", found) for c, found in others]
    head = ("tanks", "number", *SOURCES, "over rule", "over prior")
    return Section(TITLE, f"{OPENING}\n\n{AIMS}\n\n{table(head, rows)}", (_curve(own),))


def _own() -> dict[tuple[str, int], list[Found]]:
    found: dict[tuple[str, int], list[Found]] = {}
    for case, _, each in kept():
        if case.structure == "ours" and case.restless:
            found.setdefault((_kind(case), case.until), []).append(each)
    return found


def _others() -> list[tuple[Case, list[Found]]]:
    found: dict[Case, list[Found]] = {}
    for case, _, each in kept():
        if case.structure != "ours":
            found.setdefault(case, []).append(each)
    return list(found.items())


def _kind(case: Case) -> str:
    return "seeded" if case.seeded else "unseeded"


def _means(found: Sequence[Found]) -> dict[str, float]:
    return {name: float(np.mean([f.score_d[name] for f in found])) for name in SOURCES}


def _row(what: str, found: Sequence[Found]) -> tuple[object, ...]:
    mean = _means(found)
    return (
        what,
        len(found),
        *(f"{mean[name]:.1f}" for name in SOURCES),
        f"{mean['posterior'] / mean['rule']:.2f}",
        f"{mean['posterior'] / mean['prior']:.2f}",
    )


def _error(found: Sequence[Found]) -> float:
    """Standard error of the ratio to the rule, tanks drawn again and again."""
    rng = np.random.default_rng(1)
    told = np.array([[f.score_d[n] for n in ("posterior", "rule")] for f in found])
    drawn = told[rng.integers(len(told), size=(400, len(told)))].mean(axis=1)
    return float((drawn[:, 0] / drawn[:, 1]).std())


def _curve(own: dict[tuple[str, int], list[Found]]) -> Picture:
    """Ratio to the rule by day of the last reading, posterior and prior, with its error."""
    dots: list[dict[str, object]] = []
    for (kind, day), found in own.items():
        if len(found) < LEAST_TANKS:
            continue
        mean, error = _means(found), _error(found)
        for source in ("posterior", "prior"):
            ratio = mean[source] / mean["rule"]
            bar = source == "posterior"
            dots.append(
                {"tanks": kind, "day": day, "source": source, "ratio": ratio,
                 "low": ratio - error if bar else None, "high": ratio + error if bar else None}
            )  # fmt: skip
    by_day = {"field": "day", "type": "quantitative", "title": "day of the last reading"}
    colour = {
        "field": "source",
        "scale": {"domain": ["posterior", "prior"], "range": [ACCENT, PALE]},
        "legend": {"title": None, "orient": "top"},
    }
    by_ratio = {
        "field": "ratio",
        "type": "quantitative",
        "title": "CRPS over that of the rule",
        "scale": {"zero": True},
    }
    dash = {"field": "source", "legend": None,
            "scale": {"domain": ["posterior", "prior"], "range": [[1, 0], [5, 3]]}}  # fmt: skip
    spec: dict[str, Any] = {
        "$schema": SCHEMA,
        "config": {"font": "sans-serif", "background": "#ffffff"},
        "data": {"values": dots},
        "facet": {"column": {"field": "tanks", "title": None,
                             "header": {"labelFontSize": 12, "labelFontWeight": "bold"}}},
        "spec": {
            "width": 250,
            "height": 200,
            "layer": [
                {"mark": {"type": "rule", "color": INK, "strokeDash": [2, 2]},
                 "encoding": {"y": {"datum": 1.0}}},
                {"transform": [{"filter": "isValid(datum.low)"}],
                 "mark": {"type": "rule", "strokeWidth": 1.5},
                 "encoding": {"x": by_day, "y": {"field": "low", "type": "quantitative"},
                              "y2": {"field": "high"}, "color": colour}},
                {"mark": {"type": "line", "point": {"size": 45}},
                 "encoding": {"x": by_day, "y": by_ratio, "color": colour, "strokeDash": dash}},
            ],
        },
    }  # fmt: skip
    caption = (
        "Score of the settled date over that of the four-to-six-weeks rule, by day of the last "
        "reading: seeded and unseeded tanks apart, the prior dashed, standard errors as bars"
    )
    return Picture("skill", caption, spec)
