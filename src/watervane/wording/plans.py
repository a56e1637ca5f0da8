"""Another plan in words: what is done otherwise, what comes of it, and both plans in a table."""

from __future__ import annotations

from watervane.records.other_plans import OtherPlan, RehearsedPlan
from watervane.wording.amounts import listed, number, out_of_twenty
from watervane.wording.dates import weekday_date
from watervane.wording.rehearsals import (
    WORTH_TELLING,
    already_sentences,
    colonies_sentences,
    mishap_words,
    rehearsal_advice,
    rehearsal_table,
    worse_sentences,
)
from watervane.wording.shown import shown_species
from watervane.wording.tables import NumberTable
from watervane.wording.templates import phrase
from watervane.wording.watched import watched

LITTLE = 0.05  # of the nitrate at the end: less is not worth a sentence


def plan_words(told: RehearsedPlan) -> list[str]:
    """What is done otherwise, each thing in a few words."""
    plan = told.plan
    found = []
    if plan.food_times != 1.0:
        percent = f"{100 * plan.food_times:.0f}"
        key = "plan-food-words" if plan.food_times > 0.0 else "plan-food-none"
        found.append(phrase(key, percent=percent))
    if plan.change_fraction is not None:
        found.append(_change_words(plan, plan.change_fraction))
    for each in plan.mishaps:
        begins = told.begins.toordinal() - 1 + each.days_ahead
        day = told.begins.fromordinal(begins).replace(tzinfo=told.begins.tzinfo)
        date = weekday_date(day, beside=told.as_of)
        found.append(phrase("plan-mishap-words", what=mishap_words(each.mishap), date=date))
    return found


def plan_sentences(told: RehearsedPlan) -> list[str]:
    """What comes of it, the gravest first."""
    words = plan_words(told)
    if not words:
        return [phrase("plan-as-planned")]
    one = told.rehearsal
    sentences = [phrase("plan-opening", what=listed(words))]
    worse, better = worse_sentences(one), _better(told)
    already = already_sentences(one, told.horizon_days)
    sentences += worse + better + already
    if not worse:  # after what is passed anyway: alone it would sound as if all were well
        sentences.append(phrase("plan-no-worse", days=told.horizon_days))
    if told.plan.mishaps:
        sentences += colonies_sentences(one)
    return [*sentences, *_nitrate(told)]


def plan_advice(told: RehearsedPlan) -> list[str]:
    """What to do about each mishap of the plan, and what to beware of."""
    kinds = dict.fromkeys(each.mishap for each in told.plan.mishaps)
    return [rehearsal_advice(told.rehearsal, mishap) for mishap in kinds]


def plan_table(told: RehearsedPlan) -> NumberTable | None:
    """Both plans side by side; ``None`` where nothing moves."""
    table = rehearsal_table(told.rehearsal, told.horizon_days, full=False)
    if told.plan.as_planned or not table.rows:
        return None
    caption = phrase("plan-caption", days=told.horizon_days)
    return NumberTable(phrase("plan-table"), caption, table.headers, table.rows)


def plan_rests_on(told: RehearsedPlan) -> list[str]:
    """How far it can be trusted."""
    if told.known_until is None:
        found = [phrase("plan-resting-nothing")]
    else:
        date = weekday_date(told.known_until, beside=told.as_of)
        found = [phrase("plan-resting", date=date)]
    return [*found, phrase("plan-poor")] if told.diagnostics.health == "poor" else found


def _change_words(plan: OtherPlan, fraction: float) -> str:
    if fraction == 0.0:
        return phrase("plan-change-never")
    key = "plan-change-daily" if plan.change_every_days == 1 else "plan-change-words"
    return phrase(key, percent=f"{100 * fraction:.0f}", days=plan.change_every_days)


def _better(told: RehearsedPlan) -> list[str]:
    """Limits passed less often than as planned, the largest fall first."""
    found = []
    for name, (planned, changed) in told.rehearsal.passed.items():
        level = watched(name, told.rehearsal.limits)
        if planned - changed >= WORTH_TELLING and level is not None:
            words = {"name": level.named, "limit": f"{level.limit}{level.mean}"}
            words |= {"changed": out_of_twenty(changed), "planned": out_of_twenty(planned)}
            found.append((changed - planned, phrase("plan-better", **words)))
    return [sentence for _, sentence in sorted(found)]


def _nitrate(told: RehearsedPlan) -> list[str]:
    """What the plan leaves in the water: a limit may be far off and the trend still matter."""
    shown = shown_species("nitrate")
    before, after = (side[shown.key].p50[-1] for side in (told.planned, told.changed))
    if abs(after - before) < LITTLE * max(before, after):
        return []
    words = {"planned": number(before * shown.factor), "changed": number(after * shown.factor)}
    return [phrase("plan-nitrate", **words, unit=shown.unit, days=told.horizon_days)]
