"""A deep fit for idle hours, and whether the quick one still agrees with it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from watervane.inference.fitting import THOROUGH, Fitted, fit_members
from watervane.process.timeline import Timeline
from watervane.records import Finding, Reading

DEEP_MEMBERS = 4000
ERRORS = 4.0  # Monte Carlo errors that chance alone may put between two fits of many unknowns
DISAGREES = "deep-fit-disagrees"
SHIFT, WIDENING = 0.15, 1.25  # beyond them: shift in spreads, ratio of spreads


@dataclass(frozen=True)
class Comparison:
    """How a quick fit differs from a deep one.

    Parameters
    ----------
    name
        The unknown that differs most.
    shift
        Of its mean, in spreads of the deep fit. [-]
    widening
        Its spread over that of the deep fit. [-]
    alarm
        Whether more than chance lies between them.
    members
        Of the deep fit.
    """

    name: str
    shift: float
    widening: float
    alarm: bool
    members: int

    @property
    def findings(self) -> tuple[Finding, ...]:
        """A caution where the two disagree, else a word that they agree."""
        if not self.alarm:
            return (Finding("deep-fit-agrees", "info", {"members": self.members}),)
        told = {
            "members": self.members,
            "unknown": self.name,
            "shift": round(self.shift, 2),
            "widening": round(self.widening, 2),
        }
        return (Finding(DISAGREES, "caution", told),)


def deep_fit(
    line: Timeline,
    readings: Sequence[Reading],
    seed: int,
    threads: int,
    *,
    members: int = DEEP_MEMBERS,
    progress: Callable[[float], None] | None = None,
) -> Fitted:
    """Fit anew with many members, moved until they have forgotten; takes minutes."""
    return fit_members(line, readings, members, seed, threads, effort=THOROUGH, progress=progress)


def compared(quick: Fitted, deep: Fitted) -> Comparison:
    """Hold a quick fit against a deep one of the same readings.

    Raises
    ------
    ValueError
        If they are not of the same unknowns.
    """
    if quick.z is None or deep.z is None or quick.names != deep.names:
        raise ValueError("only fits of the same unknowns can be compared")
    spread = deep.z.std(axis=1)
    shift = (quick.z.mean(axis=1) - deep.z.mean(axis=1)) / spread
    widening = quick.z.std(axis=1) / spread
    error = np.sqrt(1.0 / quick.effective + 1.0 / deep.effective)
    # The spread of a normal sample is sure to the root of half the sample's inverse size.
    beyond = np.maximum(
        (np.abs(shift) - SHIFT) / error,
        (np.abs(np.log(widening)) - np.log(WIDENING)) / (error / np.sqrt(2.0)),
    )
    worst = int(np.argmax(beyond))
    return Comparison(
        quick.names[worst],
        float(shift[worst]),
        float(widening[worst]),
        bool(beyond[worst] > ERRORS),
        len(deep.members),
    )
