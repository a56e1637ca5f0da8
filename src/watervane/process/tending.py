"""What a keeper does to some members and not to others: each acts on what they read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.process.actions import act
from watervane.process.arrays import jax
from watervane.process.daily_noise import NOISE_NAMES, DailyNoise
from watervane.process.day_program import Action, Rows, empty_rows, write_action
from watervane.process.kept_program import KeptProgram
from watervane.process.run import BLOCK_MEMBERS, Members
from watervane.process.state import TankState

Numbers = NDArray[np.float64]
SCALED = ("add", "seed_area_per_l")
_act = KeptProgram(jax.jit(act), "act")


@dataclass(frozen=True)
class Deed:
    """One action, done to some of the members.

    Parameters
    ----------
    action
        What is done; its moment is not used.
    who
        To whom, shape (members,).
    times
        What is added or seeded, times this much for each member, shape (members,).
    """

    action: Action
    who: NDArray[np.bool_]
    times: Numbers | None = None

    def among(self, index: NDArray[np.int64], count: int) -> Deed:
        """The same deed done to the members at some places among more."""
        who, times = np.zeros(count, dtype=bool), np.ones(count)
        who[index] = self.who
        if self.times is not None:
            times[index] = self.times
        return Deed(self.action, who, times)


def after_deeds(
    members: Members, state: TankState, day: int, noise: DailyNoise, deeds: Sequence[Deed]
) -> TankState:
    """The state after deeds done one after the other, at one moment.

    Parameters
    ----------
    members
        Of the state.
    state
        One tank by members.
    day
        Whose luck and sizes of changes hold.
    noise
        Of the members.
    deeds
        In order.

    Notes
    -----
    The actions of the day program themselves are used, with a row that differs from member to
    member.
    """
    deeds = [deed for deed in deeds if deed.who.any()]
    if not deeds:
        return state
    count = len(members)
    width = -(-count // BLOCK_MEMBERS) * BLOCK_MEMBERS
    lanes = np.minimum(np.arange(width), count - 1)  # few widths, so that few programs are made
    theta = {name: value[lanes][None, :] for name, value in members.parameters.items()}
    source = members.source[:, None, lanes]
    told = {n: v[:, lanes] for n, v in zip(NOISE_NAMES, noise.of_day(day), strict=True)}
    acted = TankState(*(np.asarray(part)[..., lanes] for part in state))
    for deed in deeds:
        acted = TankState(*_act(acted, _row(deed, lanes), theta, source, told))
    return TankState(*(np.asarray(part)[..., :count] for part in acted))


def _row(deed: Deed, lanes: NDArray[np.int64]) -> Rows:
    """A row of one moment, with what is done to each lane."""
    idle, doing = empty_rows(1), empty_rows(1)
    write_action(doing, 0, deed.action)
    times = np.ones(len(lanes)) if deed.times is None else deed.times[lanes]
    who = deed.who[lanes]
    row: Rows = {}
    for name, values in doing.items():
        done = values[0] * times if name in SCALED else values[0]
        row[name] = np.where(who, done, idle[name][0])
    row["acts"] = np.ones((1, len(lanes)))
    return row
