"""What the watch looks for, and when it speaks.

The sum of ratios is held against ``readings a year / false alarms a year * factor``. The factors
are found by simulated honest logs (``docs/evidence/watch.md``): at 1 the theorem of `drift_test`
keeps the rate even if nothing is ever reset, and as a log has an end and readings are coarse it is
kept with less. KH, whose slide ends in a fall of pH, is given most of what is put up with.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from watervane.advice.drift_test import Shape

FLOW = "flow-fading"  # natural log of what was measured
FALSE_ALARMS_PER_Y = 1.0  # of all kinds together, at most
EACH_PER_Y = 0.2  # of one kind
FEWEST_LOOKS_PER_Y = 26.0  # a log of few readings is held to those of a fortnightly one


@dataclass(frozen=True)
class WatchedKind:
    """One kind of drift.

    Parameters
    ----------
    quantity
        That is read.
    series
        Of a forecast.
    shapes
        It may take, in the unit of the quantity.
    factor
        See the module.
    """

    quantity: str
    series: tuple[str, ...]
    shapes: tuple[Shape, ...]
    factor: float = 1.0


def _slopes(*by_week: float) -> tuple[Shape, ...]:
    return tuple(Shape(by_week=each) for each in by_week)


KINDS: Mapping[str, WatchedKind] = MappingProxyType(
    {
        "nitrate-rising": WatchedKind(
            "nitrate",
            ("nitrate_mg_n_per_l", "nitrite_mg_n_per_l"),
            _slopes(1.0, 2.0, 4.0, 8.0),
            1.0,
        ),
        "kh-sliding": WatchedKind("kh", ("kh_dkh",), _slopes(-0.3, -0.6, -1.2, -2.4), 0.15),
        "ammonia-back": WatchedKind(
            "ammonia",
            ("ammonia_mg_n_per_l",),
            (Shape(at_once=0.3), Shape(at_once=0.6), Shape(at_once=1.2), *_slopes(0.2, 0.5)),
            1.0,
        ),
        "temperature-wanders": WatchedKind(
            "temperature",
            ("temperature_c",),
            (
                *(Shape(at_once=each) for each in (-3.0, -1.5, 1.5, 3.0)),
                *_slopes(-0.7, 0.7),
                Shape(wider=3.0),
            ),
            0.5,
        ),
        FLOW: WatchedKind(
            "flow",
            (),
            (*_slopes(-0.02, -0.05, -0.1), Shape(at_once=-0.3), Shape(at_once=-0.7)),
            0.5,
        ),
    }
)


def threshold(kind: str, looks_per_y: float) -> float:
    """The sum of ratios from which a drift is told.

    Parameters
    ----------
    kind
        Of `KINDS`.
    looks_per_y
        Readings of its quantity a year. [1/a]
    """
    return KINDS[kind].factor * max(looks_per_y, FEWEST_LOOKS_PER_Y) / EACH_PER_Y
