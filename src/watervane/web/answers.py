"""What a tank's page answers to each question, in words and tables."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from watervane.app import Line
from watervane.app.doing import line_of_act
from watervane.app.tank_page import LookedAt, picture_of_tank
from watervane.charts import Picture, WordTable
from watervane.records import Entry
from watervane.web.entries import EntryShown, entry_shown
from watervane.web.inside import InsideShown, colonies_shown, ledger_shown
from watervane.wording import (
    act_sentence,
    finding_text,
    kept_sentence,
    order_sentences,
    short_act,
    verdict_sentences,
    ways_table,
)
from watervane.wording.in_units import current_units
from watervane.wording.pages import (
    age_sentence,
    buys_sentences,
    judged_sentence,
    next_sentence,
    standing_sentence,
    work_line,
)

SHOWN = 12


@dataclass(frozen=True, slots=True)
class StepShown:
    """One thing to do, its place among the steps, and the line that tells it was done."""

    place: int
    text: str
    short: str
    line: Line


@dataclass(frozen=True, slots=True)
class Answers:
    """All of them; empty where nothing is known yet."""

    verdict: tuple[str, ...]
    judged: str
    hour: tuple[str, ...]
    steps: tuple[StepShown, ...]
    after_steps: tuple[str, ...]
    order: tuple[str, ...]
    ways: WordTable | None
    next: str
    foretold: str
    picture: Picture | None
    mark: str
    entries: tuple[EntryShown, ...]
    more: bool
    kept: tuple[EntryShown, ...]
    kept_told: tuple[str, ...]
    undone_told: tuple[str, ...]
    work: str
    ledger: InsideShown | None = None
    colonies: InsideShown | None = None


def answers_of(looked: LookedAt, kept: Sequence[Entry], undone: Sequence[Entry]) -> Answers:
    """The answers of a tank as it was looked at; ``kept`` and ``undone`` were so just now."""
    judged, foreseen = looked.judged, looked.foreseen
    forecast = None if foreseen is None else foreseen.forecast
    today = None if judged is None else judged.today
    chosen = None if today is None else today.chosen
    acts = () if chosen is None else chosen.acts
    standing = [each for each in looked.entries if each.standing]
    shown = standing[: -SHOWN - 1 : -1]
    name = looked.tank.name
    standing_kept = [each for each in kept if each.standing]
    table = None if today is None or not today.frontier else ways_table(today)
    return Answers(
        verdict=tuple(verdict_sentences(today)) if today else (standing_sentence(forecast),),
        judged=judged_sentence(today, looked.now, judged.written_since if judged else 0),
        hour=tuple(finding_text(each) for each in today.emergency) if today else (),
        steps=tuple(
            StepShown(place, act_sentence(act), short_act(act), line_of_act(act))
            for place, act in enumerate(acts)
        ),
        after_steps=tuple(buys_sentences(today)) if today else (),
        order=tuple(order_sentences(today)) if today else (),
        ways=None
        if table is None
        else WordTable(table.title, table.caption, table.headers, table.rows),
        next=next_sentence(forecast),
        foretold=age_sentence(forecast, looked.now, foreseen.written_since if foreseen else 0),
        picture=picture_of_tank(looked, current_units().nitrogen),
        mark=mark_of(looked),
        entries=tuple(entry_shown(each, looked.now, looked.photographed) for each in shown),
        more=len(looked.entries) > len(shown),
        kept=tuple(entry_shown(each, looked.now, looked.photographed) for each in standing_kept),
        kept_told=tuple(kept_sentence(name, each) for each in standing_kept),
        undone_told=tuple(kept_sentence(name, each, "kept-undone") for each in undone),
        work=work_line(looked.job),
        ledger=ledger_shown(looked),
        colonies=colonies_shown(looked),
    )


def mark_of(looked: LookedAt) -> str:
    """What tells the drawing of a tank from all others: its forecast, newest entry and units."""
    if looked.foreseen is None:
        return ""
    forecast = looked.foreseen.forecast
    newest = max((entry.number for entry in looked.entries), default=0)
    told = (
        f"{looked.key} {forecast.as_of} {forecast.diagnostics} {looked.foreseen.made_at} {newest}"
        f" {current_units().text()}"
    )
    return hashlib.sha256(told.encode()).hexdigest()[:16]
