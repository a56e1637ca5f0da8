"""How likely a reading is, given what the water really held.

A kit shows intervals. Its error is a spread about the true value, a steady bias of
this kit, and now and then (`OUTLIER_SHARE`) nothing to do with the water at all. A
value read off a scale means "nearest step"; the probability of that interval is summed
over the error, the top step is open. Spreads are house estimates: reading coloured
steps by eye is good to about one step (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from watervane.records import Kit, Reading

OUTLIER_SHARE = 0.03
BIAS_SPREAD = 0.15
RELATIVE_ERROR = {"drop": 0.18, "strip": 0.30, "photometer": 0.08, "probe": 0.05}


@dataclass(frozen=True, slots=True)
class Scale:
    """What is usual for a quantity when the kit's own steps are not told.

    Parameters
    ----------
    floor
        Error where the value itself tends to zero, in the quantity's unit.
    half_step
        Half the distance to the next step near zero.
    relative_step
        Half the distance to the next step, relative to the value.
    span
        Range an outlier may fall in.
    """

    floor: float
    half_step: float
    relative_step: float
    span: float


SCALES = {
    "ammonia": Scale(0.06, 0.12, 0.3, 8.0),
    "nitrite": Scale(0.03, 0.05, 0.3, 5.0),
    "nitrate": Scale(0.6, 1.2, 0.3, 60.0),
    "ph": Scale(0.12, 0.2, 0.0, 4.0),
    "kh": Scale(0.4, 0.5, 0.05, 20.0),
    "gh": Scale(0.5, 0.5, 0.05, 30.0),
    "oxygen": Scale(0.4, 0.5, 0.05, 15.0),
    "co2": Scale(2.0, 2.0, 0.2, 40.0),
    "temperature": Scale(0.4, 0.5, 0.0, 20.0),
    "chlorine": Scale(0.05, 0.05, 0.3, 5.0),
    "chloride": Scale(5.0, 5.0, 0.1, 300.0),
}
RATIO_ION_TO_N = {"ammonia": 1.28785, "nitrite": 3.28454, "nitrate": 4.42680}
ADDITIVE = ("ph", "temperature")


def reading_interval(reading: Reading, kit: Kit | None) -> tuple[float, float]:
    """The interval a reading stands for, in the canonical unit; infinite where open.

    On a kit's own scale, a value on a step reaches half way to the next steps, and what
    lies between two steps (a range, an off-step value) reaches from the one to the other.
    """
    value, scale = reading.value, SCALES[reading.quantity]
    if value.kind == "above":
        return float(value.low or 0.0), np.inf
    if value.kind == "below":
        return -np.inf, float(value.high or 0.0)
    low, high = float(value.low or 0.0), float(value.high or 0.0)
    steps = kit_steps(reading, kit)
    if steps is not None:
        return _on_steps(low, high, steps, about=value.kind == "about")
    if value.kind == "range" and high > low:
        open_below = low <= 0.0 and reading.quantity not in ADDITIVE
        return -np.inf if open_below else low, high
    margin = 1.5 if value.kind == "about" else 1.0
    below = margin * max(scale.half_step, scale.relative_step * low)
    above = margin * max(scale.half_step, scale.relative_step * high)
    if low <= 0.0 and reading.quantity not in ADDITIVE:
        return -np.inf, high + above
    return low - below, high + above


def with_kit_basis(reading: Reading, kit: Kit | None) -> Reading:
    """A reading whose basis was left out, on the basis its kit's scale is known to have."""
    value = reading.value
    scale = None if kit is None else kit.scale(reading.quantity)
    if value.basis != "unknown" or scale is None or scale.basis not in ("n", "ion"):
        return reading
    ratio = RATIO_ION_TO_N[reading.quantity] if scale.basis == "n" else 1.0
    low = None if value.low is None else ratio * value.low
    high = None if value.high is None else ratio * value.high
    return replace(reading, value=replace(value, low=low, high=high, basis=scale.basis))


def kit_steps(reading: Reading, kit: Kit | None) -> NDArray[np.float64] | None:
    """Steps a reading could have shown; where a concentration is told, zero is one of them."""
    scale = None if kit is None else kit.scale(reading.quantity)
    if scale is None or len(scale.steps) < 2:
        return None
    steps = np.array(scale.steps)
    if scale.basis == "unknown" and reading.value.basis == "n":
        steps = steps * RATIO_ION_TO_N[reading.quantity]
    if steps[0] > 0.0 and reading.quantity not in ADDITIVE:
        steps = np.insert(steps, 0, 0.0)
    return steps


def _on_steps(
    low: float, high: float, steps: NDArray[np.float64], *, about: bool
) -> tuple[float, float]:
    """From half way under the lower bound to half way over the upper; the ends are open."""
    tolerance = 1e-6 * float(steps[-1] - steps[0])
    last = len(steps) - 1
    place = int(np.abs(steps - low).argmin())
    if high - low <= tolerance and abs(steps[place] - low) <= tolerance:
        reach = 1.0 if about else 0.5
        below = low - reach * float(steps[place] - steps[max(place - 1, 0)])
        above = low + reach * float(steps[min(place + 1, last)] - steps[place])
        return (-np.inf if place == 0 else below), (np.inf if place == last else above)
    under = int(np.searchsorted(steps, low + tolerance, side="right")) - 1
    over = int(np.searchsorted(steps, high - tolerance))
    return (
        -np.inf if under < 0 or steps[under] <= 0.0 else float(steps[under]),
        np.inf if over > last else float(steps[over]),
    )


def log_likelihood(
    reading: Reading,
    kit: Kit | None,
    truth: NDArray[np.float64],
    bias: NDArray[np.float64],
    *,
    read_as_n: bool = False,
) -> NDArray[np.float64]:
    """Log probability of a reading for each member.

    Parameters
    ----------
    reading
        In its canonical unit.
    kit
        The kit it was read off, if told.
    truth
        What the water held, shape (members,).
    bias
        Standard normal deviation of this kit, shape (members,).
    read_as_n
        For a basis left out: take the figure as nitrogen instead of as the ion.
    """
    scale = SCALES[reading.quantity]
    kind = "drop" if kit is None else kit.kind
    low, high = reading_interval(reading, kit)
    stray = _stray_chance(reading, kit, low, high)
    if read_as_n:
        ratio = RATIO_ION_TO_N[reading.quantity]
        low, high = low * ratio, high * ratio
    if reading.quantity in ADDITIVE:
        shown = truth + scale.floor * bias
        spread = np.full_like(truth, scale.floor)
    else:
        shown = truth * np.exp(BIAS_SPREAD * bias)
        spread = np.hypot(scale.floor, RELATIVE_ERROR[kind] * shown)
    inside = ndtr((high - shown) / spread) - ndtr((low - shown) / spread)
    result: NDArray[np.float64] = np.log((1.0 - OUTLIER_SHARE) * inside + OUTLIER_SHARE * stray)
    return result


def _stray_chance(reading: Reading, kit: Kit | None, low: float, high: float) -> float:
    """Chance that a reading which has nothing to do with the water falls in an interval.

    Every step of a kit alike, so that all its steps sum to one; else evenly over a range.
    """
    steps = kit_steps(reading, kit)
    if steps is not None:
        inside = int(((steps >= low) & (steps <= high)).sum())
        return max(inside, 1) / len(steps)
    span = SCALES[reading.quantity].span
    width = min(high, span) - max(low, 0.0)
    return float(np.clip(width / span, 0.02, 1.0))
