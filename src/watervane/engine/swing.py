"""Which reading, taken now, would change the verdict most, and to what."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from watervane.advice.information import Information
from watervane.advice.questions import yes_or_no
from watervane.engine.futures import Standing
from watervane.engine.kit_chances import chances_by_member, witnesses
from watervane.engine.next_test import test_templates
from watervane.engine.showable import Showable, showable
from watervane.process.run import Course
from watervane.records import Swing

Flags = NDArray[np.bool_]
LEAST_CHANGE = 0.2  # of a chance, to be told
LEAST_SHOWN = 0.03  # chance of a side of a kit's scale, to be told of


def swing(standing: Standing, planned: Course, harmed: Flags, seed: int) -> Swing | None:
    """The most telling reading now, and the chance of harm after its low and its high end.

    Parameters
    ----------
    standing
        The members.
    planned
        Their future from the start of today.
    harmed
        Which members are harmed, shape (members,).
    seed
        Of the forecast.

    Returns
    -------
    Swing
        ``None`` where all members agree, or no reading would change the verdict.
    """
    if harmed.all() or not harmed.any() or standing.fitted.health == "poor":
        return None
    own = test_templates(standing.tank, standing.readings, standing.calendar)
    covered = {template.quantity for template in own}
    usual = test_templates(replace(standing.tank, kits={}), (), standing.calendar)
    later = [
        showable(standing.tank, replace(template, at=standing.as_of))
        for template in (*own, *(each for each in usual if each.quantity not in covered))
    ]
    later = [one for one in later if not one.series]
    if not later:
        return None
    members = witnesses(planned, standing.fitted, standing.calendar, seed)
    chances = chances_by_member(standing.tank, [], later, members)
    shares = [each[:-1] / each[:-1].sum(axis=0) for each in chances]
    effective = min(standing.fitted.effective, float(len(harmed)))
    bits = Information(shares, yes_or_no(harmed), effective).bits
    best = int(np.argmax(bits))
    return _told(later[best], shares[best], harmed)


def _told(one: Showable, shares: NDArray[np.float64], harmed: Flags) -> Swing | None:
    """The cut of the scale that sets both chances farthest apart, where both sides are likely."""
    shown = shares.mean(axis=1)
    with_harm = (shares * harmed).mean(axis=1)
    found: tuple[float, Swing] | None = None
    for cut in range(1, len(shown)):
        low, high = float(shown[:cut].sum()), float(shown[cut:].sum())
        if min(low, high) < LEAST_SHOWN:
            continue
        if_low, if_high = float(with_harm[:cut].sum()) / low, float(with_harm[cut:].sum()) / high
        apart = low * high * abs(if_high - if_low) ** 2
        if abs(if_high - if_low) >= LEAST_CHANGE and (found is None or apart > found[0]):
            told = Swing(
                one.reading.quantity,
                one.reading.kit,
                one.reading.value.basis,
                float(one.values[cut - 1]),
                float(one.values[cut]),
                if_low,
                if_high,
                low,
                high,
            )
            found = apart, told
    return None if found is None else found[1]
