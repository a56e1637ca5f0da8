"""The colonies of a tank: what they could turn over, habitat by habitat, against their load."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from watervane.engine.booked import Books, Progress, Watched, books_of
from watervane.forecast.quantiles import band, number_quantiles
from watervane.process.noise import keyed_uniform
from watervane.process.state import COLUMN
from watervane.process.timeline import NITROGEN_PER_PROTEIN
from watervane.records import Band, Colonies, Colony, ColonyLoss, ColonyPart, Tank
from watervane.records.colonies import COLONIES, HABITATS, LOSSES, WHOLE
from watervane.reference import value

Numbers = NDArray[np.float64]
FILTER = HABITATS.index("filter")
KEPT_BY = {
    "rinsed-in-tank-water": "kept_rinse_tank_water",
    "rinsed-under-tap": "kept_rinse_tap_water",
    "filter-lost": "kept_replaced",
}


def colonies(
    tank: Tank,
    *,
    as_of: datetime | None = None,
    horizon_days: int = 30,
    members: int = 1000,
    seed: int = 1,
    threads: int = 2,
    now: datetime | None = None,
    progress: Progress | None = None,
) -> Colonies:
    """View a tank's colonies now and over the days ahead.

    Parameters
    ----------
    tank, as_of, horizon_days, members, seed, threads, now, progress
        See `watervane.engine.foretell`.

    Raises
    ------
    ValueError
        If the moment lies before the filling, or the horizon is not ahead.
    """
    books = books_of(
        tank,
        as_of=as_of,
        horizon_days=horizon_days,
        members=members,
        seed=seed,
        threads=threads,
        now=now,
        progress=progress,
    )
    return colonies_of(books)


@dataclass(frozen=True)
class GuildDays:
    """One colony's days; arrays of shape (days, habitats, members), of the whole tank. [mg N/d]

    Parameters
    ----------
    capacity, held, load
        See `watervane.records.ColonyPart`.
    share
        Of the colony now, shape (habitats, members).
    awake
        Now, shape (members,).
    """

    capacity: Numbers
    held: Numbers
    load: Numbers
    share: Numbers
    awake: Numbers


def colonies_of(books: Books) -> Colonies:
    """The colonies from books that are kept; see `colonies`."""
    ready, now = books.ready, books.ready.scope.as_of_d
    days = guild_days(books)
    last = _days(books)[0][-1]
    lucky = keyed_uniform(
        books.seed, books.start.members.numbers, ready.today, "luck of a filter's care"
    )
    return Colonies(
        tank=ready.known.name,
        owner=ready.known.owner,
        as_of=ready.calendar.moment(now),
        seed=books.seed,
        volume_l=ready.line.geometry["volume_l"],
        temperature_c=number_quantiles(last.temperature_c),
        ph=number_quantiles(last.ph),
        oxygen_mg_per_l=number_quantiles(last.oxygen_mg_per_l),
        levels=ready.scope.levels,
        mg_n_per_g_food=1000.0 * NITROGEN_PER_PROTEIN * ready.known.normal_food_protein,
        times=tuple(ready.calendar.moment(now + day) for day in range(ready.horizon_days + 1)),
        guilds={guild: _told(days[guild], lucky) for guild in COLONIES},
        diagnostics=books.diagnostics,
        findings=books.findings,
    )


def guild_days(books: Books) -> dict[str, GuildDays]:
    """What each colony could do and had to, day by day, from the looks at it."""
    volume_l = books.ready.line.geometry["volume_l"]
    days = _days(books)
    found = {}
    for place, guild in enumerate(COLONIES):
        capacity, held, load = [], [], []
        for number, looks in enumerate(days):
            capacity.append(_mean([one.view.capacity[place] for one in looks]))
            held.append(_mean([one.view.held[place] for one in looks]))
            offered = _mean([one.view.offered[place] for one in looks])
            offered = offered + _poured(books, guild, number)
            load.append(np.maximum(offered, 0.0) * _parts(looks, place))
        found[guild] = GuildDays(
            volume_l * np.stack(capacity),
            volume_l * np.stack(held),
            volume_l * np.stack(load),
            _share(books, guild),
            days[0][-1].view.awake[place],
        )
    return found


def _days(books: Books) -> list[list[Watched]]:
    """Looks of the day before the moment, and of each day after it."""
    now = books.ready.scope.as_of_d
    ends = [now + day for day in range(books.ready.horizon_days + 1)]
    return [
        [one for one in books.looks if end - 1.0 - 1e-6 <= one.at_d < end - 1e-6]
        or [books.looks[0]]
        for end in ends
    ]


def _mean(parts: Sequence[Numbers]) -> Numbers:
    result: Numbers = np.mean(np.stack(parts), axis=0)
    return result


def _parts(looks: Sequence[Watched], place: int) -> Numbers:
    """Each habitat's part of what is turned over, or of what could be where nothing is."""
    done = _mean([one.view.turnover[place] for one in looks])
    able = _mean([one.view.capacity[place] for one in looks])
    parts = np.where(done.sum(axis=0) > 1e-12, done, able)
    result: Numbers = parts / np.maximum(parts.sum(axis=0), 1e-300)
    return result


def _poured(books: Books, guild: str, number: int) -> Numbers:
    """Dosed or poured in within a day, which no rate tells of. [mg N/L/d]"""
    end = books.ready.scope.as_of_d + number
    total = np.zeros(len(books.start.members))
    for begun_d, page in books.pages.items():
        if end - 1.0 - 1e-6 <= begun_d < end - 1e-6:
            total = total + page.poured[guild]
    return total


def _share(books: Books, guild: str) -> Numbers:
    """Share of a colony in each habitat now, shape (habitats, members)."""
    amounts = books.states[books.ready.scope.as_of_d]
    lives = np.stack([amounts[COLUMN[f"{guild}_oxidisers_{h}"]] for h in HABITATS])
    result: Numbers = lives / np.maximum(lives.sum(axis=0), 1e-300)
    return result


def _told(days: GuildDays, lucky: Numbers) -> Colony:
    parts = {
        habitat: ColonyPart(
            capacity=number_quantiles(days.capacity[0, place]),
            held=number_quantiles(days.held[0, place]),
            load=number_quantiles(days.load[0, place]),
            living_share=number_quantiles(days.share[place]),
        )
        for place, habitat in enumerate(HABITATS)
    }
    whole = (of[0].sum(axis=0) for of in (days.capacity, days.held, days.load))
    able, held, load = map(number_quantiles, whole)
    parts[WHOLE] = ColonyPart(able, held, load, number_quantiles(days.share.sum(axis=0)))
    return Colony(
        parts=parts,
        capacity=_bands(days.capacity),
        held=_bands(days.held),
        load=_bands(days.load),
        awake=number_quantiles(days.awake),
        losses={loss: _loss(days, loss, lucky) for loss in LOSSES},
        chance_enough=_enough(days, np.zeros_like(lucky)),
    )


def _bands(values: Numbers) -> Mapping[str, Band]:
    found = {habitat: band(values[:, place]) for place, habitat in enumerate(HABITATS)}
    return {**found, WHOLE: band(values.sum(axis=1))}


def _loss(days: GuildDays, loss: str, lucky: Numbers) -> ColonyLoss:
    row = value(KEPT_BY[loss])
    low = row.value if row.low is None else row.low
    high = row.value if row.high is None else row.high
    gone = 1.0 - (low + (high - low) * lucky)
    taken = days.share[FILTER] * gone
    return ColonyLoss(number_quantiles(taken), _enough(days, gone))


def _enough(days: GuildDays, gone: Numbers) -> float:
    """Chance that what stays holds the water at its level under the load of now."""
    stays = days.held[0].sum(axis=0) - gone * days.held[0, FILTER]
    return float((stays >= days.load[0].sum(axis=0)).mean())
