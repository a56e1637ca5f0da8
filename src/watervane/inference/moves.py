"""Moves of members that leave their target as it is, and the choice among them.

Half of the population is moved by a shape fitted to the other half, so that no member has a
part in its own proposal (as in affine-invariant ensembles, goodman2010, from memory). Along the
known directions: autoregressive steps that would be exact for the fitted t (grumitt2023, from
memory), random walks, and differences of two members of the other half (terbraak2006). In all
other directions: Crank-Nicolson steps, exact for the prior (cotter2013).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from watervane.inference.shape import Shape
from watervane.inference.target import Floats, Indices

FITTED, NOISE, WALK, DIFFERENCE = "fitted", "noise", "walk", "difference"
LEAP_SHARE = 0.1  # of difference moves: the whole way from one member to another
WALK_ACCEPTANCE = 0.25
EXPLORE = 0.15  # share of members moved by kinds that have not done best so far
MEMORY = 0.6  # of what kinds of moves achieved, from one sweep to the next
FAVOUR = 2.0  # power of the achievement by which kinds are chosen


@dataclass(frozen=True)
class Kind:
    """A kind of move.

    Parameters
    ----------
    name
        What it is reported as.
    known
        Autoregression along the known directions: 0 forgets, 1 stays. Of walks and
        differences: the step, in units of the best one for a normal target.
    free
        Autoregression in all other directions.
    """

    name: str
    known: float
    free: float


KINDS = (
    Kind(FITTED, 0.0, 0.0),
    Kind(FITTED, 0.5, 0.5),
    Kind(FITTED, 0.8, 0.8),
    Kind(FITTED, 0.0, 1.0),
    Kind(FITTED, 0.6, 1.0),
    Kind(NOISE, 1.0, 0.0),
    Kind(NOISE, 1.0, 0.6),
    Kind(WALK, 1.0, 0.8),
    Kind(WALK, 0.5, 1.0),
    Kind(DIFFERENCE, 1.0, 1.0),
)


_FREE = np.array([each.free for each in KINDS])
_KNOWN = np.array([each.known for each in KINDS])
_IS = {name: np.array([k.name == name for k in KINDS]) for name in (FITTED, WALK, DIFFERENCE)}


@dataclass(frozen=True)
class Proposal:
    """Where members would go.

    Parameters
    ----------
    turned
        Turned unknowns proposed, shape (unknowns, members).
    log_ratio
        All of the log acceptance ratio but the likelihood, shape (members,).
    known_jump, free_jump
        Mean squared step in units of the spread, half of it: 1 is a fresh draw.
    """

    turned: Floats
    log_ratio: Floats
    known_jump: Floats
    free_jump: Floats

    def take(self, index: Indices) -> Proposal:
        """The same of the members named."""
        return Proposal(
            self.turned[:, index],
            self.log_ratio[index],
            self.known_jump[index],
            self.free_jump[index],
        )


def propose(
    turned: Floats,
    other: Floats,
    shape: Shape,
    kind: Indices,
    rng: np.random.Generator,
    standard_others: Floats | None = None,
) -> Proposal:
    """Propose a move of each member.

    Parameters
    ----------
    turned
        The members, shape (unknowns, members).
    other
        The half that the shape was fitted to.
    shape
        The fitted shape.
    kind
        Number of the kind of move, shape (members,).
    rng
        Source of all chance.
    standard_others
        The other half's standard coordinates, where they serve many moves.
    """
    known, leading = shape.known, len(shape.axes)
    others = shape.standard(other) if standard_others is None else standard_others
    axes = shape.axes[:known]
    now = axes @ turned[:leading]
    keep_free = _FREE[kind]
    drift = np.sqrt(1.0 - keep_free**2) * rng.standard_normal(turned.shape)
    then = keep_free * turned + drift
    standard = (now - shape.mean) / shape.spread
    moved, log_ratio = _along_known(standard, others, shape, kind, rng)
    along = shape.mean + shape.spread * moved
    log_ratio += 0.5 * (now**2 - along**2).sum(axis=0)
    # The step of the free directions was made in all; along the known ones it is replaced.
    strayed = axes @ then[:leading]
    then[:leading] += axes.T @ (along - strayed)
    free_square = ((then - turned) ** 2).sum(axis=0) - ((along - now) ** 2).sum(axis=0)
    return Proposal(
        then,
        log_ratio,
        0.5 * ((moved - standard) ** 2).mean(axis=0) if known else np.zeros(len(kind)),
        0.5 * free_square / max(len(turned) - known, 1),
    )


def _along_known(
    standard: Floats,
    others: Floats,
    shape: Shape,
    kind: Indices,
    rng: np.random.Generator,
) -> tuple[Floats, Floats]:
    """Moved standard coordinates, and the log ratio of the fitted density where it counts."""
    count, members = standard.shape
    fresh = rng.standard_normal(standard.shape)
    size = _KNOWN[kind]
    step = size * 2.38 / math.sqrt(max(count, 1))
    # The scale a t owes to each member's own distance makes the step exact for the t.
    square = (standard * standard).sum(axis=0)
    chance = rng.standard_gamma(0.5 * (shape.freedom + count), members)
    scale = np.sqrt(0.5 * (shape.freedom + square) / chance)
    keep = np.clip(size, 0.0, 1.0)
    fitted = keep * standard + np.sqrt(1.0 - keep**2) * scale * fresh
    walked = standard + step * np.exp(rng.uniform(-1.0, 0.5, members)) * fresh
    first = rng.integers(0, others.shape[1], members)
    second = (first + rng.integers(1, others.shape[1], members)) % others.shape[1]
    leap = rng.uniform(size=members) < LEAP_SHARE
    away = others[:, first] - others[:, second]
    stride = np.where(leap, 1.0, step / math.sqrt(2.0) * rng.uniform(0.5, 1.0, members))
    differed = standard + stride * away + 1e-3 * fresh
    by_fit, by_walk = _IS[FITTED][kind], _IS[WALK][kind]
    moved = np.where(_IS[DIFFERENCE][kind], differed, standard)
    moved = np.where(by_fit, fitted, np.where(by_walk, walked, moved))
    ratio = shape.log_density(standard) - shape.log_density(fitted)
    return moved, np.where(by_fit, ratio, 0.0)


def deal(shares: Floats, members: int, rng: np.random.Generator) -> Indices:
    """Kinds of moves of members, in the given shares, by chance alone."""
    points = (np.arange(members) + rng.uniform()) / members
    dealt = np.minimum(np.searchsorted(np.cumsum(shares), points), len(KINDS) - 1)
    return rng.permutation(dealt).astype(np.int64)


class Choice:
    """Which kinds of moves members get: more of those that have moved them farthest."""

    def __init__(self) -> None:
        self._tried = np.zeros(len(KINDS))
        self._taken = np.zeros(len(KINDS))
        self._known = np.full(len(KINDS), 0.0)
        self._free = np.full(len(KINDS), 0.0)
        self.stage_tried: dict[str, int] = {}
        self.stage_taken: dict[str, int] = {}

    def draw(
        self, members: int, known_need: float, free_need: float, rng: np.random.Generator
    ) -> Indices:
        """Deal kinds of moves to members, by chance alone.

        Parameters
        ----------
        members
            How many.
        known_need, free_need
            How much still has to be moved in known and in free directions.
        rng
            Source of all chance.
        """
        return deal(self.shares(known_need, free_need), members, rng)

    def shares(self, known_need: float, free_need: float) -> Floats:
        """Share of members that each kind of move should get, shape (kinds,)."""
        worth = known_need * self._rate(self._known) + free_need * self._rate(self._free)
        favour = worth**FAVOUR
        total = favour.sum()
        best = favour / total if total > 0.0 else np.full(len(KINDS), 1.0 / len(KINDS))
        return np.asarray(EXPLORE / len(KINDS) + (1.0 - EXPLORE) * best)

    def farthest(self) -> float:
        """What the best kind achieves a move along the known directions; 1 is a fresh draw."""
        return float(self._rate(self._known).max())

    def _rate(self, moved: Floats) -> Floats:
        # A kind not yet tried is taken for a middling one.
        rate: Floats = (moved + 0.2) / (self._tried + 1.0)
        return rate

    def learn(self, kind: Indices, chance: Floats, taken: Floats, proposal: Proposal) -> None:
        """Remember what each kind achieved.

        Parameters
        ----------
        kind
            Of each member's move.
        chance
            With which each was accepted.
        taken
            Whether it was.
        proposal
            The moves.
        """

        def sums(values: Floats) -> Floats:
            return np.bincount(kind, weights=values, minlength=len(KINDS)).astype(np.float64)

        self._tried = MEMORY * self._tried + sums(np.ones(len(kind)))
        self._known = MEMORY * self._known + sums(chance * proposal.known_jump)
        self._free = MEMORY * self._free + sums(chance * proposal.free_jump)
        tried, done = sums(np.ones(len(kind))), sums(taken)
        for number, each in enumerate(KINDS):
            old = self.stage_tried.get(each.name, 0), self.stage_taken.get(each.name, 0)
            self.stage_tried[each.name] = old[0] + int(tried[number])
            self.stage_taken[each.name] = old[1] + int(done[number])

    def acceptance(self) -> Mapping[str, float]:
        """Share accepted since the last call, by name of the kind."""
        shares = {n: self.stage_taken[n] / max(t, 1) for n, t in self.stage_tried.items()}
        self.stage_tried, self.stage_taken = {}, {}
        return shares
