"""Sequential tempered Monte Carlo: from the prior (or old readings) to the posterior.

The readings' likelihood is taken to a rising power, each so that half of the members stay
effective; members are resampled and then moved until they have forgotten where they were, by
measurement and not by count. All members are evaluated in one call of the target, a sweep.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.special import logsumexp, ndtri

from watervane.inference.algebra_threads import one_algebra_thread
from watervane.inference.mixing import measure
from watervane.inference.moves import Choice, Proposal, propose
from watervane.inference.scouting import Scouts
from watervane.inference.shape import Shape, fit_shape, rotation
from watervane.inference.target import (
    Evaluated,
    Flags,
    Floats,
    Indices,
    Info,
    Mixing,
    Population,
    Posterior,
    Stage,
    Target,
    family_error,
)
from watervane.inference.weighting import effective_members, resample

MOST_SCOUTED = 0.9  # share of members moved by walks on a surrogate, where there is one
CHANCE = 2.0  # standard errors by which the worst of many correlations is off by chance alone
DRIFT = 4.0  # standard errors by which the most drifting of many means is off by chance alone
LEAST_FAMILIES = 50  # fewer tell too little about errors
GOOD_EFFECTIVE, LEAST_EFFECTIVE = 60.0, 20.0
ADRIFT = 0.4  # spreads that members' mean may move at the end before nothing can be believed
UNMIXED = 0.8  # correlation on the way above which the members hardly moved


@dataclass(frozen=True)
class Effort:
    """How much work a run may do, and when moving may stop.

    Parameters
    ----------
    effective_share
        Of members that stay effective from one temperature to the next.
    between, at_end
        Correlation with the members before the moves at which moving stops: at the
        temperatures on the way, and at the last.
    most_between, most_at_end
        Sweeps after which it stops anyway, which is reported.
    """

    effective_share: float = 0.5
    between: float = 0.6
    at_end: float = 0.2
    most_between: int = 20
    most_at_end: int = 60


def sample(
    target: Target,
    members: int,
    seed: int,
    *,
    start: Population | None = None,
    effort: Effort | None = None,
    progress: Callable[[float], None] | None = None,
) -> Posterior:
    """Draw members from a posterior.

    Parameters
    ----------
    target
        Weighs members; see `Target`.
    members
        How many.
    seed
        Of all random numbers. They do not depend on threads or call order elsewhere.
    start
        Members that fit old readings already: only the likelihood beyond
        `Evaluated.log_base` is tempered. Left out: begin with the prior.
    effort
        See `Effort`.
    progress
        Called with the share done, 0 to 1, never falling.

    Raises
    ------
    ValueError
        If no member can explain the readings, or the target's rows do not add up.
    """
    with one_algebra_thread():
        return _Run(target, members, seed, effort or Effort(), progress).from_start(start)


class _Run:
    """One run of the sampler: the members and what became of them."""

    def __init__(
        self,
        target: Target,
        members: int,
        seed: int,
        effort: Effort,
        progress: Callable[[float], None] | None,
    ) -> None:
        self._target, self._members, self._seed = target, members, seed
        self._effort, self._progress = effort, progress
        self._turn, self._leading = rotation(len(target.names), target.lasting, target.fleeting)
        self._lasting = len(target.lasting)
        self._choice = Choice()
        self._scouts = Scouts(target, self._turn)
        self._scouting: list[float] = []
        self._lineages: list[Indices] = []
        self._sweeps = self._unusable = self._draws = 0
        self._power = 0.0
        self._told = 0.0

    # -- chance and sweeps ---------------------------------------------------------------

    def _rng(self) -> np.random.Generator:
        """Chance of the next step, keyed by seed and step."""
        self._draws += 1
        key = np.array([self._seed % (1 << 64), self._draws], dtype=np.uint64)
        return np.random.Generator(np.random.Philox(key=key))

    def _evaluate(self, turned: Floats) -> Evaluated:
        self._sweeps += 1
        found = self._target.evaluate(self._turn.T @ turned)
        wrong = np.isnan(found.log_likelihood) | np.isnan(found.base)
        self._unusable += int(wrong.sum())
        self._scouts.remember(self._turn.T @ turned, found)
        if not wrong.any():
            return found
        usable = np.where(wrong, -np.inf, found.log_likelihood)
        base = None if found.log_base is None else np.where(wrong, -np.inf, found.log_base)
        return Evaluated(usable, found.kept, base)

    def _prior(self) -> Floats:
        """Draws of the prior, stratified unknown by unknown."""
        rng, shape = self._rng(), (len(self._turn), self._members)
        strata = rng.permuted(np.broadcast_to(np.arange(self._members), shape), axis=1)
        drawn: Floats = ndtri((strata + rng.uniform(size=shape)) / self._members)
        return self._turn @ drawn

    # -- the course of a run -------------------------------------------------------------

    def from_start(self, start: Population | None) -> Posterior:
        log_weights = np.full(self._members, -np.log(self._members))
        if start is None:
            self._turned = self._prior()
            self._now = self._evaluate(self._turned)
            self._lineages = [np.arange(self._members)]
        else:
            index = np.arange(start.z.shape[1])
            if start.log_weights is not None:
                log_weights = start.log_weights - logsumexp(start.log_weights)
            if len(index) != self._members:
                index = resample(log_weights, self._members, float(self._rng().uniform()))
                log_weights = np.full(self._members, -np.log(self._members))
            self._turned = self._turn @ start.z[:, index]
            if start.evaluated is not None:
                self._scouts.remember(start.z, start.evaluated)
            self._now = (
                start.evaluated.take(index)
                if start.evaluated is not None
                else self._evaluate(self._turned)
            )
            self._lineages = [index]
        evidence = 0.0
        stages: list[Stage] = []
        while not stages or self._power < 1.0:
            step, stage = self._stage(log_weights)
            log_weights = np.full(self._members, -np.log(self._members))
            evidence += step
            stages.append(stage)
        return self._posterior(tuple(stages), evidence)

    def _stage(self, log_weights: Floats) -> tuple[float, Stage]:
        """Go to the next temperature, resample, move; the evidence's step and a report."""
        first, before = self._sweeps, self._power
        with np.errstate(invalid="ignore"):
            new = self._now.log_likelihood - self._now.base
        new = np.where(np.isneginf(self._now.log_likelihood), -np.inf, new)
        step = next_step(log_weights, new, self._effort.effective_share, 1.0 - before)
        self._power = 1.0 if step >= 1.0 - before else before + step
        weighed = log_weights + step * new
        evidence = float(logsumexp(weighed))
        effective = effective_members(weighed)
        shapes = self._shapes(np.exp(weighed - evidence))
        index = resample(weighed - evidence, self._members, float(self._rng().uniform()))
        self._turned, self._now = self._turned[:, index], self._now.take(index)
        self._lineages = [line[index] for line in self._lineages]
        self._lineages.append(np.arange(self._members))
        mixing, capped = self._move(shapes, effective)
        return evidence, Stage(
            power=self._power,
            effective=effective,
            parents=len(np.unique(index)),
            known=shapes[2].known,
            sweeps=self._sweeps - first,
            acceptance=self._acceptance(),
            mixing=mixing,
            capped=capped,
        )

    def _shapes(self, weights: Floats) -> tuple[Shape, Shape, Shape]:
        """Shapes of both halves and of all members."""
        leading = self._turned[: self._leading]
        half = self._half(weights)
        return (
            fit_shape(leading[:, :half], weights[:half]),
            fit_shape(leading[:, half:], weights[half:]),
            fit_shape(leading, weights),
        )

    def _half(self, weights: Floats) -> int:
        """Members whose weights add up to half: after resampling they fill the first half."""
        return int(np.clip(np.searchsorted(np.cumsum(weights), 0.5), 2, self._members - 2))

    # -- moves ---------------------------------------------------------------------------

    def _move(self, shapes: tuple[Shape, Shape, Shape], effective: float) -> tuple[Mixing, bool]:
        """Move members until they have forgotten where they were and their mean stays."""
        last = self._power >= 1.0
        goal = self._effort.at_end if last else self._effort.between
        most = self._effort.most_at_end if last else self._effort.most_between
        before = self._turned, self._now.log_likelihood
        mixing = Mixing(1.0, 1.0, 1.0, 1.0)
        for done in range(1, most + 1):
            need = max(mixing.lasting, mixing.known) - goal, mixing.free - goal
            self._sweep(shapes, need)
            mixing = measure(
                before, (self._turned, self._now.log_likelihood), shapes[2], self._lasting
            )
            self._tell(done / most if last else None)
            if mixing.worst <= goal + CHANCE / np.sqrt(self._members):
                if mixing.drift <= DRIFT * np.sqrt(1.0 / effective + 1.0 / self._members):
                    return mixing, False
                # Forgotten, but not arrived: on from here.
                before, effective = (self._turned, self._now.log_likelihood), self._members
        return mixing, True

    def _sweep(self, shapes: tuple[Shape, Shape, Shape], need: tuple[float, float]) -> None:
        """Move every member once: each half by the other half's shape."""
        rng, half = self._rng(), self._members // 2
        kind = self._choice.draw(self._members, max(need[0], 0.02), max(need[1], 0.02), rng)
        one, two = self._turned[:, :half], self._turned[:, half:]
        first = propose(one, two, shapes[1], kind[:half], rng)
        second = propose(two, one, shapes[0], kind[half:], rng)
        proposal = Proposal(
            np.concatenate([first.turned, second.turned], axis=1),
            np.concatenate([first.log_ratio, second.log_ratio]),
            np.concatenate([first.known_jump, second.known_jump]),
            np.concatenate([first.free_jump, second.free_jump]),
        )
        here = self._tempered(self._now)
        goes, log_ratio, scouting = self._scout(proposal, here, rng)
        there = self._evaluate(goes)
        chance = np.exp(np.minimum(log_ratio + self._tempered(there) - here, 0.0))
        accepted: Flags = rng.uniform(size=self._members) < chance
        plain = np.flatnonzero(~scouting)
        self._choice.learn(
            kind[plain], chance[plain], accepted[plain].astype(np.float64), proposal.take(plain)
        )
        if scouting.any():
            self._scouting.append(float(chance[scouting].mean()))
        self._turned = np.where(accepted, goes, self._turned)
        self._now = self._now.renewed(accepted, there)

    def _scout(
        self, plain: Proposal, here: Floats, rng: np.random.Generator
    ) -> tuple[Floats, Floats, Flags]:
        """Send most members on walks on a surrogate, if there is one; the others go plainly."""
        if not self._scouts.ready:
            return plain.turned, plain.log_ratio, np.zeros(self._members, dtype=np.bool_)
        seed, middle = int(rng.integers(1 << 62)), float(np.median(here))
        found = self._scouts.propose(self._turned, self._leading, self._tempered, middle, seed)
        # An end of a walk is nearly a fresh draw, so its chance is what a walk achieves.
        walks = (self._scouting[-1] if self._scouting else 1.0) ** 2
        share = MOST_SCOUTED * walks / (walks + self._choice.farthest() ** 2)
        scouting: Flags = rng.uniform(size=self._members) < share
        return (
            np.where(scouting, found.turned, plain.turned),
            np.where(scouting, found.log_ratio, plain.log_ratio),
            scouting,
        )

    def _acceptance(self) -> dict[str, float]:
        shares = dict(self._choice.acceptance())
        if self._scouting:
            shares["scouted"] = float(np.mean(self._scouting))
        self._scouting = self._scouting[-1:]
        return shares

    def _tempered(self, found: Evaluated) -> Floats:
        with np.errstate(invalid="ignore"):
            value = found.base + self._power * (found.log_likelihood - found.base)
        return np.where(np.isneginf(found.log_likelihood), -np.inf, value)

    def _tell(self, last: float | None) -> None:
        """Report progress: temperatures count most, the last moves the rest."""
        share = 0.7 * self._power**0.3 if last is None else 0.7 + 0.3 * last
        self._told = max(self._told, share)
        if self._progress is not None:
            self._progress(self._told)

    # -- the end -------------------------------------------------------------------------

    def _posterior(self, stages: tuple[Stage, ...], evidence: float) -> Posterior:
        if self._progress is not None:
            self._progress(1.0)
        z = self._turn.T @ self._turned
        # Families as old as still leaves many of them: newer ones miss what older ones share.
        many = [line for line in self._lineages if len(np.unique(line)) >= LEAST_FAMILIES]
        families = (many or self._lineages[-1:])[0]
        effective = _effective(z[self._target.lasting], families)
        info = Info(
            stages=stages,
            sweeps=self._sweeps,
            log_evidence=evidence,
            ancestors=len(np.unique(self._lineages[0])),
            effective=effective,
            unusable=self._unusable,
            health=_health(stages, effective, self._effort.at_end),
        )
        return Posterior(z, self._now, info, families)


def next_step(log_weights: Floats, new: Floats, share: float, most: float) -> float:
    """Largest rise of the power that leaves so large a share of members effective.

    Parameters
    ----------
    log_weights
        Normalised, shape (members,).
    new
        Log likelihood to be tempered, shape (members,); ``-inf`` allowed.
    share
        Of the members effective under ``log_weights`` that also can be at all.
    most
        Rise at which the power is 1.
    """
    possible = ~np.isneginf(new)
    if not possible.any():
        raise ValueError(
            "No member can explain the readings: each has likelihood zero. "
            "Look for a reading or an event that is wrong."
        )
    log_weights, new = log_weights[possible], new[possible]
    goal = share * effective_members(log_weights)
    if effective_members(log_weights + most * new) >= goal:
        return most
    low, high = 0.0, most
    for _ in range(60):
        middle = 0.5 * (low + high)
        if effective_members(log_weights + middle * new) >= goal:
            low = middle
        else:
            high = middle
    return low or high


def _effective(lasting: Floats, families: Indices) -> float:
    """Independent draws that would tell as much of the worst lasting unknown."""
    least = float(lasting.shape[1])
    for row in lasting:
        error = family_error(row, families)
        if error > 0.0:
            least = min(least, float(row.var()) / error**2)
    return least


def _health(stages: tuple[Stage, ...], effective: float, goal: float) -> str:
    """From what was measured: whether members forgot their start, and are enough of them."""
    last = stages[-1].mixing
    if last.worst > 0.5 * (1.0 + goal) or last.drift > ADRIFT or effective < LEAST_EFFECTIVE:
        return "poor"
    stuck = any(stage.mixing.worst > UNMIXED for stage in stages)
    return "thin" if stages[-1].capped or stuck or effective < GOOD_EFFECTIVE else "good"
