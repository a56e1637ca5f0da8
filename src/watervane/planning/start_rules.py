"""What the keeper of a new tank does on a day, by what they read: the rules of each way.

A rule sees test readings, never the water itself. Its levels are common practice, no source,
but where told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from watervane.planning.start_doses import MG_N_PER_MMOL, SODA
from watervane.process.day_program import Action
from watervane.process.doses import dose_action
from watervane.process.source_water import MEQ_PER_DKH
from watervane.process.state import WATER
from watervane.process.tending import Deed
from watervane.records import Dose, Span
from watervane.reference import substance

Numbers = NDArray[np.float64]
Who = NDArray[np.bool_]
_ANY = datetime(2000, 1, 1, tzinfo=UTC)  # the moment of an amount that has none


@dataclass(frozen=True)
class Look:
    """What a keeper has before them at the turn of a day.

    Parameters
    ----------
    day
        Days since the start began, 0 on the first.
    ammonia_mg_n_per_l, nitrite_mg_n_per_l, kh_dkh
        As a test shows them, shape (members,).
    """

    day: int
    ammonia_mg_n_per_l: Numbers
    nitrite_mg_n_per_l: Numbers
    kh_dkh: Numbers

    def of_members(self, index: NDArray[np.int64]) -> Look:
        """What the keepers of some members have before them."""
        readings = (self.ammonia_mg_n_per_l, self.nitrite_mg_n_per_l, self.kh_dkh)
        return Look(self.day, *(reading[index] for reading in readings))

    @property
    def everyone(self) -> Who:
        """All members."""
        return np.ones(len(self.kh_dkh), dtype=bool)


@dataclass(frozen=True)
class Task:
    """Something done, or only looked at.

    Parameters
    ----------
    kind
        ``test``, ``dose``, ``soda``, ``change``, ``seed``, ``bottle``, ``plant``, ``pause``.
    who
        By whom, shape (members,).
    amount
        In the unit of the kind: mg N/L, dKH, share of the water, L; shape (members,).
    deed
        What it does to the water, if anything.
    """

    kind: str
    who: Who
    amount: Numbers
    deed: Deed | None = None


class Rule(Protocol):
    """One rule of a keeper; may remember what it did before."""

    def tasks(self, look: Look) -> Sequence[Task]:
        """What there is to do."""


@dataclass(frozen=True)
class DoseLevels:
    """When ammonia is dosed.

    Parameters
    ----------
    up_to_mg_n_per_l
        Filled up to. [mg N/L]
    again_below_mg_n_per_l
        Ammonia under which the next dose is due. [mg N/L]
    stop_above_mg_n_per_l, resume_below_mg_n_per_l
        Nitrite over which dosing stops, and under which it is taken up again. [mg N/L]
    soda_below_dkh, soda_up_to_dkh
        Carbonate hardness under which soda is given, and up to what. [dKH]
    test_every_days
        [d]
    """

    up_to_mg_n_per_l: float = 2.0
    again_below_mg_n_per_l: float = 0.5
    stop_above_mg_n_per_l: float = 3.0
    resume_below_mg_n_per_l: float = 1.0
    soda_below_dkh: float = 2.0
    soda_up_to_dkh: float = 4.0
    test_every_days: int = 2


def dose_levels(load_mg_n_per_l_d: float) -> DoseLevels:
    """The usual levels; where two days of the load to come are more than a dose, a larger one.

    Tests are two days apart, so a dose has to last that long to grow what carries the load. More
    than twice the usual dose would hold nitrite oxidisers back.
    """
    usual = DoseLevels()
    most = 2.0 * usual.up_to_mg_n_per_l
    wanted = usual.test_every_days * load_mg_n_per_l_d
    return replace(usual, up_to_mg_n_per_l=min(max(usual.up_to_mg_n_per_l, wanted), most))


@dataclass
class Dosing:
    """Ammonia up to a level, again when it is gone, never on top of much nitrite."""

    substance_name: str
    levels: DoseLevels = field(default_factory=DoseLevels)
    _paused: Who | None = None

    def tasks(self, look: Look) -> Sequence[Task]:
        """See `Rule`."""
        if look.day % self.levels.test_every_days:
            return []
        everyone, nothing = look.everyone, np.zeros(len(look.kh_dkh))
        before = ~everyone if self._paused is None else self._paused
        level = np.where(
            before, self.levels.resume_below_mg_n_per_l, self.levels.stop_above_mg_n_per_l
        )
        paused = np.asarray(look.nitrite_mg_n_per_l >= level)
        self._paused = paused
        due = (look.ammonia_mg_n_per_l < self.levels.again_below_mg_n_per_l) & ~paused
        rise = np.where(due, self.levels.up_to_mg_n_per_l - look.ammonia_mg_n_per_l, 0.0)
        short = look.kh_dkh < self.levels.soda_below_dkh
        lack = np.where(short, self.levels.soda_up_to_dkh - look.kh_dkh, 0.0)
        return [
            Task("test", everyone, nothing),
            Task("pause", paused & ~before, nothing),
            Task("soda", short, lack, Deed(_soda(), short, lack)),
            Task("dose", due, rise, Deed(_ammonia(self.substance_name), due, rise)),
        ]


def _ammonia(name: str) -> Action:
    """One mg N/L of ammonia, as unsure as the strength of what it comes in."""
    what = substance(name)
    grams = what.molar_mass_g_per_mol / what.strength / what.tan_mol / MG_N_PER_MMOL / 1000.0
    spread = dose_action(0.0, Dose(at=_ANY, substance=name, mass_g=Span.exact(grams)), 1.0)
    added = dose_action(0.0, Dose(at=_ANY, substance=name, added_mg_n_per_l=1.0), 1.0)
    return Action(0.0, {"dose_log_spread": spread.scalars["dose_log_spread"]}, added.vectors)


def _soda() -> Action:
    """One dKH as baking soda."""
    what = substance(SODA)
    grams = MEQ_PER_DKH / what.alkalinity_eq * what.molar_mass_g_per_mol / 1000.0
    return dose_action(0.0, Dose(at=_ANY, substance=SODA, mass_g=Span.exact(grams)), 1.0)


@dataclass(frozen=True)
class ChangeLevels:
    """When water is changed for the animals' sake.

    Parameters
    ----------
    ammonia_mg_n_per_l, nitrite_mg_n_per_l
        A reading from this on is answered with a change. [mg N/L]
    share, large_share
        Of the water; the larger one from twice the level on.
    test_every_days
        [d]
    """

    ammonia_mg_n_per_l: float = 0.25
    nitrite_mg_n_per_l: float = 0.15
    share: float = 0.33
    large_share: float = 0.5
    test_every_days: int = 2


@dataclass
class Changing:
    """Test every other day, and change water where a reading asks for it.

    Who had to change much tests again the next day.
    """

    temperature_c: float
    levels: ChangeLevels = field(default_factory=ChangeLevels)
    from_day: int = 0
    _again: Who | None = None

    def tasks(self, look: Look) -> Sequence[Task]:
        """See `Rule`."""
        if look.day < self.from_day:
            return []
        tested = look.everyone
        if (look.day - self.from_day) % self.levels.test_every_days:
            tested = ~tested if self._again is None else self._again
        worst = np.maximum(
            look.ammonia_mg_n_per_l / self.levels.ammonia_mg_n_per_l,
            look.nitrite_mg_n_per_l / self.levels.nitrite_mg_n_per_l,
        )
        large = (worst >= 2.0) & tested
        small = (worst >= 1.0) & tested & ~large
        self._again = large
        done = [Task("test", tested, np.zeros(len(worst)))]
        for who, share in ((small, self.levels.share), (large, self.levels.large_share)):
            deed = Deed(change_action(share, self.temperature_c), who)
            done.append(Task("change", who, np.where(who, share, 0.0), deed))
        return done


def change_action(share: float, temperature_c: float) -> Action:
    """A share of the water replaced by conditioned source water as warm as the tank."""
    kept = 1.0 - share
    return Action(
        0.0,
        {"volume_keep": kept, "fill_to_mark": 1.0, "poured_temperature_c": temperature_c},
        {"keep": dict.fromkeys(WATER, kept)},
    )


@dataclass
class Once:
    """One thing on given days, the same for everyone but for its amount.

    Parameters
    ----------
    kind
        See `Task`.
    action
        What it does.
    times
        By day, how much of it, shape (members,) each.
    amounts
        What is told of it, by day.
    """

    kind: str
    action: Action
    times: dict[int, Numbers]
    amounts: dict[int, float]

    def tasks(self, look: Look) -> Sequence[Task]:
        """See `Rule`."""
        if look.day not in self.times:
            return []
        amount = np.full(len(look.kh_dkh), self.amounts[look.day])
        deed = Deed(self.action, look.everyone, self.times[look.day])
        return [Task(self.kind, look.everyone, amount, deed)]
