"""What a column of a stranger's table means: told by the keeper, or guessed from its header."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from watervane.exchange.entry_words import entry_kind
from watervane.exchange.foreign_dates import ORDERS
from watervane.exchange.meant import meant_word
from watervane.exchange.problems import Refusal, TankFileErrors, nearest, refuse, shown
from watervane.records import QUANTITY_UNITS
from watervane.units import UnitError, parse_reading

DATE, TIME, NOTE, NOTHING = "date", "time", "note", "nothing"
LONG = ("quantity", "value", "unit")  # columns of a table with one reading a row
# Kinds of events one cell can tell, and the keys of which the cell is the value.
CELL_KINDS = ("feed", "water-change", "top-off", "note", "media-moved", "clean", "treatment")
PLAIN = (DATE, TIME, NOTE, NOTHING, "kit", *LONG)
EXAMPLES = ("date day-first", "ammonia in mg/L", "water-change in %", "note", "nothing")
UNITLESS = ("ph", "water")
_HEADERS = {
    DATE: (
        "date",
        "datum",
        "fecha",
        "data",
        "day",
        "datetime",
        "date time",
        "timestamp",
        "when",
        "at",
    ),
    TIME: ("time", "clock", "hour", "uhrzeit", "zeit", "hora", "heure", "ora"),
    NOTE: ("note", "notes", "comment", "comments", "remark", "remarks", "bemerkung", "notas"),
    "feed": ("food", "fed", "feeding", "feed"),
    "water-change": ("water change", "water changed", "waterchange", "change", "wasserwechsel"),
    "top-off": ("top off", "topoff", "topped off", "evaporation"),
    "quantity": ("quantity", "parameter", "test", "measurement", "what"),
    "value": ("value", "result", "reading", "wert"),
    "unit": ("unit", "units", "einheit"),
    "kit": ("kit", "test kit", "method"),
}
_QUANTITY_WORDS = {"temp": "temperature", "temperatur": "temperature", "alkalinity": "kh"}
_QUANTITY_WORDS |= {"carbonate hardness": "kh", "general hardness": "gh", "carbon dioxide": "co2"}
_IN_BRACKETS = re.compile(r"^(?P<name>.*?)\s*[\(\[](?P<unit>[^\)\]]*)[\)\]]\s*$")
_UNIT_BEHIND = re.compile(
    r"^(?P<name>.+?)[\s,_]+(?P<unit>mg/?l|ppm|ppb|\N{MICRO SIGN}?u?g/l|"
    r"[\N{DEGREE SIGN}\N{MASCULINE ORDINAL INDICATOR}]?(?:c|f|dh|dkh|dgh)|degc|degf|%|l|us/cm)$",
    re.IGNORECASE,
)
_AS_N = re.compile(r"^(?:no2|no3|nh3|nh4)\s*-?\s*n$", re.IGNORECASE)
_UNITS = {"c": "degC", "f": "degF", "mg/l": "mg/L", "mgl": "mg/L", "\N{DEGREE SIGN}dh": "deg"}
_UNITS |= {"\N{DEGREE SIGN}c": "degC", "\N{DEGREE SIGN}f": "degF", "dh": "deg", "ug/l": "ug/L"}
_UNITS |= {"\N{MICRO SIGN}g/l": "ug/L", "us/cm": "uS/cm", "l": "L", "liter": "L", "litres": "L"}
_UNITS |= {"\N{DEGREE SIGN}dkh": "dKH", "dkh": "dKH", "dgh": "dGH", "\N{MICRO SIGN}s/cm": "uS/cm"}


@dataclass(frozen=True, slots=True)
class Meaning:
    """What the cells of a column are; ``what`` is a quantity, a kind of event or a plain word."""

    what: str
    unit: str = ""
    order: str = ""
    more: tuple[str, ...] = ()  # KEY=VALUE for each entry, such as kit=drop
    told: bool = True

    @property
    def words(self) -> str:
        """The words that tell it."""
        unit = f"in {self.unit}" if self.unit else ""
        return " ".join(filter(None, (self.what, self.order, unit, *self.more)))


def told_meaning(text: str) -> Meaning:
    """A meaning in the keeper's words: ``ammonia in mg/L as N kit=drop``, ``date day-first``.

    Refuses words that mean nothing here.
    """
    words = text.split()
    more = tuple(word for word in words if "=" in word)
    plain = [word for word in words if "=" not in word]
    if not plain:
        refuse("table-meaning", value=shown(text), known=EXAMPLES)
    head, *rest = plain
    if rest[:1] == ["in"]:
        rest = rest[1:]
    what = _what(head, text)
    if what == DATE:
        order = "-".join(rest).lower()
        if order and order not in ORDERS:
            refuse("table-order", value=shown(order), known=ORDERS)
        return Meaning(DATE, order=order, more=more)
    return Meaning(what, unit=_unit(" ".join(rest), what), more=more)


def _what(word: str, text: str) -> str:
    plain = word.lower().replace("_", "-")
    plain = {"at": DATE, "ignore": NOTHING, "moment": DATE}.get(plain, plain)
    if plain in PLAIN or plain in QUANTITY_UNITS or plain in CELL_KINDS:
        return plain
    quantity = meant_word(plain, QUANTITY_UNITS) or _QUANTITY_WORDS.get(plain)
    if quantity:
        return quantity
    try:
        kind = entry_kind(plain)
    except TankFileErrors:
        kind = ""
    if kind in CELL_KINDS:
        return kind
    near = nearest(plain, (*PLAIN, *QUANTITY_UNITS, *CELL_KINDS))
    if near:
        refuse("table-meaning-near", value=shown(text), near=near)
    return refuse("table-meaning", value=shown(text), known=EXAMPLES)


def _unit(text: str, what: str) -> str:
    unit = _UNITS.get(text.strip().lower(), text.strip())
    if unit == "deg":
        unit = {"kh": "dKH", "gh": "dGH"}.get(what, "degC")
    if unit and what in QUANTITY_UNITS:
        try:
            parse_reading(f"1 {unit}", what)
        except UnitError as error:
            refuse(error.key, name=f"the unit of {what}", **error.arguments)
    return unit


def guessed_meaning(header: str) -> Meaning | None:
    """What a header seems to say; ``None`` where it says nothing known."""
    name, unit = header.strip(), ""
    for pattern in (_IN_BRACKETS, _UNIT_BEHIND):
        match = pattern.match(name)
        if match:
            name, unit = match["name"].strip(), match["unit"].strip()
            break
    plain = re.sub(r"[\s_/\-.:]+", " ", name.lower()).strip()
    for what, headers in _HEADERS.items():
        if plain in headers:
            return _with_unit(Meaning(what, told=False), unit)
    quantity = plain if plain in QUANTITY_UNITS else meant_word(name, QUANTITY_UNITS)
    quantity = quantity or _QUANTITY_WORDS.get(plain)
    if quantity is None:
        return None
    if _AS_N.match(name) and unit and " as " not in unit:
        unit = f"{_UNITS.get(unit.lower(), unit)} as N"
    return _with_unit(Meaning(quantity, told=False), unit)


def _with_unit(meaning: Meaning, unit: str) -> Meaning | None:
    if not unit or meaning.what in (DATE, TIME, NOTE, *LONG, "kit"):
        return meaning
    try:
        return replace(meaning, unit=_unit(unit, meaning.what))
    except Refusal:  # the brackets held something else than a unit
        return meaning


def told_columns(headers: Sequence[str], columns: Sequence[str]) -> dict[int, Meaning]:
    """Meanings by column of what was told as ``HEADER=MEANING``; refuses what fits no header."""
    found: dict[int, Meaning] = {}
    for column in columns:
        fits = [
            (len(header), index)
            for index, header in enumerate(headers)
            if column.lower().startswith(f"{header.strip().lower()}=") and header.strip()
        ]
        if not fits:
            header = column.partition("=")[0]
            refuse("table-no-header", value=shown(header), known=tuple(headers))
        index = max(fits)[1]
        found[index] = told_meaning(column[len(headers[index].strip()) + 1 :])
    return found
