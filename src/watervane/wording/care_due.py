"""The days of a year's care in a few words, and why."""

from __future__ import annotations

from watervane.records.care import CareSchedule
from watervane.wording.amounts import number
from watervane.wording.care import less_sentences, test_sentences
from watervane.wording.care_return import return_part
from watervane.wording.dates import weekday_date
from watervane.wording.templates import phrase

EVERY_SECOND = "every-second"


def care_line(told: CareSchedule, kind: str, subject: str) -> str:
    """What a day of the care asks for, in a few words.

    Parameters
    ----------
    told
        The care.
    kind, subject
        See `watervane.app.care_days.DuePart`.
    """
    chosen = told.chosen
    if kind == "return" and told.returning is not None:
        step = told.returning.steps[int(subject) - 1]
        return phrase("calendar-care-return", day=step.day, litres=number(step.litres))
    if kind == "test" or chosen is None:
        return phrase(f"calendar-care-test-{subject}")
    words = {
        "percent": f"{100.0 * chosen.routine.share:.0f}",
        "litres": number(chosen.routine.litres),
        "top_off": phrase(f"care-top-off-{chosen.routine.top_off}"),
    }
    return phrase(f"calendar-care-{kind}", **words)


def care_texts(told: CareSchedule, kind: str, subject: str, *, rings: bool) -> tuple[str, str]:
    """Title and reason of a day of the care.

    Parameters
    ----------
    told, kind, subject
        See `care_line`.
    rings
        Whether leaving such days out passes a bound; the reason says so.
    """
    title = phrase("calendar-care", tank=told.tank, what=care_line(told, kind, subject))
    why = [phrase("calendar-care-why", day=weekday_date(told.as_of, beside=None))]
    if kind == "return" and told.returning is not None:
        why.append(return_part(told.returning)[2][int(subject) - 1])
    elif kind == "test":
        why += test_sentences(told, subject)
    elif kind == "change" and rings:
        why += less_sentences(told, EVERY_SECOND)
    return title, " ".join(why)
