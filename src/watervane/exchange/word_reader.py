"""Words by option, read one by one; every refusal is kept until all are read."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar

from watervane.exchange.problems import TankFileErrors, shown
from watervane.records import Finding
from watervane.units import UnitError

Words = Mapping[str, str | bool | tuple[str, ...]]
_T = TypeVar("_T")


class WordReader:
    """Reads words by option and collects what cannot be read.

    Parameters
    ----------
    words
        By the name of the option, without its dashes.
    """

    def __init__(self, words: Words) -> None:
        self.words = words
        self.problems: list[Finding] = []

    def text(self, name: str) -> str | None:
        """One option's text."""
        told = self.words.get(name)
        return told if isinstance(told, str) else None

    def texts(self, name: str) -> tuple[str, ...]:
        """Texts of an option that may be repeated."""
        told = self.words.get(name)
        return told if isinstance(told, tuple) else ()

    def flag(self, name: str) -> bool:
        """Whether a switch is on."""
        return self.words.get(name) is True

    def read(self, name: str, parse: Callable[[str], _T]) -> _T | None:
        """One option by a parser of units; nothing where it is not told or cannot be read."""
        told = self.text(name)
        return None if told is None else self.parsed(name, told, parse)

    def parsed(
        self, name: str, told: str, parse: Callable[[str], _T], about: str = ""
    ) -> _T | None:
        """A text by a parser of units, its refusal noted; ``about`` is which of several."""
        try:
            return parse(told)
        except UnitError as error:
            arguments = {**error.arguments, "option": name, "about": about, "why": str(error)}
            self.problems.append(Finding("blueprint-words", "problem", arguments))
        return None

    def choice(self, name: str, known: Sequence[str]) -> str | None:
        """One option's text where it is one of a few words."""
        told = self.text(name)
        if told is None or told in known:
            return told
        arguments = {"option": name, "text": shown(told), "known": list(known)}
        self.problems.append(Finding("blueprint-choice", "problem", arguments))
        return None

    def above_zero(self, name: str, parse: Callable[[str], float]) -> float | None:
        """As `read`, and nothing cannot be meant."""
        value = self.read(name, parse)
        if value is not None and value <= 0.0:
            self.refuse("blueprint-nothing", name, self.text(name) or "")
            return None
        return value

    def refuse(self, key: str, name: str, told: str, about: str = "") -> None:
        """Note that a text is not of its form; ``about`` is which of several."""
        arguments = {"option": name, "text": shown(told), "about": about}
        self.problems.append(Finding(key, "problem", arguments))

    def end(self) -> None:
        """Raise what was noted, if anything."""
        if self.problems:
            raise TankFileErrors(self.problems)
