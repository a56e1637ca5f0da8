"""Section: novices' tanks under our steps, beside nothing done and a quarter a week."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from evidence import closed_loop
from evidence.closed_loop import COUNTS, EVERY_DAYS, FETCHED, FIRST, POLICIES
from evidence.closed_loop_frontier import Told, frontier, frontier_picture, groups
from evidence.novices import DAYS, FOLLOWED, LOADS, OFF
from evidence.sections import RUN_IT, Section, table
from watervane.advice.acts import CARRIED_L

TITLE = "Steps followed by novices"
AIMS = {"normal": 0.9, "overloaded": 0.6}
SHOWN = ("acute", "acute burden", "chronic", "chronic burden", "chronic still", "litres",
         "meals_withheld")  # fmt: skip
BEFORE = 10  # tanks of each kind that come before any variant
VARIED = 2  # tanks of each kind that are kept under variants of our steps, too
WORTH_MINDING = 0.25  # of a chance
SAME_H = 3.0  # animal-hours: as fine as a look every three hours tells
JUMPS_WITH = "jumps with"
HARMFUL_H = 3.0  # the finest that a look every three hours can tell
# What was otherwise under each earlier digest.
OTHERWISE = {
    "065e8ae43e88": "a reading of KH stood as it was read, whatever was done since; no KH is "
    "read in these tanks, and the others, run under both, came out the same to the last digit"
}
OPENING = f"""\
Invented tanks whose truth is not of our structure (see the tanks above) live {DAYS} days under
three ways of caring: nothing is done; a quarter of the water is changed each week; or every
{EVERY_DAYS} days the keeper reads a coarse kit and is told the next steps, from members carried on
from visit to visit. Keepers of both kinds
do {100 * FOLLOWED:.0f} steps of 100 and are off by {100 * OFF:.0f} % in amounts. Where no step of
their own is enough they are also told what would be with help from elsewhere (mature media,
zeolite, another tank); {100 * FETCHED:.0f} of 100 keepers can get that, and follow it in its
place. Overloaded tanks hold four times the animals. Animal-hours are hours beyond a limit of that
tier times the animals, means over tanks. Exposures of four and of thirty days are judged by their
means, and an hour counts where the mean is passed and that hour's own water adds to it; *still*
are all hours with the mean passed, which stays up for weeks after the water is good again. A
*burden* is hours times how far beyond the limit, in its own size. Some tanks hold animals that
bear hardly any nitrite (cardinal and neon tetras), and stand apart: without a seed no change of
water keeps it under what harms them. Water is what was changed in all. Fewer hours than with
nothing done: aimed at are {100 * AIMS["normal"]:.0f} % in normally stocked tanks and {
    100
    * AIMS["overloaded"]:.0f} % in overloaded ones, which must also be told that there are too many
animals."""


def run(*, anew: bool, workers: int) -> None:
    """Keep the tanks that are not kept yet; some of each kind first, with their variants."""
    closed_loop.keep(BEFORE, anew=anew, workers=workers)
    closed_loop.keep_variants(VARIED, anew=anew, workers=workers)
    closed_loop.keep(max(COUNTS.values()), anew=False, workers=workers)
    closed_loop.keep_before(closed_loop.KEPT.found(), anew=anew, workers=workers)


def section() -> Section:
    """A row a load and policy; then the first actions."""
    kept = closed_loop.KEPT.found()
    found = list(kept.values())
    if not found:
        return Section(TITLE, RUN_IT)
    parts = [OPENING]
    wanted = sum(COUNTS.values())
    if len(found) < wanted:
        parts.append(f"So far {len(found)} of {wanted} tanks were kept: the run was cut short.")
    rows = [row for group in groups(found) for row in _rows(*group)]
    head = ("load", "animals", "tanks", "care", "acute animal-hours", "acute burden",
            "chronic animal-hours", "chronic burden", "chronic, still", "water, L",
            "meals withheld")  # fmt: skip
    parts += [
        table(head, rows),
        *_told(found),
        *hours_before(kept, closed_loop.KEPT_BEFORE.found()),
        *_weekly(found),
        _first(found),
        *filter(None, [_day_of_buckets(found)]),
        frontier(found),
    ]
    note = " ".join([closed_loop.KEPT.note(), *_otherwise(closed_loop.KEPT.codes())]).strip()
    text = "\n\n".join([*parts, *([note] * bool(note))])
    return Section(TITLE, text, (frontier_picture(found),))


def _otherwise(codes: Mapping[str, int]) -> list[str]:
    """What was otherwise in runs of earlier code, as far as that was written down."""
    counts: dict[str, int] = {}
    for code, count in codes.items():
        if code in OTHERWISE:
            counts[OTHERWISE[code]] = counts.get(OTHERWISE[code], 0) + count
    return [f"In {count} of them {what}." for what, count in counts.items()]


def _rows(load: str, kind: str, some: Sequence[Mapping[str, Any]]) -> list[tuple[object, ...]]:
    rows = []
    for policy in POLICIES:
        told = [each[policy] for each in some]
        means = [f"{np.mean([one[what] for one in told]):.0f}" for what in SHOWN]
        rows.append((load, kind, len(some), policy, *means))
    return rows


def _weekly(found: Sequence[Mapping[str, Any]]) -> list[str]:
    """Our steps beside a quarter a week: tanks with no more hours and no more water, and others."""
    lines = []
    for load, kind, some in groups(found):
        pairs = [(each["a quarter a week"], each["our steps"]) for each in some]
        hours = [(b["acute"] + b["chronic"], c["acute"] + c["chronic"]) for b, c in pairs]
        fewer = np.mean([ours <= weekly + SAME_H for weekly, ours in hours])
        drier = np.mean([c["litres"] <= b["litres"] for b, c in pairs])
        both = np.mean([
            ours <= weekly + SAME_H and c["litres"] <= b["litres"]
            for (weekly, ours), (b, c) in zip(hours, pairs, strict=True)
        ])  # fmt: skip
        lines.append(
            f"- {load}, {kind}: no more hours beyond limits than with a quarter a week in "
            f"{100 * fewer:.0f} of 100 tanks, no more water in {100 * drier:.0f}, both in "
            f"{100 * both:.0f}."
        )
    return ["\n".join(lines)]


def _told(found: Sequence[Mapping[str, Any]]) -> list[str]:
    lines = []
    for load in LOADS:
        some = [each for each in found if each["load"] == load]
        if not some:
            continue
        cuts = {tier: _cut(some, tier) for tier in ("acute", "chronic")}
        burdens = " and ".join(_share(_cut(some, f"{tier} burden")) for tier in cuts)
        said = np.mean([each["our steps"]["told_too_many"] for each in some])
        truly = [each for each in some if each["too_many"]]
        named = sum(each["our steps"]["told_for_good"] for each in truly)
        falsely = sum(each["our steps"]["told_for_good"] for each in some) - named
        words = ", ".join(
            f"{tier} none to begin with" if cut is None else f"{tier} {100 * cut:.0f} % fewer"
            for tier, cut in cuts.items()
        )
        reached = all(cut is None or cut >= AIMS[load] for cut in cuts.values())
        lines.append(
            f"- {load}, our steps against nothing: {words}; aim {100 * AIMS[load]:.0f} %: "
            f"{'met' if reached else 'missed'}. Of the burden {burdens} less. Told at least once "
            f"that nothing was enough and there may be too many animals: {100 * said:.0f} %. Too "
            "many for good, as the true tank shows once grown on a quarter of the water a week, "
            f"are they in {len(truly)} of {len(some)}; told so in {named:.0f} of these, and in "
            f"{falsely:.0f} of the others. "
            f"{_chances(truly, some)}"
        )
    return ["\n".join(lines)]


def _cut(some: Sequence[Mapping[str, Any]], what: str) -> float | None:
    """By how much less there is under our steps than with nothing done; none of nothing."""
    plain, ours = (sum(each[way][what] for each in some) for way in ("nothing", "our steps"))
    return None if plain <= 0.0 else 1.0 - ours / plain


def _share(cut: float | None) -> str:
    return "none to begin with" if cut is None else f"{100 * cut:.0f} %"


def hours_before(kept: Mapping[str, Told], first: Mapping[str, Mapping[str, float]]) -> list[str]:
    """How much of the hours left was over before the first visit, and what came after it.

    Parameters
    ----------
    kept
        What was found of each tank, by key.
    first
        Its hours before the first visit, by key; tanks without are left out.
    """
    lines = []
    for load in LOADS:
        keys = [key for key, each in kept.items() if each["load"] == load and key in first]
        early = sum(first[key]["chronic"] for key in keys)
        plain = sum(kept[key]["nothing"]["chronic"] for key in keys)
        ours = sum(kept[key]["our steps"]["chronic"] for key in keys)
        if plain > early:
            lines.append(
                f"- {load}: of {ours:.0f} chronic animal-hours left in {len(keys)} tanks, "
                f"{early:.0f} were over before the keeper first asked, on day {FIRST}; of those "
                f"that came after, {100 * (1 - (ours - early) / (plain - early)):.0f} % fewer than "
                "with nothing done."
            )
    return ["\n".join(lines)] if lines else []


def _chances(truly: Sequence[Mapping[str, Any]], some: Sequence[Mapping[str, Any]]) -> str:
    """The chance told at the last visit, so that it can be held against how many truly are."""
    others = [each for each in some if each not in truly]
    said = []
    for group, words in ((truly, "these"), (others, "the others")):
        if group:
            told = [float(each["our steps"]["chance_at_last"]) for each in group]
            often = sum(chance >= WORTH_MINDING for chance in told)
            said.append(f"{np.mean(told):.2f} in {words}, one in four or more in {often} of them")
    return f"The chance of it told at the last visit, in the mean: {'; '.join(said)}."


def _first(found: Sequence[Mapping[str, Any]]) -> str:
    every = [one for each in found for one in each["first_actions"]]
    worse = [one for one in every if one["hours with"] > one["hours without"] + HARMFUL_H]
    better = [one for one in every if one["hours with"] < one["hours without"] - HARMFUL_H]
    return (
        f"First actions, done in full in the true tank: of {len(every)}, {len(worse)} left more "
        f"acute hours in the next two days than doing nothing (aim: none), {len(better)} fewer."
        f"{_first_of_a_week(every)}"
    )


def _first_of_a_week(every: Sequence[Mapping[str, float]]) -> str:
    """Those that were judged over a week and by jumps, too."""
    some = [one for one in every if JUMPS_WITH in one]
    if not some:
        return ""
    acute = [_both(one, "acute hours of a week") for one in some]
    chronic = [_both(one, "chronic worst of a week") for one in some]
    jumps = [_both(one, "jumps") for one in some]
    more = sum(after > before + HARMFUL_H for before, after in acute)
    newly = sum(before <= 1.0 < after for before, after in chronic)
    jumped = [after for before, after in jumps if after > before]
    harmed = sum(count >= 2 for count in jumped)  # what passes a limit of harm passes comfort's
    return (
        f" Judged further, {len(some)} of them: {more} left more acute hours in a week, {newly} "
        f"brought the mean of the week over a limit of harm over time that it kept without, and "
        f"{harmed} made acidity or warmth jump past a limit of harm; {len(jumped) - harmed} past "
        "one of discomfort, within an hour."
    )


def _both(one: Mapping[str, float], what: str) -> tuple[float, float]:
    """What was counted without the first day's acts, and with them."""
    return one[f"{what} without"], one[f"{what} with"]


def _day_of_buckets(found: Sequence[Mapping[str, Any]]) -> str:
    """The most that anybody carried on one day, of tanks of which it was written down."""
    days = [each["our steps"]["day_litres"] for each in found if "day_litres" in each["our steps"]]
    if not days:
        return ""
    return (
        f"The most water that a keeper of {len(days)} of these tanks changed on one day by our "
        f"steps was {max(days):.0f} L, in the middle tank {np.median(days):.0f} L; one person "
        f"with buckets is taken to carry {CARRIED_L:.0f} L a day."
    )
