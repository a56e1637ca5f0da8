"""Section: keepers' situations beside a competent keeper's conclusion."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from evidence import situations
from evidence.sections import RUN_IT, Section, table

TITLE = "Keepers' situations"
OPENING = """\
Situations that keepers described, in figures only, each told to `watervane today` as a few readings
without a file. A verdict agrees where it is as grave as a competent keeper's words: *calm* (carry
on), *watch* (may harm) or *act* (harms). A first step agrees where one of the kinds of acts they
call for is among ours and as much of the water is new within two days as they say, or where both
do nothing. What they say was put into figures by their own words. Names that no table knows (orfe,
bala shark, sunfish) are held to the strictest limits."""
GRADES = {
    "calm": ("nothing-points-to-harm", "out-of-range", "no-animals"),
    "watch": ("strain-possible", "harm-possible", "harm-later"),
    "act": ("strain-likely", "harm-likely", "reading-harmful", "emergency"),
}


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
    verdicts = sum(verdict_agrees(each, found[each["id"]]) for each in told)
    steps = sum(step_agrees(each, found[each["id"]]) for each in told)
    worse = [each["id"] for each in told if _worse(found[each["id"]])]
    head = (
        *("situation", "readings", "verdict", "our first steps", "new within two days"),
        *("a competent keeper", "verdict agrees", "step agrees"),
    )
    lines = (
        f"Of {len(told)}, {verdicts} verdicts and {steps} first steps agree. First steps that "
        "leave more expected acute hours than doing nothing: "
        f"{', '.join(worse) or 'none'} (aim: none)."
    )
    differing = (_argued(each, found[each["id"]]) for each in told)
    argued = "\n".join(filter(None, differing))
    note = situations.KEPT.note()
    parts = [OPENING, table(head, rows), lines, *filter(None, (argued, note))]
    return Section(TITLE, "\n\n".join(parts))


def _row(told: Mapping[str, Any], found: Mapping[str, Any]) -> tuple[object, ...]:
    subject = f" ({found['subject']}, {100 * found['chance']:.0f} %)" if found["subject"] else ""
    return (
        told["id"],
        "; ".join([*told["readings"], *told["animals"], f"day {told['days']}"]),
        f"{found['key']}{subject}",
        "; ".join(found["steps"]) or "nothing",
        f"{100 * found['share']:.0f} %" if found["share"] else "",
        told["concluded"],
        "yes" if verdict_agrees(told, found) else "no",
        "yes" if step_agrees(told, found) else "no",
    )


def verdict_agrees(told: Mapping[str, Any], found: Mapping[str, Any]) -> bool:
    """Whether a verdict is as grave as the competent keeper's words."""
    return any(found["key"] in GRADES[grade] for grade in told["grave"])


def step_agrees(told: Mapping[str, Any], found: Mapping[str, Any]) -> bool:
    """Whether the first step is of a kind they call for, and of its size where they tell one."""
    if not told["do"]:
        return not found["kinds"]
    least, most = told.get("share", (0.0, 1.0))
    sized = least - 1e-9 <= found["share"] <= most + 1e-9
    return sized and bool(set(told["do"]) & set(found["kinds"]))


def _argued(told: Mapping[str, Any], found: Mapping[str, Any]) -> str:
    if verdict_agrees(told, found) and step_agrees(told, found):
        return ""
    return f"- {told['id']} differs: {told.get('argued', 'not argued yet.')}"


def _worse(found: Mapping[str, Any]) -> bool:
    before, after = found["acute"]
    return bool(after > before + 0.05)
