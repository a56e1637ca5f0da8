"""How one value of a tank file is read, described in the schema and written back."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, time
from typing import Any, Protocol
from zoneinfo import ZoneInfo

from watervane.exchange.moments import Moment, read_clock, read_day, read_moment, read_zone
from watervane.exchange.numbers import grams_text, level_text, number_text
from watervane.exchange.problems import Refusal, nearest, refuse, shown
from watervane.records import Span
from watervane.units import UnitError, parse_food, parse_reading

# A number at the start, maybe after a comparator; products and powers never.
QUANTITY_PATTERN = (
    r"^\s*(?:>=?|<=?|[\u2264\u2265~\u2248]|[Aa]bout |[Cc]a\.? )?\s*"
    r"[+\-\u2212]?[0-9.,\u00bd\u00bc\u00be][^*]*$"
)
FOOD_PATTERN = r"^\s*(?:[Aa]n? |[Oo]ne |~|[Aa]bout )?\s*[0-9.,\u00bd\u00bc\u00be]?[^*]*$"
MOST_DIGITS = 10**18
_DAY_PATTERN = r"[0-9]{4}-[0-9]{2}-[0-9]{2}"
_CLOCK_PATTERN = r"[0-9]{2}:[0-9]{2}:[0-9]{2}(?:\.[0-9]+)?"
_OFFSET_PATTERN = r"(?:[Zz]|[+-][0-9]{2}:[0-9]{2})?"


@dataclass(frozen=True)
class Context:
    """What leaf values need to know about the rest of the file."""

    zone: ZoneInfo
    amounts: Mapping[str, Span] = field(default_factory=dict)


class Form(Protocol):
    """One kind of leaf value."""

    def read(self, value: Any, context: Context) -> Any:
        """The value as records hold it; raises `Refusal` or `UnitError`."""

    def schema(self) -> dict[str, Any]:
        """JSON Schema of the value, TOML dates being strings."""

    def write(self, value: Any) -> Any:
        """The value as TOML holds it."""


def attempt(form: Form, value: object, context: Context) -> Any:
    """Read a value, every refusal in one shape."""
    if isinstance(value, int) and abs(value) > MOST_DIGITS:
        refuse("number-huge")
    try:
        return form.read(value, context)
    except UnitError as error:
        raise Refusal(error.key, **error.arguments) from error


@dataclass(frozen=True)
class Text:
    """A line of text, or one of a few words."""

    choices: tuple[str, ...] = ()
    longest: int = 200
    many_lines: bool = False
    example: str = "text"

    def read(self, value: Any, context: Context) -> str:  # noqa: ARG002
        if not isinstance(value, str):
            refuse("not-text", value=shown(value), example=self.example)
        if self.choices:
            return self._chosen(value)
        if len(value) > self.longest:
            refuse("text-too-long", longest=self.longest)
        allowed = value.replace("\n", "").replace("\t", "") if self.many_lines else value
        if not allowed.isprintable():
            refuse("not-printable", value=shown(value))
        return value

    def _chosen(self, value: str) -> str:
        plain = " ".join(value.lower().replace("-", " ").replace("_", " ").split())
        if value in self.choices:
            return value
        if plain in self.choices:
            return plain
        near = nearest(value, self.choices)
        if near is not None:
            refuse("not-choice-near", value=shown(value), near=near, choices=self.choices)
        raise Refusal("not-choice", value=shown(value), choices=self.choices)

    def schema(self) -> dict[str, Any]:
        if self.choices:
            return {"type": "string", "enum": list(self.choices)}
        return {"type": "string", "maxLength": self.longest}

    def write(self, value: Any) -> Any:
        return value


class Zone:
    """A name of the time-zone table."""

    def read(self, value: Any, context: Context) -> str:  # noqa: ARG002
        return read_zone(value)

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "minLength": 1, "pattern": r"^[A-Za-z0-9_+\-/]+$"}

    def write(self, value: Any) -> Any:
        return value


class Flag:
    """Yes or no."""

    def read(self, value: Any, context: Context) -> bool:  # noqa: ARG002
        if not isinstance(value, bool):
            refuse("not-flag", value=shown(value))
        return value

    def schema(self) -> dict[str, Any]:
        return {"type": "boolean"}

    def write(self, value: Any) -> Any:
        return value


@dataclass(frozen=True)
class Number:
    """A plain number between bounds; with ``open_low`` the lower bound is left out."""

    low: float
    high: float
    open_low: bool = False
    whole: bool = False

    def read(self, value: Any, context: Context) -> float:  # noqa: ARG002
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            refuse("not-number", value=shown(value))
        if self.whole and not isinstance(value, int):
            refuse("not-whole", value=shown(value))
        # comparisons are false for nan, and exact for integers of any size
        above = value > self.low if self.open_low else value >= self.low
        if not (above and value <= self.high):
            key = "number-out-open" if self.open_low else "number-out"
            refuse(key, value=shown(value), low=f"{self.low:g}", high=f"{self.high:g}")
        return value if self.whole else float(value)

    def schema(self) -> dict[str, Any]:
        kind = "integer" if self.whole else "number"
        lower = "exclusiveMinimum" if self.open_low else "minimum"
        return {"type": kind, lower: self.low, "maximum": self.high}

    def write(self, value: Any) -> Any:
        return value


@dataclass(frozen=True)
class Quantity:
    """A number with its unit, in quotes."""

    parse: Callable[[object], float]
    unit: str  # canonical, as the grammar reads it
    example: str
    positive: bool = False

    def read(self, value: Any, context: Context) -> float:  # noqa: ARG002
        number = self.parse(value)
        if self.positive and number <= 0.0:
            refuse("not-positive", value=shown(value), example=self.example)
        return number

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "pattern": QUANTITY_PATTERN, "examples": [self.example]}

    def write(self, value: Any) -> Any:
        return f"{number_text(value)} {self.unit}"


@dataclass(frozen=True)
class Level:
    """One best value of a water quantity: a concentration, a hardness or a pH."""

    quantity: str
    example: str

    def read(self, value: Any, context: Context) -> float:  # noqa: ARG002
        found = parse_reading(value, self.quantity)
        if found.low is None or found.high is None or found.low != found.high:
            raise UnitError(
                "unit.one-number",
                f"'{shown(value)}' is not one number.",
                read=shown(value),
                example=self.example,
            )
        return found.low

    def schema(self) -> dict[str, Any]:
        text = {"type": "string", "pattern": QUANTITY_PATTERN, "examples": [self.example]}
        if self.quantity == "ph":
            return {"anyOf": [{"type": "number", "minimum": 0, "maximum": 14}, text]}
        return {"anyOf": [text, {"const": 0}]}

    def write(self, value: Any) -> Any:
        text = level_text(value, self.quantity)
        return float(text) if self.quantity == "ph" else text


@dataclass(frozen=True)
class FoodAmount:
    """An amount of food and the words it was told in."""

    mass_g: Span
    raw: str


@dataclass(frozen=True)
class Food:
    """Pinches, pellets, wafers or a mass; ``weighed`` takes a mass only."""

    weighed: bool = False

    def read(self, value: Any, context: Context) -> FoodAmount:
        amounts = {} if self.weighed else context.amounts
        return FoodAmount(parse_food(value, amounts), str(value))

    def schema(self) -> dict[str, Any]:
        pattern = QUANTITY_PATTERN if self.weighed else FOOD_PATTERN
        example = "0.03 g" if self.weighed else "1 pinch"
        return {"type": "string", "minLength": 1, "pattern": pattern, "examples": [example]}

    def write(self, value: Any) -> Any:
        return value if isinstance(value, str) else grams_text(value)


@dataclass(frozen=True)
class NumberRange:
    """A number between bounds, or ``[low, high]`` where it is known to a range only."""

    one: Number

    def read(self, value: Any, context: Context) -> Span:
        if not isinstance(value, list):
            return Span.exact(self.one.read(value, context))
        if len(value) != 2:
            refuse("not-two-numbers", value=shown(value))
        low, high = (self.one.read(bound, context) for bound in value)
        if low > high:
            refuse("range-reversed", low=f"{low:g}", high=f"{high:g}")
        return Span(low, high)

    def schema(self) -> dict[str, Any]:
        one = self.one.schema()
        return {"anyOf": [one, {"type": "array", "items": one, "minItems": 2, "maxItems": 2}]}

    def write(self, value: Any) -> Any:
        return value.low if value.low == value.high else [value.low, value.high]


class Day:
    """A date."""

    def read(self, value: Any, context: Context) -> date:  # noqa: ARG002
        return read_day(value)

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "format": "date", "pattern": f"^{_DAY_PATTERN}$"}

    def write(self, value: Any) -> Any:
        return value


class When:
    """A date, a date-time, or for a habit a clock time."""

    def read(self, value: Any, context: Context) -> Moment | time:
        if isinstance(value, time):
            return read_clock(value)
        return read_moment(value, context.zone)

    def schema(self) -> dict[str, Any]:
        moment = f"{_DAY_PATTERN}(?:[Tt ]{_CLOCK_PATTERN}{_OFFSET_PATTERN})?"
        return {"type": "string", "pattern": f"^(?:{moment}|{_CLOCK_PATTERN})$"}

    def write(self, value: Any) -> Any:
        return value


class Raw:
    """A reading's value, read once its quantity is known; or a kit's printed step."""

    def read(self, value: Any, context: Context) -> Any:  # noqa: ARG002
        return value

    def schema(self) -> dict[str, Any]:
        text = {"type": "string", "pattern": QUANTITY_PATTERN, "examples": ["0.7 mg/L as N"]}
        return {"anyOf": [text, {"type": "number", "minimum": 0}]}

    def write(self, value: Any) -> Any:
        return value


@dataclass(frozen=True)
class Told(Raw):
    """A reading's value: a number with its unit, or one of a few words instead of a number."""

    words: tuple[str, ...]

    def schema(self) -> dict[str, Any]:
        return {"anyOf": [*super().schema()["anyOf"], {"enum": list(self.words)}]}


@dataclass(frozen=True)
class Key:
    """One key of a table; ``field`` is the record's field where it is named otherwise."""

    name: str
    form: Form | Table | ListOf
    about: str = ""
    field: str = ""
    required: bool = False

    @property
    def target(self) -> str:
        """Name of the record's field."""
        return self.field or self.name


@dataclass(frozen=True)
class Table:
    """A table of known keys."""

    name: str  # as said in messages
    keys: tuple[Key, ...]
    least: int = 0  # keys told

    def key(self, name: str) -> Key | None:
        """The key of that name, if the table has one."""
        return next((k for k in self.keys if k.name == name), None)

    @property
    def names(self) -> tuple[str, ...]:
        """Names of all keys."""
        return tuple(k.name for k in self.keys)


@dataclass(frozen=True)
class ListOf:
    """A list whose elements are alike."""

    element: Form | Table
    least: int = 0
