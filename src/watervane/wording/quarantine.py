"""A quarantine in sentences and a table."""

from __future__ import annotations

from watervane.records.quarantine import Carrying, QuarantinePlan
from watervane.wording.amounts import listed, number, plain
from watervane.wording.shown import ION_PER_N
from watervane.wording.tables import NumberTable
from watervane.wording.templates import finding_text, phrase

FIRST = ("quarantine-unknown",)  # all that follows rests on it
DAYS_FROM_H = 48.0
MOST_AT_ONCE = 0.5


def quarantine_title(plan: QuarantinePlan) -> str:
    """For whom, in how much water."""
    animals = listed([f"{each.count} {each.species}" for each in plan.wish.animals])
    return phrase("quarantine-title", litres=plain(plan.wish.volume_l), animals=animals)


def quarantine_sentences(plan: QuarantinePlan) -> list[str]:
    """How long, the load, what carries it, and baths."""
    wish, fast, fed = plan.wish, plan.fasting_mg_n_per_l_d, plan.fed_mg_n_per_l_d
    load = {"fast_low": number(fast.low), "fast_high": number(fast.high)}
    load |= {"fed_low": number(fed.low), "fed_high": number(fed.high)}
    usual = [phrase(f"parasite-{each.key}").lower() for each in plan.rounds if each.usual]
    return [
        *(finding_text(each) for each in plan.findings if each.key in FIRST),
        phrase("quarantine-days", days=plan.days, warmth=number(wish.temperature_c, 2)),
        phrase("quarantine-days-why", names=listed(usual)),
        phrase("quarantine-load", mass=number(plan.mass_g), food=_share(wish.food_share), **load),
        _left_alone(plan),
        *(_way(each, plan) for each in plan.ways),
        _begin(plan),
        phrase(
            "quarantine-media",
            low=number(plan.media_l.low),
            high=number(plan.media_l.high),
            medium=wish.medium,
        ),
        phrase("quarantine-bath", bath=number(plan.bath_l[0]), dip=number(plan.bath_l[1])),
    ]


def quarantine_rounds(plan: QuarantinePlan) -> NumberTable:
    """Parasites by how long they take."""
    rows = [
        (
            f"{phrase(f'parasite-{each.key}')} ({each.scientific})",
            f"{number(each.round_d.low)} – {number(each.round_d.high)}",
            f"{each.watch_d}",
            phrase("quarantine-when-usual" if each.usual else "quarantine-when-seen"),
        )
        for each in plan.rounds
    ]
    headers = ("name", "round", "watch", "when")
    return NumberTable(
        phrase("quarantine-rounds"),
        phrase("quarantine-rounds-note", warmth=number(plan.wish.temperature_c, 2)),
        tuple(phrase(f"quarantine-rounds-headers-{name}") for name in headers),
        tuple(rows),
    )


def quarantine_remarks(plan: QuarantinePlan) -> list[str]:
    """Cautions, the gravest first."""
    level = {"level": number(plan.wish.level_mg_n_per_l)}
    found = []
    for each in plan.findings:
        if each.key in FIRST:
            continue
        if each.key == "quarantine-free":
            free, ph = number(plan.free_ammonia_mg_n_per_l or 0.0), number(plan.wish.ph or 7.0)
            found.append(phrase("quarantine-free", free=free, ph=ph, **level))
        else:
            found.append(finding_text(each))
    return found


def _left_alone(plan: QuarantinePlan) -> str:
    """When ammonia comes to its level with nothing done; in days where it takes days."""
    hours, level = plan.hours_to_level, number(plan.wish.level_mg_n_per_l)
    key, unit = "quarantine-hours", 1.0
    if hours.low >= DAYS_FROM_H:
        key, unit = "quarantine-hours-days", 24.0
    return phrase(key, level=level, first=number(hours.low / unit), last=number(hours.high / unit))


def _begin(plan: QuarantinePlan) -> str:
    """What to do each day to begin with: the upper end of the way that is planned."""
    way, level = plan.ways[-1], plan.wish.level_mg_n_per_l
    if way.share_per_d.high > MOST_AT_ONCE:
        return phrase("quarantine-begin-all")
    if way.share_per_d.high <= 0.0:
        return phrase("quarantine-begin-none")
    ends = {"half": number(0.5 * level), "half_ion": number(0.5 * level * ION_PER_N["ammonia"])}
    return phrase("quarantine-begin", litres=number(way.changed_l_per_d.high), **ends)


def _way(each: Carrying, plan: QuarantinePlan) -> str:
    shares, litres = each.share_per_d, each.changed_l_per_d
    told = {"low": _share(shares.low), "high": _share(shares.high)}
    told |= {"litres_low": number(litres.low), "litres_high": number(litres.high)}
    told |= {"seeded": number(plan.wish.seeded_l), "medium": plan.wish.medium}
    key = f"quarantine-way-{each.way}"
    if each.way == "changes" and shares.high >= 1.0:
        key += "-all"
    if each.way != "changes" and shares.high <= 0.0:
        key += "-none"
    return phrase(key, **told)


def _share(share: float) -> str:
    return f"{number(100.0 * share, 2)} %"
