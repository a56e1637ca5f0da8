"""A field of a form: what it asks, what was typed, and what is wrong with that."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from watervane.app import Line
from watervane.records import Finding
from watervane.wording import finding_text, phrase

DAY, HOUR, PHOTO = "day", "hour", "photo"
MOMENT_KEYS = ("at", "from")


@dataclass(frozen=True, slots=True)
class Option:
    """One of several answers."""

    value: str
    text: str


@dataclass(frozen=True, slots=True)
class Field:
    """One thing that is asked.

    ``form`` is ``text``, ``long``, ``table`` (rows of cells), ``number``, ``date``, ``time``,
    ``pick`` (all answers seen), ``list`` (behind a button), ``check`` or ``photo``. ``suggested``
    are answers that a text may be filled with, ``suggested_by`` the field whose answers are offered
    here, too. ``unseen`` tells fields of one label apart for who hears them.
    """

    name: str
    form: str
    label: str
    hint: str = ""
    value: str = ""
    options: tuple[Option, ...] = ()
    suggested: tuple[str, ...] = ()
    wrong: tuple[str, ...] = ()
    short: bool = False
    unseen: str = ""
    suggested_by: str = ""


@dataclass(frozen=True, slots=True)
class Told:
    """One line that a form means; ``fields`` leads from a key of the line to the field it is from.

    The field under ``""`` gets what belongs to no key.
    """

    line: Line
    fields: Mapping[str, str] = field(default_factory=dict)

    def field_of(self, finding: Finding) -> str:
        """The name of the field that a problem is about."""
        if finding.key.startswith(PHOTO):
            return PHOTO
        told = finding.arguments
        key = str(told.get("missing") or told.get("field", ""))
        usual = DAY if key in MOMENT_KEYS else self.fields.get("", "")
        return self.fields.get(key, usual)


class BadField(Exception):
    """What was typed into one field says nothing; ``name`` is the field."""

    def __init__(self, name: str, finding: Finding) -> None:
        super().__init__(name)
        self.name = name
        self.finding = finding


def asked(kind: str, name: str, form: str, **more: Any) -> Field:
    """A field with its label, and its hint where the catalogue has one."""
    told = {"label": phrase(f"form-{kind}-{name}"), **more}
    return Field(name, form, **told)


def options(kind: str, name: str, values: Sequence[str]) -> tuple[Option, ...]:
    """Answers with their texts; an empty value is 'I don't know'."""
    return tuple(
        Option(value, phrase(f"form-{kind}-{name}-{value.replace(' ', '-') or 'unknown'}"))
        for value in values
    )


def filled_in(
    fields: Sequence[Field], typed: Mapping[str, str], wrong: Mapping[str, Sequence[Finding]]
) -> tuple[Field, ...]:
    """Fields as they were sent, each with what is wrong with it."""
    return tuple(
        replace(
            each,
            value=typed.get(each.name, ""),
            wrong=tuple(_plainly(finding) for finding in wrong.get(each.name, ())),
        )
        for each in fields
    )


def _plainly(finding: Finding) -> str:
    """What is wrong, without the place in a file that nobody here has seen."""
    text, place = finding_text(finding), f"{finding.arguments.get('name', '')}: "
    if len(place) > 2 and text.startswith(place):
        text = text.removeprefix(place)
        text = f"{text[:1].upper()}{text[1:]}"
    return text
