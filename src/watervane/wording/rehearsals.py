"""Rehearsals in plain sentences: what changes most, then a table of both futures."""

from __future__ import annotations

from collections.abc import Callable

from watervane.records import Extreme, Mishap, NumberQuantiles, Rehearsal, Rehearsals
from watervane.wording.amounts import acidity, concentration, number, out_of_twenty
from watervane.wording.dates import weekday_date
from watervane.wording.tables import NumberTable
from watervane.wording.templates import phrase
from watervane.wording.watched import watched

WORTH_TELLING = 0.05  # of a chance
COLONY_LOST = 0.9  # less than this left is worth a sentence
_WRITTEN: dict[str, Callable[[float], str]] = {
    "ph": acidity,
    "temperature_c": lambda value: number(value, 3),
}
CAUTIONED = ("power-cut", "filter-stopped", "heater-stopped", "heater-stuck", "food-spilt",
            "larger-tank")  # fmt: skip


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
    worse = _worse(rehearsal)
    colonies = _colonies(rehearsal)
    sentences += worse
    if not worse:
        sentences.append(phrase("rehearsal-no-worse", days=rehearsals.horizon_days))
    sentences += colonies
    if rehearsal.mishap.kind in CAUTIONED:
        sentences.append(phrase(f"rehearsal-do-{rehearsal.mishap.kind}"))
    return sentences


def rehearsal_table(rehearsal: Rehearsal, rehearsals: Rehearsals) -> NumberTable:
    """Both futures side by side."""
    rows = [
        (_named(each), _middle(each, each.planned), _middle(each, each.changed))
        for each in rehearsal.extremes
    ]
    for key, chances in rehearsal.passed.items():
        level = watched(key, rehearsal.limits)
        if level is not None and max(chances) > 0.0:
            planned, changed = (out_of_twenty(chance) for chance in chances)
            tier = phrase(f"limit-tier-{level.tier}") if level.tier else ""
            told = phrase("rehearsal-passed-tier", level=level.text, tier=tier)
            rows.append((told, planned, changed))
    return NumberTable(
        phrase("rehearsal-table", what=mishap_words(rehearsal.mishap)),
        phrase("rehearsal-caption", days=rehearsals.horizon_days),
        (phrase("rehearsal-what"), phrase("rehearsal-planned"), phrase("rehearsal-changed")),
        tuple(rows),
    )


def _counted(mishap: Mishap) -> bool:
    return mishap.kind in {"animal-dies", "young-fish", "power-cut", "filter-stopped",
                           "heater-stopped", "heater-stuck", "heat-wave", "no-food",
                           "double-meals", "neighbour-feeds", "no-changes"}  # fmt: skip


def _worse(rehearsal: Rehearsal) -> list[str]:
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


def _colonies(rehearsal: Rehearsal) -> list[str]:
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
