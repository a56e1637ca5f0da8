"""How long what is being worked out has still to go, by how far it came while it was looked at."""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import dataclass, replace

LEAST_S, LEAST_SHARE = 5.0, 0.02  # looked at for so long, and come so far, before it is told
FORGOTTEN_S = 60.0  # not looked at
KEPT = 200


@dataclass(frozen=True, slots=True)
class Paced:
    """Since when it is looked at, and how long its present part has to go, where that is known."""

    waited_s: float
    left_s: float | None


@dataclass(frozen=True, slots=True)
class _Seen:
    stage: str
    share: float
    stage_at: float
    first_at: float
    last_at: float


class Pace:
    """What was seen of each thing that is being worked out."""

    def __init__(self) -> None:
        self._seen: OrderedDict[str, _Seen] = OrderedDict()
        self._one = threading.Lock()

    def look(self, what: str, stage: str, share: float, now: float) -> Paced:
        """One look at something.

        Parameters
        ----------
        what
            Tells it from all else.
        stage, share
            The part it is at, and how much of that is done.
        now
            By a clock that only goes forwards. [s]
        """
        with self._one:
            seen = self._seen.get(what)
            if seen is None or now - seen.last_at > FORGOTTEN_S:
                seen = _Seen(stage, share, now, now, now)
            elif stage != seen.stage or share < seen.share:
                seen = _Seen(stage, share, now, seen.first_at, now)
            self._seen[what] = replace(seen, last_at=now)
            self._seen.move_to_end(what)
            while len(self._seen) > KEPT:
                self._seen.popitem(last=False)
        took, came = now - seen.stage_at, share - seen.share
        left = None
        if took >= LEAST_S and came >= LEAST_SHARE:
            left = took * (1.0 - share) / came
        return Paced(now - seen.first_at, left)
