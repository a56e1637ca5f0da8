"""Numbers, counts and chances as a keeper reads them."""

from __future__ import annotations

import math

TWENTIETHS = 20


def number(value: float, digits: int = 2) -> str:
    """A number to ``digits`` significant digits, never in powers of ten.

    Integers above a hundred keep all their digits; a value that rounds to
    nothing prints as ``0``.
    """
    if not math.isfinite(value):
        return "unknown"
    if abs(value) < 5e-4:
        return "0"
    magnitude = math.floor(math.log10(abs(value)))
    rounded = round(value, digits - 1 - magnitude)
    magnitude = math.floor(math.log10(abs(rounded)))  # 0.995 has become 1.0
    places = max(0, digits - 1 - magnitude)
    text = f"{rounded if places else round(value):.{places}f}"
    return text.replace("-", "\N{MINUS SIGN}") if text.startswith("-") else text


def plain(value: float, digits: int = 3) -> str:
    """A number to at most ``digits`` significant digits, no noughts behind its point."""
    text = number(value, digits)
    return text.rstrip("0").rstrip(".") if "." in text else text


def concentration(value: float) -> str:
    """A concentration: two digits, but never finer than a hundredth. [mg/L]"""
    if not math.isfinite(value):
        return "unknown"
    if value < 0.0995:
        return f"{max(value, 0.0):.2f}"
    return number(value, 2)


def acidity(value: float) -> str:
    """A pH to one decimal, the finest a keeper's kit can tell."""
    return f"{value:.1f}" if math.isfinite(value) else "unknown"


def count(value: float) -> str:
    """A count for reading, not for reckoning: two digits, ``410`` or ``4,000``."""
    if value < 1:
        return "fewer than one" if value > 0 else "none"
    return f"{round(value, 1 - math.floor(math.log10(value))):,.0f}"


def out_of_twenty(probability: float) -> str:
    """A chance as ``19 of 20``; certainty is never claimed for a mere rounding."""
    marks = round(probability * TWENTIETHS)
    if marks >= TWENTIETHS and probability < 1.0:
        return "more than 19 of 20"
    if marks <= 0 and probability > 0.0:
        return "fewer than 1 of 20"
    if probability <= 0.0:
        return "none"
    if probability >= 1.0:
        return "all"
    return f"{marks} of 20"


def brief_share(probability: float) -> str:
    """The same for a narrow column: ``<1 of 20``."""
    told = out_of_twenty(probability)
    return told.replace("fewer than ", "<").replace("more than ", ">")


def percent(chance: float) -> str:
    """A chance as it is accepted: ``0.5 %``."""
    return f"{round(100.0 * chance, 9):g} %"


def listed(parts: list[str]) -> str:
    """``a, b and c``."""
    if len(parts) <= 1:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} and {parts[-1]}"


def milligrams(amount: float) -> str:
    """Whole milligrams where there are many, so that sums stay sums; under 0.05 there is none."""
    if amount >= 9.95:
        return f"{amount:,.0f}"
    return "0" if amount < 0.05 else f"{amount:.1f}"
