"""The nitrogen ledger in sentences and as a table."""

from __future__ import annotations

from collections.abc import Mapping

from watervane.records import LedgerStretch, NitrogenAmount, NitrogenLedger
from watervane.records.ledger import CAME, HELD, WENT
from watervane.wording.amounts import listed, milligrams, number
from watervane.wording.dates import short_date, weekday_date
from watervane.wording.tables import NumberTable
from watervane.wording.templates import phrase

SMALL_MG_N = 0.05  # less is told as none
MOST_NAMED = 3
SIDES = {"began": HELD, "came": CAME, "went": WENT, "held": HELD}
NITRATE_MOVES_MG_N_PER_L = 0.05


def ledger_title(ledger: NitrogenLedger) -> str:
    """Heading over all of it."""
    date = weekday_date(ledger.as_of, beside=ledger.as_of)
    return phrase("ledger-title", tank=ledger.tank, date=date)


def ledger_sentences(ledger: NitrogenLedger) -> list[str]:
    """One sentence a stretch, the one that sums all up first, and how sure they are."""
    sentences = [stretch_sentence(one, ledger) for one in ledger.stretches]
    ahead = ledger.stretch("next-week")
    if ahead is not None:
        sentences += _keeps(ahead, ledger.volume_l)
    return [*sentences, phrase("ledger-exact", members=ledger.diagnostics.members)]


def stretch_sentence(stretch: LedgerStretch, ledger: NitrogenLedger) -> str:
    """What came, what left, what is there, in one sentence."""
    return phrase(
        f"ledger-said-{stretch.key}",
        begins=weekday_date(stretch.begins, beside=ledger.as_of),
        began=milligrams(total(stretch.began)),
        came=milligrams(total(stretch.came)),
        most_came=_named("came", stretch.came),
        went=milligrams(total(stretch.went)),
        most_went=_named("went", stretch.went),
        held=milligrams(total(stretch.held)),
        most_held=phrase("ledger-most", lines=_named("held", stretch.held)),
    )


def ledger_table(ledger: NitrogenLedger) -> NumberTable:
    """Every line of every stretch that holds anything; totals add up."""
    rows: list[tuple[str, ...]] = []
    for side, lines in SIDES.items():
        books = [_side(stretch, side) for stretch in ledger.stretches]
        totals = (milligrams(total(book)) for book in books)
        rows.append((phrase(f"ledger-total-{side}"), *totals))
        rows += [
            (line_name(side, line), *(cell(book[line]) for book in books))
            for line in lines
            if any(is_told(book[line]) for book in books)
        ]
    heads = (
        phrase(f"ledger-head-{one.key}", begins=short_date(one.begins)) for one in ledger.stretches
    )
    return NumberTable(
        phrase("ledger-table"),
        phrase("ledger-caption", members=ledger.diagnostics.members),
        (phrase("ledger-headers-line"), *heads),
        tuple(rows),
    )


def span_words(stretch: LedgerStretch, ledger: NitrogenLedger) -> str:
    """``since filling on Sunday 1 March``."""
    begins = weekday_date(stretch.begins, beside=ledger.as_of)
    return phrase(f"ledger-span-{stretch.key}", begins=begins)


def group_name(side: str, stretch: LedgerStretch) -> str:
    """What a side of the books is called, in the tense of its stretch."""
    ahead = f"ledger-group-{side}-{stretch.key}"
    told = stretch.key == "next-week" and side != "began"
    return phrase(ahead if told else f"ledger-group-{side}")


def line_name(side: str, line: str) -> str:
    """``tap, nitrate``."""
    return phrase(f"ledger-{'held' if side == 'began' else side}-{line}")


def cell(amount: NitrogenAmount) -> str:
    """``243 (177–320)``; nothing where there is none."""
    if not is_told(amount):
        return "0"
    low, high = (max(each or 0.0, 0.0) for each in (amount.spread_mg_n.p05, amount.spread_mg_n.p95))
    mean = milligrams(amount.mean_mg_n)
    if milligrams(low) == milligrams(high) == mean:
        return mean
    return phrase("ledger-cell", mean=mean, low=milligrams(low), high=milligrams(high))


def is_told(amount: NitrogenAmount) -> bool:
    """Whether a line holds enough to be told."""
    return amount.mean_mg_n >= SMALL_MG_N


def total(lines: Mapping[str, NitrogenAmount]) -> float:
    """The whole of some lines. [mg N]"""
    return sum(line.mean_mg_n for line in lines.values())


def _side(stretch: LedgerStretch, side: str) -> Mapping[str, NitrogenAmount]:
    book: Mapping[str, NitrogenAmount] = getattr(stretch, side)
    return book


def _named(side: str, lines: Mapping[str, NitrogenAmount]) -> str:
    """The largest lines by name."""
    told = sorted(
        (item for item in lines.items() if is_told(item[1])),
        key=lambda item: -item[1].mean_mg_n,
    )
    said = [
        phrase("ledger-line", line=line_name(side, line), amount=milligrams(amount.mean_mg_n))
        for line, amount in told[:MOST_NAMED]
    ]
    return listed(said) or phrase("ledger-nothing")


def _keeps(ahead: LedgerStretch, volume_l: float) -> list[str]:
    came, went = total(ahead.came), total(ahead.went)
    if came < SMALL_MG_N:
        return []
    moved = ahead.held["nitrate"].mean_mg_n - ahead.began["nitrate"].mean_mg_n
    rise = moved / volume_l
    way = "same" if abs(rise) < NITRATE_MOVES_MG_N_PER_L else "up" if rise > 0.0 else "down"
    nitrate = phrase(f"ledger-keeps-nitrate-{way}", rise=number(abs(rise)))
    share = f"{100.0 * max(came - went, 0.0) / came:.0f}"
    return [phrase("ledger-keeps", share=share, nitrate=nitrate)]
