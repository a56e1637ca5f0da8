"""Probes: an error that lasts, so that a thousand readings are no thousand witnesses.

A probe follows the water with a lag and drifts away from its calibration. What is left is an
Ornstein-Uhlenbeck process (it forgets itself in `probe_correlation_time_d`) and a small part
that is new at each reading. Rows are exact conditional densities of the next reading given
those before it, by a Kalman filter over uneven times; without outliers they sum to the log of
one multivariate normal density. A share of readings has nothing to do with the water: the
filter then takes the mean and variance of the mixture of both cases and goes on from there,
which still is a proper density of each reading given those before it.

The cost is linear in readings. No more than a few a day need be kept: of what a month of
readings every ten minutes tells of a steady offset, one every six hours tells 97 per cent (the
ratio of the Fisher informations under the sizes of the table). What is lost is how the water
swings within those hours, which the lasting error covers anyway. `thinned` picks them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp, ndtr, ndtri

from watervane.inference.observation.ion_basis import conditional_chances, conditional_rows
from watervane.inference.observation.left_out import LeftOut
from watervane.inference.observation.model import WHOLE_GROUP, Seen, Uniform, Unknowns
from watervane.inference.observation.sample import Sample, bias_name
from watervane.kits.face import Array
from watervane.kits.sizes import (
    ADDITIVE,
    number,
    stray_density,
    stray_level,
)

THINNED_TO_D = 0.25
_MONTH_D = 30.0
_FORGOTTEN = 1e-9
_NEARLY_FORGOTTEN = 1e-3  # of the lasting error: what lies farther off tells nothing of it
_ROOT_2PI = float(np.sqrt(2.0 * np.pi))


def thinned(days: Sequence[float], spacing_d: float = THINNED_TO_D) -> tuple[int, ...]:
    """Places of readings worth keeping: the last of each stretch of time.

    Parameters
    ----------
    days
        When each was read, in order. [d]
    spacing_d
        Length of a stretch. [d]
    """
    last: dict[int, int] = {}
    for place, day in enumerate(days):
        last[int(np.floor(day / spacing_d))] = place
    return tuple(sorted(last.values()))


def lagged(level: Array, days: Array, response_d: float) -> Array:
    """What a first-order sensor shows that follows a level, straight between readings.

    Parameters
    ----------
    level
        Shape (readings, members).
    days
        Of each reading, ascending. [d]
    response_d
        Time constant; the first reading is taken to have settled. [d]
    """
    steps = np.diff(days)
    if response_d <= 0.0 or not len(steps):
        return level
    kept = np.exp(-steps / response_d)
    slopes = np.diff(level, axis=0) / np.maximum(steps, 1e-12)[:, None]
    slopes[steps <= 0.0] = 0.0
    behind = np.zeros_like(level)
    behind[1:] = slopes * (response_d * (1.0 - kept))[:, None]
    for i in np.flatnonzero(kept > _FORGOTTEN):
        behind[i + 1] += kept[i] * behind[i]
    return level - behind


@dataclass(frozen=True)
class _Filter:
    """What is known of the lasting error, in units of the spread, shape (members,) each."""

    mean: Array
    variance: Array

    def later(self, kept: float, stationary: float) -> _Filter:
        return _Filter(kept * self.mean, kept**2 * self.variance + stationary * (1.0 - kept**2))

    def told(self, innovation: Array, total: Array, believed: Array) -> _Filter:
        """After a reading that is believed with a chance: the mixture's first two moments."""
        gain = self.variance / total
        moved = gain * innovation
        return _Filter(
            self.mean + believed * moved,
            self.variance * (1.0 - believed * gain) + believed * (1.0 - believed) * moved**2,
        )


@dataclass(frozen=True)
class _Walk:
    """What the filter found at some readings, shape (readings, members) each.

    Parameters
    ----------
    span
        The readings.
    pulls
        By how many spreads each is off what was foretold.
    totals
        Variances foretold, in units of the spread.
    before
        What was known of the lasting error just before each.
    """

    span: range
    pulls: Array
    totals: Array
    before: tuple[_Filter, ...]


@dataclass(frozen=True)
class _Terms:
    """All readings under one basis.

    Parameters
    ----------
    apart
        From what the probe shows on average, in spreads, shape (readings, members).
    scale
        Factor from a standard density, same shape.
    stray
        Density of readings that have nothing to do with the water, shape (readings,).
    """

    apart: Array
    scale: Array
    stray: Array

    def rows(self, walk: _Walk) -> Array:
        """Log density of the readings walked over, each given those before it."""
        here = slice(walk.span.start, walk.span.stop)
        if not self.stray.any():
            return np.log(self.scale[here]) - 0.5 * (walk.pulls**2 + np.log(walk.totals))
        densities = self.scale[here] * np.exp(-0.5 * walk.pulls**2) / np.sqrt(walk.totals)
        return np.asarray(np.log(densities + self.stray[here, None]))


@dataclass(frozen=True)
class ProbeModel:
    """Readings of one probe and quantity.

    Parameters
    ----------
    sample
        The readings, each one value.
    bases
        Factor from the value as converted to what the probe meant, with the chance of each;
        more than one where the basis is not told.
    unclear
        Which readings the factor holds for, shape (readings,).
    outlier_chance
        Of a reading that has nothing to do with the water.
    """

    sample: Sample
    bases: dict[float, float]
    unclear: NDArray[np.bool_]
    outlier_chance: float

    @property
    def names(self) -> tuple[str, ...]:
        """Whitened unknowns needed."""
        return (*self.sample.names, self._drift)

    @property
    def readings(self) -> tuple[int, ...]:
        """Places of the readings explained."""
        return tuple(int(i) for i in self.sample.places)

    @property
    def _drift(self) -> str:
        first = self.sample.readings[0]
        return f"drift {first.kit} {first.quantity}"

    @property
    def _kept(self) -> Array:
        """Share of the lasting error left since the reading before."""
        steps = np.diff(self.sample.days, prepend=self.sample.days[0])
        return np.asarray(np.exp(-steps / number("probe_correlation_time_d")))

    def shown(self, seen: Seen, unknowns: Unknowns) -> tuple[Array, Array]:
        """What the probe shows on average and its spread, shape (readings, members) each."""
        sample = self.sample
        level = sample.level(seen, unknowns)
        kit = sample.kit
        told = None if kit is None else kit.response_h
        response_d = (number("probe_response_h") if told is None else told) / 24.0
        for water in (sample.of_source, ~sample.of_source):
            level[water] = lagged(level[water], sample.days[water], response_d)
        months = self._since_calibration() / _MONTH_D
        gone = months[:, None] * unknowns[self._drift]
        shown = sample.errors.biased(level, unknowns[bias_name(sample.readings[0])])
        if sample.quantity in ADDITIVE:
            shown = shown + number("probe_drift_floors_per_30_d") * sample.errors.bias_floor * gone
        else:
            shown = shown * np.exp(number("probe_drift_log_per_30_d") * gone)
        return shown, sample.errors.spread(shown)

    def _since_calibration(self) -> Array:
        """Time since the probe was last calibrated, or first read. [d]"""
        days = self.sample.days
        gone = days[:, None] - np.array([*self.sample.calibrated_d, -np.inf])
        last = np.where(gone >= 0.0, gone, np.inf).min(axis=1)
        return np.asarray(np.where(np.isfinite(last), last, days - days[0]))

    def log_likelihood(self, seen: Seen, unknowns: Unknowns) -> Array:
        """Conditional contributions, shape (readings, members); see `ObservationModel`."""
        shown, spread = self.shown(seen, unknowns)
        rows = [self._rows(self._values, ratio, shown, spread)[0] for ratio in self.bases]
        return conditional_rows(self._log_chances, np.stack(rows))

    def tail(self, seen: Seen, unknowns: Unknowns) -> Array:
        """Chance of a reading as far out, shape (readings, members); see `ObservationModel`."""
        shown, spread = self.shown(seen, unknowns)
        found = [self._rows(self._values, ratio, shown, spread) for ratio in self.bases]
        rows, pulls = (np.stack(parts) for parts in zip(*found, strict=True))
        tails = 2.0 * (1.0 - self.outlier_chance) * ndtr(-np.abs(pulls)) + self.outlier_chance
        return conditional_chances(self._log_chances, rows, tails)

    def left_out(self, seen: Seen, unknowns: Unknowns, parts: NDArray[np.int64]) -> LeftOut:
        """The readings without some of them; see `ObservationModel`.

        What is left out is foretold by the readings before it, not by those after it.
        """
        shown, spread = self.shown(seen, unknowns)
        terms = [self._terms(self._values, ratio, shown, spread) for ratio in self.bases]
        walks = [self._walk(t, range(len(shown)), _start(seen.count)) for t in terms]
        rows = np.stack([t.rows(w) for t, w in zip(terms, walks, strict=True)])
        every = rows.sum(axis=1) + self._log_chances[:, None]
        whole = logsumexp(every, axis=0)
        gained = np.empty((int(parts.max()) + 1, seen.count))
        below, above = np.empty_like(shown), np.empty_like(shown)
        for part in range(len(gained)):
            out = parts == part
            felt = self._felt(out)
            found = [
                self._walk(t, felt, w.before[felt.start], out)
                for t, w in zip(terms, walks, strict=True)
            ]
            near, chosen = slice(felt.start, felt.stop), out[felt.start : felt.stop]
            less = [t.rows(w)[~chosen].sum(axis=0) for t, w in zip(terms, found, strict=True)]
            kept = every - rows[:, near].sum(axis=1) + np.stack(less)
            total = logsumexp(kept, axis=0)
            gained[part] = total - whole
            weights = np.exp(kept - total)[:, None]
            pulls = np.stack([w.pulls[chosen] for w in found])
            below[out] = (weights * ndtr(pulls)).sum(axis=0)
            above[out] = (weights * ndtr(-pulls)).sum(axis=0)
        return LeftOut(gained, below, above)

    def _felt(self, out: NDArray[np.bool_]) -> range:
        """From the first reading left out until the lasting error has forgotten the last."""
        first, last = np.flatnonzero(out)[[0, -1]]
        gone = np.cumprod(self._kept[last + 1 :]) < _NEARLY_FORGOTTEN
        end = last + 1 + (int(gone.argmax()) if gone.any() else len(gone))
        return range(int(first), int(end))

    @property
    def _values(self) -> Array:
        return np.array([float(r.value.low or 0.0) for r in self.sample.readings])

    @property
    def _log_chances(self) -> Array:
        return np.asarray(np.log(list(self.bases.values())))

    def _rows(
        self, values: Array, ratio: float, shown: Array, spread: Array
    ) -> tuple[Array, Array]:
        """Log density of each reading given those above, and its miss in spreads."""
        terms = self._terms(values, ratio, shown, spread)
        walk = self._walk(terms, range(len(shown)), _start(shown.shape[1]))
        return terms.rows(walk), walk.pulls

    def _terms(self, values: Array, ratio: float, shown: Array, spread: Array) -> _Terms:
        ratios = np.where(self.unclear, ratio, 1.0)
        apart = (values * ratios)[:, None] - shown
        apart /= spread
        stray = self.outlier_chance * stray_density(self.sample.quantity, values)
        scale = (ratios * (1.0 - self.outlier_chance))[:, None] / (_ROOT_2PI * spread)
        return _Terms(apart, scale, stray)

    def _walk(
        self,
        terms: _Terms,
        span: range,
        start: _Filter,
        out: NDArray[np.bool_] | None = None,
    ) -> _Walk:
        """Filter some readings one after the other; of those left out nothing is learned."""
        pulls = np.empty((len(span), terms.apart.shape[1]))
        totals, before = np.empty_like(pulls), []
        filtered, share = start, self._kept
        for row, i in enumerate(span):
            filtered = filtered.later(share[i], 1.0 - _jitter()) if row else filtered
            before.append(filtered)
            innovation = terms.apart[i] - filtered.mean
            totals[row] = filtered.variance + _jitter()
            pulls[row] = innovation / np.sqrt(totals[row])
            if out is not None and out[i]:
                continue
            density = terms.scale[i] * np.exp(-0.5 * pulls[row] ** 2) / np.sqrt(totals[row])
            stray = terms.stray[i]
            believed = density / (density + stray) if stray > 0.0 else np.ones_like(density)
            filtered = filtered.told(innovation, totals[row], believed)
        return _Walk(span, pulls, totals, tuple(before))

    def simulate(self, seen: Seen, unknowns: Unknowns, uniform: Uniform) -> Array:
        """What the probe would show, shape (readings, members); see `ObservationModel`."""
        shown, spread = self.shown(seen, unknowns)
        label = f"{self.sample.readings[0].kit} {self.sample.quantity}"
        edges = np.cumsum(list(self.bases.values()))[:-1]
        basis = np.array(list(self.bases))[
            np.searchsorted(edges, uniform(f"way {label}", WHOLE_GROUP))
        ]
        result = np.empty_like(shown)
        filtered = _start(shown.shape[1])
        for i, (kept, place) in enumerate(zip(self._kept, self.readings, strict=True)):
            filtered = filtered.later(kept, 1.0 - _jitter()) if i else filtered
            ratio = basis if self.unclear[i] else np.ones_like(basis)
            total = filtered.variance + _jitter()
            error = filtered.mean + np.sqrt(total) * ndtri(uniform(f"error {label}", place))
            odd = uniform(f"odd {label}", place) < self.outlier_chance
            stray = stray_level(self.sample.quantity, uniform(f"stray {label}", place))
            result[i] = np.where(odd, stray, (shown[i] + spread[i] * error) / ratio)
            innovation = (ratio * result[i] - shown[i]) / spread[i] - filtered.mean
            density = np.exp(-0.5 * innovation**2 / total) / np.sqrt(2.0 * np.pi * total)
            density *= ratio * (1.0 - self.outlier_chance) / spread[i]
            by_chance = self.outlier_chance * stray_density(self.sample.quantity, result[i])
            filtered = filtered.told(innovation, total, density / (density + by_chance))
        return result


def _jitter() -> float:
    return number("probe_jitter_share")


def _start(members: int) -> _Filter:
    return _Filter(np.zeros(members), np.full(members, 1.0 - _jitter()))
