"""A week's readings on one page: a row of numbers for each day."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from watervane.app.habits import Usual
from watervane.records import Tank
from watervane.web.forms.fields import Field, Told
from watervane.web.forms.readings import basis_field, hint_of, lines, quantities, scale_of
from watervane.wording.dates import weekday_date
from watervane.wording.kit_steps import WITH_BASES, bare_steps, quantity_title

DAYS = 7
_OF_DAY = re.compile(r"(?P<quantity>[a-z0-9]+)-(?P<day>\d{4}-\d{2}-\d{2})")


@dataclass(frozen=True, slots=True)
class DayAsked:
    """One day and what is asked of it."""

    title: str
    fields: tuple[Field, ...]


def week_of_days(today: date, typed: Iterable[str] = ()) -> tuple[date, ...]:
    """The days that are asked: those that were typed for, else the last seven; in order."""
    told = {found["day"] for name in typed if (found := _OF_DAY.fullmatch(name))}
    days = sorted(filter(None, map(_day, told)))[-DAYS:]
    return tuple(days) or tuple(today - timedelta(days=n) for n in reversed(range(DAYS)))


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def week_fields(tank: Tank, usual: Usual, days: Sequence[date]) -> tuple[DayAsked, ...]:
    """A field for each quantity on each day; the steps of a kit are suggested."""
    asked = []
    for place, day in enumerate(days):
        title = weekday_date(day, beside=days[-1])
        row = []
        for quantity in quantities(tank, usual):
            name, unit = f"{quantity}-{day}", ""
            steps: tuple[str, ...] = ()
            found = scale_of(quantity, tank, usual)
            if found is not None and found[1].steps:
                steps, unit = bare_steps(found[1])
            label = quantity_title(quantity)
            one = Field(name, "text", label, unseen=title)
            first = f"{quantity}-{days[0]}"
            if steps:
                one = (
                    replace(one, suggested=steps) if not place else replace(one, suggested_by=first)
                )
            hint = unit or hint_of(quantity)
            row.append(replace(one, hint=hint) if not place else one)
        asked.append(DayAsked(title, tuple(row)))
    return tuple(asked)


def week_bases(tank: Tank, usual: Usual) -> tuple[Field, ...]:
    """As what nitrogen is counted, asked once for all days, where no kit's steps tell it."""
    asked = []
    for quantity in WITH_BASES:
        found = scale_of(quantity, tank, usual)
        if found is None or not found[1].steps:
            asked.append(basis_field(quantity, usual))
    return tuple(asked)


def week_lines(
    typed: Mapping[str, str], tank: Tank, usual: Usual, days: Sequence[date]
) -> list[Told]:
    """One line for each number, the oldest day first."""
    told = []
    for day in days:
        ending = f"-{day}"
        words = {
            name.removesuffix(ending): value
            for name, value in typed.items()
            if name.endswith(ending)
        }
        words |= {name: value for name, value in typed.items() if name.endswith("-basis")}
        told += [
            replace(each, fields={"": f"{each.fields['']}{ending}"})
            for each in lines(words, tank, usual, day)
        ]
    return told
