"""How far moved members still resemble those before the moves."""

from __future__ import annotations

import numpy as np

from watervane.inference.shape import Shape
from watervane.inference.target import Floats, Mixing


def correlations(before: Floats, after: Floats) -> Floats:
    """Correlation over members, row by row."""
    one = before - before.mean(axis=1, keepdims=True)
    two = after - after.mean(axis=1, keepdims=True)
    scale = np.sqrt((one**2).sum(axis=1) * (two**2).sum(axis=1))
    together = (one * two).sum(axis=1)
    return np.asarray(np.where(scale > 0.0, together / np.where(scale > 0.0, scale, 1.0), 1.0))


def measure(
    before: tuple[Floats, Floats],
    after: tuple[Floats, Floats],
    shape: Shape,
    lasting: int,
) -> Mixing:
    """Correlations between members before and after moves.

    Parameters
    ----------
    before, after
        Turned unknowns, shape (unknowns, members), and log likelihood, shape (members,).
    shape
        Fitted to the whole population, for its known directions.
    lasting
        Turned rows that are lasting unknowns; they come first.
    """
    old, new = before[0], after[0]
    known, leading = shape.known, len(shape.axes)
    rows = correlations(old[:lasting], new[:lasting])
    axes = shape.axes[:known]
    along = correlations(axes @ old[:leading], axes @ new[:leading])
    others = shape.axes[known:]
    free = (
        np.concatenate([others @ old[:leading], old[leading:]]),
        np.concatenate([others @ new[:leading], new[leading:]]),
    )
    return Mixing(
        lasting=float(rows.max(initial=0.0)),
        known=float(along.max(initial=0.0)),
        free=_pooled(*free),
        likelihood=float(correlations(before[1][None], after[1][None])[0]),
        drift=max(
            _drift(old[:lasting], new[:lasting]),
            _drift(axes @ old[:leading], axes @ new[:leading]),
            _drift(before[1][None], after[1][None]),
        ),
    )


def _drift(old: Floats, new: Floats) -> float:
    """Largest change of a row's mean, in units of the row's spread after it."""
    spread = new.std(axis=1)
    change = np.abs(new.mean(axis=1) - old.mean(axis=1))
    return float((change / np.where(spread > 0.0, spread, 1.0)).max(initial=0.0))


def _pooled(old: Floats, new: Floats) -> float:
    """One correlation over all rows together."""
    if len(old) == 0:
        return 0.0
    one = old - old.mean(axis=1, keepdims=True)
    two = new - new.mean(axis=1, keepdims=True)
    return float((one * two).sum() / np.sqrt((one**2).sum() * (two**2).sum()))
