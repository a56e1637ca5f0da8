"""A table of readings that a new tank begins with: its text, and what its columns mean."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import replace

from watervane.app.exchange_ports import TableWords
from watervane.records import QUANTITY_UNITS, Finding, TableRead
from watervane.web.forms.fields import Field, Option, asked, options
from watervane.wording import phrase
from watervane.wording.kit_steps import quantity_title

KIND, TEXT, FILE, SEEN, GOOD = "table", "table", "table-file", "table-seen", "table-good"
LONGEST = 600_000  # characters that travel with the page; about ten years of daily rows
MOST_COLUMNS = 40  # that are asked about on a page
DATE, NOTHING = "date", "nothing"
ORDERS = ("", "day-first", "month-first", "iso")
DECIMALS = ("", "point", "comma")
DONE = ("feed", "water-change", "top-off", "media-moved", "clean", "treatment")
LONG = ("quantity", "value", "unit", "kit")
MEANINGS = (DATE, "time", *QUANTITY_UNITS, *DONE, "note", *LONG, NOTHING)
UNITLESS = (DATE, "time", "ph", "note", NOTHING, *LONG)
# What is wrong with the table as a whole: the field that puts it right.
_ANSWERED = {"table-dates-ambiguous": "table-dates", "table-decimal-ambiguous": "table-decimal"}


def told_fields(text: str) -> tuple[Field, ...]:
    """The file, or its text."""
    hints = {name: phrase(f"form-table-{name}-hint") for name in ("file", "text")}
    typed = Field(TEXT, "table", phrase("form-table-text"), hints["text"], text)
    return (Field(FILE, "file", phrase("form-table-file"), hints["file"]), typed)


def words(typed: Mapping[str, str]) -> TableWords:
    """What was told of the columns and cells; columns left alone are guessed."""
    columns = []
    for index in range(MOST_COLUMNS):
        header = typed.get(f"header-{index}", "")
        means = typed.get(f"means-{index}", "")
        unit = typed.get(f"unit-{index}", "").strip()
        if header and means in MEANINGS:
            of_unit = f" in {unit}" if unit and means not in UNITLESS else ""
            columns.append(f"{header}={means}{of_unit}")
    dates, decimal = typed.get("table-dates", ""), typed.get("table-decimal", "")
    return TableWords(
        tuple(columns),
        dates if dates in ORDERS[1:] else None,
        decimal if decimal in DECIMALS[1:] else None,
    )


def digest(text: str, told: TableWords) -> str:
    """What tells a table and its meanings from others: that they were seen as they now are."""
    return hashlib.sha256(f"{told}\n{text}".encode()).hexdigest()[:16]


def column_fields(read: TableRead, typed: Mapping[str, str]) -> list[tuple[str, Field, Field]]:
    """Each header with what its column means and the unit of its cells."""
    known = {column.header: column.meaning for column in read.columns}
    unclear = (f.arguments.get("header") for f in read.bad if f.key == "table-unknown-column")
    headers = list(dict.fromkeys([*known, *(str(each) for each in unclear if each)]))
    found = []
    for index, header in enumerate(headers[:MOST_COLUMNS]):
        what, unit = _parted(known.get(header, ""))
        if typed.get(f"header-{index}") == header:
            unit = typed.get(f"unit-{index}", "").strip() or unit
        label = phrase("form-table-means", header=header)
        choices = (Option("", phrase("form-table-choose")), *_meanings())
        means = Field(f"means-{index}", "list", label, value=what, options=choices)
        in_unit = phrase("form-table-unit")
        asked_of = Field(f"unit-{index}", "text", in_unit, value=unit, short=True, unseen=header)
        found.append((header, means, asked_of))
    return found


def cell_fields(typed: Mapping[str, str]) -> tuple[Field, ...]:
    """How dates and decimals are written, where the cells leave that open."""
    given = {name: typed.get(f"table-{name}", "") for name in ("dates", "decimal")}
    answers = {"dates": options(KIND, "dates", ORDERS),
               "decimal": options(KIND, "decimal", DECIMALS)}  # fmt: skip
    return tuple(
        replace(
            asked(KIND, name, "pick", value=given[name], options=answers[name]),
            name=f"table-{name}",
        )
        for name in given
    )


def as_sent(columns: Sequence[tuple[str, Field, Field]], cells: Sequence[Field]) -> dict[str, str]:
    """What a form with these fields sends, as it stands."""
    sent = {each.name: each.value for each in cells}
    for index, (header, means, unit) in enumerate(columns):
        sent |= {f"header-{index}": header, means.name: means.value, unit.name: unit.value}
    return sent


def with_wrongs(
    columns: Sequence[tuple[str, Field, Field]], cells: Sequence[Field], bad: Sequence[Finding]
) -> tuple[list[tuple[str, Field, Field]], tuple[Field, ...], tuple[Finding, ...]]:
    """The fields with what is wrong at each, and what is wrong with single rows."""
    at: dict[str, list[str]] = {}
    places = {header: means.name for header, means, _ in columns}
    units = {header: unit.name for header, _, unit in columns}
    left = []
    for finding in bad:
        header = str(finding.arguments.get("table_column", ""))
        place = _ANSWERED.get(finding.key)
        if finding.key.startswith("table-unit-none"):
            place = units.get(header)
        elif finding.key == "table-unknown-column":
            place = places.get(header)
        if place is None:
            left.append(finding)
        else:
            at.setdefault(place, []).append(_said(finding))
    marked = [
        (
            header,
            replace(means, wrong=tuple(at.get(means.name, ()))),
            replace(unit, wrong=tuple(at.get(unit.name, ()))),
        )
        for header, means, unit in columns
    ]
    told = tuple(replace(each, wrong=tuple(at.get(each.name, ()))) for each in cells)
    return marked, told, tuple(map(_here, left))


def _here(finding: Finding) -> Finding:
    """With the remedy that a page has, where it is another than that of a command."""
    if finding.key in ("table-date-none", "table-dates-many", "table-nothing-meant",
                       "table-half-long", "table-number"):  # fmt: skip
        return replace(finding, key=f"page-{finding.key}")
    return finding


def _said(finding: Finding) -> str:
    given = {name: value for name, value in finding.arguments.items() if name != "table_column"}
    return phrase(f"form-{finding.key.removesuffix('-basis')}", **given)


def _parted(meaning: str) -> tuple[str, str]:
    """``ammonia in mg/L kit=drop`` as what it is, and its unit."""
    plain = " ".join(word for word in meaning.split() if "=" not in word)
    what, _, unit = plain.partition(" in ")
    return what.split(" ")[0], unit


def _meanings() -> tuple[Option, ...]:
    return tuple(
        Option(
            each,
            quantity_title(each) if each in QUANTITY_UNITS else phrase(f"form-table-means-{each}"),
        )
        for each in MEANINGS
    )
