"""Put the keeper's own figures in the place of shipped ones, and say that they are."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from watervane.limits.limit import Constant, Limit
from watervane.records import LimitEdit
from watervane.reference import UnknownNameError

_SIGNED = frozenset({"temperature_c"})


def edited(
    limits: Sequence[Limit], edits: Sequence[LimitEdit], known: Sequence[str]
) -> tuple[Limit, ...]:
    """The limits with each edit applied, later ones over earlier ones.

    Parameters
    ----------
    limits : sequence of Limit
    edits : sequence of LimitEdit
    known : sequence of str
        Keys of all limits there are; an edit of one that does not matter today is kept quiet.

    Raises
    ------
    UnknownNameError
        If no limit has that key, or begins with it.
    ValueError
        If the figure cannot be a level.
    """
    found = list(limits)
    for edit in edits:
        if not any(meant(edit.limit, key) for key in known):
            raise UnknownNameError("limit", edit.limit, known)
        for place, limit in enumerate(found):
            if meant(edit.limit, limit.key):
                found[place] = _with(limit, edit)
    return tuple(found)


def meant(written: str, key: str) -> bool:
    """Whether what the keeper wrote is a limit's key, or the beginning of it up to a whole word."""
    return key == written or key.startswith(f"{written}_")


def _with(limit: Limit, edit: LimitEdit) -> Limit:
    fits = math.isfinite(edit.value) and (edit.value > 0.0 or limit.quantity in _SIGNED)
    if not fits:
        raise ValueError(f"{edit.value:g} cannot be a level of {limit.key}; give one above zero")
    return replace(
        limit,
        level=Constant(edit.value),
        source="keeper",
        where="",
        quality="practice",
        note=edit.note,
        edited=True,
    )
