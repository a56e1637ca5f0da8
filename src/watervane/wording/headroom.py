"""Headroom in sentences: how many more, what stands in the way, and what would widen it."""

from __future__ import annotations

from collections.abc import Sequence

from watervane.records import DatedRoom, Headroom, OtherRisk, TierRoom, ToldLimit
from watervane.wording.amounts import listed, number
from watervane.wording.dates import short_date, weekday_date
from watervane.wording.shown import shown_species
from watervane.wording.tables import NumberTable
from watervane.wording.templates import phrase, templates
from watervane.wording.watched import of_limit

TIERS = ("acute", "chronic", "comfort")
COLONIES = ("ammonia", "nitrite")  # what a colony lives on
FREE_AMMONIA = "free_ammonia"
MOST_NAMED = 3


def subject_words(subject: str) -> str:
    """``oxygen``, ``buffering (KH)``, ``pH``."""
    told = phrase(f"limit-subject-{subject.replace('_', '-')}")
    return told if told.startswith("pH") else told[:1].lower() + told[1:]


def of_hundred(chance: float) -> str:
    """``3``, ``fewer than 1``, ``0``."""
    if 0.0 < chance < 0.005:
        return "fewer than 1"
    return str(round(100.0 * chance))


def beside_accepted(chance: float, allowed: float) -> str:
    """The same in as many digits as it takes to tell it from what is accepted."""
    told = of_hundred(chance)
    if told != of_hundred(allowed):
        return told
    if chance - allowed >= 0.001:
        return f"{100.0 * chance:.1f}"
    return phrase("headroom-just-over", allowed=f"{100.0 * allowed:g}")


def level_words(told: ToldLimit | None) -> str:
    """The level in brackets, beside one as N what a kit of the ion shows."""
    if told is None:
        return ""
    species = told.quantity.removesuffix("_mg_n_per_l")
    watched = of_limit(told)
    if species in ("ammonia", "nitrite"):
        ion = shown_species(species, "ion").amount(told.level)
        return phrase("headroom-level-both", limit=watched.limit, ion=ion)
    # The limit is of the free part, and a kit reads all of it: so it is named.
    limit = watched.text if species == FREE_AMMONIA else watched.limit
    return phrase("headroom-level", limit=limit)


def elsewhere_words(other: OtherRisk) -> str:
    """What is passed however little is fed."""
    return phrase(
        "headroom-elsewhere",
        subject=subject_words(other.subject),
        level=level_words(other.told_limit),
        tier=phrase(f"tier-{other.tier}"),
        animals=listed(list(other.animals[:MOST_NAMED])),
        share=of_hundred(other.risk),
    )


def headroom_title(headroom: Headroom) -> str:
    """Heading over all of it."""
    date = weekday_date(headroom.as_of, beside=headroom.as_of)
    return phrase("headroom-title", tank=headroom.tank, date=date)


def headroom_sentences(headroom: Headroom) -> list[str]:
    """How many more now, why no more, and whether waiting helps."""
    now = headroom.dates[0]
    sentences = [_room(now, headroom)]
    if headroom.planned_g_per_d > 0.0:
        sentences.append(phrase("headroom-planned", planned=number(headroom.planned_g_per_d)))
    tightest = now.tightest
    grave = tightest is not None and tightest.broken and tightest.tier != TIERS[-1]
    if not grave:
        sentences += elsewhere_sentences(now.elsewhere)
    if tightest is not None:
        sentences += _in_the_way(now, tightest)
    if grave:  # what harms comes before what is only uncomfortable
        sentences += elsewhere_sentences(now.elsewhere)
    sentences += _later(headroom)
    if tightest is not None:
        sentences.append(remedy_words(tightest.subject, broken=tightest.broken))
    food = now.food_g_per_d
    if headroom.planned_g_per_d > 0.0 and (food is None or food > headroom.planned_g_per_d):
        sentences.append(phrase("headroom-far"))
    sentences.append(phrase("headroom-caution", mass=number(headroom.newcomers.mass_g)))
    return sentences


def remedy_words(subject: str, *, broken: bool) -> str:
    """What makes room where a subject stands in the way; ``broken`` where it is passed anyhow."""
    key = "headroom-do-wait" if broken and subject in COLONIES else f"headroom-do-{subject}"
    return phrase(key if key in templates() else "headroom-do-other")


def headroom_table(headroom: Headroom) -> NumberTable:
    """Each date with what every tier leaves."""
    rows = [
        (
            short_date(dated.begins),
            *(_food(dated.tiers.get(tier), dated) for tier in TIERS),
            "" if dated.count is None else str(dated.count),
            "" if dated.tightest is None else subject_words(dated.tightest.subject),
        )
        for dated in headroom.dates
    ]
    shares = {tier: f"{100.0 * headroom.allowed.of(tier):g}" for tier in TIERS}
    headers = (
        phrase("headroom-from"),
        *(phrase(f"tier-{tier}") for tier in TIERS),
        phrase("headroom-animals"),
        phrase("headroom-way"),
    )
    caption = phrase("headroom-caption", **shares)
    return NumberTable(phrase("headroom-table"), caption, headers, tuple(rows))


def _room(now: DatedRoom, headroom: Headroom) -> str:
    who = headroom.newcomers
    food, each = now.food_g_per_d, number(who.food_g_per_d.centre)
    if food is None:
        return phrase("headroom-beyond", tried=number(now.tried_g_per_d))
    if food <= 0.0:
        return phrase("headroom-none")
    name = who.species
    if who.length_cm is not None:
        name = f"{name} ({number(who.length_cm)} cm)"
    if not now.count:
        told = {"food": number(food), "animal": name, "each": each}
        return phrase("headroom-room-less-than-one", **told)
    return phrase("headroom-room", food=number(food), count=str(now.count), animals=name, each=each)


def elsewhere_sentences(found: Sequence[OtherRisk]) -> list[str]:
    """What is passed however little is fed, one sentence a subject."""
    subjects: dict[str, list[OtherRisk]] = {}
    for other in found:
        subjects.setdefault(other.subject, []).append(other)
    sentences = []
    for subject, others in subjects.items():
        if len(others) == 1:
            sentences.append(elsewhere_words(others[0]))
            continue
        items = [
            phrase(
                "headroom-elsewhere-item",
                level=level_words(o.told_limit),
                tier=phrase(f"tier-{o.tier}"),
                share=of_hundred(o.risk),
            )
            for o in others
        ]
        animals = list(dict.fromkeys(name for other in others for name in other.animals))
        told = {"subject": subject_words(subject), "animals": listed(animals[:MOST_NAMED])}
        sentences.append(phrase("headroom-elsewhere-several", **told, items=listed(items)))
    return sentences


def _in_the_way(now: DatedRoom, tightest: TierRoom) -> list[str]:
    broken = [now.tiers[tier] for tier in TIERS if tier in now.tiers and now.tiers[tier].broken]
    sentences = [
        phrase(
            "headroom-broken",
            subject=subject_words(room.subject),
            level=level_words(room.told_limit),
            animals=listed(list(room.animals[:MOST_NAMED])),
            tier=phrase(f"tier-{room.tier}"),
            share=beside_accepted(room.planned_risk, room.allowed),
            allowed=f"{100.0 * room.allowed:g}",
        )
        for room in broken
    ]
    if not broken:
        words = {
            "subject": subject_words(tightest.subject),
            "level": level_words(tightest.told_limit),
            "tier": phrase(f"tier-{tightest.tier}"),
        }
        middle = tightest.members.p50
        if middle is None or tightest.food_g_per_d is None or middle < 1.3 * tightest.food_g_per_d:
            sentences.append(phrase("headroom-first-bare", **words))
        else:
            sentences.append(phrase("headroom-first", **words, middle=number(middle)))
    others = [r for r in now.tiers.values() if not r.broken and r.tier != tightest.tier]
    if broken:
        sentences += [
            phrase(
                "headroom-but",
                tier=phrase(f"tier-{room.tier}"),
                food=number(room.food_g_per_d),
                count=str(room.count),
            )
            for room in others
            if room.food_g_per_d is not None
        ]
    elif tightest.least_g_per_d is not None and tightest.most_g_per_d is not None:
        ends = {"least": number(tightest.least_g_per_d), "most": number(tightest.most_g_per_d)}
        sentences.append(phrase("headroom-unsure", tier=phrase(f"tier-{tightest.tier}"), **ends))
    return sentences


def _later(headroom: Headroom) -> list[str]:
    """The first date from which on there is clearly more room, if there is one."""
    now = headroom.dates[0].count
    later = headroom.dates[1:]
    if now is None or not later:
        return []
    more = [each.count is None or each.count > now * 1.25 + 0.5 for each in later]
    for place, dated in enumerate(later):
        counts = [each.count for each in later[place:] if each.count is not None]
        if all(more[place:]):
            date = weekday_date(dated.begins, beside=headroom.as_of)
            count = str(min(counts)) if counts else phrase("headroom-untried")
            return [phrase("headroom-later-more", date=date, count=count)]
    fewer = [each.count is not None and each.count < now * 0.75 - 0.5 for each in later]
    for place, dated in enumerate(later):
        if all(fewer[place:]):
            count = str(max(each.count for each in later[place:] if each.count is not None))
            date = weekday_date(dated.begins, beside=headroom.as_of)
            return [phrase("headroom-later-fewer", date=date, count=count)]
    if any(fewer):  # those that are added now stay
        least = min((each for each in later if each.count is not None), key=lambda e: e.count or 0)
        date = weekday_date(least.begins, beside=headroom.as_of)
        return [phrase("headroom-later-dip", date=date, count=str(least.count))]
    if any(more):
        return [phrase("headroom-later-unsteady")]
    key = "headroom-later-same" if now else "headroom-later-none"
    weeks = later[-1].weeks_ahead
    told = phrase("headroom-one-week") if weeks == 1 else phrase("headroom-weeks", weeks=weeks)
    return [phrase(key, weeks=told)]


def _food(room: TierRoom | None, dated: DatedRoom) -> str:
    if room is None or room.food_g_per_d is None:
        return phrase("headroom-more-than", food=number(dated.tried_g_per_d))
    return number(room.food_g_per_d)
