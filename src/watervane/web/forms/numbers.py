"""Numbers as they are typed, within bounds."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence

from watervane.records import Finding

# The unit a field asks in, as it is written behind a number all the same.
LENGTH, HOURS, WATER = ("cm",), ("h", "hour", "hours"), ("l", "litre", "litres", "liter", "liters")
_WITH_WORD = re.compile(r"([0-9.,]+)\s*([a-z\N{DEGREE SIGN}]+)", re.IGNORECASE)


class Typed:
    """What was typed into a form, and what is wrong with it so far.

    Parameters
    ----------
    typed
        By field.
    units
        Words that may stand behind the number of a field: the unit it asks in.
    """

    def __init__(
        self, typed: Mapping[str, str], units: Mapping[str, Sequence[str]] | None = None
    ) -> None:
        self.typed = {name: value.strip() for name, value in typed.items()}
        self._units = units or {}
        self.wrong: dict[str, list[Finding]] = {}

    def number(self, name: str, least: float, most: float, usual: float | None) -> float | None:
        """A number of a field; empty it is the usual one."""
        told = self.typed.get(name, "")
        if not told:
            return usual
        try:
            value = float(self._bare(name, told).replace(",", "."))
        except ValueError:
            value = math.nan
        if not least <= value <= most:
            words = {"value": told, "least": f"{least:g}", "most": f"{most:g}"}
            self.wrong[name] = [Finding("form-bad-number", "problem", words)]
            return usual
        return value

    def _bare(self, name: str, told: str) -> str:
        worded = _WITH_WORD.fullmatch(told)
        if worded is None or worded[2].casefold() not in self._units.get(name, ()):
            return told
        return worded[1]

    def needed(self, name: str, least: float, most: float) -> float:
        """A number that cannot be left out; the least of them where it is."""
        found = self.number(name, least, most, None)
        if found is None and name not in self.wrong:
            self.wrong[name] = [Finding("form-needed", "problem")]
        return least if found is None else found

    def whole(self, name: str, least: int, most: int, usual: int) -> int:
        """A whole number."""
        found = self.number(name, least, most, float(usual))
        value = usual if found is None else found
        if value != round(value):
            words = {"value": self.typed[name], "least": least, "most": most}
            self.wrong[name] = [Finding("form-bad-number", "problem", words)]
        return round(value)

    def choice(self, name: str, answers: tuple[str, ...], usual: str) -> str:
        """One of several answers."""
        told = self.typed.get(name, "") or usual
        if told not in answers:
            self.wrong[name] = [Finding("form-bad-choice", "problem", {"value": told})]
            return usual
        return told
