"""Names a keeper writes, held against the shipped tables."""

from __future__ import annotations

from watervane.exchange.problems import refuse, shown
from watervane.reference import UnknownNameError, media_surface, substance, substances


def canonical_substance(name: str) -> str:
    """The table's name of a substance, with the strength where the keeper told one."""
    try:
        found = substance(name)
    except UnknownNameError as error:
        if error.nearest:
            refuse("substance-unknown-near", value=shown(name), near=error.nearest[0])
        refuse("substance-unknown", value=shown(name), known=error.known)
    if found == substances()[found.name]:
        return found.name
    return f"{found.name} {100.0 * found.strength:g} %"


def known_medium(kind: str) -> str:
    """The table's name of a filter medium."""
    try:
        return media_surface(kind).extra["kind"]
    except UnknownNameError as error:
        if error.nearest:
            refuse("medium-unknown-near", value=shown(kind), near=error.nearest[0])
        refuse("medium-unknown", value=shown(kind), known=error.known)
