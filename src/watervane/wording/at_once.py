"""Alarming readings in plain sentences, before a forecast knows of them."""

from __future__ import annotations

from watervane.records import Act, AtOnce, BoundedChange, ReadAlarm
from watervane.wording.shown import ION_PER_N
from watervane.wording.templates import phrase
from watervane.wording.today import alarm_sentence, as_if, asleep_sentence, waits_for_a_test

BOUNDING = {"kh": "KH", "ph": "pH"}
TWO_BASES = ("ammonia", "nitrite")  # whose figures as N and as the ion are far apart


def at_once_sentences(told: AtOnce) -> list[str]:
    """What each reading means if it is right, the gravest first, as the verdict will say it."""
    sentences = [alarm_sentence(each) for each in told.alarms]
    if told.asleep is not None:
        sentences.append(asleep_sentence(told.asleep, told.awake_ph))
    if any(each.quantity in TWO_BASES for each in _nitrogen(told)):
        sentences.append(phrase("verdict-units"))
    return sentences


def at_once_steps(told: AtOnce) -> list[str]:
    """What to do about them: first what answers ammonia, nitrite and nitrate, one for all."""
    leading = _leading(told)
    steps = [] if leading is None else as_if(leading)
    if leading is not None and not leading.after:
        steps = [" ".join(steps)]
    others = (each for each in told.alarms if each.quantity not in ION_PER_N)
    return [*steps, *(sentence for each in others for sentence in as_if(each))]


def changes_water(told: AtOnce) -> bool:
    """Whether the first of the steps is a change of water."""
    leading = _leading(told)
    return leading is not None and not waits_for_a_test(leading)


def bound_sentence(bounded: BoundedChange | None) -> str:
    """That steps ask for more new water than a reading bears; empty where they do not."""
    return "" if bounded is None else phrase("steps-bounded", **bound_words(bounded))


def step_bounded(act: Act, bounded: BoundedChange | None) -> str:
    """The same of one step, where it is told by itself; empty where it is no change of water."""
    if bounded is None or not act.brings_water:
        return ""
    return phrase("step-bounded", **bound_words(bounded))


def bound_words(bounded: BoundedChange) -> dict[str, str]:
    """Which reading, what it bears at once, and what the steps ask for."""
    return {
        "quantity": BOUNDING[bounded.reading],
        "most": f"{100.0 * bounded.most_share:.0f} %",
        "asked": f"{100.0 * bounded.steps_share:.0f} %",
    }


def _nitrogen(told: AtOnce) -> list[ReadAlarm]:
    found = [each for each in told.alarms if each.quantity in ION_PER_N]
    return found if told.asleep is None else [*found, told.asleep]


def _leading(told: AtOnce) -> ReadAlarm | None:
    return max(_nitrogen(told), key=lambda each: each.share, default=None)
