"""The closed grammar: comparator, number or range, unit text. Never an expression evaluator.

quantity   = [comparator] number [(".." | "-" | "to") number] [unit]
comparator = ">" | "<" | ">=" | "<=" | "~" | "about"
number     = [sign] (decimal | fraction | whole fraction)
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass

from watervane.units.errors import UnitError, shown

MAX_LENGTH = 64

_DECIMAL = r"(?:[0-9]{1,12}(?:[.,][0-9]{1,20})?|[.,][0-9]{1,20})(?:[eE][+-]?[0-9]{1,2}(?![0-9]))?"
_FRACTION = r"(?:[0-9]{1,3} )?[0-9]{1,3}/[0-9]{1,3}(?![0-9])"
_NUMBER = rf"[+-]?(?:{_FRACTION}|{_DECIMAL})"
_QUANTITY = re.compile(
    rf"(?P<sign>>=|<=|>|<|~|about |ca\.? )? ?(?P<first>{_NUMBER})"
    rf"(?: ?(?:\.{{2,3}}|-|to) ?(?P<second>{_NUMBER}))?"
    r"(?![0-9.,*^]) ?(?P<unit>.*)",
    re.ASCII | re.DOTALL | re.IGNORECASE,
)
_KINDS = {
    ">": "above",
    ">=": "above",
    "<": "below",
    "<=": "below",
    "~": "about",
    "about": "about",
    "ca": "about",
    "ca.": "about",
}
_SPELLINGS = str.maketrans(
    {
        "\u03bc": "u",
        "\u2264": "<=",
        "\u2265": ">=",
        "\u2248": "~",
        "\u223c": "~",
        "\u2212": "-",
        "\u2013": "-",
        "\u2014": "-",
        "\u2044": "/",
        "\u00b7": " ",
        "\u2032": "'",
        "\u201d": '"',
    }
)
# signs that Unicode folding would turn into letters or doubles
_BEFORE_FOLDING = str.maketrans({"\u00ba": "\u00b0", "\u02da": "\u00b0", "\u2033": '"'})
_RAISED_CHARGE = re.compile(
    "[\u00b2\u00b3\u2074]?[\u207a\u207b]"
)  # '\u00b3\u207b' after 'PO\u2084'
_BEFORE_VULGAR_FRACTION = re.compile(r"(?<=[0-9])(?=\u00bd|\u00bc|\u00be)")


@dataclass(frozen=True, slots=True)
class Parsed:
    """A text taken apart; numbers in the unit as written."""

    kind: str  # exact, about, above, below, range
    first: float
    second: float  # equals ``first`` unless ``kind`` is range
    unit: str  # spelling normalised, case kept
    raw: str


def normalise(text: str) -> str:
    """One spelling for the many ways to type the same sign; spaces collapsed."""
    spaced = _BEFORE_VULGAR_FRACTION.sub(" ", text)  # '1½' must not become '11/2'
    marked = _RAISED_CHARGE.sub("", spaced).translate(_BEFORE_FOLDING)
    plain = unicodedata.normalize("NFKC", marked).translate(_SPELLINGS)
    return " ".join(plain.split())


def read_text(text: object, example: str) -> str:
    """The text itself, or a refusal of anything that is no text or too long."""
    if isinstance(text, bool) or not isinstance(text, (str, int, float)):
        raise UnitError(
            "unit.not-text",
            f"'{shown(text)}' is not a quantity; write it as text, for example \"{example}\".",
            read=shown(text),
            example=example,
        )
    if not isinstance(text, str):
        raise UnitError(
            "unit.plain-number",
            f"{shown(text)} has no unit; write it in quotes with its unit, "
            f'for example "{example}".',
            read=shown(text),
            example=example,
        )
    if len(text) > MAX_LENGTH:
        raise UnitError(
            "unit.too-long",
            f"'{shown(text)}' is longer than {MAX_LENGTH} characters; write a number "
            f'and a unit only, for example "{example}".',
            read=shown(text),
            longest=MAX_LENGTH,
            example=example,
        )
    return text


def parse_quantity(text: object, example: str) -> Parsed:
    """Take a text apart into comparator, numbers and unit.

    Raises
    ------
    UnitError
        If the text is not of the grammar; ``example`` is shown as the remedy.
    """
    raw = read_text(text, example)
    plain = normalise(raw)
    match = _QUANTITY.fullmatch(plain) if len(plain) <= 4 * MAX_LENGTH else None
    if match is None:
        raise _not_a_quantity(raw, plain, example)
    first = _number(match["first"], raw)
    second_text = match["second"]
    sign = (match["sign"] or "").strip().lower()
    kind = _KINDS.get(sign, "exact")
    if second_text is None:
        return Parsed(kind, first, first, match["unit"].strip(), raw)
    second = _number(second_text, raw)
    if kind in ("above", "below"):
        raise UnitError(
            "unit.mixed-range",
            f"'{shown(raw)}' is both a range and an open end; write either "
            f"'{sign} number' or 'number..number'.",
            read=shown(raw),
        )
    if second < first:
        raise UnitError(
            "unit.range-reversed",
            f"The range '{shown(raw)}' runs downwards; write the smaller number first.",
            read=shown(raw),
        )
    return Parsed("range", first, second, match["unit"].strip(), raw)


def _not_a_quantity(raw: str, plain: str, example: str) -> UnitError:
    if not plain:
        return UnitError(
            "unit.empty", f'Nothing was written; write for example "{example}".', example=example
        )
    if plain.lower().lstrip("+-").startswith(("nan", "inf")):
        return UnitError(
            "unit.not-finite",
            f"'{shown(raw)}' is not a finite number; write for example \"{example}\", "
            "or leave the line out if the value is unknown.",
            read=shown(raw),
            example=example,
        )
    return UnitError(
        "unit.not-a-quantity",
        f"'{shown(raw)}' is not a number with a unit; write for example \"{example}\".",
        read=shown(raw),
        example=example,
    )


_AMBIGUOUS_COMMA = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")


def _number(text: str, raw: str) -> float:
    if _AMBIGUOUS_COMMA.fullmatch(text):
        joined, pointed = text.replace(",", ""), text.replace(",", ".")
        raise UnitError(
            "unit.ambiguous-comma",
            f"'{shown(raw)}' may mean {joined} or {pointed}; write one of these without a comma.",
            read=shown(raw),
            thousands=joined,
            decimal=pointed,
        )
    value = _fraction(text, raw) if "/" in text else float(text.replace(",", "."))
    if not math.isfinite(value) or abs(value) > 1e12:
        raise UnitError(
            "unit.not-finite", f"'{shown(raw)}' is too large to be a quantity.", read=shown(raw)
        )
    return value


def _fraction(text: str, raw: str) -> float:
    sign = -1.0 if text.startswith("-") else 1.0
    *whole, ratio = text.lstrip("+-").split(" ")
    numerator, denominator = ratio.split("/")
    if int(denominator) == 0:
        raise UnitError("unit.zero-division", f"'{shown(raw)}' divides by zero.", read=shown(raw))
    return sign * (sum(map(int, whole)) + int(numerator) / int(denominator))
