"""Section: keepers' situations beside a competent keeper's conclusion."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from evidence import situations
from evidence.sections import RUN_IT, Section, table

TITLE = "Keepers' situations"
OPENING = """\
Situations that keepers described, in figures only, each told to `watervane today` as a few readings
without a file. A verdict and first step agree where one of the kinds of acts a competent keeper
calls for is among ours, or where both do nothing. Names that no table knows (orfe, bala shark,
sunfish) are held to the strictest limits."""


def run(*, anew: bool, workers: int) -> None:
    """Judge what is not kept yet."""
    situations.run(anew=anew, workers=workers)


def section() -> Section:
    """A row a situation."""
    found = situations.KEPT.found()
    told = [each for each in situations.situations() if each["id"] in found]
    if not told:
        return Section(TITLE, RUN_IT)
    rows = [_row(each, found[each["id"]]) for each in told]
    agreed = sum(_agrees(each, found[each["id"]]) for each in told)
    worse = [each["id"] for each in told if _worse(found[each["id"]])]
    head = ("situation", "readings", "verdict", "our first steps", "a competent keeper", "agrees")
    lines = (
        f"{agreed} of {len(told)} agree. First steps that leave more expected acute hours than "
        f"doing nothing: {', '.join(worse) or 'none'} (aim: none)."
    )
    note = situations.KEPT.note()
    parts = [OPENING, table(head, rows), lines, *([note] * bool(note))]
    return Section(TITLE, "\n\n".join(parts))


def _row(told: Mapping[str, Any], found: Mapping[str, Any]) -> tuple[object, ...]:
    subject = f" ({found['subject']}, {100 * found['chance']:.0f} %)" if found["subject"] else ""
    return (
        told["id"],
        "; ".join([*told["readings"], *told["animals"], f"day {told['days']}"]),
        f"{found['key']}{subject}",
        "; ".join(found["steps"]) or "nothing",
        told["concluded"],
        "yes" if _agrees(told, found) else "no",
    )


def _agrees(told: Mapping[str, Any], found: Mapping[str, Any]) -> bool:
    if not told["do"]:
        return not found["kinds"]
    return bool(set(told["do"]) & set(found["kinds"]))


def _worse(found: Mapping[str, Any]) -> bool:
    before, after = found["acute"]
    return bool(after > before + 0.05)
