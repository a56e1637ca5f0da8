"""What the first page says of a tank in a line or two."""

from __future__ import annotations

import math
from collections.abc import Container
from dataclasses import replace
from datetime import date, datetime, timedelta

from watervane.records import Forecast, Job, Today
from watervane.wording.amounts import listed
from watervane.wording.dates import MONTHS, days_between, weekday_date
from watervane.wording.next_test import next_test_sentences
from watervane.wording.risks import risk_sentences
from watervane.wording.templates import phrase
from watervane.wording.today import step_sentences

SHARPENING = ("ammonia", "nitrite")  # what a first forecast learns most from
MINUTE_S, HOUR_S, MOST_MINUTES = 60.0, 3600.0, 90


def standing_sentence(forecast: Forecast | None, planned: date | None = None) -> str:
    """How a tank stands, by its last forecast; ``planned`` is the day it will be filled on."""
    if planned is not None:
        day = f"{planned.day} {MONTHS[planned.month - 1]} {planned.year}"
        return phrase("rounds-planned", day=day)
    if forecast is None:
        return phrase("rounds-none-foretold")
    told = risk_sentences(forecast)
    return told[0] if told else phrase("rounds-nothing-told")


def next_sentence(
    forecast: Forecast | None,
    planned: date | None = None,
    read: Container[str] = (),
    *,
    judged_soon: bool = False,
) -> str:
    """What to do next, where no steps have been chosen yet: the test that teaches most.

    Parameters
    ----------
    forecast
        The newest, where there is one.
    planned
        The day the tank will be filled on, where that lies ahead.
    read
        Quantities that were read of late.
    judged_soon
        Whether it is still being worked out what there is to do today.
    """
    if planned is not None:
        return phrase("rounds-planned-next")
    if forecast is None:
        unread = [each for each in SHARPENING if each not in read]
        if not unread:
            return phrase("rounds-none-foretold-read")
        return phrase("rounds-none-foretold-next", quantities=listed(unread))
    if judged_soon:
        unread = [each for each in SHARPENING if each not in read]
        told_soon = phrase("rounds-next-soon")
        if not unread:
            return told_soon
        return f"{told_soon} {phrase('rounds-next-meanwhile', quantities=listed(unread))}"
    told = next_test_sentences(forecast)
    if not told:
        return phrase("rounds-next-keep-on")
    best = None if forecast.next_test is None else forecast.next_test.best
    later = best is not None and days_between(forecast.as_of, best.at) > 0
    return phrase("rounds-next-not-today", then=told[0]) if later else told[0]


def age_sentence(forecast: Forecast | None, now: datetime, written_since: int) -> str:
    """When a forecast was made, and what it does not know yet."""
    if forecast is None:
        return ""
    made = forecast.as_of
    clock = f", {made:%H:%M}" if made.date() == now.date() else ""
    told = {"date": weekday_date(made, beside=now), "clock": clock, "count": written_since}
    keys = ("rounds-age", "rounds-age-behind-one", "rounds-age-behind")
    return phrase(keys[min(written_since, 2)], **told)


def judged_sentence(today: Today | None, now: datetime, written_since: int) -> str:
    """When a verdict was made, and what it does not know yet."""
    if today is None:
        return ""
    made = today.as_of
    clock = f", {made:%H:%M}" if made.date() == now.date() else ""
    told = {"date": weekday_date(made, beside=now), "clock": clock, "count": written_since}
    keys = ("tank-judged", "tank-judged-behind-one", "tank-judged-behind")
    return phrase(keys[min(written_since, 2)], **told)


def behind_sentence(written_since: int, job: Job | None) -> str:
    """That what is told does not know the newest entries; empty where it knows them all."""
    if not written_since:
        return ""
    return phrase("tank-behind-idle" if job is None else "tank-behind")


def made_words(today: Today, now: datetime) -> str:
    """When a judgement was made, in as few words as tell it from others."""
    made = today.as_of
    return f"{made:%H:%M}" if made.date() == now.date() else weekday_date(made, beside=now)


def buys_sentences(today: Today, now: datetime, *, as_told: bool = True) -> list[str]:
    """What the steps buy, without the steps themselves.

    A day gone by is no time to wait for, nor is any where more was told since than the judgement
    knows (not ``as_told``).
    """
    if not as_told or today.as_of + timedelta(days=today.can_wait_d) < now:
        today = replace(today, can_wait_d=0.0)
    acts = 0 if today.chosen is None else len(today.chosen.acts)
    return step_sentences(today)[acts:]


def work_line(job: Job | None, left_s: float | None = None) -> str:
    """What the worker is at for a tank, and how long that part has to go, where it is known. [s]

    Empty where it is at nothing.
    """
    if job is None:
        return ""
    what = phrase(f"page-work-{job.kind}")
    if job.state == "waiting" or not job.stage:
        return phrase("page-work-waiting", what=what)
    told = {"stage": phrase(f"stage-{job.stage}"), "percent": f"{100 * job.progress:.0f}"}
    if left_s is None:
        return phrase("page-work-running", what=what, **told)
    return phrase("page-work-left", what=what, left=left_words(left_s), **told)


def left_words(left_s: float) -> str:
    """A time that is left, no finer than it is known."""
    if left_s < MINUTE_S:
        return phrase("time-left-little")
    if left_s < MOST_MINUTES * MINUTE_S:
        return phrase("time-left-minutes", minutes=math.ceil(left_s / MINUTE_S))
    return phrase("time-left-hours", hours=f"{round(2 * left_s / HOUR_S) / 2:g}")
