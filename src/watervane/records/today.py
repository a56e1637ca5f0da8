"""What is wrong with a tank now, what to do about it today, and what that buys."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from watervane.records.allowed_risk import AllowedRisk
from watervane.records.findings import Finding
from watervane.records.forecasts import Diagnostics, NumberQuantiles
from watervane.records.limits import ToldLimit
from watervane.records.watching import Watch


@dataclass(frozen=True, slots=True)
class Danger:
    """One tier of one subject: how likely its limit is passed, and by what.

    ``now`` is the chance that it is passed at the moment, ``soon`` within 48 hours, ``week``
    within seven days, all with nothing done but what is planned. ``limit`` is the leading one,
    ``value`` what the water comes to at its worst within 48 hours, in the unit of the limit.
    """

    tier: str
    subject: str
    now: float
    soon: float
    week: float
    limit: ToldLimit
    value: NumberQuantiles


@dataclass(frozen=True, slots=True)
class Driver:
    """A number of this tank that the verdict rests on, now."""

    name: str
    value: NumberQuantiles


@dataclass(frozen=True, slots=True)
class Swing:
    """What one reading taken now would make of the verdict.

    ``low`` and ``high`` are what a kit may show, nitrogen in mg N/L whatever its ``basis``;
    ``if_low`` and ``if_high`` the chance of harm after reading no more than the one, or no less
    than the other; ``chance_low`` and ``chance_high`` how likely that is to be read.
    """

    quantity: str
    kit: str | None
    basis: str
    low: float
    high: float
    if_low: float
    if_high: float
    chance_low: float
    chance_high: float


@dataclass(frozen=True, slots=True)
class ReadAlarm:
    """A reading that means harm if it is right, though the members that fit the rest say less.

    ``level`` is what was read, in the unit of the limit (nitrogen as the ion where the basis is
    not told); ``limit`` is the one it passes in the members' water, ``chance`` the share of them in
    which it does; ``share`` of the water is what to change first: what would bring it under, or a
    tenth where it is to be changed ``gently``, as its pH may be far from that of the tap.
    ``changed_since`` is the share that was changed after it was read, which is allowed for.
    ``after`` is a deed of the two days before it by which new water may itself be what hurts.
    """

    quantity: str
    level: float
    limit: ToldLimit
    chance: float
    share: float
    changed_since: float = 0.0
    gently: bool = False
    after: str = ""


@dataclass(frozen=True, slots=True)
class Verdict:
    """One sentence on today and the next 48 hours.

    ``key`` is ``no-animals``, ``reading-harmful``, ``emergency``, ``harm-likely``,
    ``harm-possible``, ``strain-likely``, ``strain-possible``, ``harm-later``, ``out-of-range`` or
    ``nothing-points-to-harm``.
    ``leading`` is the danger it is about; ``dangers`` are all that matter, the gravest first.
    """

    key: str
    leading: Danger | None
    dangers: tuple[Danger, ...]
    drivers: tuple[Driver, ...]
    swing: Swing | None = None
    alarm: ReadAlarm | None = None


@dataclass(frozen=True, slots=True)
class Act:
    """One thing to do, once or several times.

    Parameters
    ----------
    kind
        ``change``, ``check``, ``fast``, ``less-food``, ``air``, ``clear``, ``condition``,
        ``salt``, ``buffer``, ``zeolite``, ``seed``, ``move-out``, ``warm`` or ``cool``.
    at
        The first time.
    amount, unit
        How much each time: ``share`` of the water, ``d``, ``L/h``, ``g``, ``L``, ``animals``,
        ``degC``; empty where there is nothing to measure.
    times, every_days
        How often.
    wait_d
        Days put off on purpose; none of what is done at once. [d]
    what
        A substance, or a species.
    minutes, litres
        Work and source water of one time; of a check the work of reading, and the water of one
        change. [min], [L]
    above
        Of a check: readings from which on the water is changed, by quantity. [mg N/L]
    """

    kind: str
    at: datetime
    amount: float = 0.0
    unit: str = ""
    times: int = 1
    every_days: float = 1.0
    what: str = ""
    minutes: float = 0.0
    litres: float = 0.0
    above: tuple[tuple[str, float], ...] = ()
    wait_d: float = 0.0

    @property
    def brings_water(self) -> bool:
        """Whether new water goes in, or may where a reading asks for it."""
        return self.kind in ("change", "check")


@dataclass(frozen=True, slots=True)
class AtOnce:
    """What readings say by themselves, before or without a forecast.

    ``alarms`` are those that pass a limit, the gravest first; ``asleep`` is ammonia that passes
    none in water so acid, and would at ``awake_ph``. ``emergency`` is what to do within the hour,
    in order, where one harms at once; ``first_change`` one of water where that helps; ``known``
    where the newest judgement knows these readings, too. Where KH or pH was read so low that new
    water may make pH jump, ``bounded_by`` names it, and ``most_share`` is what may be changed at
    once by it.
    """

    alarms: tuple[ReadAlarm, ...] = ()
    asleep: ReadAlarm | None = None
    awake_ph: float = 7.5
    emergency: tuple[Finding, ...] = ()
    first_change: Act | None = None
    known: bool = False
    bounded_by: str = ""
    most_share: float = 1.0


@dataclass(frozen=True, slots=True)
class BoundedChange:
    """That steps ask for more new water at once than a reading bears.

    A judgement may take such a reading for a slip, and then goes by all the rest.

    Parameters
    ----------
    reading
        ``kh`` or ``ph``.
    most_share
        Of the water, by the reading.
    steps_share
        Of the water, by the steps.
    """

    reading: str
    most_share: float
    steps_share: float


@dataclass(frozen=True, slots=True)
class WeekPlan:
    """A way through the next seven days: what is done, what it costs, what it leaves of harm.

    Parameters
    ----------
    acts
        None where only what is planned is done.
    minutes, litres
        Of all of them together, besides what is planned; of changes that wait for a reading what
        is expected. [min], [L]
    chances
        Of passing any limit of each tier after the first step.
    hours
        Expected hours beyond a limit of each tier. [h]
    burden
        The same, each hour times how far beyond: it still tells ways apart where none keeps
        the limit. [h]
    by_subject
        Chance by ``tier/subject`` of all that is not next to nothing.
    """

    acts: tuple[Act, ...]
    minutes: float
    litres: float
    chances: Mapping[str, float]
    hours: Mapping[str, float]
    burden: Mapping[str, float] = field(default_factory=dict)
    by_subject: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Today:
    """The verdict on a tank and the next steps.

    Parameters
    ----------
    tank, owner, as_of, seed
        What was asked about.
    allowed
        Risk the keeper accepts.
    verdict
        On today and the next 48 hours.
    planned
        The next seven days with nothing done but what is planned.
    chosen
        The least work that keeps the risk, or the least bad.
    runner_up
        The next best, where there is one.
    frontier
        Ways none of which is worse than another in work and in every tier, least work first.
    good_enough
        Tiers the chosen way keeps under their risk.
    at_best
        What the best way tried leaves of each tier, at whatever work.
    tried
        Ways looked at.
    emergency
        What to do within the hour, in order; empty where there is no hurry.
    remarks
        What else to know: why, cautions, what was assumed.
    diagnostics
        Of the members.
    warmth_c
        Of the water now, in the middle member. [degC]
    notes
        What to know of the chosen steps: how slowly, how much, not for whom.
    stock
        A caution where the animals are too many even for the grown tank, and by how many.
    watch
        What leaves the course foretold for it; none of a file, of which nothing was kept.
    left_out
        The next seven days with the planned water changes left out; none where none is planned.
    can_wait_d
        How long the one water change of the chosen way can be put off and serve as well. [d]
    bounded
        Where the chosen way asks for more new water at once than a reading bears.
    """

    tank: str
    owner: str
    as_of: datetime
    seed: int
    allowed: AllowedRisk
    verdict: Verdict
    planned: WeekPlan | None
    chosen: WeekPlan | None
    runner_up: WeekPlan | None
    frontier: tuple[WeekPlan, ...]
    good_enough: tuple[str, ...]
    at_best: Mapping[str, float]
    tried: int
    emergency: tuple[Finding, ...]
    remarks: tuple[Finding, ...]
    diagnostics: Diagnostics
    warmth_c: float = 25.0
    notes: tuple[Finding, ...] = ()
    stock: tuple[Finding, ...] = ()
    watch: Watch | None = None
    left_out: WeekPlan | None = None
    can_wait_d: float = 0.0
    bounded: BoundedChange | None = None

    @property
    def in_order(self) -> tuple[tuple[int, Act], ...]:
        """The chosen acts with their places, what is put off last.

        Where oxygen harms, air comes before the rest of its day.
        """
        acts = () if self.chosen is None else tuple(enumerate(self.chosen.acts))
        acts = tuple(sorted(acts, key=lambda one: one[1].wait_d))
        leading = self.verdict.leading
        if leading is None or leading.subject != "oxygen":
            return acts
        return tuple(sorted(acts, key=lambda one: (one[1].at.date(), one[1].kind != "air")))
