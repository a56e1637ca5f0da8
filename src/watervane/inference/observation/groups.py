"""From a list of readings to the models that explain them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from watervane.inference.observation.intervals import IntervalModel, Way
from watervane.inference.observation.model import ObservationModel
from watervane.inference.observation.probe import ProbeModel
from watervane.inference.observation.sample import Sample, sample
from watervane.inference.observation.source_tests import OF_SOURCE
from watervane.inference.observation.word_of_mouth import word_of_mouth
from watervane.inference.observed import MODELLED
from watervane.kits.basis import basis_chances, unknown_basis
from watervane.kits.faces import face, kit_steps
from watervane.kits.sizes import ADDITIVE
from watervane.kits.steps import NEAREST, zero_habits
from watervane.records import WHOLE_WATER, Reading, Tank


def observation_models(tank: Tank, readings: Sequence[Reading]) -> tuple[ObservationModel, ...]:
    """One model for the readings of each kit and quantity.

    Parameters
    ----------
    tank
        For its kits, doses and calendar.
    readings
        In any order, of quantities the model knows.
    """
    order = sorted(range(len(readings)), key=lambda i: readings[i].at)
    groups: dict[tuple[str | None, str, bool], list[int]] = {}
    for place in order:
        reading = readings[place]
        series = is_series(tank, reading)
        groups.setdefault((reading.kit, reading.quantity, series), []).append(place)
    return tuple(_model(tank, readings, places) for places in groups.values())


def is_series(tank: Tank, reading: Reading) -> bool:
    """Whether a reading belongs to a probe's series: one value, not "more than"."""
    kit = tank.kits.get(reading.kit) if reading.kit else None
    return kit is not None and kit.kind == "probe" and reading.value.low == reading.value.high


def can_explain(reading: Reading) -> bool:
    """Whether a model answers for a reading: of the tank, of its source, or somebody's word."""
    if reading.of_source_water:
        return reading.quantity in OF_SOURCE
    return reading.quantity in (*MODELLED, WHOLE_WATER)


def latent_names(models: Sequence[ObservationModel]) -> tuple[str, ...]:
    """Whitened unknowns of all models, each once."""
    return tuple(sorted({name for model in models for name in model.names}))


def _model(tank: Tank, readings: Sequence[Reading], places: Sequence[int]) -> ObservationModel:
    first = readings[places[0]]
    if first.quantity == WHOLE_WATER:
        return word_of_mouth(readings, places)
    group = sample(tank, readings, places)
    if is_series(tank, first):
        unclear = _unclear(group)
        return ProbeModel(group, _bases(group, unclear), unclear, group.errors.outlier_chance)
    return IntervalModel(group, _ways(group))


def _unclear(group: Sample) -> NDArray[np.bool_]:
    return np.array([unknown_basis(r) for r in group.readings])


def _bases(group: Sample, unclear: NDArray[np.bool_]) -> dict[float, float]:
    return basis_chances(group.quantity) if unclear.any() else {1.0: 1.0}


def _ways(group: Sample) -> tuple[Way, ...]:
    """Every basis with every habit of saying 0."""
    first = group.readings[0]
    unclear = _unclear(group)
    steps = kit_steps(first, group.kit)
    habits = {NEAREST: 1.0}
    if steps is not None and steps[0] == 0.0 and group.quantity not in ADDITIVE:
        scale = group.scale
        habits = zero_habits(printed=scale is not None and scale.steps[0] == 0.0)
    return tuple(
        Way(
            basis_chance * habit_chance,
            tuple(face(r, group.kit, zero_cut=cut) for r in group.readings),
            np.where(unclear, ratio, 1.0),
        )
        for ratio, basis_chance in _bases(group, unclear).items()
        for cut, habit_chance in habits.items()
    )
