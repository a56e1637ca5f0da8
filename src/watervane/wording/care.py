"""The care of a tank in sentences: what to do, why no less, and the way back."""

from __future__ import annotations

import calendar
from collections.abc import Iterator
from dataclasses import dataclass, replace

from watervane.records.care import (
    BoundRisk,
    CareSchedule,
    FoodLevel,
    GentleStart,
    Routine,
    RoutineTried,
    SteadyLevel,
)
from watervane.wording.amounts import brief_share, listed, number, out_of_twenty
from watervane.wording.care_return import return_part
from watervane.wording.dates import weekday_date
from watervane.wording.shown import shown_species
from watervane.wording.tables import NumberTable
from watervane.wording.templates import phrase

MEQ_PER_DKH = 0.356650
NAMED_WEEKS = (7, 14, 28, 56)
SEARCHED = 16
MOST_OUT_OF_REACH = 3
KEPT = ("nitrate", "alkalinity", "hardness", "conductivity", "ph", "ammonia", "nitrite")


@dataclass(frozen=True, slots=True)
class CarePart:
    """One heading with what stands under it; the first has none."""

    title: str
    sentences: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    tables: tuple[NumberTable, ...] = ()


def care_title(told: CareSchedule) -> str:
    """Heading over all of it."""
    return phrase("care-title", tank=told.tank, date=weekday_date(told.as_of, beside=told.as_of))


def care_parts(told: CareSchedule) -> list[CarePart]:
    """What to do first; the way back, where there is one, next; then all that lies beside."""
    back = told.returning
    parts = [CarePart("", tuple(_do(told)))]
    if back is not None:
        title, sentences, steps = return_part(back)
        parts.append(CarePart(title, sentences, steps))
    if back is not None and back.steps:
        first, after = CarePart("", (phrase("care-first-return"),)), parts[0].sentences
        parts = [first, parts[1]]
        parts += [CarePart(phrase("care-after-title"), after)] if after else []
    parts += [
        CarePart(phrase("care-clean-title"), tuple(_clean(told))),
        CarePart(phrase("care-test-title"), tuple(_tests(told))),
        CarePart(phrase("care-less-title"), tuple(_less(told))),
        CarePart(phrase("care-heat-title"), tuple(_heat(told))),
        CarePart(phrase("care-food-title"), tuple(_food(told))),
        CarePart(
            phrase("care-numbers-title"),
            tables=(steady_table(told), tried_table(told)),
        ),
    ]
    return parts


def how_often(every_days: int) -> str:
    """``every week``, ``every three weeks``."""
    if every_days in NAMED_WEEKS:
        return phrase(f"care-every-{every_days}")
    return phrase("care-every-other", weeks=every_days // 7)


def bound_words(bound: BoundRisk) -> str:
    """``nitrate goes over 44 mg/L as nitrate``."""
    level = number(bound.level)
    if bound.subject == "nitrate":
        level = shown_species("nitrate").amount(bound.level)
    elif bound.subject == "alkalinity":
        level = number(bound.level / MEQ_PER_DKH)
    elif bound.subject == "conductivity":
        level = f"{bound.level:.0f}"
    return phrase(f"care-bound-{bound.subject}-{bound.side}", level=level)


def _of_whom(bound: BoundRisk) -> str:
    """The same, and whom it harms where it is more than discomfort."""
    words = bound_words(bound)
    if bound.tier == "comfort" or not bound.animals:
        return words
    return words + phrase(f"care-bound-whom-{bound.tier}", animals=listed(list(bound.animals)))


def _share(bound: BoundRisk) -> str:
    return out_of_twenty(max(bound.early, bound.late))


def _routine(one: Routine) -> dict[str, str]:
    return {
        "percent": f"{100.0 * one.share:.0f}",
        "how_often": how_often(one.every_days),
        "litres": number(one.litres),
        "minutes": number(one.minutes_per_month),
    }


def _do(told: CareSchedule) -> Iterator[str]:
    chosen = told.chosen
    if told.gentle is not None:
        yield _gently(told.gentle)
    if chosen is None:
        return
    words = {**_routine(chosen.routine), "top_off": _top_off(chosen.routine), "kept": _kept(told)}
    if chosen.keeps or chosen.worst is None:
        yield phrase("care-do", **words)
        yield phrase("care-do-why", **words)
    else:
        bound = {"bound": _of_whom(chosen.worst), "share": _share(chosen.worst)}
        yield phrase("care-do-none", **words, **bound)
    yield from _fed(told, chosen)
    yield _practice(told.practice, chosen)
    if told.as_planned is not None:
        yield _beside("planned", told.as_planned)
    yield from _no_less(told, chosen)
    beyond = [bound for bound in told.bounds if bound.out_of_reach]
    for each in beyond[:MOST_OUT_OF_REACH]:
        yield phrase("care-out-of-reach", bound=_of_whom(each), share=_share(each))
    yield phrase("care-caution")


def _gently(told: GentleStart) -> str:
    """What comes before the routine."""
    percent, kh = f"{100.0 * told.share:.0f}", number(told.begin_kh_dkh)
    words = {"percent": percent, "litres": number(told.litres), "kh": kh}
    key = "care-first-gentle" if told.gentle_days is not None else "care-first-gentle-never"
    return phrase(key, days=told.gentle_days or 0, enough=number(told.enough_kh_dkh), **words)


def _kept(told: CareSchedule) -> str:
    """What the routine keeps in bounds; what no routine keeps is told by itself."""
    kept = {each.subject for each in told.bounds if each.kept and not each.out_of_reach}
    lost = {each.subject for each in told.bounds if not each.kept or each.out_of_reach}
    return listed([phrase(f"care-kept-{name}") for name in KEPT if name in kept - lost])


def _top_off(one: Routine) -> str:
    return phrase(f"care-top-off-{one.top_off}")


def _practice(practice: RoutineTried, chosen: RoutineTried) -> str:
    if replace(practice.routine, food=chosen.routine.food) == chosen.routine:
        return phrase("care-practice-is-it")
    return _beside("practice", practice)


def _beside(kind: str, tried: RoutineTried) -> str:
    words = _routine(tried.routine)
    if tried.keeps or tried.worst is None:
        return phrase(f"care-{kind}-enough", **words)
    bound = {"bound": _of_whom(tried.worst), "share": _share(tried.worst)}
    return phrase(f"care-{kind}-short", **words, **bound)


def _no_less(told: CareSchedule, chosen: RoutineTried) -> Iterator[str]:
    """The routine with the most work among those that are less, and what it does not keep."""
    less = [
        each
        for each in told.tried
        if each.routine.minutes_per_month < chosen.routine.minutes_per_month
        and each.routine.food == chosen.routine.food
        and not each.keeps
        and each.worst is not None
    ]
    if not less:
        return
    nearest = max(less, key=lambda each: each.routine.minutes_per_month)
    if nearest.worst is not None:
        yield phrase(
            "care-no-less",
            **_routine(nearest.routine),
            top_off=phrase(f"care-top-off-short-{nearest.routine.top_off}"),
            bound=bound_words(nearest.worst),
            share=_share(nearest.worst),
        )


def less_sentences(told: CareSchedule, kind: str) -> list[str]:
    """What comes of one way to do less: ``half-share`` or ``every-second``."""
    return list(_less(told, kind))


def test_sentences(told: CareSchedule, quantity: str) -> list[str]:
    """How often a quantity is worth reading."""
    return list(_tests(told, quantity))


def _less(told: CareSchedule, kind: str = "") -> Iterator[str]:
    for each in told.neglect:
        if kind and each.kind != kind:
            continue
        if each.keeps or each.worst is None:
            yield phrase(f"care-{each.kind}-kept")
        else:
            week = "" if each.first_week is None else str(each.first_week)
            bound = {"bound": bound_words(each.worst), "share": _share(each.worst)}
            yield phrase(f"care-{each.kind}", **bound, week=week)


def _heat(told: CareSchedule) -> Iterator[str]:
    heat = told.heat
    months = [calendar.month_name[(heat.first_month - 1 + k) % 12 + 1] for k in (0, 2)]
    yield phrase(
        "care-heat",
        months=f"{months[0]} to {months[1]}",
        rise=f"{heat.room_rise_k:g}",
        usual=number(heat.evaporated_l_per_week),
        warm=number(heat.evaporated_warm_l_per_week),
        middle=number(heat.highest_c.p50 or 0.0, 3),
        low=number(heat.highest_c.p05 or 0.0, 3),
        high=number(heat.highest_c.p95 or 0.0, 3),
    )
    if heat.bound is not None:
        bound = {"bound": bound_words(heat.bound), "share": _share(heat.bound)}
        yield phrase("care-heat-bound", **bound)


def _clean(told: CareSchedule) -> Iterator[str]:
    for part in ("filter", "bed"):
        ways = [each for each in told.cleaning if each.part == part]
        kept = [each for each in ways if each.kept]
        best = max(kept, key=lambda each: each.portion, default=None)
        key = "care-clean-less" if best is None else f"care-clean-part-{best.portion:g}"
        yield phrase(f"care-clean-{part}", portion=phrase(key))
        if best is not None and best.regrown_days is None:
            between = _between(best.portion)
            yield phrase("care-clean-not-grown", between=between)
        elif best is not None and best.regrown_days:
            between = _between(best.portion)
            yield phrase("care-clean-grown", days=best.regrown_days, between=between)
    both = next((each for each in told.cleaning if each.part == "both"), None)
    if both is not None and not both.kept:
        yield phrase("care-clean-both", share=out_of_twenty(both.harm))
    yield phrase("care-clean-guess")


def _between(portion: float) -> str:
    """Two portions, or two cleanings where all of it is done at once."""
    return phrase("care-clean-between-all" if portion == 1.0 else "care-clean-between")


def _tests(told: CareSchedule, quantity: str = "") -> Iterator[str]:
    for each in told.tests:
        if quantity and each.quantity != quantity:
            continue
        if each.days is None:
            yield phrase(f"care-test-never-{each.quantity}")
        elif each.days < min(told.chosen.routine.every_days if told.chosen else 7, 7):
            yield phrase(f"care-test-now-{each.quantity}")
        else:
            yield phrase(f"care-test-{each.quantity}", days=each.days)


def _food(told: CareSchedule) -> Iterator[str]:
    """What is planned and needed, then every amount that was searched."""
    food = told.food
    planned = next((each for each in food.levels if each.times == 1.0), None)
    if planned is not None:
        yield phrase(
            "care-food",
            grams=number(planned.food_g_per_d),
            nitrogen=number(planned.nitrogen_mg_n_per_l_d),
            kh=number(planned.kh_spent_dkh_per_month),
            share=_closed(planned),
        )
    need = food.need_g_per_d
    if need is not None:
        ends = {"low": number(need.low), "high": number(need.high)}
        grams = number(food.planned_g_per_d)
        key = "care-food-below" if food.held_by == "below-need" else "care-food-need"
        yield phrase(key, grams=grams, **ends)
        times = food.given_times
        middle, low, high = (
            number((q or 0.0) * food.planned_g_per_d) for q in (times.p50, times.p05, times.p95)
        )
        often = number(times.p50 or 0.0)
        yield phrase("care-food-given", middle=middle, low=low, high=high, times=often)
    for each in food.levels:
        if each is not planned:
            yield _level(each)
    yield phrase("care-food-need-held" if food.held_by == "need" else f"care-food-{food.held_by}")


def _closed(level: FoodLevel) -> str:
    if level.closed_share is None:
        return phrase("care-food-no-share")
    return phrase("care-food-share", percent=_percent(level.closed_share))


def _level(level: FoodLevel) -> str:
    words = {"grams": number(level.food_g_per_d), "percent": _percent(level.times)}
    if level.least is None:
        return phrase("care-food-level-none", **words)
    least = _routine(level.least)
    routine = phrase("care-food-routine", percent=least["percent"], how_often=least["how_often"])
    return phrase("care-food-level", routine=routine, minutes=least["minutes"], **words)


def _fed(told: CareSchedule, chosen: RoutineTried) -> Iterator[str]:
    """That the routine feeds other than planned, and what that saves."""
    food, times = told.food, chosen.routine.food
    if times == 1.0:
        return
    most = food.levels[0]
    words = {"grams": number(times * food.planned_g_per_d), "percent": _percent(times)}
    if times > 1.0:
        real = number(times * food.planned_g_per_d * (food.given_times.p50 or 1.0))
        yield phrase("care-do-fed-more", real=real, **words)
    elif most.least is None:
        yield phrase("care-do-fed-less-needed", **words)
    else:
        minutes = number(most.least.minutes_per_month)
        yield phrase("care-do-fed-less", minutes=minutes, **words)


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f}"


def steady_table(told: CareSchedule) -> NumberTable:
    """Closed form beside the run."""
    names = ("quantity", "gain", "source", "closed", "run", "bound")
    return NumberTable(
        phrase("care-steady-title"),
        phrase("care-steady-caption"),
        tuple(phrase(f"care-steady-col-{name}") for name in names),
        tuple(_steady_row(each) for each in told.steady),
    )


def _steady_row(one: SteadyLevel) -> tuple[str, ...]:
    factor = shown_species("nitrate").factor if one.quantity == "nitrate" else 1.0

    def told(value: float | None, digits: int = 2) -> str:
        return "" if value is None else number(value * factor, digits)

    def between(low: float | None, middle: float | None, high: float | None) -> str:
        return f"{told(middle)} ({told(low)}\N{EN DASH}{told(high)})"

    gain = (one.gain.p50 or 0.0) * factor
    return (
        phrase(f"care-quantity-{one.quantity}"),
        "0" if abs(gain) < 5e-4 else f"{gain:+.2g}",
        told(one.source),
        between(one.closed.p05, one.closed.p50, one.closed.p95),
        between(one.run.p05, one.run.p50, one.run.p95),
        phrase("care-no-bound") if one.bound is None else told(one.bound),
    )


def tried_table(told: CareSchedule) -> NumberTable:
    """Every routine that was run."""
    names = ("routine", "top-off", "food", "minutes", "keeps", "worst")
    return NumberTable(
        phrase("care-tried-title"),
        phrase("care-tried-caption", members=SEARCHED),
        tuple(phrase(f"care-tried-col-{name}") for name in names),
        tuple(_tried_row(each) for each in told.tried),
    )


def _tried_row(one: RoutineTried) -> tuple[str, ...]:
    words = _routine(one.routine)
    worst = phrase("care-tried-nothing")
    if one.worst is not None and not one.keeps:
        share = brief_share(max(one.worst.early, one.worst.late)).replace(" of 20", "/20")
        worst = phrase("care-tried-worst", bound=bound_words(one.worst), share=share)
    return (
        phrase("care-tried-routine", percent=words["percent"], how_often=words["how_often"]),
        phrase(f"care-top-off-short-{one.routine.top_off}"),
        f"{_percent(one.routine.food)} %",
        words["minutes"],
        phrase("care-tried-yes" if one.keeps else "care-tried-no"),
        worst,
    )
