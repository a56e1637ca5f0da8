"""From the chances forecasters gave to all that a kit could show to the scores they earn."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from watervane.engine.showable import Showable, middle
from watervane.forecast.scores import crps, log_score, places
from watervane.records import Mark, ScoreRow

Numbers = NDArray[np.float64]


def score_row(as_of: datetime, one: Showable, chances: Mapping[str, Numbers]) -> ScoreRow:
    """Score one reading.

    Parameters
    ----------
    as_of
        Of the forecast.
    one
        The reading, and what else could have been shown.
    chances
        By forecaster, see `kit_chances`.
    """
    low, high = one.shown
    # "More than 5" tells values over 5 no further apart: for CRPS all of them are 5.
    values, observed = one.values, middle(one.reading.value, one.reading.quantity)
    if high == np.inf:
        values, observed = np.minimum(values, low), low
    elif low == -np.inf:
        values, observed = np.maximum(values, high), high
    marks = {}
    for name, told in chances.items():
        of_values = told[:-1] / told[:-1].sum()
        marks[name] = Mark(
            log_score(float(told[-1])),
            crps(values, of_values, observed),
            places(one.values, of_values, low, high),
        )
    reading = one.reading
    return ScoreRow(as_of, reading.at, reading.quantity, reading.value.raw, marks, reading.kit)
