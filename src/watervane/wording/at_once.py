"""Alarming readings in plain sentences, before a forecast knows of them."""

from __future__ import annotations

from watervane.records import AtOnce, ReadAlarm, Today
from watervane.wording.shown import ION_PER_N
from watervane.wording.templates import phrase
from watervane.wording.today import alarm_sentence, as_if, asleep_sentence, waits_for_a_test

BOUNDED = {"kh": "KH", "ph": "pH"}  # read far off, they bound how much water is changed at once
MOST_AT_ONCE = 0.1
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


def bound_sentence(told: AtOnce, today: Today | None) -> str:
    """That steps ask for more new water than a reading bears; empty where they do not.

    A judgement may take such a reading for a slip, and then goes by all the rest.

    Parameters
    ----------
    told
        What readings say by themselves.
    today
        The judgement with its steps.
    """
    acts = () if today is None or today.chosen is None else today.chosen.acts
    most = max((act.amount for act in acts if act.kind in ("change", "check")), default=0.0)
    read = next((BOUNDED[each.quantity] for each in told.alarms if each.quantity in BOUNDED), "")
    if not read or most <= MOST_AT_ONCE:
        return ""
    return phrase("steps-bounded", quantity=read, percent=f"{100.0 * most:.0f}")


def _nitrogen(told: AtOnce) -> list[ReadAlarm]:
    found = [each for each in told.alarms if each.quantity in ION_PER_N]
    return found if told.asleep is None else [*found, told.asleep]


def _leading(told: AtOnce) -> ReadAlarm | None:
    return max(_nitrogen(told), key=lambda each: each.share, default=None)
