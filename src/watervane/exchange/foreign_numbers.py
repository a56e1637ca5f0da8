"""Numbers of a stranger's table: decimal commas, thousands, signs before and units behind."""

from __future__ import annotations

import re
from collections.abc import Iterable

from watervane.exchange.problems import refuse, shown

POINT, COMMA = DECIMALS = ("point", "comma")
# What keepers write where nothing was read.
NOTHING = {"", "-", "--", "\N{EN DASH}", "\N{EM DASH}", "n/a", "na", "?"}
_NUMBER = re.compile(r"[0-9][0-9.,]*[0-9]|[0-9]")
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2}[.,][0-9]{3}")
_GROUPED = {
    COMMA: re.compile(r"[0-9]{1,3}(?:\.[0-9]{3})+(?:,[0-9]+)?|[0-9]+(?:,[0-9]+)?"),
    POINT: re.compile(r"[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]+)?|[0-9]+(?:\.[0-9]+)?"),
}
_LETTERS = re.compile(r"[^\W\d_]|[%\N{DEGREE SIGN}]")


def is_nothing(cell: str) -> bool:
    """Whether a cell says that nothing was read."""
    return cell.strip().lower() in NOTHING


def has_unit(cell: str) -> bool:
    """Whether a cell carries letters, and so maybe a unit of its own."""
    return _LETTERS.search(cell) is not None


def decimal_of(cells: Iterable[str]) -> tuple[str | None, str]:
    """Which sign divides the decimals, ``None`` where that cannot be told, and doubtful cells."""
    votes: dict[str, str] = {}
    doubtful = ""
    for cell in cells:
        for number in _NUMBER.findall(cell):
            sign = _sign(number)
            if sign == "doubtful":
                doubtful = doubtful or cell
            elif sign:
                votes.setdefault(sign, cell)
    if len(votes) > 1 or (not votes and doubtful):
        return None, " and ".join(votes.values()) if votes else doubtful
    return next(iter(votes), POINT), doubtful


def _sign(number: str) -> str:
    """What one number tells of its decimal sign: a sign's name, ``doubtful`` or nothing."""
    points, commas = number.count("."), number.count(",")
    if points and commas:
        return COMMA if number.rindex(",") > number.rindex(".") else POINT
    if points > 1 or commas > 1:
        return POINT if commas else COMMA  # signs between thousands
    if not points and not commas:
        return ""
    if _THOUSANDS.fullmatch(number):
        return "doubtful" if commas else ""  # 1.234 is told by the others, else a decimal point
    return COMMA if commas else POINT


def pointed(cell: str, decimal: str) -> str:
    """A cell whose numbers have a decimal point and no thousands; refuses one of another kind."""

    def one(match: re.Match[str]) -> str:
        number = match[0]
        if _GROUPED[decimal].fullmatch(number) is None:
            refuse("table-number", value=shown(cell), decimal=decimal)
        if decimal == COMMA:
            return number.replace(".", "").replace(",", ".")
        return number.replace(",", "")

    return _NUMBER.sub(one, cell.strip())
