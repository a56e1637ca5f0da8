"""The forms of a dose and of a bare tank: their fields, and the words that were typed."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from watervane.records import Finding
from watervane.web.forms.fields import Field, Option, asked, filled_in
from watervane.wording import phrase
from watervane.wording.in_units import asked_unit

DOSE, QUARANTINE = "doses", "quarantine"
KINDS = ("conditioner", "salt", "buffer", "mineral", "fertiliser", "treatment")
MEDIA = ("sponge", "foam", "ceramic", "floss", "carrier")
LONGEST, MOST_LINES = 400, 12
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
# What a bare number means: the quantity, which a reader's own units may change, and the usual unit.
UNITS: Mapping[str, tuple[str, str]] = {
    "volume": ("volume", "L"),
    "bath": ("volume", "L"),
    "seeded": ("volume", "L"),
    "temperature": ("temperature", "degC"),
    "kh": ("kh", "dKH"),
    "every": ("time", "d"),
    "half-life": ("time", "h"),
    "ammonia": ("ammonia", "mg/L as N"),
    "chloramine": ("chloramine", "mg/L"),
    "food": ("share", "%"),
    "change": ("share", "%"),
    "changed": ("share", "%"),
}
SURE = "sure"
ASKED = ("dose-well-over", "dose-much-water")  # what it answers
SEVERAL = ("animals", "changed")  # told line by line


@dataclass(frozen=True, slots=True)
class WorkedForm:
    """A form: what is always asked, and what may be told besides."""

    fields: tuple[Field, ...]
    more: tuple[Field, ...]
    sure: Field | None = None

    @property
    def all_fields(self) -> tuple[Field, ...]:
        """All of it, in its order."""
        return (*self.fields, *self.more)

    @property
    def more_open(self) -> bool:
        """Whether anything stands in what may be told besides, or is wrong there."""
        return any(each.value or each.wrong for each in self.more)


def dose_form(
    tanks: Sequence[tuple[str, str]],
    typed: Mapping[str, str],
    wrong: Mapping[str, Sequence[Finding]],
) -> WorkedForm:
    """The form of a dose; ``tanks`` are keys and names to take water and animals of."""
    tank = (Option("", phrase("form-doses-tank-none")), *(Option(*each) for each in tanks))
    volume = _text(DOSE, "volume", short=True)
    first = (
        _text(DOSE, "substance", suggested=KINDS),
        _text(DOSE, "label"),
        *((asked(DOSE, "tank", "list", options=tank),) if tanks else ()),
        volume if tanks else replace(volume, hint=phrase("form-doses-volume-hint-bare")),
    )
    more = (
        _text(DOSE, "bath", short=True),
        asked(DOSE, "animals", "long", hint=phrase("form-doses-animals-hint")),
        _text(DOSE, "changed"),
        *(_text(DOSE, name, short=True) for name in ("times", "every", "change", "half-life")),
        _text(DOSE, "most"),
        *(_text(DOSE, n, short=True) for n in ("ph", "kh", "ammonia", "temperature")),
        _text(DOSE, "chloramine", short=True),
    )
    sure = None
    asked_of = any(each.key in ASKED for several in wrong.values() for each in several)
    if asked_of or typed.get(SURE):
        (sure,) = filled_in((asked(DOSE, SURE, "check"),), typed, {})
    return WorkedForm(filled_in(first, typed, wrong), filled_in(more, typed, wrong), sure)


def quarantine_form(typed: Mapping[str, str], wrong: Mapping[str, Sequence[Finding]]) -> WorkedForm:
    """The form of a bare tank."""
    first = (
        _text(QUARANTINE, "volume", short=True),
        asked(QUARANTINE, "animals", "long", hint=phrase("form-quarantine-animals-hint")),
        _text(QUARANTINE, "temperature", short=True),
        _text(QUARANTINE, "seeded", short=True),
        asked(QUARANTINE, "treated", "check"),
    )
    more = (
        _text(QUARANTINE, "medium", suggested=MEDIA),
        _text(QUARANTINE, "food", short=True),
        _text(QUARANTINE, "ph", short=True),
    )
    return WorkedForm(filled_in(first, typed, wrong), filled_in(more, typed, wrong))


def words_typed(typed: Mapping[str, str]) -> dict[str, str | tuple[str, ...]]:
    """What was typed, as the command of the same name takes it."""
    words: dict[str, str | tuple[str, ...]] = {}
    for name, text in typed.items():
        told = text.strip()[: LONGEST * MOST_LINES]
        if not told:
            continue
        if name in SEVERAL:
            parts = re.split(r"\n|;", told) if name == "animals" else re.split(r"[\n;,]", told)
            lines = tuple(_with_unit(name, each) for each in parts[:MOST_LINES] if each.strip())
            words[name] = lines
        else:
            words[name] = _with_unit(name, told[:LONGEST])
    return words


def wrong_by_field(problems: Sequence[Finding], names: Sequence[str]) -> dict[str, list[Finding]]:
    """Problems by the field each is about; what belongs to none stands under ``""``."""
    found: dict[str, list[Finding]] = {}
    for each in problems:
        name = str(each.arguments.get("field", ""))
        found.setdefault(name if name in names else "", []).append(each)
    return found


def _text(kind: str, name: str, *, short: bool = False, suggested: Sequence[str] = ()) -> Field:
    hint = phrase(f"form-{kind}-{name}-hint")
    return asked(kind, name, "text", hint=hint, short=short, suggested=tuple(suggested))


def _with_unit(name: str, text: str) -> str:
    """A bare number with the unit it means; anything else as it was typed."""
    told = text.strip()
    if name in UNITS and _NUMBER.fullmatch(told):
        quantity, usual = UNITS[name]
        return f"{told.replace(',', '.')} {asked_unit(quantity, usual)}"
    return told
