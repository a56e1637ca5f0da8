"""What the first plan needs is loaded and done once while the form of one is being opened."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable

NAME = "first plan"
log = logging.getLogger("watervane.web")


class PlansAhead:
    """Does all that a plan does for the first time, in a thread of its own, once a server."""

    def __init__(self) -> None:
        self._one = threading.Lock()
        self._does: Callable[[], object] | None = None

    def does(self, first: Callable[[], object]) -> None:
        """From now on the next form that is opened begins this."""
        self._does = first

    def begin(self) -> None:
        """A form was opened."""
        with self._one:
            does, self._does = self._does, None
        if does is not None:
            threading.Thread(target=_run, args=(does,), name=NAME, daemon=True).start()


def _run(does: Callable[[], object]) -> None:
    try:
        does()
    except Exception:  # whoever plans does it again, and is told what is wrong
        log.warning("no plan was made ahead", exc_info=True)
