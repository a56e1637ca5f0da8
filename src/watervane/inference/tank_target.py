"""A tank's posterior as a target: whitened unknowns to the likelihood of all its readings."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from watervane.inference.anchors import Anchor, packed_state
from watervane.inference.cross_check import CrossCheck, cross_check
from watervane.inference.priors import UNKNOWNS, members_from_whitened
from watervane.inference.reading_look import ReadingLook
from watervane.inference.tank_surrogate import TankSurrogate
from watervane.inference.target import Evaluated, Surrogate
from watervane.process.daily_noise import DRIFTING, WEEKLY
from watervane.process.day_program import Action
from watervane.process.run import Members, Plan, initial_state, plan_days, simulate
from watervane.process.state import TankState
from watervane.process.timeline import Timeline
from watervane.records import Reading

Numbers = NDArray[np.float64]
_EPSILON_D = 1e-9
FARTHEST = 8.0  # spreads from the middle: samplers propose farther, priors never draw there


class TankTarget:
    """The readings of one tank, as the sampler wants them.

    Lasting unknowns are parameters, source water, starting colonies and the errors of kits;
    fleeting ones the noise of each day or week that something depends on.

    Parameters
    ----------
    line
        The tank, made ready past its last reading.
    readings
        Of quantities the model knows.
    seed
        Of noise beyond the readings.
    threads
        See `simulate`.
    restless
        Whether daily noise and drift are unknowns; without, every day is taken as told. Only
        to show what they are needed for.
    anchor
        Where the water begins, left out: at filling. Its unknowns are no longer standard
        normal; see `watervane.inference.anchored_target`.

    Attributes
    ----------
    included
        Power of the likelihood a starting population already agrees with; or
    settled_readings
        Which readings it agrees with in full; ``None``: none of them.
    checkpoint_day
        Day at whose start `evaluate` keeps the state; ``None``: nothing is kept.
    first_day
        Day that runs begin with.
    look
        The readings and what they look at.
    latent_rows
        Rows of the kits' unknowns.
    """

    def __init__(
        self,
        line: Timeline,
        readings: Sequence[Reading],
        seed: int,
        threads: int,
        *,
        restless: bool = True,
        anchor: Anchor | None = None,
    ) -> None:
        self._line, self._seed, self._threads = line, seed, threads
        self._anchor = anchor
        self.first_day = 0 if anchor is None else anchor.day
        self.included = 0.0
        self.settled_readings: NDArray[np.bool_] | None = None
        self.checkpoint_day: int | None = None
        self.look = ReadingLook(line, readings)
        self.last_day = math.floor(self.look.moments[-1] + _EPSILON_D)
        streams = _streams(line, self.first_day, self.last_day)
        self._streams = streams if restless else {stream: [] for stream in streams}
        # Kits that are no longer read stay: they may be read again.
        idle = () if anchor is None else sorted({*anchor.names} - {*UNKNOWNS, *self.look.latents})
        lasting = (*UNKNOWNS, *self.look.latents, *idle)
        self._names = [*lasting]
        self._rows: dict[str, NDArray[np.int64]] = {}
        for stream, places in self._streams.items():
            first = len(self._names)
            self._names += [f"{stream} {place}" for place in places]
            self._rows[stream] = np.arange(first, len(self._names))
        self._lasting = np.arange(len(lasting))
        self.latent_rows = np.arange(len(UNKNOWNS), len(UNKNOWNS) + len(self.look.latents))

    @cached_property
    def _plan(self) -> Plan:
        return plan_days(self._line, (self.first_day, self.last_day + 1), stops_d=self.look.moments)

    @property
    def seed(self) -> int:
        """Of noise beyond the readings."""
        return self._seed

    @property
    def names(self) -> tuple[str, ...]:
        """One name a row."""
        return tuple(self._names)

    @property
    def lasting(self) -> NDArray[np.int64]:
        """Rows that hold for all days."""
        return self._lasting

    @property
    def fleeting(self) -> Mapping[str, NDArray[np.int64]]:
        """Rows of noise by stream."""
        return {stream: rows for stream, rows in self._rows.items() if len(rows)}

    def unfolded(self, z: Numbers) -> Numbers:
        """The unknowns that names stand for; the same, where no anchor is."""
        return z

    def folded(self, z: Numbers) -> Numbers:
        """The inverse of `unfolded`: what the sampler moves."""
        return z

    def members(self, z: Numbers) -> Members:
        """The members that whitened unknowns stand for, shape (unknowns, members)."""
        count = z.shape[1]
        unknowns = dict(zip(UNKNOWNS, z, strict=False))
        made = members_from_whitened(self._line.tank, unknowns, np.arange(count), self._seed)
        told = {}
        for stream, places in self._streams.items():
            length = self.last_day // 7 + 1 if stream in WEEKLY else self.last_day + 1
            told[stream] = np.zeros((length, count))
            told[stream][places] = z[self._rows[stream]]
        if self._anchor is not None:
            for stream, step in self._anchor.drift_steps(self._of_anchor(z)).items():
                told[stream][self.first_day // 7 - 1] = step
        return Members(made.numbers, made.parameters, made.source, made.seed, told)

    def evaluate(self, z: Numbers) -> Evaluated:
        """Run all members to the last reading and weigh them."""
        z = np.clip(z, -FARTHEST, FARTHEST)
        members = self.members(z)
        course = simulate(
            self._line,
            members,
            self.begin(z, members),
            (self.first_day, self.last_day + 1),
            threads=self._threads,
            checkpoint_days=() if self.checkpoint_day is None else (self.checkpoint_day,),
            plan=self._plan,
        )
        looks = self.look.looks(course)
        each = self.weigh(looks, z)
        kept = {"each": each, "looks": looks}
        if self.checkpoint_day is not None:
            kept["state"] = packed_state(course.checkpoints[self.checkpoint_day])
        return Evaluated(each.sum(axis=0), kept, self.base(each))

    def begin(self, z: Numbers, members: Members) -> TankState:
        """State at the start of the first day."""
        if self._anchor is None:
            return initial_state(self._line, members)
        return self._anchor.state(self._of_anchor(z))

    def _of_anchor(self, z: Numbers) -> Numbers:
        place = {name: i for i, name in enumerate(self._names)}
        names = () if self._anchor is None else self._anchor.state_names
        return np.asarray(z[[place[name] for name in names]])

    def weigh(self, looks: Numbers, z: Numbers) -> Numbers:
        """Log likelihood of each reading given those of its kit before it, (readings, members)."""
        source = self._source(z) if self.look.of_source else None
        return self.look.log_likelihood(looks, source, z[self.latent_rows])

    def base(self, each: Numbers) -> Numbers:
        """The part of the likelihood that a starting population agrees with, (members,)."""
        if self.settled_readings is not None:
            return np.asarray(each[self.settled_readings].sum(axis=0))
        return np.asarray(self.included * each.sum(axis=0))

    @property
    def needed(self) -> tuple[str, ...]:
        """What a surrogate needs of what `evaluate` keeps."""
        return ("looks",)

    def surrogate(self, z: Numbers, kept: Mapping[str, Numbers], weights: Numbers) -> Surrogate:
        """Make a cheap guess of `evaluate` from weighted runs."""
        others = np.setdiff1d(np.arange(len(self._names)), self.latent_rows)
        source = self._source if self.look.of_source else None
        blank = TankSurrogate(self.look, others, self.latent_rows, source, self.base)
        return blank.fitted(z, kept["looks"], weights)

    def cross_check(self, z: Numbers, evaluated: Evaluated) -> CrossCheck:
        """How each part of the log fits all the rest."""
        looks = np.asarray(evaluated.kept["looks"], dtype=np.float64)
        source = self._source(z) if self.look.of_source else None
        return cross_check(self.look, looks, source, z[self.latent_rows])

    def _source(self, z: Numbers) -> Numbers:
        return self.members(z).source


def _streams(line: Timeline, first_day: int, last_day: int) -> dict[str, list[int]]:
    """Days, or weeks of drift, on which each stream of noise makes a difference."""
    days: dict[str, set[int]] = {"food": set(), "change": set(), "luck": set(), "death": set()}
    for day in range(first_day, last_day + 1):
        begin, end = line.calendar.bounds_d(day)
        for action in line.actions:
            if begin <= action.at_d < end:
                for stream in _felt(action):
                    days[stream].add(day // 7 if stream in WEEKLY else day)
    weeks = list(range(first_day // 7, last_day // 7 + 1))
    return {
        **{stream: sorted(found) for stream, found in days.items()},
        **{f"{guild} drift": weeks for guild in DRIFTING},
    }


def _felt(action: Action) -> list[str]:
    """Streams of noise an action depends on."""
    told = action.scalars
    found = []
    if told.get("food_mg_n_per_l", 0.0) > 0.0:
        found.append("food")
    if told.get("unseen_share", 0.0) > 0.0:
        found.append("death")
    if told.get("volume_keep", 1.0) < 1.0:
        found.append("change")
    if action.habitats or told.get("seed_keep_low", 1.0) != told.get("seed_keep_high", 1.0):
        found.append("luck")
    return found
