"""Keep linear algebra on one thread where work already runs side by side.

The sampler walks both halves of its members, and runs both blocks of a model, in two threads of
its own. Algebra that starts threads besides waits for cores that are taken: on two cores a whole
fit took 1.6 times as long (measured). One thread also adds up in the same order on every machine.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock

from threadpoolctl import threadpool_limits


class _SharedLimit:
    """The limit holds for the whole process, so its users are counted."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._users = 0
        self._limits: threadpool_limits | None = None

    def enter(self) -> None:
        with self._lock:
            if self._users == 0:
                self._limits = threadpool_limits(limits=1, user_api="blas")
            self._users += 1

    def leave(self) -> None:
        with self._lock:
            self._users -= 1
            if self._users == 0 and self._limits is not None:
                self._limits.restore_original_limits()
                self._limits = None


_SHARED = _SharedLimit()


@contextmanager
def one_algebra_thread() -> Iterator[None]:
    """Limit BLAS to one thread; the last of several users gives the others back."""
    _SHARED.enter()
    try:
        yield
    finally:
        _SHARED.leave()
