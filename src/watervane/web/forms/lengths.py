"""How long animals are: told beside their name, or as the catalogue has full-grown ones."""

from __future__ import annotations

import re

from watervane.reference import animal_form

_NAMED = re.compile(r"(.*[^\d\s.,]),?\s+([0-9]+(?:[.,][0-9]+)?\s*(?:mm|cm|in|inch|inches))")


def name_and_length(text: str) -> tuple[str, str]:
    """``goldfish 12 cm`` as a name and a length; the length is empty where none is told."""
    found = _NAMED.fullmatch(text.strip())
    return (text.strip(), "") if found is None else (found[1].strip(), found[2].strip())


def length_told(text: str) -> str:
    """A bare number in centimetres; anything else as it was typed."""
    text = text.strip()
    bare = text.replace(",", "", 1).replace(".", "", 1).isdigit()
    return f"{text} cm" if bare else text


def grown_cm(name: str) -> float | None:
    """Length of a full-grown animal by our tables; ``None`` where no table knows the name."""
    found = animal_form(name)
    return None if found.matched == "none" else found.typical_length_cm
