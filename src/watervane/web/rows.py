"""One tank of the rounds in words."""

from __future__ import annotations

from dataclasses import dataclass

from watervane.app.rounds import Round
from watervane.charts import Emblem
from watervane.wording import phrase
from watervane.wording.at_once import at_once_sentences, at_once_steps
from watervane.wording.pages import age_sentence, next_sentence, standing_sentence
from watervane.wording.rounds import harm_beside, round_parts


@dataclass(frozen=True, slots=True)
class Row:
    """What stands about a tank on the first page."""

    name: str
    key: str
    verdict: str
    step: str
    labelled: bool  # where the step does not say itself that it is the next
    age: str
    work: str
    week: Emblem | None


def row_of(each: Round) -> Row:
    """A tank's row: by its newest judgement, before there is one by its newest forecast.

    What was read since and alarms comes before both; of what a judgement knows of, harm that it
    finds besides comes first.
    """
    parts = round_parts(each.told, each.now)
    forecast = None if each.foreseen is None else each.foreseen.forecast
    since = 0 if each.foreseen is None else each.foreseen.written_since
    judged = each.told.today is not None
    planned = each.tank.filled if each.tank.filled > each.now.date() else None
    alarming, steps = at_once_sentences(each.at_once), at_once_steps(each.at_once)
    if alarming:
        beside = harm_beside(each.told.today, each.at_once)
        return Row(
            name=each.tank.name,
            key=each.tank.key,
            verdict=" ".join((*parts.verdict, alarming[0])) if beside else alarming[0],
            step=" ".join((steps[0], parts.step)) if beside else steps[0],
            labelled=False,
            age=parts.age if each.at_once.known else phrase("rounds-at-once"),
            work=" ".join(parts.work),
            week=each.week if each.at_once.known else None,
        )
    return Row(
        name=each.tank.name,
        key=each.tank.key,
        verdict=" ".join(parts.verdict) if judged else standing_sentence(forecast, planned),
        step=parts.step if judged else next_sentence(forecast, planned, each.read),
        labelled=not judged,
        age=parts.age if judged else age_sentence(forecast, each.now, since),
        work=" ".join(parts.work),
        week=each.week,
    )
