"""What a tank's page shows of its nitrogen and its colonies, from what was kept of them."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from watervane.app.inside_pictures import colonies_picture, ledger_picture
from watervane.app.tank_page import LookedAt
from watervane.charts import WordTable
from watervane.charts.colonies_spec import ColoniesPicture
from watervane.charts.ledger_spec import LedgerPicture
from watervane.records import Colonies, NitrogenLedger
from watervane.wording import phrase
from watervane.wording.colonies import colonies_sentences, colonies_table
from watervane.wording.dates import weekday_date
from watervane.wording.ledger import ledger_sentences, ledger_table
from watervane.wording.tables import NumberTable

LEDGER, COLONIES = "ledger", "colonies"
PARTS = (LEDGER, COLONIES)


@dataclass(frozen=True, slots=True)
class InsideShown:
    """One look inside: first what sums it up, then the picture, the numbers, and the rest."""

    part: str
    lead: str
    more: tuple[str, ...]
    then: str
    description: str
    guide: str
    table: WordTable
    mark: str


def ledger_shown(looked: LookedAt) -> InsideShown | None:
    """Where the nitrogen is; ``None`` before it was worked out."""
    ledger = _forecast_ledger(looked)
    picture = picture_of_part(looked, LEDGER)
    if ledger is None or picture is None:
        return None
    return _shown(LEDGER, looked, ledger, ledger_sentences(ledger), picture, ledger_table(ledger))


def colonies_shown(looked: LookedAt) -> InsideShown | None:
    """What the colonies could do; ``None`` before it was worked out."""
    colonies = None if looked.foreseen is None else looked.foreseen.forecast.colonies
    picture = picture_of_part(looked, COLONIES)
    if colonies is None or picture is None:
        return None
    sentences = colonies_sentences(colonies)
    return _shown(COLONIES, looked, colonies, sentences, picture, colonies_table(colonies))


def picture_of_part(looked: LookedAt, part: str) -> LedgerPicture | ColoniesPicture | None:
    """The drawing of a part; ``None`` before it was worked out."""
    if part == COLONIES:
        colonies = None if looked.foreseen is None else looked.foreseen.forecast.colonies
        return None if colonies is None else colonies_picture(colonies)
    ledger = _forecast_ledger(looked)
    return None if ledger is None else ledger_picture(ledger, ledger.stretches[0])


def mark_of_part(looked: LookedAt, part: str) -> str:
    """What tells the drawing of a part from all others."""
    forecast = None if looked.foreseen is None else looked.foreseen.forecast
    told = None if forecast is None else getattr(forecast, part)
    if told is None:
        return ""
    # Nothing of it changes with units: nitrogen is nitrogen.
    words = f"{looked.key} {part} {told.as_of} {told.seed} {told.diagnostics}"
    return hashlib.sha256(words.encode()).hexdigest()[:16]


def _forecast_ledger(looked: LookedAt) -> NitrogenLedger | None:
    return None if looked.foreseen is None else looked.foreseen.forecast.ledger


def _shown(
    part: str,
    looked: LookedAt,
    told: NitrogenLedger | Colonies,
    sentences: Sequence[str],
    picture: LedgerPicture | ColoniesPicture,
    table: NumberTable,
) -> InsideShown:
    return InsideShown(
        part=part,
        lead=sentences[0],
        more=tuple(sentences[1:]),
        then=phrase("tank-booked-then", date=weekday_date(told.as_of, beside=looked.now)),
        description=picture.description,
        guide=picture.guide,
        table=WordTable(table.title, table.caption, table.headers, table.rows),
        mark=mark_of_part(looked, part),
    )
