"""The way to a full tank in sentences: who joins when, what does not fit and why."""

from __future__ import annotations

from watervane.records import Addition, Filling, LeftOver
from watervane.wording.amounts import listed, number
from watervane.wording.dates import short_date, weekday_date
from watervane.wording.headroom import (
    COLONIES,
    beside_accepted,
    elsewhere_sentences,
    of_hundred,
    remedy_words,
    subject_words,
)
from watervane.wording.tables import NumberTable
from watervane.wording.templates import phrase


def filling_title(filling: Filling) -> str:
    """Heading over all of it."""
    date = weekday_date(filling.as_of, beside=filling.as_of)
    return phrase("fill-title", tank=filling.tank, date=date)


def filling_sentences(filling: Filling) -> list[str]:
    """When all are in or what is not, step by step, and what the plan rests on."""
    days = str(filling.horizon_days)
    sentences = []
    if filling.finish is not None:
        date = weekday_date(filling.finish, beside=filling.as_of)
        sentences.append(phrase("fill-all", date=date))
    else:
        sentences.append(phrase("fill-part" if filling.additions else "fill-none", days=days))
    sentences += _steps(filling)
    sentences += [_left(each, filling) for each in filling.left]
    sentences += _remedies(filling)
    sentences += elsewhere_sentences(filling.elsewhere)
    if filling.finish is not None and filling.as_written_finish != filling.finish:
        written = filling.as_written_finish
        told = None if written is None else weekday_date(written, beside=filling.as_of)
        key = "fill-order-not" if told is None else "fill-order"
        sentences.append(phrase(key, date=told or ""))
    quarantine = filling.quarantine_days
    key = "fill-quarantine" if quarantine else "fill-no-quarantine"
    if filling.additions:
        sentences.append(phrase(key, days=str(quarantine)))
    return [*sentences, phrase("fill-again" if filling.additions else "fill-wait")]


def filling_table(filling: Filling) -> NumberTable | None:
    """Every addition with its food and the risk of the weeks that follow."""
    if not filling.additions:
        return None
    tiers = ("acute", "chronic", "comfort")
    rows = [
        (
            short_date(each.add_on),
            f"{each.count} {each.species}",
            number(each.food_g_per_d),
            *(of_hundred(each.risks.get(tier, 0.0)) for tier in tiers),
        )
        for each in filling.additions
    ]
    headers = (
        phrase("fill-on"),
        phrase("fill-who"),
        phrase("fill-food"),
        *(phrase(f"tier-{tier}") for tier in tiers),
    )
    return NumberTable(phrase("fill-table"), phrase("fill-caption"), headers, tuple(rows))


def _steps(filling: Filling) -> list[str]:
    days: dict[str, list[Addition]] = {}
    for each in filling.additions:
        days.setdefault(each.add_on.isoformat(), []).append(each)
    found = []
    for together in days.values():
        animals = listed([f"{each.count} {each.species}" for each in together])
        date = weekday_date(together[0].add_on, beside=filling.as_of)
        buy = weekday_date(together[0].buy_on, beside=filling.as_of)
        key = "fill-step" if filling.quarantine_days else "fill-step-now"
        found.append(phrase(key, date=date, animals=animals, buy=buy))
    return found


def _left(left: LeftOver, filling: Filling) -> str:
    if not left.tier:
        return phrase("fill-left-time", count=str(left.count), species=left.species)
    allowed = filling.allowed.of(left.tier)
    anyhow = _anyhow(left, filling)
    return phrase(
        "fill-left-anyhow" if anyhow else "fill-left",
        count=str(left.count),
        species=left.species,
        subject=subject_words(left.subject),
        tier=phrase(f"tier-{left.tier}"),
        share=beside_accepted(left.without_it if anyhow else left.risk, allowed),
        allowed=f"{100.0 * allowed:g}",
    )


def _anyhow(left: LeftOver, filling: Filling) -> bool:
    """Whether the limit is passed without the newcomers, too."""
    return left.without_it > filling.allowed.of(left.tier)


def _remedies(filling: Filling) -> list[str]:
    """What makes room where something stands in the way, each said once.

    Where the tank is to be left alone, nobody is told to add a few of another kind.
    """
    told = [(each.subject, _anyhow(each, filling)) for each in filling.left if each.tier]
    if any(broken and subject in COLONIES for subject, broken in told):
        told = [each for each in told if each[1] or each[0] not in COLONIES]
    return list(dict.fromkeys(remedy_words(subject, broken=broken) for subject, broken in told))
