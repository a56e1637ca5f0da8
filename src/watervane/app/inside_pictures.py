"""Join ledgers and colonies with their words into pictures."""

from __future__ import annotations

from watervane.charts.colonies_spec import ColoniesPicture, ColonyPanel
from watervane.charts.ledger_spec import Flow, FlowGroup, LedgerPicture
from watervane.records import Colonies, LedgerStretch, NitrogenAmount, NitrogenLedger
from watervane.records.colonies import COLONIES, HABITATS
from watervane.wording import phrase
from watervane.wording.amounts import listed, milligrams
from watervane.wording.colonies import carry_sentence
from watervane.wording.dates import short_date
from watervane.wording.ledger import (
    SIDES,
    cell,
    group_name,
    is_told,
    line_name,
    span_words,
    total,
)

STOCKS = ("began", "held")
LEFT, RIGHT = ("began", "came"), ("held", "went")


def ledger_picture(ledger: NitrogenLedger, stretch: LedgerStretch) -> LedgerPicture:
    """The drawing of one stretch of a ledger."""
    span = span_words(stretch, ledger)
    left, right = (
        tuple(_group(side, stretch) for side in sides if _group(side, stretch).flows)
        for sides in (LEFT, RIGHT)
    )
    turned = milligrams(total(stretch.began) + total(stretch.came))
    return LedgerPicture(
        title=phrase("ledger-picture", tank=ledger.tank, span=span, total=turned),
        description=phrase(
            "ledger-described", span=span, left=_described(left), right=_described(right)
        ),
        guide=phrase("ledger-guide"),
        left=left,
        right=right,
    )


def colonies_picture(colonies: Colonies) -> ColoniesPicture:
    """The drawing of both colonies in all habitats."""
    first, last = (short_date(colonies.times[place]) for place in (0, -1))
    rows = tuple(
        tuple(
            ColonyPanel(
                phrase(
                    "colonies-row",
                    name=phrase(f"colonies-Name-{substance}"),
                    habitat=phrase(f"colonies-habitat-{habitat}"),
                ),
                colonies.guilds[substance].capacity[habitat],
                colonies.guilds[substance].load[habitat],
            )
            for habitat in HABITATS
        )
        for substance in COLONIES
    )
    return ColoniesPicture(
        title=phrase("colonies-picture", tank=colonies.tank),
        description=phrase(
            "colonies-described", first=first, last=last, said=carry_sentence(colonies)
        ),
        guide=phrase("colonies-guide"),
        load_name=phrase("colonies-load"),
        times=colonies.times,
        rows=rows,
    )


def _group(side: str, stretch: LedgerStretch) -> FlowGroup:
    lines = getattr(stretch, side)
    flows = tuple(_flow(side, line, lines[line]) for line in SIDES[side] if is_told(lines[line]))
    return FlowGroup(group_name(side, stretch), flows, side in STOCKS)


def _flow(side: str, line: str, amount: NitrogenAmount) -> Flow:
    told = phrase("ledger-mg", amount=cell(amount))
    return Flow(line_name(side, line), amount.mean_mg_n, told)


def _described(groups: tuple[FlowGroup, ...]) -> str:
    return "; ".join(
        phrase(
            "ledger-described-group",
            group=group.name,
            lines=listed([f"{flow.name} {flow.told}" for flow in group.flows]),
        )
        for group in groups
    )
