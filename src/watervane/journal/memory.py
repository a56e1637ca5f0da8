"""What a journal was asked of its entries, kept until another one is written.

Entries are never changed nor deleted, and their numbers only grow: as long as the newest number of
all is the same, so is whatever was made of entries alone.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, TypeVar

MOST = 512
Made = TypeVar("Made")


class Memory:
    """Answers as of one entry, the newest of all; those of an older moment are forgotten."""

    def __init__(self) -> None:
        self._newest = -1
        self._kept: OrderedDict[Hashable, Any] = OrderedDict()
        self._one = threading.Lock()

    def once(self, newest: int, asked: Hashable, make: Callable[[], Made]) -> Made:
        """What was made of this before, or is made now.

        Parameters
        ----------
        newest
            Number of the newest entry of the whole journal, in the same view that ``make`` reads.
        asked
            What is asked, and by whom.
        make
            Reads it.
        """
        with self._one:
            if newest == self._newest and asked in self._kept:
                self._kept.move_to_end(asked)
                found: Made = self._kept[asked]
                return found
        made = make()
        with self._one:
            if newest > self._newest:
                self._kept.clear()
                self._newest = newest
            if newest == self._newest:
                self._kept[asked] = made
                while len(self._kept) > MOST:
                    self._kept.popitem(last=False)
        return made
