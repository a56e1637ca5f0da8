"""New readings without starting over: members are carried on from where they were.

A new reading only costs its new days: the members go on from their state after the last
reading, the new readings weigh them (at once, and provisionally), then the new readings'
likelihood is tempered and the members are moved by all readings (`rejuvenated`). An edited
past changes the digest, and everything starts anew.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.inference.fitting import QUICK, Fitted
from watervane.inference.priors import prior_whitened
from watervane.inference.reading_look import ReadingLook
from watervane.inference.tank_target import TankTarget
from watervane.inference.target import Evaluated, Info, Population
from watervane.inference.tempered import Effort, sample
from watervane.inference.weighting import effective_members, resample
from watervane.process.noise import keyed_uniform
from watervane.process.run import initial_state, simulate
from watervane.process.state import TankState
from watervane.process.timeline import Timeline
from watervane.records import Reading

Numbers = NDArray[np.float64]
LEAST_FOR_FORECAST = 20.0  # effective members; below it even a provisional answer misleads


class ChangedPastError(ValueError):
    """The log before the last reading is no longer what the members were fitted to."""


@dataclass(frozen=True)
class Carried:
    """Members that agree with the readings so far, and where they stand.

    Parameters
    ----------
    names, z
        Whitened unknowns by row, shape (unknowns, members).
    looks
        What the readings looked at, shape (looks, members); see `ReadingLook`.
    look_keys
        Output and moment of each look.
    log_likelihood
        Of all readings so far, shape (members,).
    state
        At the start of the day after the last reading's.
    last_day
        Local day of the last reading.
    readings
        How many were used.
    effective
        Members drawn independently that would tell as much.
    digest
        Of everything that led here; see `past_digest`.
    """

    names: tuple[str, ...]
    z: Numbers
    looks: Numbers
    look_keys: tuple[tuple[int, float], ...]
    log_likelihood: Numbers
    state: TankState
    last_day: int
    readings: int
    effective: float
    digest: str


@dataclass(frozen=True)
class Reweighted:
    """Members weighed by new readings, before any of them was moved.

    Parameters
    ----------
    log_weights
        Normalised, shape (members,).
    effective
        Members that carry the weights.
    chosen
        Members drawn by their weights, repeats allowed.
    """

    log_weights: Numbers
    effective: float
    chosen: NDArray[np.int64]

    @property
    def usable(self) -> bool:
        """Whether a provisional forecast may be made of them."""
        return self.effective >= LEAST_FOR_FORECAST


def past_digest(line: Timeline, readings: Sequence[Reading], last_day: int) -> str:
    """Fingerprint of a tank, its actions and readings up to the end of a day."""
    end = line.calendar.bounds_d(last_day)[1]
    parts = [repr(sorted(line.geometry.items())), repr(line.tank.source_water)]
    parts += [repr((a.at_d, sorted(a.scalars.items()))) for a in line.actions if a.at_d < end]
    parts += [repr((r.at, r.quantity, r.kit, r.value)) for r in readings]
    parts += [repr(o) for o in line.outages if o[0] < end]
    parts += [repr(c) for c in line.changes if c[0] < end]
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


def carried(line: Timeline, readings: Sequence[Reading], fitted: Fitted, threads: int) -> Carried:
    """Make fitted members ready to be carried on.

    Raises
    ------
    ValueError
        If nothing was read yet.
    """
    if fitted.z is None:
        raise ValueError("members that no reading was fitted to have nothing to carry")
    look = ReadingLook(line, readings)
    last_day = math.floor(look.moments[-1] + 1e-9)
    course = simulate(
        line,
        fitted.members,
        initial_state(line, fitted.members),
        (0, last_day + 1),
        stops_d=look.moments,
        threads=threads,
    )
    looks = look.looks(course)
    target = TankTarget(line, readings, 0, threads)
    each = target.weigh(looks, fitted.z)
    return Carried(
        fitted.names,
        fitted.z,
        looks,
        look.keys,
        each.sum(axis=0),
        course.final,
        last_day,
        len(readings),
        fitted.effective,
        past_digest(line, readings, last_day),
    )


class Assimilation:
    """New readings of a tank taken in by carried members.

    Parameters
    ----------
    line
        The tank, made ready past its last reading.
    readings
        All of them, old ones first, in order of time.
    before
        The members so far.
    seed
        Of all random numbers.
    threads
        See `simulate`.

    Raises
    ------
    ChangedPastError
        If the past of the log was edited, or a reading came in before the last one.
    """

    def __init__(
        self,
        line: Timeline,
        readings: Sequence[Reading],
        before: Carried,
        seed: int,
        threads: int,
    ) -> None:
        old = readings[: before.readings]
        if past_digest(line, old, before.last_day) != before.digest:
            raise ChangedPastError("the log before the last reading was edited: fit it anew")
        self._line, self._before, self._threads, self._seed = line, before, threads, seed
        self._readings = list(readings)
        self.target = TankTarget(line, readings, seed, threads)
        if self.target.look.moments[-1] < before.last_day + 1:
            raise ChangedPastError("the new reading is of a day already fitted: fit it anew")
        self.target.settled_readings = before.readings
        numbers = np.arange(before.z.shape[1])
        z = prior_whitened(self.target.names, numbers, seed)
        place = {name: i for i, name in enumerate(self.target.names)}
        for name, row in zip(before.names, before.z, strict=True):
            z[place[name]] = row
        self.z = z
        self.found = self._evaluated()

    def _evaluated(self) -> Evaluated:
        before, look = self._before, self.target.look
        members = self.target.members(self.z)
        course = simulate(
            self._line,
            members,
            before.state,
            (before.last_day + 1, self.target.last_day + 1),
            stops_d=[m for m in look.moments if m >= before.last_day + 1],
            threads=self._threads,
        )
        known = dict(zip(before.look_keys, before.looks, strict=True))
        at = {float(d): i for i, d in enumerate(course.stops_d)}
        looks = np.stack(
            [
                known[output, day] if (output, day) in known else course.outputs[output, at[day]]
                for output, day in look.keys
            ]
        )
        each = self.target.weigh(looks, self.z)
        total = each.sum(axis=0)
        base = each[: before.readings].sum(axis=0)
        return Evaluated(total, {"each": each, "looks": looks}, base)

    def reweighted(self) -> Reweighted:
        """Weigh the members by the new readings alone."""
        log_weights = self.found.log_likelihood - self.found.base
        log_weights = log_weights - float(np.logaddexp.reduce(log_weights))
        offset = float(keyed_uniform(self._seed, np.array([0]), -2, "provisional")[0])
        chosen = resample(log_weights, len(log_weights), offset)
        return Reweighted(log_weights, effective_members(log_weights), chosen)

    def provisional(self) -> Fitted:
        """Members drawn by their weights: a forecast at once, before any were moved."""
        found = self.reweighted()
        z = self.z[:, found.chosen]
        at = self.found.take(found.chosen)
        effective = min(found.effective, self._before.effective)
        return self._fitted(z, at, effective, len(self.z[0]))

    def rejuvenated(
        self, effort: Effort = QUICK, progress: Callable[[float], None] | None = None
    ) -> Fitted:
        """Temper the new readings only, and move the members by all of them."""
        count = self.z.shape[1]
        posterior = sample(
            self.target,
            count,
            self._seed,
            start=Population(self.z, self.found),
            effort=effort,
            progress=progress,
        )
        fitted = self._fitted(
            posterior.z,
            posterior.evaluated,
            min(posterior.info.effective, self._ceiling(posterior.info)),
            count * posterior.info.sweeps,
        )
        return Fitted(
            fitted.members,
            fitted.tried,
            fitted.effective,
            fitted.fit,
            posterior.info,
            fitted.z,
            fitted.names,
            fitted.each,
        )

    def _ceiling(self, info: Info) -> float:
        """Families of earlier fits live on in members that were not moved far."""
        count = float(self.z.shape[1])
        forgotten = 1.0 - info.stages[-1].mixing.known
        return self._before.effective + max(forgotten, 0.0) * (count - self._before.effective)

    def _fitted(self, z: Numbers, at: Evaluated, effective: float, tried: int) -> Fitted:
        return Fitted(
            self.target.members(z),
            tried,
            effective,
            self.target.tail(z, at).mean(axis=1),
            None,
            z,
            self.target.names,
            np.asarray(at.kept["each"], dtype=np.float64),
        )
