"""New readings without starting over: members are carried on from where they were.

A new reading only costs its new days: the members go on from their state at the start of the
day of the last reading, the new readings weigh them (at once, and provisionally), then the new
readings' likelihood is tempered and the members are moved by all readings (`rejuvenated`). An
edited past changes the digest, and everything starts anew.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.inference.anchored_target import since, target_of
from watervane.inference.anchors import (
    Anchor,
    packed_state,
    past_digest,
    reading_key,
    unpacked_state,
)
from watervane.inference.fitting import QUICK, Fitted
from watervane.inference.priors import prior_whitened
from watervane.inference.tank_target import TankTarget
from watervane.inference.target import Evaluated, Info, Population
from watervane.inference.tempered import Effort, sample
from watervane.inference.weighting import effective_members, resample
from watervane.process.noise import keyed_uniform
from watervane.process.run import Members, initial_state, simulate
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
        Of all readings so far (since the anchor), shape (members,).
    state
        At the start of ``day``.
    day
        Local day of the last reading.
    reading_keys
        The readings used (since the anchor); see `reading_key`.
    until_d
        Moment of the last of them. [d]
    effective
        Members drawn independently that would tell as much.
    digest
        Of everything that led here; see `past_digest`.
    seed
        Of the noise after the last reading.
    anchor
        In place of all history before it.
    """

    names: tuple[str, ...]
    z: Numbers
    looks: Numbers
    look_keys: tuple[tuple[int, float], ...]
    log_likelihood: Numbers
    state: TankState
    day: int
    reading_keys: tuple[str, ...]
    until_d: float
    effective: float
    digest: str
    seed: int
    anchor: Anchor | None = None

    def __len__(self) -> int:
        return len(self.log_likelihood)

    @property
    def first_day(self) -> int:
        """Day that inference begins on."""
        return 0 if self.anchor is None else self.anchor.day

    def start(self, line: Timeline, members: Members) -> TankState:
        """State of the members where inference begins: at the anchor, or at filling.

        Parameters
        ----------
        line
            The tank.
        members
            As the model runs them.
        """
        if self.anchor is None:
            return initial_state(line, members)
        place = {name: i for i, name in enumerate(self.names)}
        return self.anchor.state(self.z[[place[name] for name in self.anchor.state_names]])

    def used(self, line: Timeline, readings: Sequence[Reading]) -> list[Reading]:
        """Those of some readings that led here: used, or before the anchor.

        Raises
        ------
        ChangedPastError
            If one is missing, or anything else before the last of them was edited.
        """
        begin = 0.0 if self.anchor is None else line.calendar.bounds_d(self.anchor.day)[0]
        keys = set(self.reading_keys)
        days = [line.calendar.days(r.at) for r in readings]
        before = [r for r, d in zip(readings, days, strict=True) if self.anchor and d < begin]
        inside = [r for r in since(line, readings, self.anchor) if reading_key(r) in keys]
        old = [*before, *inside]
        if len(inside) != len(keys) or past_digest(line, old, self.until_d) != self.digest:
            raise ChangedPastError("the log before the last reading was edited: fit it anew")
        return old


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


@dataclass(frozen=True)
class Taken:
    """New readings taken in.

    Parameters
    ----------
    fitted
        Members for a forecast.
    carried
        All members, to be carried on.
    members
        The same as the model runs them.
    """

    fitted: Fitted
    carried: Carried
    members: Members


def carried(
    line: Timeline,
    readings: Sequence[Reading],
    fitted: Fitted,
    threads: int,
    anchor: Anchor | None = None,
) -> Carried:
    """Make fitted members ready to be carried on.

    Parameters
    ----------
    line, readings, fitted, anchor
        What the members were fitted to.
    threads
        See `simulate`.

    Raises
    ------
    ValueError
        If nothing was read yet.
    """
    if fitted.z is None:
        raise ValueError("members that no reading was fitted to have nothing to carry")
    target = target_of(line, readings, fitted.members.seed, threads, anchor)
    target.checkpoint_day = target.last_day
    found = target.evaluate(target.folded(fitted.z))
    return _carried(line, readings, target, fitted.z, found, fitted.effective, anchor)


def _carried(
    line: Timeline,
    readings: Sequence[Reading],
    target: TankTarget,
    z: Numbers,
    found: Evaluated,
    effective: float,
    anchor: Anchor | None,
) -> Carried:
    until_d = max(target.look.moments[-1], 0.0)
    return Carried(
        target.names,
        z,
        np.asarray(found.kept["looks"], dtype=np.float64),
        target.look.keys,
        found.log_likelihood,
        unpacked_state(np.asarray(found.kept["state"], dtype=np.float64)),
        target.last_day,
        tuple(reading_key(r) for r in since(line, readings, anchor)),
        until_d,
        effective,
        past_digest(line, readings, until_d),
        target.seed,
        anchor,
    )


def members_of(line: Timeline, kept: Carried, readings: Sequence[Reading]) -> Members:
    """The members that are carried, their noise told until the day of the last reading."""
    target = target_of(line, kept.used(line, readings), kept.seed, 1, kept.anchor)
    return target.members(_renamed(kept, target, kept.seed))


def _renamed(kept: Carried, target: TankTarget, seed: int) -> Numbers:
    """Rows in a target's order; what is new among them is drawn from its prior."""
    z = prior_whitened(target.names, np.arange(len(kept)), seed)
    place = {name: i for i, name in enumerate(target.names)}
    for name, row in zip(kept.names, kept.z, strict=True):
        if name in place:
            z[place[name]] = row
    return z


class Assimilation:
    """New readings of a tank taken in by carried members.

    Parameters
    ----------
    line
        The tank, made ready past its last reading.
    readings
        All of them, in order of time; those not yet used may lie anywhere after the anchor.
        Without a new one members are only moved on.
    before
        The members so far.
    seed
        Of all random numbers; another one each time.
    threads
        See `simulate`.

    Raises
    ------
    ChangedPastError
        If the past of the log was edited, or a reading came in from before the anchor.
    """

    def __init__(
        self,
        line: Timeline,
        readings: Sequence[Reading],
        before: Carried,
        seed: int,
        threads: int,
    ) -> None:
        before.used(line, readings)
        self._line, self._before, self._threads, self._seed = line, before, threads, seed
        self._readings = list(readings)
        self.target = target_of(line, readings, seed, threads, before.anchor)
        self.target.checkpoint_day = self.target.last_day
        used = set(before.reading_keys)
        recent = since(line, readings, before.anchor)
        self.target.settled_readings = np.array([reading_key(r) in used for r in recent])
        self.z = _renamed(before, self.target, seed)
        self.found = self._evaluated()

    def _evaluated(self) -> Evaluated:
        before, target = self._before, self.target
        begin = self._line.calendar.bounds_d(before.day)[0]
        known = dict(zip(before.look_keys, before.looks, strict=True))
        if any(key not in known and key[1] < begin for key in target.look.keys):
            return target.evaluate(target.folded(self.z))  # a late reading: look at all days again
        course = simulate(
            self._line,
            target.members(self.z),
            before.state,
            (before.day, target.last_day + 1),
            stops_d=[m for m in target.look.moments if m >= begin],
            checkpoint_days=[target.last_day],
            threads=self._threads,
        )
        at = {float(d): i for i, d in enumerate(course.stops_d)}
        looks = np.stack(
            [
                known[output, day] if day < begin else course.outputs[output, at[day]]
                for output, day in target.look.keys
            ]
        )
        each = target.weigh(looks, self.z)
        state = packed_state(course.checkpoints[target.last_day])
        kept = {"each": each, "looks": looks, "state": state}
        return Evaluated(each.sum(axis=0), kept, target.base(each))

    def reweighted(self) -> Reweighted:
        """Weigh the members by what the new readings add."""
        log_weights = self.found.log_likelihood - self._before.log_likelihood
        log_weights = log_weights - float(np.logaddexp.reduce(log_weights))
        offset = float(keyed_uniform(self._seed, np.array([0]), -2, "provisional")[0])
        chosen = resample(log_weights, len(log_weights), offset)
        return Reweighted(log_weights, effective_members(log_weights), chosen)

    def provisional(self, some: NDArray[np.int64] | None = None) -> Taken:
        """Members drawn by their weights: a forecast at once, before any were moved.

        Parameters
        ----------
        some
            Places of the drawn members that the forecast is made of; all of them by default.
        """
        found = self.reweighted()
        at = self.found.take(found.chosen)
        effective = min(found.effective, self._before.effective)
        return self._taken(self.z[:, found.chosen], at, effective, len(self.z[0]), None, some)

    def rejuvenated(
        self, effort: Effort = QUICK, progress: Callable[[float], None] | None = None
    ) -> Taken:
        """Temper the new readings only, and move the members by all of them."""
        # Where an error lasts, a reading between old ones changes what those told: weigh that.
        owed = self.found.base - self._before.log_likelihood
        posterior = sample(
            self.target,
            len(self._before),
            self._seed,
            start=Population(self.target.folded(self.z), self.found, owed - owed.max()),
            effort=effort,
            progress=progress,
        )
        return self._taken(
            self.target.unfolded(posterior.z),
            posterior.evaluated,
            min(posterior.info.effective, self._ceiling(posterior.info)),
            len(self._before) * posterior.info.sweeps,
            posterior.info,
        )

    def _ceiling(self, info: Info) -> float:
        """Families of earlier fits live on in members that were not moved far."""
        count = float(len(self._before))
        forgotten = 1.0 - info.stages[-1].mixing.known
        return self._before.effective + max(forgotten, 0.0) * (count - self._before.effective)

    def _taken(
        self,
        z: Numbers,
        at: Evaluated,
        effective: float,
        tried: int,
        info: Info | None,
        some: NDArray[np.int64] | None = None,
    ) -> Taken:
        anchor, members = self._before.anchor, self.target.members(z)
        kept = _carried(self._line, self._readings, self.target, z, at, effective, anchor)
        told = members
        if some is not None and len(some) < len(members):
            z, at, told = z[:, some], at.take(some), members.chosen(some)
        checked = self.target.cross_check(z, at)
        fitted = Fitted(
            told,
            tried,
            effective,
            checked.fit,
            info,
            z,
            self.target.names,
            np.asarray(at.kept["each"], dtype=np.float64),
            without=checked.without,
        )
        return Taken(fitted, kept, members)
