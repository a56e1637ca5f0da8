"""A year with every kind of event: nothing is lost and nothing comes from nowhere.

Inflows and outflows are counted from the day program's rows (food, animals, doses, water poured and
drained), not from what the model did with them; only the exchange with the air is the run's own.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pytest
from eventful_tank import eventful_tank
from numpy.typing import NDArray
from tank_runs import LUCK, MEMBERS, Batch, Piece, prior_batch, run

from watervane.process.noise import food_multiplier
from watervane.process.state import COLUMN, MATRIX
from watervane.process.timeline import timeline

Numbers = NDArray[np.float64]
QUARTER_D, YEAR_D = 92, 366  # events are densest in the first weeks
STEPS = 24
KINDS = ("nitrogen", "charge", "oxygen demand")
CONTENT = MATRIX.content.T
BODIES = [COLUMN["animal_nitrogen"], COLUMN["animal_matter"]]
COLONIES = [
    COLUMN[f"{guild}_oxidisers_{habitat}"]
    for guild in ("ammonia", "nitrite")
    for habitat in ("bed", "filter", "surface")
]
VAPOUR = (0.61121, 17.502, 240.97)  # buck1981


@dataclass
class Ledger:
    """Sums over a run, shape (3, members) or (members,)."""

    first: Numbers
    last: Numbers
    brought: Numbers
    taken: Numbers
    aired: Numbers
    turned_over: Numbers
    water: dict[str, Numbers] = field(default_factory=dict)
    lowest: dict[str, float] = field(default_factory=dict)


def _poured_and_drained(piece: Piece) -> tuple[Numbers, Numbers]:
    """Water in and out, over the full tank, shape (rows, members)."""
    rows, water = piece.rows, piece.before.volume_ratio
    stay = water * rows["volume_keep"][:, 0]
    missing = rows["fill_to_mark"][:, 0] * np.maximum(1.0 - stay, 0.0)
    return rows["volume_add"][:, 0] + missing, water - stay


def _taken(piece: Piece) -> Numbers:
    """Drained with the water, carried out with animals, washed off; (rows, components, members)."""
    rows, before = piece.rows, piece.before.amounts
    keep = rows["keep"][:, :, 0, :] * np.ones(MEMBERS)
    low, high = rows["colony_keep_low"][:, :, 0, :], rows["colony_keep_high"][:, :, 0, :]
    keep[:, COLONIES] *= np.tile(low + LUCK * (high - low), (1, 2, 1))
    gone = before * (1.0 - keep)
    dead = rows["died_share"] * (before * keep)[:, BODIES]
    gone[:, BODIES] += dead * (1.0 - rows["died_stays"])
    return gone


def _brought(batch: Batch, piece: Piece, poured: Numbers) -> Numbers:
    """Poured in, conditioned, dosed, fed, seeded, and the animals; (rows, components, members)."""
    rows, theta, source = piece.rows, batch.theta, batch.source[:, 0, :]
    salty = poured * (1.0 - rows["pure"][:, 0])
    water = source * salty[:, None] + rows["water_differs"][:, :, 0, :] * poured[:, None]
    poison = water[:, COLUMN["chlorine"]] + water[:, COLUMN["chloramine"]]
    dosed = np.exp(rows["dose_log_spread"][:, 0] * theta["dose_deviation"][0])
    added = water + rows["add"][:, :, 0, :] * dosed[:, None]
    added[:, COLUMN["dechlorinator"]] += rows["conditioned"][:, 0] * poison
    added[:, BODIES] += (theta["animal_mass_multiplier"] - 1.0) * rows["add"][:, BODIES, 0]
    meal = (
        rows["food_mg_n_per_l"][:, 0]
        * np.exp(rows["food_log_spread"][:, 0] * theta["pinch_deviation"][0])
        * theta["food_multiplier"][0]
        * piece.food
    )
    added[:, COLUMN["food_nitrogen"]] += meal
    added[:, COLUMN["organic_matter"]] += meal * rows["food_mg_o2_per_mg_n"][:, 0]
    low, high = rows["seed_keep_low"], rows["seed_keep_high"]
    seeded = rows["seed_area_per_l"][:, :, 0, :] * (low + LUCK * (high - low))
    densities = [theta[f"seed_{g}_density_mg_per_m2"] for g in ("ammonia", "nitrite")]
    added[:, COLONIES] += np.concatenate([seeded * d for d in densities], axis=1)
    rise = piece.acted.amounts[:, COLUMN["ammonia"]] - piece.before.amounts[:, COLUMN["ammonia"]]
    rise = np.where(rows["ammonia_target_mg_n_per_l"][:, 0] >= 0.0, rise, 0.0)
    added[:, COLUMN["ammonia"]] += rise
    added[:, COLUMN["chloride"]] += rise * rows["target_chloride_mmol_per_mg_n"][:, 0]
    return added


def _summed(content: Numbers, amounts: Numbers) -> Numbers:
    result: Numbers = np.einsum("kc,rcm->km", content, amounts)
    return result


def _evaporated(batch: Batch, piece: Piece) -> Numbers:
    """Water gone as vapour, by the pressure at its start and its estimated end."""
    a, b, c = VAPOUR
    geometry, rows = batch.geometry, piece.rows
    room = rows["room_temperature_c"][:, 0] + batch.theta["room_temperature_deviation_c"][0]

    def pressure(t: Numbers) -> Numbers:
        return a * np.exp(b * t / (c + t))

    def rate(t: Numbers) -> Numbers:
        return geometry["evaporation_l_per_d_per_kpa"][0] * np.maximum(
            pressure(t) - 0.5 * pressure(room), 0.0
        )

    step = rows["step_d"][:, 0]
    loss = geometry["heat_loss_w_per_k"][0]
    capacity = 4186.0 / 86400.0 * 0.997 * geometry["volume_l"][0]
    start = piece.acted.temperature_c
    first = rate(start)
    rest = room - first * (2.442e6 / 86400.0 * 0.997) / loss
    fade = np.exp(-loss * step / capacity)
    cold = rest + (start - rest) * fade
    power = rows["heater_running"][:, 0] * geometry["heater_power_w"][0]
    wanted = rows["set_point_c"][:, 0] + batch.theta["set_point_deviation_c"][0]
    end = np.clip(wanted, cold, cold + power / loss * (1.0 - fade))
    return 0.5 * (first + rate(end)) * step / geometry["volume_l"][0]


def _food(day: int) -> Numbers:
    return food_multiplier(1, np.arange(MEMBERS), day)


@pytest.fixture(scope="module", params=[QUARTER_D, pytest.param(YEAR_D, marks=pytest.mark.slow)])
def ledger(request: pytest.FixtureRequest) -> Ledger:
    """Sums over some days, member by member."""
    days: int = request.param
    batch = prior_batch(timeline(eventful_tank(), days))
    open_rows = [i for i, k in enumerate(MATRIX.kinds) if k == "open"]
    first = CONTENT @ batch.start.amounts[:, 0, :]
    zero = np.zeros((3, MEMBERS))
    book = Ledger(first, first, zero.copy(), zero.copy(), zero.copy(), zero.copy())
    totals = {n: np.zeros(MEMBERS) for n in ("poured", "drained", "evaporated")}
    lowest = np.full(len(COLUMN), np.inf)
    for piece in run(batch, (0, days), STEPS, food=_food):
        poured, drained = _poured_and_drained(piece)
        brought, taken = _brought(batch, piece, poured), _taken(piece)
        book.brought += _summed(CONTENT, brought)
        book.taken += _summed(CONTENT, taken)
        book.turned_over += _summed(np.abs(CONTENT), np.abs(brought) + np.abs(taken))
        totals["poured"] += poured.sum(axis=0)
        totals["drained"] += drained.sum(axis=0)
        totals["evaporated"] += _evaporated(batch, piece).sum(axis=0)
        book.aired += np.einsum(
            "kp,rpm->km", CONTENT @ MATRIX.coefficients[open_rows].T, piece.extents[:, open_rows]
        )
        lowest = np.minimum(lowest, piece.after.amounts.min(axis=(0, 2)))
        book.last = CONTENT @ piece.after.amounts[-1]
        totals["present"] = piece.after.volume_ratio[-1]
    book.water = totals
    book.lowest = {c: float(lowest[i]) for c, i in COLUMN.items()}
    return book


@pytest.mark.parametrize("kind", KINDS)
def test_the_books_close(ledger: Ledger, kind: str) -> None:
    k = KINDS.index(kind)
    left = ledger.first + ledger.brought - ledger.taken + ledger.aired - ledger.last
    scale = ledger.turned_over + np.abs(ledger.aired)
    assert scale[k].min() > 1.0, "the days moved something"
    assert np.abs(left[k] / scale[k]).max() < 1e-9


def test_the_water_closes(ledger: Ledger) -> None:
    water = ledger.water
    left = 1.0 + water["poured"] - water["drained"] - water["evaporated"] - water["present"]
    assert water["evaporated"].min() > 0.05
    assert np.abs(left / (1.0 + water["poured"])).max() < 1e-9


def test_nothing_falls_below_zero_in_those_days(ledger: Ledger) -> None:
    may_be_negative = {"alkalinity"}
    below = {c: v for c, v in ledger.lowest.items() if c not in may_be_negative and v < -1e-6}
    assert not below
