"""Message templates: TOML files beside this module, one entry a key."""

from __future__ import annotations

import re
import string
import tomllib
from collections.abc import Mapping
from datetime import date, datetime
from functools import cache
from importlib import resources

from watervane.records import Finding, Span
from watervane.wording.amounts import listed, number
from watervane.wording.audience import read_on_page
from watervane.wording.dates import weekday_date
from watervane.wording.in_units import told_in_units

_UNIT_ENDING = re.compile(r"_(?:mg_n_per_l|mg_per_l|us_per_cm|g_per_kg|dkh|dgh|c|l|g|cm)$")
# A moment as records keep it in text: what was kept and read again.
_MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:\d\d)?")
_ABBREVIATIONS = {"ph": "pH", "kh": "KH", "gh": "GH", "co2": "CO2"}
# These speak of a record's fields as words; problems name the keys a keeper has to write.
ABOUT_RECORDS = ("assumed-", "basis-")
FILES = (
    "problems.toml",
    "findings.toml",
    "phrases.toml",
    "limits.toml",
    "today.toml",
    "first_aid.toml",
    "trouble.toml",
    "doses.toml",
    "watch.toml",
    "resettling.toml",
    "quarantine.toml",
    "care.toml",
    "ways.toml",
    "growing.toml",
    "inside.toml",
    "animals.toml",
    "blueprint.toml",
    "blueprint_why.toml",
    "blueprint_steps.toml",
    "sheets.toml",
    "calendar.toml",
    "choices.toml",
    "journal.toml",
    "rounds.toml",
    "exchange.toml",
    "doubts.toml",
    "pages.toml",
    "pages_tank.toml",
    "pages_record.toml",
    "pages_setup.toml",
    "pages_asking.toml",
    "pages_outbox.toml",
    "pages_sharing.toml",
    "pages_blueprint.toml",
    "pages_animals.toml",
    "pages_doses.toml",
)


ON_PAGES = "on_pages.toml"


@cache
def templates() -> Mapping[str, str]:
    """Every message key with its sentence, from all template files.

    An entry is a string, or a table with ``text`` and maybe ``remedy``.
    """
    found: dict[str, str] = {}
    for name in FILES:
        place = resources.files("watervane.wording").joinpath(name)
        if place.is_file():
            found.update(_flat(tomllib.loads(place.read_text(encoding="utf-8"))))
    return found


@cache
def page_templates() -> Mapping[str, str]:
    """The sentences that pages say in place of those of the same key."""
    place = resources.files("watervane.wording").joinpath(ON_PAGES)
    return _flat(tomllib.loads(place.read_text(encoding="utf-8")))


ENDS = ("low", "high")


def finding_text(finding: Finding) -> str:
    """The sentence of a finding, without its line number.

    A key without a template, or a template that asks for an argument the finding
    lacks, still gives readable text: the key's words and the arguments.
    """
    told = {name: _as_range(name, value) for name, value in finding.arguments.items()}
    if finding.severity != "problem":  # those tell again what was typed, as it was typed
        told = {name: _as_moment(value) for name, value in told.items()}
    return phrase(_key_of(finding), **told)


def _key_of(finding: Finding) -> str:
    """Of readings that are none there may be a sentence of its own."""
    unread = f"{finding.key}-unread"
    none = finding.arguments.get("readings") == 0 and unread in templates()
    return unread if none else finding.key


def _as_moment(value: object) -> object:
    """A moment that was kept as text, as one; what else there is stays as it is."""
    if isinstance(value, str) and _MOMENT.fullmatch(value):
        return datetime.fromisoformat(value)
    return value


def _as_range(name: str, value: object) -> object:
    """A range of masses, kept as its two ends, as one; what else there is stays as it is."""
    ends = value if isinstance(value, list | tuple) else [getattr(value, e, None) for e in ENDS]
    if name != "mass_g" or len(ends) != len(ENDS):
        return value
    told = [f"{each:.2g}" for each in ends if isinstance(each, int | float)]
    return " to ".join(dict.fromkeys(told)) if len(told) == len(ENDS) else value


def phrase(key: str, /, **arguments: object) -> str:
    """The sentence of a key with its arguments put in, as its reader knows the things told of."""
    on_page = page_templates().get(key) if read_on_page() else None
    template = on_page or templates().get(key)
    if template is None:
        return _plain(key, arguments)
    say = _say_of_records if key.startswith(ABOUT_RECORDS) else _say
    said = {name: say(value) for name, value in arguments.items()}
    wanted = {field for _, field, _, _ in string.Formatter().parse(template) if field}
    if wanted - said.keys():
        return _plain(key, arguments)
    return told_in_units(template.format_map(said))


def finding_line(finding: Finding) -> str:
    """The sentence of a finding after the line of the file it concerns."""
    text = finding_text(finding)
    column = finding.arguments.get("table_column")
    if column and finding.line is not None:
        return f"line {finding.line}, column '{column}': {text}"
    return text if finding.line is None else f"line {finding.line}: {text}"


def _flat(entries: Mapping[str, object]) -> dict[str, str]:
    flat: dict[str, str] = {}
    for key, entry in entries.items():
        if isinstance(entry, str):
            flat[key] = entry
        elif isinstance(entry, dict):
            flat[key] = " ".join(str(entry[part]) for part in ("text", "remedy") if part in entry)
    return flat


def _say(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return f"{value:,}" if abs(value) >= 10_000 else str(value)
    if isinstance(value, float):
        return number(value, 3) if value != round(value) else number(value, 1)
    if isinstance(value, date):
        return weekday_date(value)
    if isinstance(value, Span):
        low, high = number(value.low, 2), number(value.high, 2)
        return low if low == high else f"{low} to {high}"
    if isinstance(value, (list, tuple)):
        return listed([_say(item) for item in value])
    if isinstance(value, Mapping):  # a reading: its quantity and value
        return " ".join(_ABBREVIATIONS.get(str(part), str(part)) for part in value.values())
    return str(value)


def _say_of_records(value: object) -> str:
    if isinstance(value, (list, tuple)):
        return listed([_word(item) if isinstance(item, str) else _say(item) for item in value])
    if isinstance(value, float):
        return number(value, 2 if value != round(value) else 1)  # a guess has no third digit
    return _say(value)


def _word(name: str) -> str:
    """A record field's name as a word: ``nitrate_mg_n_per_l`` is nitrate."""
    bare = _UNIT_ENDING.sub("", name)
    return _ABBREVIATIONS.get(bare, bare.replace("_", " "))


def _plain(key: str, arguments: Mapping[str, object]) -> str:
    words = key.replace("-", " ").replace("_", " ").strip()
    text = words[:1].upper() + words[1:]
    if arguments:
        told = [f"{name.replace('_', ' ')} {_say(value)}" for name, value in arguments.items()]
        text = f"{text}: {', '.join(told)}"
    return f"{text}."
