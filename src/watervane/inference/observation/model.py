"""What every observation model offers, and what it is given."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from watervane.inference.observation.left_out import LeftOut
from watervane.kits.face import Array
from watervane.process.run import Course

Unknowns = Mapping[str, Array]
# Uniform numbers in (0, 1) of all members for a stream and a place, never by call order.
Uniform = Callable[[str, int], Array]
WHOLE_GROUP = -1  # the place of a draw that all readings of a group share


@dataclass(frozen=True)
class Seen:
    """What the members' water was at each reading.

    Parameters
    ----------
    course
        What the members' water did.
    stops
        The stop of the course each reading belongs to, shape (readings,); not looked at for
        a test of the source water.
    source
        The members' source water by component, shape (components, members); needed where
        the source water was tested.
    """

    course: Course
    stops: NDArray[np.int64]
    source: Array | None = None

    @property
    def count(self) -> int:
        """Members."""
        return int(self.course.outputs.shape[-1])


class ObservationModel(Protocol):
    """Explains all readings of one kit and quantity.

    ``names`` are the whitened unknowns it needs, standard normal under the prior; ``readings``
    the places of the readings it explains. Rows of `log_likelihood` are conditional
    contributions, each given the rows above it: their sum is the group's likelihood.
    `simulate` runs the same model forwards and hands out what the kit would show, in the
    canonical unit on the basis of each reading, infinite where it runs off its range. `tail` is
    the chance of a reading at least as far out on that side, doubled, or of one that has nothing
    to do with the water: how well a reading fits, whatever the kit's steps or digits.
    `left_out` tells what the group says without each of some parts of it, for asking how the
    rest would have foretold that part.
    """

    @property
    def names(self) -> tuple[str, ...]: ...

    @property
    def readings(self) -> tuple[int, ...]: ...

    def log_likelihood(self, seen: Seen, unknowns: Unknowns) -> Array: ...

    def tail(self, seen: Seen, unknowns: Unknowns) -> Array: ...

    def left_out(self, seen: Seen, unknowns: Unknowns, parts: NDArray[np.int64]) -> LeftOut: ...

    def simulate(self, seen: Seen, unknowns: Unknowns, uniform: Uniform) -> Array: ...
