"""How a tank was started: what fed its bacteria at first, and whether some were brought in."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, timedelta

from watervane.app import Line
from watervane.web.forms.care import BY_KIT, LEVEL
from watervane.web.forms.fields import Field, Told, asked, options
from watervane.web.forms.fitted import with_unit
from watervane.wording import phrase
from watervane.wording.in_units import asked_unit

KIND = "started"
FED = ("", "animals", "dosed", "food", "nothing")
OFTEN = ("", "once", "again")
BROUGHT = ("", "none", "media", "bed", "bottle")
NAMES = ("fed", "fed-much", "fed-often", "brought", "brought-much")
PINCH = "1 pinch"
# Common practice, no source: what a tank without animals is dosed up to, and how often.
USUAL_LEVEL, DOSED_EVERY, FED_EVERY = "2 mg/L as N", "3 d", "1 d"
# House estimate of what really went in, by the level that is put in where none is told.
UNTOLD = "0.5 to 2"
SALT, SOLUTION = "ammonium chloride", "ammonia solution"
_POURED = re.compile(r"(drops?|ml|millilit\w+)\b", re.IGNORECASE)


def fields() -> tuple[Field, ...]:
    """What was in it at first, and what was brought from elsewhere; nothing need be known."""
    hints = {name: phrase(f"form-started-{name}-hint") for name in ("fed-much", "brought-much")}
    return (
        asked(KIND, "fed", "list", value="", options=options(KIND, "fed", FED)),
        asked(KIND, "fed-much", "text", hint=hints["fed-much"], short=True),
        asked(KIND, "fed-often", "list", value="", options=options(KIND, "fed-often", OFTEN)),
        asked(KIND, "brought", "list", value="", options=options(KIND, "brought", BROUGHT)),
        asked(KIND, "brought-much", "text", hint=hints["brought-much"], short=True),
    )


def lines(typed: Mapping[str, str], filled: date, animals: date | None) -> list[Told]:
    """What it comes to in the log, from the day of filling on.

    Parameters
    ----------
    typed
        As sent.
    filled
        The day water went in.
    animals
        The day on which the first animals came; what was given in their place ends before it.
    """
    told = []
    given = {"dosed": _dosed, "food": _rotted}.get(typed.get("fed", ""))
    if given is not None:
        kind, words, every = given(typed.get("fed-much", "").strip())
        words += _again(typed.get("fed-often", ""), every, filled, animals)
        told.append(_told(kind, words, filled, "fed-much"))
    brought = typed.get("brought", "")
    if brought in BROUGHT[2:]:
        much = with_unit(typed.get("brought-much", "").strip(), asked_unit("volume", "L"))
        words = [f"source={brought}", *([f"volume={much}"] if much else [])]
        told.append(_told("seed", words, filled, "brought-much"))
    return told


def anything_told(typed: Mapping[str, str]) -> bool:
    """Whether anything but 'I don't know' was answered."""
    return any(typed.get(name, "").strip() for name in NAMES)


def _dosed(much: str) -> tuple[str, list[str], str]:
    if not much:
        told = [f"substance={SALT}", f"raise_to={USUAL_LEVEL}", f"amount_factor={UNTOLD}"]
    elif LEVEL.search(much) or not re.search(r"[a-z]", much, re.IGNORECASE):
        level = with_unit(much, "mg/L")
        told = [f"substance={SALT}", f"raise_to={level}", f"amount_factor={BY_KIT}"]
    else:
        substance = SOLUTION if _POURED.search(much) else SALT
        told = [f"substance={substance}", f"amount={much}"]
    return "dose", told, DOSED_EVERY


def _rotted(much: str) -> tuple[str, list[str], str]:
    return "feed", [f"amount={much or PINCH}"], FED_EVERY


def _again(often: str, every: str, filled: date, animals: date | None) -> list[str]:
    """Whether it was done again, until the day before animals came.

    Where that is not known it is taken as done once: it then grew fewer bacteria, and whoever errs
    so errs on the side of the animals.
    """
    last = None if animals is None else animals - timedelta(days=1)
    if often != "again" or (last is not None and last <= filled):
        return []
    return [f"every={every}", *([] if last is None else [f"until={last}"])]


def _told(kind: str, words: list[str], at: date, place: str) -> Told:
    keys = ("", "amount", "raise_to", "volume", "mass", "substance")
    own = dict.fromkeys(keys, place) | {"at": "filled", "from": "filled", "until": "since"}
    return Told(Line(kind, tuple(words), at), own)
