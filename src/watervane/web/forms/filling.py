"""When a tank was filled: on a day, or about so long ago; 'I don't know' is an answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from watervane.web.forms.fields import Field, asked, options
from watervane.wording import phrase

KIND = "setup"
# Days before today that each answer stands for, house estimates. Who knows nothing at all is put
# where bacteria may have grown or not, so that the first readings decide.
DAYS_AGO: Mapping[str, int] = {"days": 4, "weeks": 21, "months": 120, "years": 400,
                                "unknown-at-all": 35}  # fmt: skip
AGES = ("", *DAYS_AGO)
YOUNG_DAYS = 92  # house estimate: how a tank older than that was started tells on it no more


@dataclass(frozen=True, slots=True)
class Filling:
    """The day as it is put into the description; ``known`` where the keeper told it."""

    day: str
    known: bool = True

    @property
    def words(self) -> list[str]:
        """As ``key=value``."""
        told = [f"filled={self.day}"] if self.day else []
        return told if self.known else [*told, "filled_known=false"]

    @property
    def date(self) -> date | None:
        """The day; ``None`` where it is none."""
        return day_of(self.day)


def filling_fields() -> tuple[Field, ...]:
    """The day, empty until it is told, and what may be told in its place."""
    hint = phrase("form-setup-filled-hint")
    ages = options(KIND, "age", AGES)
    return (
        asked(KIND, "filled", "date", hint=hint, value="", short=True),
        asked(KIND, "age", "list", value="", options=ages),
    )


def filling_told(typed: Mapping[str, str], today: date, earliest: date | None = None) -> Filling:
    """The day that was told, else the one that an age stands for.

    Parameters
    ----------
    typed
        As sent.
    today
        The present day.
    earliest
        Something that happened in the tank: a guessed day lies no later.
    """
    told = typed.get("filled", "").strip()
    age = typed.get("age", "")
    if told or age not in DAYS_AGO:
        return Filling(told)
    guess = today - timedelta(days=DAYS_AGO[age])
    return Filling(f"{guess if earliest is None else min(guess, earliest)}", known=False)


def is_young(filled: date, today: date) -> bool:
    """Whether the way a tank was started still tells on it."""
    return (today - filled).days <= YOUNG_DAYS


def day_of(text: str) -> date | None:
    """A day as it is typed; ``None`` for none."""
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        return None
