"""How likely members make each thing a kit could show, by the models that weigh readings.

What a kit showed before the forecast also tells in which way it is read (its basis, what its 0
means): each member weighs the ways by the readings that were used, and only by those.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from watervane.engine.showable import Showable
from watervane.inference.fitting import Fitted
from watervane.inference.observation import Seen, observation_models
from watervane.inference.observation.intervals import IntervalModel
from watervane.inference.observation.probe import ProbeModel
from watervane.inference.priors import prior_whitened
from watervane.kits.face import Cell
from watervane.process.calendar import Calendar
from watervane.process.run import Course
from watervane.records import Reading, Tank

Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class Witnesses:
    """Members with what their water did and what is known of their kits.

    Parameters
    ----------
    course
        With a stop at every reading.
    stop_of
        From a reading to its stop.
    source
        Source water, shape (components, members).
    unknown
        Whitened unknown of a kit by name, shape (members,).
    """

    course: Course
    stop_of: Callable[[Reading], int]
    source: Numbers
    unknown: Callable[[str], Numbers]


def witnesses(course: Course, fitted: Fitted, calendar: Calendar, seed: int) -> Witnesses:
    """The members of a forecast as witnesses.

    Parameters
    ----------
    course
        What their water did.
    fitted
        The members; unknowns of kits that were not read yet are drawn from the prior.
    calendar
        Of the tank.
    seed
        Of the forecast.
    """
    rows = {name: row for row, name in enumerate(fitted.names)}

    def stop_of(reading: Reading) -> int:
        return int(np.abs(course.stops_d - calendar.days(reading.at)).argmin())

    def unknown(name: str) -> Numbers:
        if fitted.z is not None and name in rows:
            return np.asarray(fitted.z[rows[name]])
        return np.asarray(prior_whitened((name,), fitted.members.numbers, seed)[0])

    return Witnesses(course, stop_of, fitted.members.source, unknown)


def kit_chances(
    tank: Tank, used: Sequence[Reading], later: Sequence[Showable], members: Witnesses
) -> list[Numbers]:
    """Chance of each thing a kit could show at later readings, mean over members.

    Parameters
    ----------
    tank
        For its kits and doses.
    used
        Readings the members have seen.
    later
        What could be shown after those.
    members
        Of equal weight.

    Returns
    -------
    list of array
        For each later reading, shape (values + 1,): the last is the chance of the reading as
        it came. A probe's passing error is taken as forgotten since it was read last.
    """
    return [each.mean(axis=1) for each in chances_by_member(tank, used, later, members)]


def chances_by_member(
    tank: Tank, used: Sequence[Reading], later: Sequence[Showable], members: Witnesses
) -> list[Numbers]:
    """The same by each member, shape (values + 1, members) each; see `kit_chances`."""
    entries, spans = list(used), []
    for one in later:
        told = (one.reading,) if one.series else (*one.instead, one.reading)
        spans.append(range(len(entries), len(entries) + len(told)))
        entries += told
    stops = np.array([members.stop_of(r) for r in entries], dtype=np.int64)
    seen = Seen(members.course, stops, members.source)
    chances = np.zeros((len(entries), seen.count))
    of_probes: dict[int, Numbers] = {}
    cells = {span[0]: one.cells for span, one in zip(spans, later, strict=True) if one.series}
    for model in observation_models(tank, entries):
        if all(place < len(used) for place in model.readings):
            continue
        unknowns = {name: members.unknown(name) for name in model.names}
        if isinstance(model, IntervalModel):
            chances[list(model.readings)] = _of_steps(model, len(used), seen, unknowns)
        elif isinstance(model, ProbeModel):
            of_probes |= _of_probe(model, len(used), seen, unknowns, cells)
    return [
        of_probes[span[0]] if one.series else chances[span.start : span.stop]
        for span, one in zip(spans, later, strict=True)
    ]


def _of_steps(model: IntervalModel, used: int, seen: Seen, unknowns: dict[str, Numbers]) -> Numbers:
    known = np.array(model.readings) < used
    rows = [
        IntervalModel(model.sample, (replace(way, chance=1.0),)).log_likelihood(seen, unknowns)
        for way in model.ways
    ]
    prior = [way.chance for way in model.ways]
    weights = _weights(prior, [row[known] for row in rows])
    found = np.sum([w * np.exp(row) for w, row in zip(weights, rows, strict=True)], axis=0)
    return np.asarray(found)


def _of_probe(
    model: ProbeModel,
    used: int,
    seen: Seen,
    unknowns: dict[str, Numbers],
    cells: dict[int, tuple[Cell, ...]],
) -> dict[int, Numbers]:
    known = np.array(model.readings) < used
    alone = [replace(model, bases={ratio: 1.0}) for ratio in model.bases]
    rows = [one.log_likelihood(seen, unknowns)[known] for one in alone]
    weights = _weights(list(model.bases.values()), rows)
    shown, spread = model.shown(seen, unknowns)
    found = {}
    for row, place in enumerate(model.readings):
        if place not in cells:
            continue
        low, high, stray = (
            np.array([getattr(cell, name) for cell in cells[place]])[:, None]
            for name in ("low", "high", "stray")
        )
        inside = np.zeros((len(low), seen.count))
        for weight, ratio in zip(weights, model.bases, strict=True):
            factor = ratio if model.unclear[row] else 1.0
            above, below = (ndtr((factor * e - shown[row]) / spread[row]) for e in (high, low))
            inside += weight * (above - below)
        found[place] = (1.0 - model.outlier_chance) * inside + model.outlier_chance * stray
    return found


def _weights(prior: Sequence[float], rows: Sequence[Numbers]) -> Numbers:
    """Chance of each way given the readings used, shape (ways, members)."""
    logs = np.array([np.log(p) + row.sum(axis=0) for p, row in zip(prior, rows, strict=True)])
    weights = np.exp(logs - logs.max(axis=0))
    return np.asarray(weights / weights.sum(axis=0))
