"""A chance, as `[risk]` of a tank file tells it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from watervane.exchange.forms import Context
from watervane.exchange.numbers import number_text
from watervane.exchange.problems import refuse, shown

_PERCENT = re.compile(r"\s*([0-9]+(?:[.,][0-9]+)?)\s*%\s*")


@dataclass(frozen=True)
class Chance:
    """A share as a number, or per cent as text; ``least`` is the smallest that can be told."""

    least: float
    example: str

    def read(self, value: Any, context: Context) -> float:  # noqa: ARG002
        percent = _PERCENT.fullmatch(value) if isinstance(value, str) else None
        if percent is not None:
            chance = float(percent[1].replace(",", ".")) / 100.0
        elif isinstance(value, int | float) and not isinstance(value, bool):
            chance = float(value)
        else:
            refuse("not-chance", value=shown(value), example=self.example)
        if not self.least - 1e-12 <= chance < 1.0:
            least = f"{100.0 * self.least:g}"
            refuse("chance-out", value=shown(value), least=least, example=self.example)
        return chance

    def schema(self) -> dict[str, Any]:
        number = {"type": "number", "minimum": self.least, "exclusiveMaximum": 1.0}
        text = {"type": "string", "pattern": "^" + _PERCENT.pattern + "$"}
        return {"anyOf": [number, {**text, "examples": [self.example]}]}

    def write(self, value: Any) -> Any:
        percent = number_text(round(100.0 * value, 9))
        return f"{percent} %" if float(percent) / 100.0 == value else value
