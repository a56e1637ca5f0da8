"""The limits that hold for a tank, subject by subject."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from watervane.records import AllowedRisk, LimitList, ListedLimit, NumberQuantiles
from watervane.wording.amounts import acidity, listed, number, percent
from watervane.wording.templates import finding_text, phrase
from watervane.wording.watched import Watched, level_text, of_limit


def limits_title(found: LimitList) -> str:
    """Heading over the list."""
    return phrase("limits-list-title", tank=found.tank)


def limits_sentences(found: LimitList) -> list[str]:
    """For whom and in what water the limits hold, and how to read the list."""
    sentences = [finding_text(finding) for finding in found.assumptions]
    if not found.limits:
        return sentences
    words = {"animals": listed(list(found.animals))}
    words |= {"ph": _range(found.water["ph"], acidity)}
    words |= {"warmth": _range(found.water["temperature_c"], lambda value: number(value, 3))}
    words |= {"chloride": number(found.water["chloride_mg_per_l"].p50 or 0.0)}
    accepted = accepted_sentence(found.allowed)
    return [phrase("limits-list-for", **words), accepted, *sentences, phrase("limits-list-guide")]


def accepted_sentence(allowed: AllowedRisk) -> str:
    """Which chance of passing a limit is accepted, tier by tier, and on whose word."""
    shipped = AllowedRisk()
    whose = "" if allowed == shipped else phrase("limits-list-own-risk", **_percent(shipped))
    return phrase("limits-list-accepted", whose=whose, **_percent(allowed))


def _percent(allowed: AllowedRisk) -> dict[str, str]:
    return {tier: percent(allowed.of(tier)) for tier in ("acute", "chronic", "comfort")}


def limit_groups(
    found: LimitList, *, every: bool = False
) -> Iterator[tuple[str, list[tuple[str, str]]]]:
    """Each subject with its limits: the name to edit each by, and what it says.

    Parameters
    ----------
    found
        The list.
    every
        Whether those that others are stricter than are listed, too.
    """
    shown = [one for one in found.limits if every or one.leads or one.limit.edited]
    for subject in dict.fromkeys(one.limit.subject for one in shown):
        title = phrase(f"limit-subject-{subject.replace('_', '-')}")
        yield title, [_entry(one) for one in shown if one.limit.subject == subject]


def _entry(one: ListedLimit) -> tuple[str, str]:
    watched = of_limit(one.limit)
    words = {
        "tier": phrase(f"limit-tier-{one.limit.tier}"),
        "limit": watched.text,
        "mean": watched.mean,
        "levels": _levels(one, watched),
        "animals": watched.animals,
        "origin": watched.origin,
    }
    note = phrase("limits-list-note", note=one.limit.note) if _worth_noting(one) else ""
    return one.limit.key, f"{phrase('limits-list-entry', **words)}{note}"


def _worth_noting(one: ListedLimit) -> bool:
    return bool(one.limit.note) and not one.limit.edited


def _levels(one: ListedLimit, watched: Watched) -> str:
    """The range over what is not known of the water; nothing where the level is the same in all."""
    low, high = one.level.p05, one.level.p95
    if low is None or high is None:
        return ""
    ends = [level_text(one.limit.quantity, end) for end in (low, high)]
    if ends[0] == ends[1]:
        return ""
    unit = watched.level.partition(" ")[2]
    return phrase("limits-list-levels", low=ends[0].removesuffix(f" {unit}"), high=ends[1])


def _range(told: NumberQuantiles, write: Callable[[float], str]) -> str:
    if told.p05 is None or told.p95 is None:
        return ""
    low, high = write(told.p05), write(told.p95)
    return low if low == high else phrase("limits-list-range", low=low, high=high)
