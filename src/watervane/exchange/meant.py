"""Words keepers write where the file knows another, and dates in the orders they write them."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from datetime import date

# Word in lower case, letters and digits alone -> what may be meant, the likeliest first.
MEANT: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(("no2", "no2n", "hno2"), ("nitrite",)),
    **dict.fromkeys(("no3", "no3n"), ("nitrate",)),
    **dict.fromkeys(("nh3", "nh4", "nh3n", "nh4n", "nh3nh4", "nh4nh3", "tan"), ("ammonia",)),
    **dict.fromkeys(("totalammonia", "ammonium"), ("ammonia",)),
    **dict.fromkeys(("po4", "po4p"), ("phosphate",)),
    **dict.fromkeys(("o2", "do"), ("oxygen",)),
    "cl2": ("chlorine",),
    "cl": ("chloride",),
    "ec": ("conductivity",),
    **dict.fromkeys(("amount", "share", "percent", "part"), ("fraction", "volume")),
    # what keepers call an event
    **dict.fromkeys(("fishin", "addfish", "newfish", "fish", "stock", "stocking"), ("animals-in",)),
    **dict.fromkeys(("stocked", "animalin", "animals", "added", "arrival"), ("animals-in",)),
    **dict.fromkeys(("fishout", "sold", "rehomed", "removed", "animalout"), ("animals-out",)),
    **dict.fromkeys(("death", "dead", "deaths", "dies", "loss"), ("died",)),
    **dict.fromkeys(("wc", "pwc", "change", "changed", "newwater"), ("water-change",)),
    **dict.fromkeys(("topup", "refill", "evaporation"), ("top-off",)),
    **dict.fromkeys(("meal", "feeding", "fed", "food"), ("feed", "mass")),
    **dict.fromkeys(("dosed", "dosing", "additive", "conditioner", "salt"), ("dose",)),
    **dict.fromkeys(("bacteria", "seeding", "seeded", "starter"), ("seed",)),
    **dict.fromkeys(("powercut", "poweroff", "blackout", "failure"), ("outage",)),
    **dict.fromkeys(("cleaning", "cleaned", "rinse", "rinsed", "vacuum"), ("clean",)),
    **dict.fromkeys(("medicine", "medication", "meds", "medicated"), ("treatment",)),
    **dict.fromkeys(("newheater", "newfilter", "heater"), ("equipment",)),
    # and a reading
    **dict.fromkeys(("temp", "warmth"), ("temperature",)),
    **dict.fromkeys(("alkalinity", "buffer", "buffering", "carbonatehardness"), ("kh",)),
    **dict.fromkeys(("hardness", "totalhardness", "generalhardness"), ("gh",)),
    **dict.fromkeys(("acidity",), ("ph",)),
    **dict.fromkeys(("test", "tests", "measurement", "measured"), ("reading",)),
}
_NUMBERS = re.compile(r"(?P<a>[0-9]{1,4})[-/.](?P<b>[0-9]{1,2})[-/.](?P<c>[0-9]{1,4})(?![0-9])")
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTH = "|".join(_MONTHS)
_WORDS = re.compile(
    rf"(?:(?P<d>[0-9]{{1,2}})\.?\s+(?P<m>{_MONTH})[a-z]*\.?"
    rf"|(?P<n>{_MONTH})[a-z]*\.?\s+(?P<e>[0-9]{{1,2}}),?)\s+(?P<y>[0-9]{{4}})",
    re.IGNORECASE,
)


def meant_word(word: str, known: Iterable[str]) -> str | None:
    """The known word that a formula or a word of the trade stands for, if there is one."""
    plain = unicodedata.normalize("NFKC", word[:60]).lower()
    there = set(known)
    candidates = MEANT.get(re.sub(r"[^a-z0-9]", "", plain), ())
    return next((found for found in candidates if found in there), None)


def date_part(written: str) -> str:
    """The date a text begins with, in whatever order, as numbers or with the month's name."""
    text = written.strip()
    found = _NUMBERS.match(text) or _WORDS.match(text)
    return found[0] if found else ""


def meant_date(written: str) -> date | None:
    """The day a text begins with, where only one can be meant.

    Three numbers are read in every usual order; ``03/04/2026`` has two readings and
    so none. A year of two digits is no year.
    """
    text = written.strip()
    numbers, words = _NUMBERS.match(text), _WORDS.match(text)
    if numbers:
        a, b, c = (int(part) for part in numbers.group("a", "b", "c"))
        orders = ((a, b, c),) if a > 999 else ((c, b, a), (c, a, b)) if c > 999 else ()
        days = {day for order in orders if (day := _day(*order)) is not None}
        return days.pop() if len(days) == 1 else None
    if words:
        month = _MONTHS.index((words["m"] or words["n"]).lower()) + 1
        return _day(int(words["y"]), month, int(words["d"] or words["e"]))
    return None


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
