"""From scored readings to the few numbers one looks at."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from watervane.forecast.scores import share_inside
from watervane.records import (
    COVERED,
    LAST_VALUE,
    OWN,
    PRIOR,
    TREND,
    ScoreRow,
    ScoreSummary,
)

FORECASTERS = (OWN, PRIOR, LAST_VALUE, TREND)


def summaries(rows: Sequence[ScoreRow]) -> tuple[ScoreSummary, ...]:
    """Means by quantity and forecaster, then over all quantities.

    Parameters
    ----------
    rows
        Scored readings.
    """
    quantities = list(dict.fromkeys(row.quantity for row in rows))
    by_quantity = [
        _of(quantity, name, [r for r in rows if r.quantity == quantity and name in r.marks])
        for quantity in quantities
        for name in FORECASTERS
    ]
    found = [one for one in by_quantity if one is not None]
    for name in FORECASTERS:
        one = _of("", name, [r for r in rows if name in r.marks])
        if one is not None:
            found.append(_with_ratio(one, [f for f in found if f.forecaster == name]))
    return tuple(found)


def _of(quantity: str, name: str, rows: Sequence[ScoreRow]) -> ScoreSummary | None:
    if not rows:
        return None
    marks = [row.marks[name] for row in rows]
    score = float(np.mean([m.crps for m in marks]))
    own = [row.marks[OWN].crps for row in rows if OWN in row.marks]
    ratio = float(np.mean(own)) / score if own and score > 0.0 else None
    return ScoreSummary(
        quantity=quantity,
        forecaster=name,
        count=len(rows),
        log_score=float(np.mean([m.log_score for m in marks])),
        crps=score if quantity else None,
        crps_ratio=ratio if quantity else None,
        covered=tuple(sum(share_inside(m.place, level) for m in marks) for level in COVERED),
    )


def _with_ratio(one: ScoreSummary, parts: Sequence[ScoreSummary]) -> ScoreSummary:
    """Quantities differ in their units, so their ratios are joined and not their scores."""
    told = [(p.count, p.crps_ratio) for p in parts if p.crps_ratio]
    if not told:
        return one
    total = sum(count for count, _ in told)
    ratio = math.exp(sum(count * math.log(r) for count, r in told) / total)
    return ScoreSummary(
        one.quantity,
        one.forecaster,
        one.count,
        one.log_score,
        None,
        ratio,
        one.covered,
    )
