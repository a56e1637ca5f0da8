"""The rounds in words: a tank's verdict, what is due next, and how old that knowledge is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from watervane.records import FULL, AtOnce, TankRound, Today
from watervane.wording.amounts import out_of_twenty
from watervane.wording.at_once import at_once_sentences, step_bounded
from watervane.wording.dates import days_between, weekday_date
from watervane.wording.shown import ION_PER_N
from watervane.wording.step_reasons import step_reason
from watervane.wording.templates import finding_text, phrase
from watervane.wording.today import (
    WORTH_TELLING,
    as_if,
    due_sentence,
    verdict_sentences,
    waits_for_a_test,
)
from watervane.wording.watch import quiet_sentence

# Verdicts that say nothing of harm at once, so that harm a forecast sees later has to be told.
_MILD = ("nothing-points-to-harm", "out-of-range", "strain-likely", "strain-possible")
_HARMLESS = ("nothing-points-to-harm", "out-of-range", "no-animals")


def rounds_title(at: datetime) -> str:
    """Which day's rounds."""
    return phrase("round-title", date=weekday_date(at))


def round_sentences(one: TankRound, now: datetime) -> list[str]:
    """A tank in a few sentences, the verdict first.

    Parameters
    ----------
    one
        The tank.
    now
        When it is told.
    """
    parts = round_parts(one, now)
    return [part for part in (*parts.verdict, parts.step, parts.age, *parts.work) if part]


@dataclass(frozen=True, slots=True)
class RoundParts:
    """A tank's sentences by what they answer; empty where there is nothing to say."""

    verdict: tuple[str, ...]
    step: str
    age: str
    work: tuple[str, ...]


def round_parts(one: TankRound, now: datetime) -> RoundParts:
    """How a tank stands, what is due next, how old that is, and what is being made."""
    today, work = one.today, tuple(_work(one))
    if today is None:
        return RoundParts((phrase("round-nothing"),), "", "", work)
    told = [verdict_sentences(today)[0]]
    if one.acute is not None and today.verdict.key in _MILD:
        day = weekday_date(one.acute.on, beside=today.as_of)
        key = "round-later" if one.acute.chance >= WORTH_TELLING else "round-later-rarely"
        told.append(phrase(key, day=day, share=out_of_twenty(one.acute.chance)))
    if quiet := quiet_sentence(today.watch):
        told.append(quiet)
    step, alarm = "", today.verdict.alarm
    if today.verdict.key == "reading-harmful" and alarm is not None:
        key = "round-as-if-later" if waits_for_a_test(alarm) else "round-as-if"
        step = phrase(key, percent=f"{100 * alarm.share:.0f}")
        if alarm.quantity not in ION_PER_N:
            step = " ".join(as_if(alarm))
        elif one.next_step is not None:
            step = " ".join(filter(None, (step, step_bounded(one.next_step, today.bounded))))
    elif one.grade == FULL and today.chosen is not None:
        step = _next(one, now)
    return RoundParts(tuple(told), step, _age(one, now), work)


def harm_beside(today: Today | None, told: AtOnce) -> bool:
    """Whether a judgement finds harm besides what a reading it knows of says by itself."""
    if today is None or not told.known:
        return False
    said = today.verdict
    if said.key == "reading-harmful":  # of which reading, since that may be the same
        read = None if said.alarm is None else said.alarm.quantity
        return read not in {each.quantity for each in told.alarms}
    return said.key not in _HARMLESS


def standing_harm(today: Today | None, told: AtOnce) -> str:
    """What is so wrong in a tank that nobody should be added; nothing where that is not known."""
    read = at_once_sentences(told)
    if today is None or today.verdict.key in (*_MILD, "no-animals"):
        return read[0] if read else ""
    return read[0] if read and not harm_beside(today, told) else verdict_sentences(today)[0]


def _next(one: TankRound, now: datetime) -> str:
    if one.next_step is None or one.due_at is None:
        return phrase("round-no-step")
    ahead = days_between(now.astimezone(one.due_at.tzinfo), one.due_at)
    why = "" if one.today is None else step_reason(one.today)
    bound = "" if one.today is None else step_bounded(one.next_step, one.today.bounded)
    step = " ".join(filter(None, (due_sentence(one.next_step), bound, why)))
    if ahead > 0:
        return phrase("round-step-on", day=weekday_date(one.due_at, beside=now), step=step)
    return phrase("round-step-today" if ahead == 0 else "round-step-late", step=step)


def _age(one: TankRound, now: datetime) -> str:
    if one.today is None:
        return ""
    at = one.today.as_of
    days = days_between(at, now.astimezone(at.tzinfo))
    key = "round-age" if one.current else "round-age-not-current"
    when = phrase("round-today" if days <= 0 else "round-days-ago", days=days, clock=f"{at:%H:%M}")
    if days == 1:
        when = phrase("round-yesterday", clock=f"{at:%H:%M}")
    if one.entries_since:
        key = "round-age-entries" if one.entries_since > 1 else "round-age-entry"
    return phrase(key, when=when, entries=one.entries_since)


def _work(one: TankRound) -> list[str]:
    job = one.job
    if job is None:
        return []
    if job.why is not None:
        return [phrase("round-failed", why=finding_text(job.why))]
    if not job.open:
        return []
    return [phrase("round-made" if job.state == "running" else "round-waits")]
