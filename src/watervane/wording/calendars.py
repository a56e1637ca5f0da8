"""What is due in a few words, and why."""

from __future__ import annotations

from watervane.records import (
    Act,
    AnimalsIn,
    Clean,
    Dose,
    Event,
    Forecast,
    MediaMoved,
    Today,
    TopOff,
    Treatment,
    WaterChange,
)
from watervane.wording.amounts import number, out_of_twenty
from watervane.wording.at_once import bound_words, step_bounded
from watervane.wording.dates import weekday_date
from watervane.wording.next_test import named_test, next_test_sentences
from watervane.wording.templates import phrase
from watervane.wording.today import act_sentence, short_act, verdict_sentences

WORTH_A_REMINDER = 0.05  # of the futures: less is no reason to ring


def planned_texts(tank: str, event: Event) -> tuple[str, str] | None:
    """Title and reason of a planned event; ``None`` for kinds no calendar needs.

    Parameters
    ----------
    tank
        Its name.
    event
        As planned.
    """
    match event:
        case WaterChange():
            key, told = (
                "change",
                {
                    "share": number(100.0 * event.fraction, 2),
                    "conditioner": phrase("calendar-conditioned") if event.conditioner else "",
                },
            )
        case TopOff():
            litres = event.volume_l
            amount = (
                ""
                if litres is None
                else phrase("calendar-top-off-amount", litres=number(litres, 2))
            )
            key, told = "top-off", {"amount": amount}
        case Dose():
            substance = event.substance.replace("_", " ")
            key, told = "dose", {"substance": substance, "raw": event.raw or substance}
        case Clean():
            key, told = "clean", {"part": event.part, "how": event.how}
        case MediaMoved():
            key, told = "media-moved", {"share": number(100.0 * event.fraction, 2)}
        case Treatment():
            key, told = "treatment", {"substance": event.substance}
        case AnimalsIn():
            key, told = "animals-in", {"count": str(event.count), "species": event.species}
        case _:
            return None
    why = phrase(f"calendar-{key}-why", tank=tank, **told)
    return phrase(f"calendar-{key}", tank=tank, **told), f"{why}\n{event.note}".strip()


def left_out_text(today: Today) -> str:
    """What leaving the week's changes out risks; empty where that is no more than is accepted."""
    planned, bare = today.planned, today.left_out
    if planned is None or bare is None:
        return ""
    for tier in ("acute", "chronic", "comfort"):
        without, with_it = bare.chances.get(tier, 0.0), planned.chances.get(tier, 0.0)
        if without > today.allowed.of(tier) and without - with_it >= WORTH_A_REMINDER:
            told = {"without": out_of_twenty(without), "planned": out_of_twenty(with_it)}
            return phrase("calendar-left-out", tier=phrase(f"limit-tier-{tier}"), **told)
    return ""


def step_texts(tank: str, today: Today, act: Act) -> tuple[str, str]:
    """Title and reason of a step that a judgement chose."""
    verdict = " ".join(verdict_sentences(today)[:1])
    told = {"verdict": verdict, "day": weekday_date(today.as_of), "step": act_sentence(act)}
    title = phrase("calendar-step", tank=tank, step=short_act(act))
    if act.kind == "change" and act.unit == "share":  # of one day: how often tells the calendar
        share, bounded = number(100.0 * act.amount, 2), today.bounded
        title = phrase("calendar-change", tank=tank, share=share)
        if bounded is not None and act.amount > bounded.most_share:
            title = phrase(
                "calendar-change-bounded", tank=tank, share=share, **bound_words(bounded)
            )
    why = phrase("calendar-step-why", **told)
    return title, "\n".join(filter(None, (step_bounded(act, today.bounded), why)))


def teaching_texts(tank: str, forecast: Forecast) -> tuple[str, str] | None:
    """Title and reason of the test that would teach most; ``None`` where none is worth it."""
    told = forecast.next_test
    if told is None or told.best is None or told.open_bits <= 0.0:
        return None
    title = phrase("calendar-test", tank=tank, test=named_test(told.best, told))
    return title, " ".join(next_test_sentences(forecast))
