"""The sampler against NUTS, on logs, with the same readings and the same likelihood."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from evidence.nuts_chains import WANTED_ACCEPTANCE
from evidence.nuts_logs import DATES, HORIZON_DAYS, LOGS
from evidence.nuts_points import FAIR, LEAST, POINTS, Compared, Draws, compare
from evidence.nuts_runs import (
    AXES,
    CHAINS,
    DRAWS,
    EVERY,
    KEPT,
    LEGS,
    MEMBERS,
    WARM,
    WIDER,
    run,
)
from evidence.sections import Section, table
from watervane.inference.target import Floats

__all__ = ["run", "section"]


def section() -> Section:
    """Points of the milestones of both, how far apart, and what an effective draw costs."""
    kept = KEPT.found()
    parts = [OPENING]
    costs = []
    for name, log in LOGS.items():
        legs = [kept[key] for leg in LEGS if (key := f"{name} {leg}") in kept]
        if not legs:
            continue
        found = _compared(legs)
        parts += [_heading(log.told, legs), _table(found), _verdict(found), _unknowns(legs)]
        costs.append(_cost(name, legs, found))
    if costs:
        parts += [COSTS, table(COST_HEAD, costs)]
    else:
        parts.append("Nothing was run yet: `python -m evidence --only nuts` runs it.")
    parts.append(KEPT.note())
    return Section("The sampler against NUTS", "\n\n".join(each for each in parts if each))


def _compared(legs: Sequence[Mapping[str, Any]]) -> dict[str, Compared]:
    """Every milestone that is not the same in all draws."""
    families = [np.array(each) for leg in legs for each in leg["ours"]["families"]]
    found = {}
    for name in legs[0]["ours"]["milestones"]:
        ours = [run for leg in legs for run in _runs(leg["ours"], name)]
        nuts = [np.array(leg["nuts"]["milestones"][name]).reshape(-1, CHAINS) for leg in legs]
        if np.ptp(np.concatenate(ours)) == 0.0 and np.ptp(np.concatenate(nuts)) == 0.0:
            continue
        found[name] = compare(
            Draws.of_members(ours, families),
            Draws.of_chains(np.concatenate(nuts, axis=1)),
            end=float(HORIZON_DAYS) if name in DATES else None,
        )
    return found


def _runs(ours: Mapping[str, Any], name: str) -> list[Floats]:
    """A milestone's values, run by run."""
    return np.split(np.array(ours["milestones"][name], dtype=np.float64), len(ours["families"]))


def _heading(told: str, legs: Sequence[Mapping[str, Any]]) -> str:
    nuts = [leg["nuts"] for leg in legs]
    draws = DRAWS * CHAINS * len(legs)
    health = [each for leg in legs for each in leg["ours"]["health"]]
    sweeps = np.mean([each for leg in legs for each in leg["ours"]["sweeps"]])
    return (
        f"**{told[0].upper()}{told[1:]}** ({legs[0]['readings']} readings, {legs[0]['unknowns']} "
        f"unknowns): {len(health)} runs of {MEMBERS:,} members, health {', '.join(health)}, "
        f"{sweeps:.0f} sweeps each; {CHAINS * len(legs)} chains of NUTS "
        f"with {DRAWS} draws each, paths of {np.mean([n['path'] for n in nuts]):.0f} steps, "
        f"{sum(n['divergent'] for n in nuts)} of {draws:,} divergent, "
        f"{sum(n['longest'] for n in nuts)} cut short; R-hat of the lasting unknowns at most "
        f"{max(max(n['r_hats'].values()) for n in nuts):.3f}."
    )


def _table(found: Mapping[str, Compared]) -> str:
    head = ("milestone", "members", "NUTS", "apart", "by chance", "effective", "R-hat")
    rows = [
        (
            name,
            _three(one.ours, ".3g"),
            _three(one.nuts, ".3g"),
            _three(one.apart, "+.2f"),
            _three(one.chance, ".2f"),
            f"{one.ours_size:,.0f}, {one.nuts_size:,.0f}",
            f"{one.ours_r_hat:.3f}, {one.nuts_r_hat:.3f}",
        )
        for name, one in found.items()
    ]
    return table(head, rows)


def _three(values: Sequence[float], form: str) -> str:
    return " / ".join("later" if np.isposinf(v) else f"{v:{form}}" for v in values)


def _verdict(found: Mapping[str, Compared]) -> str:
    far = [
        f"{name} at {100 * share:.0f} % ({apart:+.2f}, {abs(apart) / chance:.1f} times chance)"
        for name, one in found.items()
        for share, apart, chance in zip(POINTS, one.apart, one.chance, strict=True)
        if abs(apart) > FAIR
    ]
    thin = [
        f"{name} ({who} {size:,.0f})"
        for name, one in found.items()
        for who, size in (("members", one.ours_size), ("NUTS", one.nuts_size))
        if size < LEAST
    ]
    shares = [
        f"{name} {_share(one.ours_share, one.ours_size)} and "
        f"{_share(one.nuts_share, one.nuts_size)} %"
        for name, one in found.items()
        if min(one.ours_share, one.nuts_share) < 1.0
    ]
    within = f" Reached within {HORIZON_DAYS} days: {'; '.join(shares)}." if shares else ""
    return (
        f"More than {FAIR} spreads apart: {'; '.join(far) or 'nothing'}. Effective size under "
        f"{LEAST:,}: {'; '.join(thin) or 'nothing'}.{within}"
    )


def _share(share: float, size: float) -> str:
    """A share of draws and its standard error. [%]"""
    return f"{100 * share:.1f} ± {100 * np.sqrt(share * (1.0 - share) / size):.1f}"


def _unknowns(legs: Sequence[Mapping[str, Any]]) -> str:
    """How far apart the points of lasting unknowns are."""
    ours = np.mean([leg["ours"]["lasting"] for leg in legs], axis=0)
    nuts = np.mean([leg["nuts"]["lasting"] for leg in legs], axis=0)
    apart = np.abs(ours[:, :3] - nuts[:, :3]) / nuts[:, 3:]
    names = list(legs[0]["nuts"]["r_hats"])
    furthest = names[int(apart.max(axis=1).argmax())]
    r_hat = max(leg["nuts"]["r_hats"][furthest] for leg in legs)
    return (
        f"Of {apart.size} points of the {len(apart)} lasting unknowns {(apart > FAIR).sum()} are "
        f"more than {FAIR} spreads apart, the furthest {apart.max():.2f} (`{furthest}`, R-hat of "
        f"NUTS {r_hat:.2f})."
    )


def _cost(
    name: str, legs: Sequence[Mapping[str, Any]], found: Mapping[str, Compared]
) -> tuple[str, ...]:
    sizes = {
        "ours": min(one.ours_size for one in found.values()),
        "nuts": min(one.nuts_size for one in found.values()),
    }
    worked = {who: sum(leg[who]["time"]["worked"] for leg in legs) for who in sizes}
    wall = {who: sum(leg[who]["time"]["wall"] for leg in legs) for who in sizes}
    each = {who: worked[who] / sizes[who] for who in sizes}
    return (
        name,
        *(f"{worked[who]:.0f} ({wall[who]:.0f})" for who in sizes),
        *(f"{sizes[who]:,.0f}" for who in sizes),
        *(f"{1000.0 * each[who]:.1f}" for who in sizes),
        f"{each['nuts'] / each['ours']:.1f}",
    )


OPENING = f"""\
The no-U-turn sampler of another project (blackjax), given the very likelihood the members are
weighed by: frozen readings, the same unknowns, standard normal under the prior. The day program
has no reverse mode, and differences of it are dear, so the force on a chain is the slope of a cheap
guess of the likelihood, fitted to runs of members and of points farther out, along the {AXES}
directions in which it is steepest; what is accepted goes by the exact likelihood. Any force that
depends on the place alone leaves a path reversible and true to volume, so a poor one costs
acceptance and does not bias; that is tested with a guide that is wrong. The coordinates are made
round by the covariance of our own members, which does not bias either. Chains begin {WIDER} times
as far from the middle as members do, warm up for {WARM} transitions on the guess, whose length of
steps is chosen for a mean acceptance of {WANTED_ACCEPTANCE}, then for {WARM} on the likelihood
itself; the {DRAWS} after that are kept. Milestones are told of one in {EVERY} of them.

Points are those with 5 / 50 / 95 % of the draws below, *apart* is members less NUTS in posterior
spreads of NUTS (the standard deviation, or the central 90 % over 3.29 where that is less), *by
chance* one standard error of it. Days are local days after filling, each spread evenly over its
length; one after day {HORIZON_DAYS} is *later*, and counts as that day. Where about as many draws
lie before a point as ever come before the horizon, a few of them decide whether it is a day or
*later*, and the shares that come say more. Where a log tells no food, *settled* is asked of
2 mg of food per litre and day, which we invented. Effective sizes: the least of the mean of ranks
and the three points; of members from families, of NUTS from autocorrelations. Members are *thin*
where they were moved as often as allowed and still resembled their first places more than is
wanted."""

COSTS = """\
**Cost.** Seconds worked by the process on one thread (and on the wall, beside other work), both
samplers in the same process one after the other, compiling of NUTS included; effective draws as
above, the least of all milestones. NUTS gets its coordinates from our members and is not charged
for them; with a reverse mode its force would cost a fraction, so the ratio tells of this model and
not of NUTS."""
COST_HEAD = (
    "log",
    "members, s",
    "NUTS, s",
    "effective members",
    "effective draws of NUTS",
    "ms each",
    "ms each of NUTS",
    "ratio",
)
