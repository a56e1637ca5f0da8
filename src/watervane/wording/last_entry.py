"""That an answer is of the day of a log's last entry."""

from __future__ import annotations

from datetime import datetime

from watervane.wording.dates import days_between
from watervane.wording.templates import phrase


def last_entry_sentence(as_of: datetime, now: datetime) -> str:
    """That a judgement is of the day of a log's last entry, where that day is over.

    Parameters
    ----------
    as_of
        Of the judgement.
    now
        The present, aware.
    """
    here = now.astimezone(as_of.tzinfo)
    days = days_between(as_of, here)
    if days < 1:
        return ""
    ago = phrase("verdict-as-of-day") if days == 1 else phrase("verdict-as-of-days", days=days)
    return phrase("verdict-as-of-last", days=ago, now=f"{here:%Y-%m-%d}")
