"""The observation models run forwards, and what a keeper would then write down."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from watervane.inference.observation.model import ObservationModel, Seen, Uniform, Unknowns
from watervane.inference.observation.word_of_mouth import FINE, NOT_FINE
from watervane.kits.face import Array
from watervane.kits.faces import face
from watervane.kits.photometer import DigitFace
from watervane.records import WHOLE_WATER, Kit, Reading, ReadingValue, Tank


def draw(
    models: Sequence[ObservationModel], seen: Seen, unknowns: Unknowns, uniform: Uniform
) -> Array:
    """Simulate what would be read, by the same models that weigh readings.

    Parameters
    ----------
    models
        Of all readings; their values are not looked at, only when and with what they were read.
    seen
        What the members' water was.
    unknowns
        Whitened, by `latent_names`, shape (members,) each.
    uniform
        Uniform numbers of all members for a stream and a place. The same keys give the same
        numbers, whatever is asked for first.

    Returns
    -------
    array, shape (readings, members)
        In the canonical unit of each quantity on the basis its reading is written on;
        infinite off the range of a photometer; 1 for "fine" and 0 for "not fine".
    """
    shown = np.full((len(seen.stops), seen.count), np.nan)
    for model in models:
        shown[list(model.readings)] = model.simulate(seen, unknowns, uniform)
    return shown


def written(tank: Tank, reading: Reading, shown: float) -> Reading:
    """The reading a keeper would write who is shown a value by the same kit at that moment.

    Parameters
    ----------
    tank
        For its kits.
    reading
        With what and when it is read.
    shown
        One number of `draw`.
    """
    if reading.quantity == WHOLE_WATER:
        kind = FINE if shown > 0.5 else NOT_FINE
        return replace(reading, value=ReadingValue(kind, None, None, "none", kind))
    basis = reading.value.basis
    if np.isinf(shown):
        end = face(reading, _kit(tank, reading))
        top = end.range_end if isinstance(end, DigitFace) else 0.0
        return replace(reading, value=ReadingValue("above", top, None, basis))
    return replace(reading, value=ReadingValue("exact", float(shown), float(shown), basis))


def possible(tank: Tank, reading: Reading) -> tuple[Reading, ...]:
    """Every reading the same kit could give at that moment; empty where it shows digits.

    Their likelihoods, each in the place of `reading`, sum to one over the list; of what shows
    digits there are too many to list, so draw them.
    """
    if reading.quantity == WHOLE_WATER:
        return tuple(written(tank, reading, said) for said in (1.0, 0.0))
    kit = _kit(tank, reading)
    read_off = face(reading, kit)
    if isinstance(read_off, DigitFace) or (kit is not None and kit.kind == "probe"):
        return ()
    return tuple(written(tank, reading, value) for value in read_off.values())


def _kit(tank: Tank, reading: Reading) -> Kit | None:
    return tank.kits.get(reading.kit) if reading.kit else None
