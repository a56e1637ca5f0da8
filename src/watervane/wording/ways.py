"""Ways to start in plain sentences: the one to prefer, why, how to do it; then all in a table."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from watervane.records import (
    ChangePlan,
    DosePlan,
    Finding,
    NumberQuantiles,
    SeedAmount,
    SettledLevels,
    StartWay,
    WayDeed,
    Ways,
)
from watervane.wording.amounts import brief_share, count, listed, number, out_of_twenty
from watervane.wording.dates import short_date, weekday_date
from watervane.wording.shown import shown_species
from watervane.wording.tables import NumberTable
from watervane.wording.templates import phrase

BEARABLE = 0.05  # chance of harm at once
MOST_DEEDS = 8
TIERS = ("acute", "chronic")
DOSED = ("dosed-salt", "dosed-solution", "seeded", "bottled", "lodged")


def start_title(ways: Ways) -> str:
    """Heading over all ways."""
    return phrase("start-title", tank=ways.tank, date=weekday_date(ways.as_of, beside=ways.as_of))


def start_sentences(ways: Ways) -> list[str]:
    """The way to prefer, when it gets there, and why it is preferred."""
    first = ways.ways[0]
    key = "start-food-assumed" if ways.food_assumed else "start-food"
    return [
        phrase("start-first" if _settles(ways) else "start-likeliest", what=way_words(first)),
        _when(first, ways),
        *_instead(first, ways),
        phrase(key, grams=number(ways.food_g_per_d, 2)),
        *(_reason(each) for each in ways.reasons),
        *((phrase("start-today"),) if ways.animals_in else ()),
    ]


def _instead(first: StartWay, ways: Ways) -> Iterator[str]:
    """What is left to those who know no settled tank."""
    if not _asks_for_a_settled_tank(first):
        return
    open_to_all = [way for way in ways.ways[1:] if not _asks_for_a_settled_tank(way)]
    if not open_to_all:
        return
    # Nobody is told to go on with what harms at once, as long as something else is left to do.
    bearable = (w for w in open_to_all if w.key != "as-planned" or w.harmed["acute"] <= BEARABLE)
    other = next(bearable, open_to_all[0])
    yield phrase("start-instead", what=way_words(other), when=_when(other, ways))
    if hours := other.mean_animal_hours["chronic"]:
        yield phrase("start-instead-hours", hours=_hours(hours))


def _settles(ways: Ways) -> bool:
    return any(way.settled_days.p50 is not None for way in ways.ways)


def _asks_for_a_settled_tank(way: StartWay) -> bool:
    return way.seed is not None or way.key == "lodged"


def way_words(way: StartWay) -> str:
    """What a way asks for."""
    return phrase(f"start-what-{way.key}", animals=way.animals, species=way.species or "")


def start_steps(ways: Ways) -> list[str]:
    """How the preferred way is gone, with its cautions."""
    return list(_steps(ways.ways[0], ways))


def start_remarks(ways: Ways) -> list[str]:
    """What to know of single ways before they are compared."""
    found = []
    for doubt in (each for way in ways.ways for each in way.reasons):
        told = {**doubt.arguments, "name": phrase(f"start-name-{doubt.arguments['way']}")}
        if isinstance(chance := told.get("chance"), float):
            told["chance"] = out_of_twenty(chance)
        text = phrase(doubt.key, **told)
        found.append(text[0].upper() + text[1:])
    return found


def start_table(ways: Ways) -> NumberTable:
    """All ways side by side."""
    columns = ("way", "settled", "ready", *TIERS, "hours", "minutes", "litres", "cost")
    return NumberTable(
        phrase("start-table"),
        phrase("start-caption", days=ways.horizon_days),
        tuple(phrase(f"start-col-{name}") for name in columns),
        tuple(_row(way) for way in ways.ways),
    )


def _row(way: StartWay) -> tuple[str, ...]:
    return (
        phrase(f"start-name-{way.key}"),
        _days(way.settled_days),
        _days(way.ready_days),
        *(_brief(way.harmed[tier]) for tier in TIERS),
        _hours(max(way.mean_animal_hours[tier] for tier in TIERS)),
        number(way.work_minutes.p50 or 0.0, 2),
        number(way.changed_l.p50 or 0.0, 2),
        way.cost,
    )


def _when(way: StartWay, ways: Ways) -> str:
    middle, late = way.settled_days.p50, way.settled_days.p95
    told = {"days": ways.horizon_days, "share": out_of_twenty(way.settled_within)}
    if middle is None:
        return phrase("start-when-never", **told)
    if late is None:
        return phrase("start-when-late", middle=f"{middle:.0f}", **told)
    dates = [weekday_date(ways.begins + timedelta(days=days)) for days in (middle, late)]
    days = {"middle": f"{middle:.0f}", "late": f"{late:.0f}"}
    return phrase("start-when", **days, date=dates[0], late_date=dates[1])


def _reason(finding: Finding) -> str:
    told = {
        name: out_of_twenty(value) if name == "chance" else _hours(value)
        for name, value in finding.arguments.items()
        if isinstance(value, float)
    }
    way = phrase(f"start-name-{finding.arguments['way']}")
    return phrase(finding.key, **told, name=way)


def _steps(way: StartWay, ways: Ways) -> Iterator[str]:
    if way.key == "lodged":
        yield phrase("start-how-lodge")
    if way.seed is not None:
        yield from _seeding(way.seed, ways)
    if "bottled" in way.key:
        yield phrase("start-how-bottle")
    if "planted" in way.key:
        yield phrase("start-how-plants")
    if way.dose_plan is not None:
        yield from _dosing(way.dose_plan)
    elif way.key != "as-planned":
        if way.change_plan is not None:
            yield _changing(way.change_plan)
        yield phrase("start-how-food")
    if way.middle:
        yield phrase("start-middle", deeds=_deeds(way.middle))


def _seeding(seed: SeedAmount, ways: Ways) -> Iterator[str]:
    same = [s for s in ways.seeds if (s.source, s.kind) != (seed.source, seed.kind)]
    others = [
        phrase("start-seed-other", litres=number(s.volume_l), kind=s.kind)
        for s in same
        if s.source != "water"
    ]
    water = next((s for s in ways.seeds if s.source == "water"), None)
    yield phrase(
        "start-how-seed",
        litres=number(seed.volume_l),
        kind=seed.kind,
        others=" or ".join(others),
        water=count(water.volume_l) if water else "",
    )
    yield phrase("start-how-carry")
    yield phrase("start-how-brings")


def _changing(plan: ChangePlan) -> str:
    return phrase(
        "start-how-tests",
        **_both("ammonia", ammonia=plan.change_from_ammonia_mg_n_per_l),
        **_both("nitrite", nitrite=plan.change_from_nitrite_mg_n_per_l),
        share=f"{100.0 * plan.share:.0f}",
        large=f"{100.0 * plan.large_share:.0f}",
    )


def _dosing(plan: DosePlan) -> Iterator[str]:
    both = {dose.first_dose_ml is None: dose for dose in (plan.first, plan.other)}
    salt, solution = both[True], both[False]
    yield phrase("start-how-care")
    yield phrase("start-how-foam")
    key = "start-how-dose-salt" if plan.first is salt else "start-how-dose-solution"
    told = {
        "grams": number(salt.first_dose_g),
        "ml": number(solution.first_dose_ml or 0.0),
        "strength": number(100.0 * solution.strength),
        **_both("ammonia", level=plan.up_to_mg_n_per_l),
    }
    yield phrase(key, **told)
    yield phrase(
        "start-how-rules",
        every=plan.test_every_days,
        **_both("ammonia", level=plan.up_to_mg_n_per_l, again=plan.again_below_mg_n_per_l),
        **_both("nitrite", stop=plan.stop_above_mg_n_per_l, resume=plan.resume_below_mg_n_per_l),
    )
    yield phrase(
        "start-how-soda",
        salt=f"{salt.alkalinity_cost_dkh_per_mg_n_per_l:.2f}",
        solution=f"{solution.alkalinity_cost_dkh_per_mg_n_per_l:.2f}",
        below=f"{plan.soda_below_dkh:g}",
        soda=number(plan.soda_g_per_dkh),
    )
    yield phrase(
        "start-how-doses",
        doses=_whole(plan.doses),
        grams=_range(plan.dosed_g),
        paused=out_of_twenty(plan.paused),
    )
    done = SettledLevels()
    yield phrase(
        "start-how-end",
        **_both("ammonia", ammonia=done.ammonia_mg_n_per_l),
        **_both("nitrite", nitrite=done.nitrite_mg_n_per_l),
    )


def _both(species: str, **levels: float) -> dict[str, str]:
    """Levels as N, and under ``_ion`` as a kit of the ion shows them."""
    told = {name: f"{level:g}" for name, level in levels.items()}
    as_ion = shown_species(species, "ion")
    return told | {f"{name}_ion": as_ion.value(level) for name, level in levels.items()}


def _deeds(deeds: tuple[WayDeed, ...]) -> str:
    told = [
        phrase(
            f"start-deed-{deed.kind}",
            amount=number(deed.amount),
            percent=f"{100.0 * deed.amount:.0f}",
            date=short_date(deed.at),
        )
        for deed in deeds[:MOST_DEEDS]
    ]
    if len(deeds) > MOST_DEEDS:
        return phrase("start-middle-more", deeds=", ".join(told))
    return listed(told)


def _range(told: NumberQuantiles) -> str:
    if told.p05 is None or told.p95 is None:
        return "?"
    low, high = number(told.p05), number(told.p95)
    return low if low == high else f"{low} to {high}"


def _whole(told: NumberQuantiles) -> str:
    if told.p05 is None or told.p95 is None:
        return "?"
    low, high = f"{told.p05:.0f}", f"{told.p95:.0f}"
    return low if low == high else f"{low} to {high}"


def _days(told: NumberQuantiles) -> str:
    if told.p50 is None or told.p05 is None:
        return phrase("start-days-never")
    days = {"middle": f"{told.p50:.0f}", "low": f"{told.p05:.0f}"}
    if told.p95 is None:
        return phrase("start-days-open", **days)
    return phrase("start-days", **days, high=f"{told.p95:.0f}")


def _hours(mean: float) -> str:
    if mean <= 0.0:
        return "0"
    return count(mean) if mean >= 1.0 else "<1"


def _brief(chance: float) -> str:
    """A chance for a narrow column."""
    return brief_share(chance).replace(" of 20", "/20")
