"""Finding a name keepers write, and saying what is known when it is not found."""

from __future__ import annotations

import difflib
from collections.abc import Iterable


class UnknownNameError(LookupError):
    """A name no table knows; carries the nearest known names."""

    def __init__(self, what: str, name: str, known: Iterable[str]) -> None:
        self.what = what
        self.name = name
        self.known = tuple(sorted(set(known)))
        self.nearest = tuple(difflib.get_close_matches(plain_name(name), self.known, n=3))
        hint = " or ".join(f"'{near}'" for near in self.nearest) or ", ".join(self.known)
        super().__init__(f"'{name[:40]}' is no known {what}; did you mean {hint}?")


def plain_name(name: str) -> str:
    """Lower case, single spaces, hyphens and underscores as spaces."""
    return " ".join(name[:80].lower().replace("_", " ").replace("-", " ").split())


def singular(name: str) -> str:
    """The name without a plural ending, where it plainly has one."""
    if name.endswith("ies"):
        return name[:-3] + "y"
    if name.endswith(("sses", "shes", "ches", "xes")):
        return name[:-2]
    if name.endswith("s") and not name.endswith(("ss", "us", "is")):
        return name[:-1]
    return name
