"""Rehearsals in plain sentences: what changes most, then a table of both futures."""

from __future__ import annotations

from collections.abc import Callable

from watervane.records import Extreme, Mishap, NumberQuantiles, Rehearsal, Rehearsals
from watervane.records.mishap_sizes import MISHAP_SIZES
from watervane.wording.amounts import (
    acidity,
    brief_share,
    concentration,
    listed,
    number,
    out_of_twenty,
)
from watervane.wording.dates import weekday_date
from watervane.wording.tables import NumberTable
from watervane.wording.templates import phrase
from watervane.wording.watched import Watched, amount_text, watched

WORTH_TELLING = 0.05  # of a chance
TIERS = ("acute", "chronic", "comfort")
COLONY_LOST = 0.9  # less than this left is worth a sentence
_WRITTEN: dict[str, Callable[[float], str]] = {
    "ph": acidity,
    "temperature_c": lambda value: number(value, 3),
}
TRIFLE_D, TRIFLE = 0.25, 0.1  # a change of less is none worth a sentence
MOST_ALREADY = 3
LITTLE = 0.04  # of a middle value: less is a step of rounding


def mishap_words(mishap: Mishap) -> str:
    """``the power is off for 8 hours``."""
    size = f"{mishap.size:g}"
    one = mishap.size == 1
    return phrase(f"mishap-{mishap.kind}{'-one' if one and _counted(mishap) else ''}", size=size)


def rehearsal_title(rehearsals: Rehearsals) -> str:
    """Heading over all that was rehearsed."""
    date = weekday_date(rehearsals.as_of, beside=rehearsals.as_of)
    return phrase("rehearsal-title", tank=rehearsals.tank, date=date)


def rehearsal_sentences(rehearsal: Rehearsal, rehearsals: Rehearsals) -> list[str]:
    """What the mishap would do, the gravest first."""
    begins = weekday_date(rehearsal.begins, beside=rehearsals.as_of)
    opening = "rehearsal-opening" if rehearsal.begins.hour else "rehearsal-opening-early"
    sentences = [phrase(opening, what=mishap_words(rehearsal.mishap), begins=begins)]
    worse = worse_sentences(rehearsal)
    colonies = colonies_sentences(rehearsal)
    sentences += worse
    if not worse:
        sentences.append(phrase("rehearsal-no-worse", days=rehearsals.horizon_days))
    sentences += already_sentences(rehearsal, rehearsals.horizon_days)
    return [*sentences, *colonies, rehearsal_advice(rehearsal)]


def rehearsal_advice(rehearsal: Rehearsal, mishap: Mishap | None = None) -> str:
    """What to do about its mishap, or another one, and what to beware of."""
    rate = rehearsal.warmth_change_c_per_h
    slowly = phrase("warmth-slowly") if rate is None else phrase("warmth-rate", rate=f"{rate:g}")
    return phrase(f"rehearsal-do-{(mishap or rehearsal.mishap).kind}", slowly=slowly)


def rehearsal_table(rehearsal: Rehearsal, horizon_days: int, *, full: bool = True) -> NumberTable:
    """Both futures side by side.

    Parameters
    ----------
    rehearsal, horizon_days
        One mishap, and the days looked at. [d]
    full
        Whether what the mishap leaves as it is has its row, too.
    """
    rows = [
        (_named(each), _middle(each, each.planned), _middle(each, each.changed))
        for each in rehearsal.extremes
        if full or _moves(each)
    ]
    for key, chances in rehearsal.passed.items():
        level = watched(key, rehearsal.limits)
        if level is not None and max(chances) > 0.0:
            planned, changed = (brief_share(chance) for chance in chances)
            told_as = "rehearsal-passed-tier" if level.tier else "rehearsal-passed"
            tier = phrase(f"limit-tier-{level.tier}")
            told = phrase(told_as, level=level.text, tier=tier)
            rows.append((told, planned, changed))
    if not full:
        rows = [row for row in rows if row[1] != row[2]]
    return NumberTable(
        _table_title(rehearsal.mishap),
        phrase("rehearsal-caption" if full else "rehearsal-caption-short", days=horizon_days),
        (phrase("rehearsal-what"), phrase("rehearsal-planned"), phrase("rehearsal-changed")),
        tuple(rows),
    )


def _table_title(mishap: Mishap) -> str:
    if mishap.kind not in MISHAP_SIZES:
        return ""  # of several things done otherwise: told by who asked
    return phrase("rehearsal-table", what=mishap_words(mishap))


def _counted(mishap: Mishap) -> bool:
    return mishap.kind in {"animal-dies", "young-fish", "more-animals", "power-cut",
                           "filter-stopped", "filter-left-dry", "heater-stopped", "heater-stuck",
                           "heat-wave", "no-food", "double-meals", "neighbour-feeds",
                           "no-changes"}  # fmt: skip


def worse_sentences(rehearsal: Rehearsal) -> list[str]:
    """Limits passed more often than as planned, the gravest tier and the largest rise first."""
    found = []
    for name, (planned, changed) in rehearsal.passed.items():
        level = watched(name, rehearsal.limits)
        if changed - planned >= WORTH_TELLING and level is not None:
            place = ("", "acute", "chronic", "comfort").index(level.tier)
            words = {"name": level.named, "limit": f"{level.limit}{level.mean}"}
            words |= {"changed": out_of_twenty(changed), "planned": out_of_twenty(planned)}
            words["animals"] = level.animals
            key = f"rehearsal-worse-{level.tier}" if level.tier else "rehearsal-worse"
            found.append(((place, planned - changed), phrase(key, **words)))
    return [sentence for _, sentence in sorted(found)]


def already_sentences(rehearsal: Rehearsal, horizon_days: int) -> list[str]:
    """Limits passed already as planned, about as often with the mishap: how long, and how far.

    Those it neither lengthens nor worsens come in one sentence, after the others.
    """
    found: list[tuple[tuple[int, float], str]] = []
    same: list[tuple[tuple[int, float], str]] = []
    for name, (planned, changed) in rehearsal.passed.items():
        level = watched(name, rehearsal.limits)
        if level is None or planned < WORTH_TELLING or changed - planned >= WORTH_TELLING:
            continue
        order = (TIERS.index(level.tier) if level.tier in TIERS else len(TIERS), -planned)
        words = {"what": level.named, "limit": f"{level.limit}{level.mean}"}
        words |= {"share": out_of_twenty(planned), "tier": phrase(f"limit-tier-{level.tier}")}
        more = [*_longer(name, rehearsal, horizon_days), *_farther(level, rehearsal)]
        if more:
            key = "rehearsal-already" if level.tier else "rehearsal-already-level"
            found.append((order, phrase(key, **words, more=listed(more))))
        else:
            text = phrase("rehearsal-already-item", text=f"{level.text}{level.mean}", **words)
            same.append((order, text))
    sentences = [sentence for _, sentence in sorted(found)[:MOST_ALREADY]]
    if same:
        items = listed([item for _, item in sorted(same)[:MOST_ALREADY]])
        sentences.append(phrase("rehearsal-already-same", items=items))
    return sentences


def _moves(extreme: Extreme) -> bool:
    """Whether either end of the range, or its middle, moves by more than a step of rounding."""
    for name in ("p05", "p50", "p95"):
        before, after = getattr(extreme.planned, name), getattr(extreme.changed, name)
        if (before is None) != (after is None):
            return True
        if before is not None and abs(after - before) > LITTLE * max(abs(before), abs(after)):
            return True
    return False


def _longer(name: str, rehearsal: Rehearsal, horizon_days: int) -> list[str]:
    before, after = rehearsal.days_beyond.get(name, (0.0, 0.0))
    if abs(after - before) < max(TRIFLE_D, TRIFLE * before):
        return []
    told = {"before": number(before, 2), "after": number(after, 2)}
    return [phrase("rehearsal-already-days", **told, days=horizon_days)]


def _farther(level: Watched, rehearsal: Rehearsal) -> list[str]:
    """Where its farthest point moves, in the middle imagined tank."""
    told = next(
        (e for e in rehearsal.extremes if (e.series, e.highest) == (level.quantity, level.above)),
        None,
    )
    if told is None or told.planned.p50 is None or told.changed.p50 is None:
        return []
    middles = told.planned.p50, told.changed.p50
    before, after = (amount_text(told.series, each) for each in middles)
    if before == after or abs(middles[1] - middles[0]) < LITTLE * abs(middles[0]):
        return []
    key = "rehearsal-already-highest" if level.above else "rehearsal-already-lowest"
    return [phrase(key, before=before, after=after)]


def colonies_sentences(rehearsal: Rehearsal) -> list[str]:
    """How much of the weaker colony is left, where clearly less than there would be."""
    left = [q.p50 for q in rehearsal.colonies.values() if q.p50 is not None]
    if not left or min(left) >= COLONY_LOST:
        return []
    return [phrase("rehearsal-colonies", share=number(100.0 * min(left), 2))]


def _named(extreme: Extreme) -> str:
    side = "highest" if extreme.highest else "lowest"
    return phrase(f"{side}-{extreme.series.replace('_', '-')}")


def _middle(extreme: Extreme, told: NumberQuantiles) -> str:
    if told.p50 is None or told.p05 is None or told.p95 is None:
        return phrase("rehearsal-unknown")
    write = _WRITTEN.get(extreme.series, concentration)
    return phrase(
        "rehearsal-range", middle=write(told.p50), low=write(told.p05), high=write(told.p95)
    )
