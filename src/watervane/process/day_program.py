"""A day as rows of data: points in time, what happens there, what holds until the next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from watervane.process.state import COLUMN, COMPONENTS

ROWS_PER_CALL = 128  # one compiled program serves every day: longer days take more calls
REPORTS_PER_CALL = 32

VECTOR_FIELDS: Mapping[str, float] = {"keep": 1.0, "add": 0.0, "water_differs": 0.0}
HABITAT_FIELDS: Mapping[str, float] = {
    "colony_keep_low": 1.0,
    "colony_keep_high": 1.0,
    "seed_area_per_l": 0.0,
}
ACTION_FIELDS: Mapping[str, float] = {
    "volume_keep": 1.0,
    "volume_add": 0.0,
    "fill_to_mark": 0.0,
    "pure": 0.0,
    "conditioned": 1.0,
    "poured_temperature_c": 20.0,
    "food_mg_n_per_l": 0.0,
    "food_log_spread": 0.0,
    "food_mg_o2_per_mg_n": 18.0,
    "mouths": 0.0,
    "died_share": 0.0,
    "died_stays": 0.0,
    "planted_mg_n_per_l": 0.0,  # in plants, where they grow as is usual
    "unseen_share": 0.0,  # of the animals, should one die unseen this week
    "dose_log_spread": 0.0,
    "ammonia_target_mg_n_per_l": -1.0,
    "target_alkalinity_meq_per_mg_n": 0.0,
    "target_chloride_mmol_per_mg_n": 0.0,
    "seed_keep_low": 1.0,
    "seed_keep_high": 1.0,
    "seed_log_down": 0.0,  # spread of the logarithm of what is alive, below and above the middle
    "seed_log_up": 0.0,
}
FORCING_FIELDS: Mapping[str, float] = {
    "step_d": 0.0,
    "acts": 0.0,
    "filter_running": 1.0,
    "filter_stale": 0.0,  # 1 once the filter has stood still for longer than its colony bears
    "heater_running": 1.0,
    "gas_transfer_share": 1.0,
    "light": 0.0,
    "co2_held_mmol_per_l": 0.0,
    "room_temperature_c": 20.0,
    "set_point_c": -50.0,
    "respiration_mg_o2_per_mg_n_d": 0.0,
    "fasting_excretion_per_d": 0.0,
}

Rows = dict[str, NDArray[np.float64]]


@dataclass(frozen=True)
class Action:
    """What one event does to a tank, at one moment.

    Parameters
    ----------
    at_d
        Days since local midnight of the fill date. [d]
    scalars
        Fields of `ACTION_FIELDS`.
    vectors
        Fields of `VECTOR_FIELDS` by component name; ``keep`` may name a phase instead.
    habitats
        Fields of `HABITAT_FIELDS`, bed, filter, surface.
    """

    at_d: float
    scalars: Mapping[str, float] = field(default_factory=dict)
    vectors: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    habitats: Mapping[str, Sequence[float]] = field(default_factory=dict)


def empty_rows(count: int) -> Rows:
    """Rows in which nothing happens and no time passes, for one tank.

    Returns
    -------
    dict
        Arrays of shape (rows, 1, 1), or (rows, components | 3, 1, 1).
    """
    return {name: np.array(values) for name, values in _idle(count).items()}


@lru_cache(maxsize=256)
def _idle(count: int) -> Rows:
    rows: Rows = {}
    for name, value in {**ACTION_FIELDS, **FORCING_FIELDS}.items():
        rows[name] = np.full((count, 1, 1), value)
    for name, value in VECTOR_FIELDS.items():
        rows[name] = np.full((count, len(COMPONENTS), 1, 1), value)
    for name, value in HABITAT_FIELDS.items():
        rows[name] = np.full((count, 3, 1, 1), value)
    return rows


def write_action(rows: Rows, index: int, action: Action) -> None:
    """Put an action into a row."""
    rows["acts"][index] = 1.0
    for name, value in action.scalars.items():
        rows[name][index] = value
    for name, values in action.vectors.items():
        for component, value in values.items():
            rows[name][index, COLUMN[component]] = value
    for name, shares in action.habitats.items():
        rows[name][index, :, 0, 0] = shares


def padded(
    rows: Rows, size: int = ROWS_PER_CALL, cuts: Sequence[tuple[int, int]] | None = None
) -> list[Rows]:
    """Cut rows into pieces of one size, filled up with rows in which nothing happens.

    Parameters
    ----------
    rows
        Of a day.
    size
        Rows of each piece.
    cuts
        First row and end of each piece; as few as may be by default.
    """
    pieces: list[Rows] = []
    for start, stop in pieces_of(len(rows["step_d"]), (), size) if cuts is None else cuts:
        piece = empty_rows(size)
        for name, values in rows.items():
            piece[name][: stop - start] = values[start:stop]
        pieces.append(piece)
    return pieces


def pieces_of(
    count: int,
    reported: Sequence[int],
    size: int = ROWS_PER_CALL,
    reports: int = REPORTS_PER_CALL,
    apart: Sequence[int] = (),
) -> list[tuple[int, int]]:
    """First row and end of each piece, so that none holds too many rows or reports.

    Rows in ``apart`` begin a piece, since what the tank is made of is packed for whole pieces.
    """
    found = []
    start = 0
    while start < count:
        stop = min([start + size, count, *(row for row in apart if row > start)])
        inside = sorted({r for r in reported if start <= r < stop})
        if len(inside) > reports:
            stop = inside[reports]
        found.append((start, stop))
        start = stop
    return found
