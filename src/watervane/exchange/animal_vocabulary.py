"""Keys of `[[animal]]`: a keeper's own row of the catalogue, and the columns behind them."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from watervane.exchange.forms import Context, Flag, Key, ListOf, Number, Quantity, Table, Text
from watervane.exchange.numbers import number_text
from watervane.exchange.problems import refuse, shown
from watervane.records import Span
from watervane.reference.catalogue_words import NUMBERS, ONE_WORD, RANGES, SEVERAL_WORDS
from watervane.units import (
    parse_hardness_dgh,
    parse_hardness_dkh,
    parse_length_cm,
    parse_temperature_c,
)

_FIGURE = r"[0-9]+(?:[.,][0-9]+)?"
_RANGE = re.compile(rf"\s*({_FIGURE})\s*(?:\.\.|to|-|\u2013)\s*({_FIGURE})\s*([^0-9]*)")


@dataclass(frozen=True)
class Between:
    """Both ends of a range with their unit, ``"22..26 degC"``."""

    parse: Callable[[object], float]
    unit: str  # none of a pH
    example: str

    def read(self, value: Any, context: Context) -> Span:  # noqa: ARG002
        found = _RANGE.fullmatch(value) if isinstance(value, str) else None
        if found is None:
            refuse("not-between", value=shown(value), example=self.example)
        low, high = (_short(self.parse(f"{found[end]} {found[3]}".strip())) for end in (1, 2))
        if low > high:
            refuse("range-reversed", low=f"{low:g}", high=f"{high:g}")
        return Span(low, high)

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "pattern": f"^{_RANGE.pattern}$", "examples": [self.example]}

    def write(self, value: Any) -> Any:
        text = f"{number_text(value.low)}..{number_text(value.high)} {self.unit}"
        return text.strip()


def _short(number: float) -> float:
    """Without the dust that a change of unit leaves."""
    return float(f"{number:.9g}")


def _acidity(text: object) -> float:
    try:
        return float(str(text).replace(",", "."))
    except ValueError:
        refuse("not-between", value=shown(text), example="6.5..7.5")


def _share(text: object) -> float:
    percent = str(text).removesuffix("%").strip()
    try:
        number = float(percent.replace(",", "."))
    except ValueError:
        refuse("not-between", value=shown(text), example="35..45 %")
    return number / 100.0 if percent != str(text) else number


@dataclass(frozen=True)
class Shares(Between):
    """A range of shares, written in per cent."""

    def write(self, value: Any) -> Any:
        low, high = (number_text(round(100.0 * end, 9)) for end in (value.low, value.high))
        return f"{low}..{high} %"


_WORD = Text(longest=60)
_NAMES = ListOf(_WORD, least=1)


def _one(column: str) -> Text:
    return Text(ONE_WORD[column])


def _several(column: str) -> ListOf:
    return ListOf(Text(SEVERAL_WORDS[column]), least=1)


def _number(column: str, *, whole: bool = False) -> Number:
    return Number(*NUMBERS[column], whole=whole)


ANIMAL = Table(
    "[[animal]]",
    (
        Key("name", _WORD, "scientific or common name", required=True),
        Key("common_names", _NAMES, "other names that you write in the log"),
        Key("family", _WORD, "family"),
        Key("kind", _one("kind"), "what it is; needed of a new animal"),
        Key("form", _one("form"), "its shape, by which length tells mass; needed of a new animal"),
        Key("adult_length", Between(parse_length_cm, "cm", "4..5 cm"), "full-grown, from and to"),
        Key("usual_length", Quantity(parse_length_cm, "cm", "4.5 cm", positive=True), "full-grown"),
        Key("group_min", _number("group_min", whole=True), "least number kept together"),
        Key("temperature", Between(parse_temperature_c, "degC", "22..26 degC"), "well for years"),
        Key("ph", Between(_acidity, "", "6.5..7.5"), "well for years"),
        Key("gh", Between(parse_hardness_dgh, "dGH", "4..12 dGH"), "well for years"),
        Key("kh", Between(parse_hardness_dkh, "dKH", "2..8 dKH"), "well for years"),
        Key("zone", _several("zone"), "where it swims"),
        Key("activity", _one("activity"), "how it moves"),
        Key("tank_length", Quantity(parse_length_cm, "cm", "60 cm", positive=True), "at least"),
        Key("territory", _one("territory"), "whom it drives off"),
        Key("territory_cm2", _number("territory_cm2"), "floor it defends, in square centimetres"),
        Key("diet", _one("diet"), "what it eats"),
        Key("protein", Shares(_share, "%", "35..45 %"), "share of dry food"),
        Key("prey_share", _number("prey_share"), "longest prey by its own length"),
        Key("jumps", Flag(), "whether it leaves an open tank"),
        Key("eats_plants", _one("eats_plants"), "whether it eats plants"),
        Key("nips_fins", Flag(), "whether it nips the fins of others"),
        Key("easily_nipped", Flag(), "whether it is harmed by those that nip"),
        Key("ammonia_group", _one("ammonia_group"), "how much ammonia it bears"),
        Key("nitrite_group", _one("nitrite_group"), "how much nitrite it bears"),
        Key("salt_group", _one("salt_group"), "how much salt it bears"),
        Key("brackish", _one("brackish"), "whether it bears or needs brackish water"),
        Key("breeds", _one("breeds"), "whether young come"),
        Key("welfare", _several("welfare"), "what it asks for"),
        Key("legal", _several("legal"), "what the law may ask for"),
        Key("note", Text(longest=500, many_lines=True), "anything else"),
    ),
)
# Keys whose value stands in other columns than one of the key's name.
COLUMNS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "adult_length": ("adult_low_cm", "adult_high_cm"),
        "usual_length": ("adult_cm",),
        "tank_length": ("tank_length_cm",),
        **{
            ends[0].partition("_")[0]: ends
            for ends in RANGES
            if len(ends) == 2 and not ends[0].startswith("widest_")
        },
    }
)


def columns_of(key: str) -> tuple[str, ...]:
    """The columns of the catalogue that a key tells."""
    return COLUMNS.get(key, (key,))


def key_of(column: str) -> str:
    """The key that tells a column."""
    if column == "scientific_name":
        return "name"
    return next((key for key, columns in COLUMNS.items() if column in columns), column)
