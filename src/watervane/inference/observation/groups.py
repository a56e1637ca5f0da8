"""From a list of readings to the models that explain them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from watervane.inference.observation.intervals import IntervalModel, Way
from watervane.inference.observation.ion_basis import basis_chances, unknown_basis
from watervane.inference.observation.model import Face, ObservationModel
from watervane.inference.observation.photometer import DigitFace, usual_resolution
from watervane.inference.observation.probe import ProbeModel
from watervane.inference.observation.sample import Sample, sample
from watervane.inference.observation.sizes import ADDITIVE, RATIO_ION_TO_N
from watervane.inference.observation.source_tests import OF_SOURCE
from watervane.inference.observation.steps import NEAREST, StepFace, UsualFace, zero_habits
from watervane.inference.observation.word_of_mouth import word_of_mouth
from watervane.inference.observed import MODELLED
from watervane.records import WHOLE_WATER, Kit, Reading, Tank


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


def kit_steps(reading: Reading, kit: Kit | None) -> tuple[float, ...] | None:
    """Steps a reading could have shown; where a concentration is told, zero is one of them."""
    scale = None if kit is None else kit.scale(reading.quantity)
    if scale is None or len(scale.steps) < 2:
        return None
    ratio = _unit_ratio(reading, kit)
    steps = tuple(ratio * step for step in scale.steps)
    if steps[0] > 0.0 and reading.quantity not in ADDITIVE:
        return (0.0, *steps)
    return steps


def _unit_ratio(reading: Reading, kit: Kit | None) -> float:
    """Of a scale without a basis, once a reading tells that it reads as nitrogen."""
    scale = None if kit is None else kit.scale(reading.quantity)
    if scale is None or scale.basis != "unknown" or reading.value.basis != "n":
        return 1.0
    return RATIO_ION_TO_N[reading.quantity]


def face(reading: Reading, kit: Kit | None, *, zero_cut: float = NEAREST) -> Face:
    """What a reading was read off: printed steps, digits, or the steps of a usual kit."""
    steps = kit_steps(reading, kit)
    if steps is not None:
        return StepFace(reading.quantity, steps, zero_cut)
    scale = None if kit is None else kit.scale(reading.quantity)
    told = None if scale is None else scale.resolution
    photometer = kit is not None and kit.kind == "photometer"
    if told is None and not photometer:
        return UsualFace(reading.quantity)
    ratio = _unit_ratio(reading, kit)
    end = None if scale is None else scale.range_end
    return DigitFace(
        reading.quantity,
        usual_resolution(reading.quantity) if told is None else ratio * told,
        np.inf if end is None else ratio * end,
    )
