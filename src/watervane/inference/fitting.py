"""Members of a tank drawn from the posterior of its readings.

The sampler begins with several lots of prior members, of which the readings, taken to a low
power, choose one lot; from there it tempers and moves (see `tempered`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.inference.anchored_target import target_of
from watervane.inference.anchors import Anchor
from watervane.inference.priors import prior_members, prior_whitened
from watervane.inference.tank_target import TankTarget
from watervane.inference.target import Evaluated, Info, Population
from watervane.inference.tempered import Effort, sample
from watervane.inference.weighting import power_for
from watervane.process.run import Members
from watervane.process.timeline import Timeline
from watervane.records import Reading

QUICK = Effort(at_end=0.35, most_between=2, most_at_end=6)
THOROUGH = Effort(most_between=10, most_at_end=30)
# Readings up to which the quick effort is enough, and from which only the thorough one is:
# measured on long logs of invented tanks (docs/evidence.md).
FEW_READINGS, MANY_READINGS = 36, 84
# Days of a log up to which more effort is worth its time. A year takes minutes even quickly; a
# tank of the journal is carried on from anchors instead, a stretch of some months at a time.
SHORT_LOG_D, LONG_LOG_D = 90, 180
PRIOR_LOTS = 3
FIRST_SHARE = 0.8  # effective members over members, when the first lot is chosen
GOOD_EFFECTIVE, LEAST_EFFECTIVE = 60.0, 20.0
_LOT = 1 << 20  # numbers of different lots never meet


@dataclass(frozen=True)
class Fitted:
    """Members that agree with the readings, all of one weight.

    Parameters
    ----------
    members
        Of the forecast.
    tried
        Members run through the readings in all.
    effective
        Members drawn independently that would tell as much.
    fit
        Chance of each reading or one farther out, as those of other days foretell it, shape
        (readings,); see `CrossCheck`.
    info
        How the sampler went; ``None`` without readings.
    z, names
        Whitened unknowns of the members, shape (unknowns, members), and their names; ``None``
        without readings.
    each
        Log likelihood of each reading given those of its kit before it, shape
        (readings, members).
    families
        See `Posterior`; shape (members,).
    without
        Log likelihood of all readings but one, less that of all, shape (readings, members).
    """

    members: Members
    tried: int
    effective: float
    fit: NDArray[np.float64]
    info: Info | None
    z: NDArray[np.float64] | None = None
    names: tuple[str, ...] = ()
    each: NDArray[np.float64] | None = None
    families: NDArray[np.int64] | None = None
    without: NDArray[np.float64] | None = None

    @property
    def health(self) -> str:
        """``good``, ``thin`` or ``poor``."""
        if self.z is None or self.effective >= GOOD_EFFECTIVE:
            return "good"
        return "thin" if self.effective >= LEAST_EFFECTIVE else "poor"


def fit_members(
    line: Timeline,
    readings: Sequence[Reading],
    count: int,
    seed: int,
    threads: int,
    *,
    effort: Effort | None = None,
    restless: bool = True,
    anchor: Anchor | None = None,
    progress: Callable[[float], None] | None = None,
) -> Fitted:
    """Draw members of a tank that agree with its readings.

    Parameters
    ----------
    line
        The tank, made ready past its last reading.
    readings
        That some observation model can explain.
    count
        Members wanted.
    seed
        Of all random numbers.
    threads
        See `simulate`.
    effort
        How long members are moved; left out, as long as so many readings ask for.
    restless
        See `TankTarget`.
    anchor
        Where to begin, in place of filling; readings before it are left out.
    progress
        Called with the share done.
    """
    if not readings:
        drawn = prior_members(line.tank, np.arange(count), seed)
        return Fitted(drawn, count, float(count), np.zeros(0), None)
    target = target_of(line, readings, seed, threads, anchor, restless=restless)
    start = _head_start(target, count, seed, _part(progress, 0.0, 0.2))
    effort = effort_for(len(readings), target.last_day) if effort is None else effort
    posterior = sample(
        target, count, seed, start=start, effort=effort, progress=_part(progress, 0.2, 0.8)
    )
    z = target.unfolded(posterior.z)
    checked = target.cross_check(z, posterior.evaluated)
    return Fitted(
        target.members(z),
        count * (PRIOR_LOTS + posterior.info.sweeps),
        min(posterior.info.effective, float(count)),
        checked.fit,
        posterior.info,
        z,
        target.names,
        np.asarray(posterior.evaluated.kept["each"], dtype=np.float64),
        posterior.families,
        checked.without,
    )


def effort_for(readings: int, days: int = 0) -> Effort:
    """How long members must be moved, at most, to forget a prior that so many readings narrow.

    Moving stops by measurement; what grows is the number of sweeps after which it stops anyway,
    and how much of the old may be left then. Of logs of many months it is not raised.
    """
    many = (readings - FEW_READINGS) / (MANY_READINGS - FEW_READINGS)
    short = (LONG_LOG_D - days) / (LONG_LOG_D - SHORT_LOG_D)
    share = min(max(many, 0.0), 1.0) * min(max(short, 0.0), 1.0)

    def between(quick: float, thorough: float) -> float:
        return quick + share * (thorough - quick)

    return Effort(
        at_end=between(QUICK.at_end, THOROUGH.at_end),
        most_between=round(between(QUICK.most_between, THOROUGH.most_between)),
        most_at_end=round(between(QUICK.most_at_end, THOROUGH.most_at_end)),
    )


def _head_start(
    target: TankTarget, count: int, seed: int, progress: Callable[[float], None] | None
) -> Population:
    """Prior members with weights of the readings taken to a low power."""
    lots, found = [], []
    for lot in range(PRIOR_LOTS):
        z = prior_whitened(target.names, np.arange(count) + lot * _LOT, seed)
        lots.append(z)
        found.append(target.evaluate(z))
        if progress is not None:
            progress((lot + 1) / PRIOR_LOTS)
    likelihood = np.concatenate([f.log_likelihood for f in found])
    target.included = power_for(likelihood, FIRST_SHARE * count)
    base = target.included * likelihood
    kept = {name: np.concatenate([f.kept[name] for f in found], axis=-1) for name in found[0].kept}
    return Population(np.concatenate(lots, axis=1), Evaluated(likelihood, kept, base), base.copy())


def _part(
    progress: Callable[[float], None] | None, begin: float, size: float
) -> Callable[[float], None] | None:
    if progress is None:
        return None
    return lambda share: progress(begin + size * share)
