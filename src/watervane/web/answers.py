"""What a tank's page answers to each question, in words and tables."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from watervane.app import Line, Ports
from watervane.app.at_once import bounded_change, read_of_late
from watervane.app.doing import days_of_act, done_since, line_of_act
from watervane.app.tank_page import LookedAt, picture_of_tank
from watervane.charts import Picture, WordTable
from watervane.records import (
    Act,
    AnimalsIn,
    AtOnce,
    BoundedChange,
    Entry,
    Feed,
    Forecast,
    Habit,
    Reading,
    Today,
)
from watervane.web.entries import EntryShown, entry_shown
from watervane.web.inside import InsideShown, colonies_shown, ledger_shown
from watervane.wording import (
    act_sentence,
    finding_text,
    hour_texts,
    kept_sentence,
    kept_together,
    order_sentences,
    phrase,
    short_act,
    verdict_sentences,
    ways_table,
)
from watervane.wording.at_once import (
    at_once_sentences,
    at_once_steps,
    bound_sentence,
    changes_water,
)
from watervane.wording.in_units import current_units
from watervane.wording.pages import (
    age_sentence,
    behind_sentence,
    buys_sentences,
    judged_sentence,
    made_words,
    next_sentence,
    standing_sentence,
    work_line,
)
from watervane.wording.rounds import harm_beside
from watervane.wording.tables import QUANTITY_NAMES
from watervane.wording.watch import quiet_sentence

SHOWN = 12


@dataclass(frozen=True, slots=True)
class StepShown:
    """One thing to do, its place among the steps, and the line that tells it was done.

    It is told on so many ``days`` in a row; ``done`` is the entry that told it before. One that
    ``reads`` is done by recording what a test shows.
    """

    place: int
    text: str
    short: str
    line: Line
    days: int
    done: EntryShown | None = None
    reads: bool = False


@dataclass(frozen=True, slots=True)
class AtOnceShown:
    """What readings say by themselves, what to do within the hour and today, and what follows.

    ``line`` tells that the first step was done, where it is a change of water; ``known`` that the
    newest judgement goes by these readings, too, and ``harm_beside`` that it finds harm besides.
    """

    sentences: tuple[str, ...]
    hour: tuple[str, ...]
    steps: tuple[str, ...]
    follows: str
    line: Line | None = None
    short: str = ""
    known: bool = False
    harm_beside: bool = False


@dataclass(frozen=True, slots=True)
class Answers:
    """All of them; empty where nothing is known yet."""

    at_once: AtOnceShown | None
    verdict: tuple[str, ...]
    judged: str
    behind: str
    steps_then: str
    done_label: str
    unfed: bool
    food_assumed: str
    watch: str
    hour: tuple[str, ...]
    hour_change: str
    read_first: str
    bounded: str
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
    already: tuple[EntryShown, ...]
    undone_told: tuple[str, ...]
    work: str
    ledger: InsideShown | None = None
    colonies: InsideShown | None = None


def answers_of(
    looked: LookedAt,
    kept: Sequence[Entry],
    undone: Sequence[Entry],
    already: Sequence[Entry],
    alarming: AtOnce,
    ports: Ports,
) -> Answers:
    """The answers of a tank as it was looked at; ``kept`` and ``undone`` were so just now.

    ``already`` was told before, and not again; ``alarming`` is what readings say by themselves.
    """
    judged, foreseen = looked.judged, looked.foreseen
    forecast = None if foreseen is None else foreseen.forecast
    today = None if judged is None else judged.today
    chosen = None if today is None else today.chosen
    acts = () if chosen is None else chosen.acts
    standing = [each for each in looked.entries if each.standing]
    shown = standing[: -SHOWN - 1 : -1]
    name = looked.tank.name
    standing_kept = [each for each in kept if each.standing]
    since = judged.written_since if judged else foreseen.written_since if foreseen else 0
    unfed = _unfed(looked)
    planned = looked.tank.filled if looked.tank.filled > looked.now.date() else None
    made = made_words(today, looked.now) if today is not None and since else ""
    table = None if today is None or not today.frontier else ways_table(today)
    graver = not since and harm_beside(today, alarming)
    return Answers(
        at_once=at_once_shown(alarming, looked, graver=graver),
        verdict=tuple(verdict_sentences(today))
        if today
        else (standing_sentence(forecast, planned),),
        judged=judged_sentence(today, looked.now, judged.written_since if judged else 0),
        behind=behind_sentence(since, looked.job),
        steps_then=phrase("tank-steps-then", made=made) if acts and made else "",
        done_label=phrase("tank-done-then", made=made) if made else phrase("tank-done"),
        unfed=unfed,
        watch=quiet_sentence(None if today is None else today.watch),
        food_assumed="" if forecast is None or not unfed else _food_assumed(forecast),
        hour=tuple(hour_texts(today.emergency)) if today else (),
        hour_change=_hour_change(today, acts),
        read_first=_read_first(today, looked) if acts else "",
        bounded=bound_sentence(_bounded(today, alarming, looked)),
        steps=tuple(_step(place, act, looked, ports) for place, act in today.in_order)
        if today
        else (),
        after_steps=tuple(buys_sentences(today, looked.now, as_told=not since)) if today else (),
        order=tuple(order_sentences(today, looked.tank.source_water.temperature_c))
        if today
        else (),
        ways=None
        if table is None
        else WordTable(table.title, table.caption, table.headers, table.rows),
        next=next_sentence(
            forecast,
            planned,
            read_of_late(looked),
            judged_soon=today is None and looked.job is not None and looked.job.open,
        ),
        foretold=age_sentence(forecast, looked.now, foreseen.written_since if foreseen else 0),
        picture=picture_of_tank(looked, current_units().nitrogen),
        mark=mark_of(looked),
        entries=tuple(_shown(each, looked) for each in shown),
        more=len(looked.entries) > len(shown),
        kept=tuple(_shown(each, looked) for each in standing_kept),
        kept_told=kept_together(name, standing_kept),
        already=tuple(_shown(each, looked) for each in already if each.standing),
        undone_told=tuple(kept_sentence(name, each, "kept-undone") for each in undone),
        work=work_line(looked.job),
        ledger=ledger_shown(looked),
        colonies=colonies_shown(looked),
    )


def _bounded(today: Today | None, alarming: AtOnce, looked: LookedAt) -> BoundedChange | None:
    """By what is known now; else by what was when the steps were chosen, unless read again."""
    found = bounded_change(alarming, today)
    if found is not None or today is None or today.bounded is None or looked.judged is None:
        return found
    again = any(
        isinstance(each.what, Reading) and each.what.quantity == today.bounded.reading
        for each in looked.entries
        if each.standing and each.number > looked.judged.knows
    )
    return None if again else today.bounded


def at_once_shown(told: AtOnce, looked: LookedAt, *, graver: bool = False) -> AtOnceShown | None:
    """What readings say by themselves; nothing where they alarm nobody."""
    sentences = at_once_sentences(told)
    if not sentences:
        return None
    change = told.first_change if changes_water(told) else None
    return AtOnceShown(
        sentences=tuple(sentences),
        hour=tuple(hour_texts(told.emergency)),
        steps=tuple(at_once_steps(told)),
        follows=_follows(told, looked, graver=graver),
        known=told.known,
        harm_beside=graver,
        line=None if change is None else line_of_act(change),
        short="" if change is None else short_act(change),
    )


def _hour_change(today: Today | None, acts: Sequence[Act]) -> str:
    """The change among the steps, but for where new water may be what hurts: that waits."""
    alarm = None if today is None else today.verdict.alarm
    if alarm is not None and alarm.after:
        return ""
    at_once = (act for act in acts if act.kind == "change" and not act.wait_d)
    return next(map(act_sentence, at_once), "")


def _follows(told: AtOnce, looked: LookedAt, *, graver: bool) -> str:
    if told.known:
        return phrase("at-once-known-beside" if graver else "at-once-known")
    return phrase("at-once-follows" if looked.job else "at-once-follows-idle")


def _shown(entry: Entry, looked: LookedAt) -> EntryShown:
    return entry_shown(entry, looked.now, looked.photographed)


def _unfed(looked: LookedAt) -> bool:
    """Whether animals were told of and no food."""
    kinds = [
        each.what.template if isinstance(each.what, Habit) else each.what
        for each in looked.entries
        if each.standing
    ]
    return any(isinstance(each, AnimalsIn) for each in kinds) and not any(
        isinstance(each, Feed) for each in kinds
    )


def _read_first(today: Today | None, looked: LookedAt) -> str:
    """The reading that steps hang on, where it was not taken of late and there is time for it."""
    swing = None if today is None or today.verdict.key == "emergency" else today.verdict.swing
    if swing is None or swing.quantity in read_of_late(looked):
        return ""
    name = QUANTITY_NAMES.get(swing.quantity, swing.quantity)
    return phrase("tank-read-first", quantity=name)


def _food_assumed(forecast: Forecast) -> str:
    told = (each for each in forecast.assumptions if each.key == "assumed-feeding")
    return next((finding_text(each) for each in told), "")


def _step(place: int, act: Act, looked: LookedAt, ports: Ports) -> StepShown:
    line = line_of_act(act)
    before = done_since(looked, line, ports)
    return StepShown(
        place=place,
        text=act_sentence(act),
        short=short_act(act),
        line=line,
        days=days_of_act(act),
        done=None if before is None else _shown(before, looked),
        reads=act.kind == "check",
    )


def mark_of(looked: LookedAt) -> str:
    """What tells the drawing of a tank from all others: forecast, log, description and units."""
    if looked.foreseen is None:
        return ""
    forecast = looked.foreseen.forecast
    newest = max((entry.number for entry in looked.entries), default=0)
    fallen = [entry.number for entry in looked.entries if not entry.standing]
    told = (
        f"{looked.key} {forecast.as_of} {forecast.diagnostics} {looked.foreseen.made_at} {newest}"
        f" {fallen} {looked.tank} {current_units().text()}"
    )
    return hashlib.sha256(told.encode()).hexdigest()[:16]
