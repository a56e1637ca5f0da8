"""What a way to start asks of its keeper: the dose plan, and the dated deeds of one future."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from watervane.engine.tended import Tended
from watervane.forecast.quantiles import number_quantiles
from watervane.planning.start_doses import alkalinity_cost_dkh_per_mg_n_per_l, dose_amount, soda_g
from watervane.planning.start_kinds import SALT, SOLUTION, Start
from watervane.planning.start_rules import ChangeLevels, DoseLevels, Task
from watervane.process.timeline import Timeline
from watervane.records import ChangePlan, DosePlan, FirstDose, WayDeed
from watervane.reference import substance

Numbers = NDArray[np.float64]


def dose_plan(
    name: str, ran: Tended, settled: Numbers, volume_l: float, levels: DoseLevels
) -> DosePlan:
    """Amounts and rules of dosing, with what they came to over the members.

    Parameters
    ----------
    name
        Of the substance.
    ran
        How the members fared.
    settled
        Days until each is settled, infinite where never: doses after it do not count.
    volume_l
        [L]
    levels
        That were followed.
    """
    doses, dosed, soda, paused = (np.zeros(len(settled)) for _ in range(4))
    for day, task in ran.tasks:
        doing = task.who & (day < settled)
        if task.kind == "dose":
            doses += doing
            dosed += np.where(doing, task.amount, 0.0)
        elif task.kind == "soda":
            soda += np.where(doing, task.amount, 0.0)
        elif task.kind == "pause":
            paused += doing
    first, other = (
        first_dose(each, levels.up_to_mg_n_per_l, volume_l)
        for each in (name, SOLUTION if name == SALT else SALT)
    )
    return DosePlan(
        first=first,
        other=other,
        up_to_mg_n_per_l=levels.up_to_mg_n_per_l,
        again_below_mg_n_per_l=levels.again_below_mg_n_per_l,
        stop_above_mg_n_per_l=levels.stop_above_mg_n_per_l,
        resume_below_mg_n_per_l=levels.resume_below_mg_n_per_l,
        soda_below_dkh=levels.soda_below_dkh,
        soda_g_per_dkh=soda_g(1.0, volume_l),
        test_every_days=levels.test_every_days,
        doses=number_quantiles(doses),
        dosed_g=number_quantiles(dosed * dose_amount(name, 1.0, volume_l).grams),
        soda_g=number_quantiles(soda * soda_g(1.0, volume_l)),
        paused=float((paused > 0).mean()),
    )


def change_plan(levels: ChangeLevels | None = None) -> ChangePlan:
    """The rule by which water is changed; the usual one if left out."""
    levels = levels or ChangeLevels()
    return ChangePlan(
        levels.ammonia_mg_n_per_l,
        levels.nitrite_mg_n_per_l,
        levels.share,
        levels.large_share,
        levels.test_every_days,
    )


def first_dose(name: str, rise_mg_n_per_l: float, volume_l: float) -> FirstDose:
    """So much ammonia from one source, and what it costs the buffering."""
    amount = dose_amount(name, rise_mg_n_per_l, volume_l)
    return FirstDose(
        substance=name,
        first_dose_g=amount.grams,
        first_dose_ml=amount.millilitres,
        strength=substance(name).strength,
        alkalinity_cost_dkh_per_mg_n_per_l=alkalinity_cost_dkh_per_mg_n_per_l(name),
    )


def middle_deeds(
    start: Start, ran: Tended, settled: Numbers, line: Timeline, volume_l: float
) -> tuple[WayDeed, ...]:
    """What is done, and when, in the future whose settling lies in the middle of all."""
    member = int(np.argsort(settled, kind="stable")[(len(settled) - 1) // 2])
    until = settled[member]
    deeds = []
    for day, task in ran.tasks:
        if task.kind == "test" or day >= until or not task.who[member]:
            continue
        at = line.calendar.moment(line.calendar.bounds_d(ran.course.first_day + day)[0])
        deeds.append(WayDeed(at, task.kind, _told(start, task, member, volume_l)))
    return tuple(deeds)


def _told(start: Start, task: Task, member: int, volume_l: float) -> float:
    amount = float(task.amount[member])
    if task.kind == "dose" and start.dosed is not None:
        return dose_amount(start.dosed, amount, volume_l).grams
    return soda_g(amount, volume_l) if task.kind == "soda" else amount
