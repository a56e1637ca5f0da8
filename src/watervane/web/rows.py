"""One tank of the rounds in words."""

from __future__ import annotations

from dataclasses import dataclass

from watervane.app.rounds import Round
from watervane.charts import Emblem
from watervane.wording.pages import age_sentence, next_sentence, standing_sentence


@dataclass(frozen=True, slots=True)
class Row:
    """What stands about a tank on the first page."""

    name: str
    path: str
    sentence: str
    step: str
    age: str
    week: Emblem | None


def row_of(each: Round) -> Row:
    """A tank's row."""
    forecast = None if each.foreseen is None else each.foreseen.forecast
    since = 0 if each.foreseen is None else each.foreseen.written_since
    return Row(
        name=each.tank.name,
        path=f"/tank/{each.tank.key}",
        sentence=standing_sentence(forecast),
        step=next_sentence(forecast),
        age=age_sentence(forecast, each.now, since),
        week=each.week,
    )
